"""Stage `sheets`: pieces laid out on sheets of stock; mm.

Begin with `layout`: forms come in, a `Layout` (`model`) goes out, checked by `gate` whichever engine made it: `quick`
(our own, on a grid) or `dense` (a library). `division` tries pieces a layer, `leftover` finds what is worth keeping.
"""
