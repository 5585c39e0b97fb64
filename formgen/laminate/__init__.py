"""Stage `laminate`: which plies bend to the arch, how far they spring back, what to cut them from.

Begin with `stage`: an `Arch` comes in, a `Laminate` (`plies`) goes out, pressed curve and ply lengths in it.
`springback`, `bend` and `moisture` are the mechanics; `choice` finds the number of plies.
"""
