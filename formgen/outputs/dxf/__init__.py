"""Drawings for the router: one for each layer, one of the stack; units and release as the shop asks.

Begin with `layers` (what is drawn where) and `pen` (how). `reader` and `grammar` read a file again without the library
that wrote it; `check` holds it against what `shapes` expects, shape by shape.
"""
