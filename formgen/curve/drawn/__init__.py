"""Arches from one open path in a DXF drawing: in, the file beside the recipe; out, an arc spline.

Begin with `path`; `entities` reads what is drawn, `joining` makes one smooth path of it.
"""
