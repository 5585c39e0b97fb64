"""Plane geometry of lines and arcs, without a word of the trade; mm and rad.

Begin with `arcspline` (the one curve type: lines and arcs that run on without a corner) and `outline` (closed shapes,
with corners, and where a shape crosses itself). `biarc` turns any smooth curve into arcs, `distance` says how far
points and curves lie apart. Nothing here imports another room.
"""
