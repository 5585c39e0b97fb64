"""Lines and labels on the pieces: in, the pieces of a layer; out, marks and single-stroke letters, mm.

Begin with `pieces`, the words and the room for them; `lines` are the marks, `lettering` the strokes.
"""
