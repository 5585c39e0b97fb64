"""Stage `form`: the stack of layers, and everything that is cut into it.

Begin with `stage`: a `Pressing` comes in, a `Form` (`model`) goes out. `body`, `reliefs`, `channel`, `bar`, `dowels`
and `joints` each place one feature; `marking/` writes on the pieces; `strength` and `weight` check the whole. `solid`
is the only place where CadQuery builds anything.
"""
