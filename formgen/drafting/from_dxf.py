"""Drafting: the sheets of a drawing that `to_dxf` wrote, read from the file's bytes.

In: bytes. Out: the same sheets, in mm on paper. Nothing else than the bytes is asked, so that what is printed is what
the drawing holds.

Reference: Autodesk, DXF Reference (group codes of LINE, CIRCLE, LWPOLYLINE, SOLID, HATCH and TEXT).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.drafting.ink import PAPER_EDGE, PENS, Anchor, Face, Fill, Ink, Sheet, Stroke, Words, circle, line, moved
from formgen.drafting.to_dxf import ALIGN, STYLES
from formgen.errors import ExportError
from formgen.geometry.outline import Point, Vertex
from formgen.outputs.dxf.reader import Tag, entities_of, first_values, header_value, plain_text, tags_of

_ANCHORS: dict[int, Anchor] = {number: anchor for anchor, number in ALIGN.items()}
_FACES: dict[str, Face] = {style: face for face, (style, _) in STYLES.items()}


def sheets_in(content: bytes) -> tuple[Sheet, ...]:
    """The sheets, each with what lies on its paper.

    Raises:
        ExportError: the drawing has no sheet, or holds something that no sheet is made of.
    """
    tags = tags_of(content)
    per_mm = float(header_value(tags, "$DIMSCALE") or "nan")
    sheets: list[tuple[Stroke, list[Ink]]] = []
    for entity in entities_of(tags):
        ink = _ink(entity, per_mm)
        if isinstance(ink, Stroke) and ink.pen is PAPER_EDGE:
            sheets.append((ink, []))
        elif sheets:
            sheets[-1][1].append(ink)
    if not sheets:
        raise ExportError("the drawing holds no edge of a paper, expected one for each sheet")
    return tuple(_sheet(edge, inks) for edge, inks in sheets)


def _sheet(edge: Stroke, inks: Sequence[Ink]) -> Sheet:
    (x0, y0, _), (x1, y1, _) = edge.vertices[0], edge.vertices[2]
    return Sheet(width_mm=x1 - x0, height_mm=y1 - y0, inks=tuple(moved(ink, -x0, -y0) for ink in inks))


def _ink(entity: Sequence[Tag], per_mm: float) -> Ink:
    kind, first = entity[0][1], first_values(list(entity))
    layer = plain_text(first[8])

    def at(x_code: int) -> Point:
        return float(first[x_code]) / per_mm, float(first[x_code + 10]) / per_mm

    if kind == "TEXT":
        anchor = _ANCHORS[int(first.get(72, "0"))]
        return Words(
            text=plain_text(first[1]),
            at=at(10 if anchor == "left" else 11),
            height_mm=float(first[40]) / per_mm,
            angle_rad=math.radians(float(first.get(50, "0"))),
            anchor=anchor,
            face=_FACES[first.get(7, "LETTERS")],
        )
    pen = PENS[layer]
    if kind == "LINE":
        return line(pen, at(10), at(11))
    if kind == "CIRCLE":
        return circle(pen, at(10), float(first[40]) / per_mm)
    if kind == "SOLID":
        return Fill(pen=pen, vertices=tuple((*at(code), 0.0) for code in (10, 11, 12)))
    if kind == "LWPOLYLINE":
        return Stroke(pen=pen, vertices=_vertices(entity, per_mm), closed=bool(int(first.get(70, "0")) & 1))
    if kind == "HATCH":
        begin = next(i for i, tag in enumerate(entity) if tag[0] == 93)
        end = next(i for i, tag in enumerate(entity) if tag[0] == 97)
        return Fill(pen=pen, vertices=_vertices(entity[begin:end], per_mm))
    raise ExportError(f"the drawing holds an entity {kind} on {layer}, expected lines, circles, fills and text")


def _vertices(entity: Sequence[Tag], per_mm: float) -> tuple[Vertex, ...]:
    """Points with their bulges: 10, 20 and, where an arc follows, 42."""
    rows: list[list[float]] = []
    for code, value in entity:
        if code == 10:
            rows.append([float(value) / per_mm, 0.0, 0.0])
        elif code == 20 and rows:
            rows[-1][1] = float(value) / per_mm
        elif code == 42 and rows:
            rows[-1][2] = float(value)
    return tuple((x, y, bulge) for x, y, bulge in rows)
