"""Arches from one open path in a DXF drawing: in, the file beside the recipe; out, an arc spline.

Begin with `path`, which makes the arch of what is drawn. Below it `choose` takes one line among many, `paper` reads the
lines and finds the runs in them, `join` makes one curve of a run, `ends` says what meets. `file` opens the drawing,
`contents` lists the things in it, blocks opened too, and `entities` reads one of them.
"""
