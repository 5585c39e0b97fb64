"""Arches from one open path in a DXF drawing: in, the file beside the recipe; out, an arc spline.

Begin with `path`, which makes one smooth path of what is drawn; `entities` reads that.
"""
