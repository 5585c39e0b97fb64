"""Lines and labels on the pieces: in, the pieces of a layer; out, marks and single-stroke letters, mm.

Begin with `words`, what is written, and `pieces`, which finds room for it; `lines` are the marks, `lettering` the
strokes.
"""
