"""Drafting: sheets of ink as one DXF drawing, at full size: the sheet round it is enlarged instead.

In: sheets in mm on paper, how many mm of the thing one mm of paper is, and drawing units. Out: bytes, the same for the
same sheets. Sheets lie side by side, each with the edge of its paper as a rectangle on a layer of its own; `$DIMSCALE`
holds the scale, so that a reader gets the paper back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, cast

from formgen.drafting.dimension import ARROW_MM, GAP_MM, LEVEL_MM, LIFT_MM, PAST_MM
from formgen.drafting.ink import (
    LETTERS,
    PAPER_EDGE,
    PENS,
    SIZES,
    Anchor,
    Face,
    Fill,
    Ink,
    Sheet,
    Size,
    Stroke,
    Words,
    box,
    moved,
)
from formgen.drafting.paper import FACES, FILES, TEXT_MM
from formgen.drafting.text import squeezed, wide
from formgen.geometry.outline import Point
from formgen.lengths import Units
from formgen.outputs.dxf.pen import MM_PER_INCH, content_of, fixed_document

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities import Dimension
    from ezdxf.layouts.base import BaseLayout

#: Between two sheets (mm on paper).
APART_MM = 30.0
#: Text styles; each names the file of its face, and a program without it takes one of its own.
STYLES: dict[Face, str] = {"plain": "LETTERS", "narrow": "LETTERS NARROW", "leaning": "LETTERS LEANING"}
#: Kinds of DIMENSION: along an axis, of a radius; each with a picture of its own and its text where it found room.
LINEAR, RADIUS = 0 + 32 + 128, 4 + 32 + 128
#: How a text hangs on a point: by an end or by its middle; or between two, drawn out to reach from one to the other.
ALIGN: dict[Anchor, int] = {"left": 0, "middle": 1, "right": 2}
FIT = 5


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
        _tables(document, per_mm, units)
        corner = (-origin_mm[0], -origin_mm[1])
        for sheet in sheets:
            edge = box(PAPER_EDGE, 0.0, 0.0, sheet.width_mm, sheet.height_mm)
            for ink in (edge, *sheet.inks):
                _draw(document.modelspace(), moved(ink, *corner), full_mm_per_paper_mm, per_mm)
            corner = (corner[0] + sheet.width_mm + APART_MM, corner[1])
        reach = [(-origin_mm[0] * per_mm, -origin_mm[1] * per_mm)]
        reach.append(((corner[0] - APART_MM) * per_mm, (sheets[0].height_mm - origin_mm[1]) * per_mm))
        return content_of(document, reach)


def _tables(document: Drawing, per_mm: float, units: Units) -> None:
    """Layers with their line widths, line types with the dashes of the pens, styles of text and sizes, the scale."""
    document.header["$DIMSCALE"] = per_mm
    document.header["$LTSCALE"] = per_mm
    document.header["$LWDISPLAY"] = 1
    for face, style in STYLES.items():
        document.styles.new(style, dxfattribs={"font": FILES[FACES[face]]})
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
    numbers = {"dimlunit": 5, "dimfrac": 2, "dimdec": 6} if units == "in" else {"dimlunit": 2, "dimdec": 1}
    document.dimstyles.new(
        SIZES.name,
        dxfattribs={
            **numbers, "dimzin": 8, "dimdsep": ord("."), "dimpost": "<>", "dimscale": per_mm,
            "dimtxsty": STYLES["plain"], "dimtxt": TEXT_MM, "dimgap": LIFT_MM, "dimtad": 1, "dimcen": 0.0,
            "dimasz": ARROW_MM, "dimexo": GAP_MM, "dimexe": PAST_MM, "dimdli": LEVEL_MM, "dimtofl": 0,
        },
    )  # fmt: skip
    document.header["$DIMSTYLE"] = SIZES.name


def _draw(space: BaseLayout, ink: Ink, full_mm: float, per_mm: float) -> None:
    """Draw ink: so many mm of the thing, and so many drawing units, to the mm of paper."""
    if isinstance(ink, Size):
        _size(space, ink, full_mm, per_mm)
        return
    if isinstance(ink, Words):
        _fitted(space, ink, per_mm)
        return
    vertices = [(x * per_mm, y * per_mm, bulge) for x, y, bulge in ink.vertices]
    attributes = {"layer": ink.pen.name}
    if isinstance(ink, Fill) and len(vertices) == 3:  # an arrow's head
        space.add_solid([v[:2] for v in vertices], dxfattribs=attributes)
    elif isinstance(ink, Fill):
        hatch = space.add_hatch(color=ink.pen.colour, dxfattribs=attributes)
        hatch.paths.add_polyline_path(vertices, is_closed=True)
    else:
        _stroke(space, ink, vertices, attributes)


def _fitted(space: BaseLayout, words: Words, per_mm: float) -> None:
    """Text between two points: as long as on paper, in whatever face a program takes for one that it lacks."""
    ends = _ends(words)
    attributes: dict[str, Any] = {"halign": FIT, "align_point": _full(ends[1], per_mm)}
    space.add_text(words.text, dxfattribs=_attributes(words, ends[0], per_mm) | attributes)


def _anchored(space: BaseLayout, words: Words, per_mm: float) -> None:
    """Text at a point, as a program that draws a DIMENSION again sets it."""
    at = _full(words.at, per_mm)
    attributes: dict[str, Any] = {"halign": ALIGN[words.anchor], "align_point": at} if words.anchor != "left" else {}
    space.add_text(words.text, dxfattribs=_attributes(words, words.at, per_mm) | attributes)


def _attributes(words: Words, at: Point, per_mm: float) -> dict[str, Any]:
    return {
        "layer": LETTERS.name, "insert": _full(at, per_mm), "height": words.height_mm * per_mm,
        "rotation": math.degrees(words.angle_rad), "style": STYLES[words.face],
        "width": squeezed(words.text, FACES[words.face]),
    }  # fmt: skip


def _size(space: BaseLayout, ink: Size, full_mm: float, per_mm: float) -> None:
    """A DIMENSION that holds the ink as its picture; its number is measured, by a factor on a view at another scale."""
    picture = space.doc.blocks.new_anonymous_block(type_char="D")
    for part in ink.parts:
        if isinstance(part, Words):
            _anchored(picture, part, per_mm)
        else:
            _draw(picture, part, full_mm, per_mm)
    points = [_full(point, per_mm) for point in ink.points]
    attributes: dict[str, Any] = {"layer": SIZES.name, "dimstyle": SIZES.name, "geometry": picture.name}
    if ink.along == "radius":
        drawn = math.dist(*points)
        attributes |= {"dimtype": RADIUS, "defpoint": points[0], "defpoint4": points[1], "leader_length": 0.0}
    else:
        axis = 0 if ink.along == "x" else 1
        drawn = points[1][axis] - points[0][axis]
        attributes |= {"dimtype": LINEAR, "defpoint2": points[0], "defpoint3": points[1], "defpoint": points[2]}
        attributes["angle"] = 90.0 * axis
    own: dict[str, float] = {}
    factor = ink.full_mm * per_mm / full_mm / drawn  # of a view at another scale than the drawing's
    if abs(factor - 1.0) > 1e-9:
        own["dimlfac"] = factor
    if isinstance(words := ink.parts[-1], Words):
        attributes["text_midpoint"] = _full(_middle(words), per_mm)
        attributes["text"] = f"{ink.name} <>" if ink.name else ""
        if words.height_mm != TEXT_MM:
            own["dimtxt"] = words.height_mm
    else:
        attributes["text"] = " "  # none
    dimension = cast("Dimension", space.new_entity("DIMENSION", {**attributes, "actual_measurement": drawn}))
    if own:
        dimension.set_acad_dstyle(own)


def _full(point: Point, per_mm: float) -> Point:
    return point[0] * per_mm, point[1] * per_mm


def _ends(words: Words) -> tuple[Point, Point]:
    """Both ends of a text's base line on paper."""
    length = wide(words.text, words.height_mm, FACES[words.face])
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor] * length
    (x, y), c, s = words.at, math.cos(words.angle_rad), math.sin(words.angle_rad)
    return (x - back * c, y - back * s), (x + (length - back) * c, y + (length - back) * s)


def _middle(words: Words) -> Point:
    """The middle of a text's letters on paper."""
    (x0, y0), (x1, y1) = _ends(words)
    c, s, up = math.cos(words.angle_rad), math.sin(words.angle_rad), words.height_mm / 2
    return (x0 + x1) / 2 - up * s, (y0 + y1) / 2 + up * c


def _stroke(space: Any, ink: Stroke, vertices: list[tuple[float, float, float]], attributes: dict[str, Any]) -> None:
    (x0, y0, b0), (x1, y1, b1) = vertices[0], vertices[1]
    if ink.closed and len(vertices) == 2 and b0 == b1 == 1.0:
        space.add_circle(((x0 + x1) / 2, (y0 + y1) / 2), math.dist((x0, y0), (x1, y1)) / 2, dxfattribs=attributes)
    elif len(vertices) == 2 and not ink.closed and not b0:
        space.add_line((x0, y0), (x1, y1), dxfattribs=attributes)
    else:
        space.add_lwpolyline(vertices, format="xyb", close=ink.closed, dxfattribs=attributes)
