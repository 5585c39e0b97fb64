"""Drafting: sheets of ink as one DXF drawing, at full size: the sheet round it is enlarged instead.

In: sheets in mm on paper, how many mm of the thing one mm of paper is, and drawing units. Out: bytes, the same for the
same sheets. Sheets lie side by side, each with the edge of its paper as a rectangle on a layer of its own; `$DIMSCALE`
holds the scale, so that a reader gets the paper back.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from formgen.drafting.ink import LETTERS, PAPER_EDGE, PENS, Anchor, Face, Fill, Ink, Sheet, Stroke, Words, box, moved
from formgen.lengths import Units
from formgen.outputs.dxf.names import MM_PER_INCH
from formgen.outputs.dxf.pen import content_of, fixed_document

if TYPE_CHECKING:
    from ezdxf.document import Drawing

#: Between two sheets (mm on paper).
APART_MM = 30.0
#: Text styles, and the file of the face; a program without it takes one of its own.
STYLES: dict[Face, tuple[str, str]] = {
    "plain": ("LETTERS", "routed-gothic.ttf"),
    "narrow": ("LETTERS NARROW", "routed-gothic-narrow.ttf"),
    "leaning": ("LETTERS LEANING", "routed-gothic-half-italic.ttf"),
}
ALIGN: dict[Anchor, int] = {"left": 0, "middle": 1, "right": 2}


def drawing_bytes(
    sheets: Sequence[Sheet], full_mm_per_paper_mm: float, units: Units, origin_mm: tuple[float, float] = (0.0, 0.0)
) -> bytes:
    """The drawing.

    Args:
        sheets: pages, in order.
        full_mm_per_paper_mm: 10 for a drawing at 1 : 10.
        units: drawing units.
        origin_mm: point of the first sheet, on paper, that becomes the drawing's origin.
    """
    per_mm = full_mm_per_paper_mm / (MM_PER_INCH if units == "in" else 1.0)
    with fixed_document("R2010", units) as document:
        _tables(document, per_mm)
        corner = (-origin_mm[0], -origin_mm[1])
        for sheet in sheets:
            edge = box(PAPER_EDGE, 0.0, 0.0, sheet.width_mm, sheet.height_mm)
            _draw(document, [moved(ink, *corner) for ink in (edge, *sheet.inks)], per_mm)
            corner = (corner[0] + sheet.width_mm + APART_MM, corner[1])
        reach = [(-origin_mm[0] * per_mm, -origin_mm[1] * per_mm)]
        reach.append(((corner[0] - APART_MM) * per_mm, (sheets[0].height_mm - origin_mm[1]) * per_mm))
        return content_of(document, reach)


def _tables(document: Drawing, per_mm: float) -> None:
    """Layers with their line widths, line types with the dashes of the pens, text styles, the scale."""
    document.header["$DIMSCALE"] = per_mm
    document.header["$LTSCALE"] = per_mm
    document.header["$LWDISPLAY"] = 1
    for style, file in STYLES.values():
        document.styles.new(style, dxfattribs={"font": file})
    for pen in PENS.values():
        attributes: dict[str, Any] = {"color": pen.colour}
        if pen.width_mm:
            attributes["lineweight"] = round(100 * pen.width_mm)
        if pen.dashes_mm:
            signed = [length if i % 2 == 0 else -length for i, length in enumerate(pen.dashes_mm)]
            document.linetypes.add(pen.name, [sum(pen.dashes_mm), *signed], description=pen.name.lower())
            attributes["linetype"] = pen.name
        document.layers.new(pen.name, dxfattribs=attributes)
    document.layers.get(PAPER_EDGE.name).dxf.plot = 0


def _draw(document: Drawing, inks: Iterable[Ink], per_mm: float) -> None:
    space = document.modelspace()
    for ink in inks:
        if isinstance(ink, Words):
            at = (ink.at[0] * per_mm, ink.at[1] * per_mm)
            attributes: dict[str, Any] = {
                "layer": LETTERS.name, "insert": at, "height": ink.height_mm * per_mm,
                "rotation": math.degrees(ink.angle_rad), "style": STYLES[ink.face][0],
            }  # fmt: skip
            if ink.anchor != "left":
                attributes |= {"halign": ALIGN[ink.anchor], "align_point": at}
            space.add_text(ink.text, dxfattribs=attributes)
            continue
        vertices = [(x * per_mm, y * per_mm, bulge) for x, y, bulge in ink.vertices]
        attributes = {"layer": ink.pen.name}
        if isinstance(ink, Fill) and len(vertices) == 3:  # an arrow's head
            space.add_solid([v[:2] for v in vertices], dxfattribs=attributes)
        elif isinstance(ink, Fill):
            hatch = space.add_hatch(color=ink.pen.colour, dxfattribs=attributes)
            hatch.paths.add_polyline_path(vertices, is_closed=True)
        else:
            _stroke(space, ink, vertices, attributes)


def _stroke(space: Any, ink: Stroke, vertices: list[tuple[float, float, float]], attributes: dict[str, Any]) -> None:
    (x0, y0, b0), (x1, y1, b1) = vertices[0], vertices[1]
    if ink.closed and len(vertices) == 2 and b0 == b1 == 1.0:
        space.add_circle(((x0 + x1) / 2, (y0 + y1) / 2), math.dist((x0, y0), (x1, y1)) / 2, dxfattribs=attributes)
    elif len(vertices) == 2 and not ink.closed and not b0:
        space.add_line((x0, y0), (x1, y1), dxfattribs=attributes)
    else:
        space.add_lwpolyline(vertices, format="xyb", close=ink.closed, dxfattribs=attributes)
