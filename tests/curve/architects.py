"""Drawings as an architect makes them, with ezdxf: layers, dimensions, a title block, both faces of an arch's band."""

from __future__ import annotations

from typing import Any

import ezdxf

#: $INSUNITS by name.
UNITS = {"none": 0, "in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}

#: The band of the arch (mm): radius of its inner and its outer face, and the legs under them.
INNER_MM, OUTER_MM, LEG_MM = 457.2, 501.2, 600.0
MM = {"none": 1.0, "in": 25.4, "ft": 304.8, "mm": 1.0, "cm": 10.0, "m": 1000.0}


def new(units: str = "mm") -> tuple[Any, Any]:
    """An empty drawing, and its model space."""
    document = ezdxf.new("R2010", setup=True)
    document.header["$INSUNITS"] = UNITS[units]
    return document, document.modelspace()


def band(space: Any, one: float, at: tuple[float, float] = (0.0, 0.0), layer: str = "A-ARCH") -> None:
    """Both faces of an arch on legs, closed at the feet, as lines and arcs; `one` is 1 mm in the drawing's unit."""
    (x, y), held = at, {"layer": layer}
    leg = LEG_MM * one
    for mm in (INNER_MM, OUTER_MM):
        r = mm * one
        space.add_arc((x, y), r, 0, 180, dxfattribs=held)
        for side in (-r, r):
            space.add_line((x + side, y - leg), (x + side, y), dxfattribs=held)
    for side in (-1, 1):
        space.add_line((x + side * INNER_MM * one, y - leg), (x + side * OUTER_MM * one, y - leg), dxfattribs=held)


def furniture(document: Any, one: float) -> None:
    """All that stands round the part: frame, title block, dimensions, text, hatch, points, a centre line, a door."""
    space = document.modelspace()
    w, h = 1200.0 * one, 900.0 * one
    frame = [(-w, -h), (w, -h), (w, h), (-w, h)]
    space.add_lwpolyline(frame, close=True, dxfattribs={"layer": "A-TITLE"})
    title = document.blocks.new("TITLE-A3")
    title.add_lwpolyline([(0, 0), (180 * one, 0), (180 * one, 50 * one), (0, 50 * one)], close=True)
    title.add_line((0, 25 * one), (180 * one, 25 * one))
    title.add_text("Marrow Lane Library", height=10 * one)
    space.add_blockref("TITLE-A3", (w - 200 * one, -h + 10 * one), dxfattribs={"layer": "A-TITLE"})
    for mm in (INNER_MM, OUTER_MM):
        space.add_radius_dim(center=(0, 0), radius=mm * one, angle=50, dxfattribs={"layer": "A-DIMS"}).render()
    space.add_linear_dim(base=(0, -700 * one), p1=(-INNER_MM * one, -600 * one), p2=(INNER_MM * one, -600 * one),
                         dxfattribs={"layer": "A-DIMS"}).render()  # fmt: skip
    space.add_mtext("Head to be laminated oak", dxfattribs={"layer": "A-TEXT"})
    space.add_text("ELEVATION 1:10", height=20 * one, dxfattribs={"layer": "A-TEXT"})
    hatch = space.add_hatch(dxfattribs={"layer": "A-HATCH"})
    hatch.paths.add_polyline_path([(-w, -h), (w, -h), (w, -0.9 * h)], is_closed=True)
    space.add_point((0, 0), dxfattribs={"layer": "A-GRID"})
    space.add_line((0, -h), (0, h), dxfattribs={"layer": "A-GRID"})
    space.add_arc((900 * one, -600 * one), 300 * one, 90, 180, dxfattribs={"layer": "A-DOOR"})
