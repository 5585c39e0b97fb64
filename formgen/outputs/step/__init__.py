"""The stack as STEP: `writer` makes it in the kernel's process (`kernel`), `check` reads it again."""
