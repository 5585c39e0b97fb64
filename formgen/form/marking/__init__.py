"""Lines and labels on the pieces: in, the pieces of a layer; out, marks and single-stroke letters, mm.

Begin with `pieces`; `lines` are the marks, `labels` the words and the room for them, `lettering` the strokes.
"""
