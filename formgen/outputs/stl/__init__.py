"""The stack as one watertight mesh: `writer` makes it from the outlines, `check` reads it again."""
