"""Stage `form`: the stack of layers and everything that is cut into it."""
