"""Stage `sheets`: the pieces of all forms laid out on stock sheets and offcuts."""
