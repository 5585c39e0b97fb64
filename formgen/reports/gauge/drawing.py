"""Stage `reports`: the drawing on the gauge page: the finished part on its base line, with the stations numbered.

In: `Ordinates` and a frame on the paper. Out: strokes and words on a canvas whose unit is mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from formgen.curve.ordinates import Ordinate, Ordinates
from formgen.drafting.paper import CENTRE_DASH_MM, PLAIN, THICK_MM, THIN_MM, face_size, text_width_mm
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.edge import Edge
from formgen.geometry.outline import Outline, Point, Vertex

#: Paper kept free beside the part for A and B, and above it for the numbers (mm).
BESIDE_MM, ABOVE_MM = 16.0, 7.0
#: Height of the numbers, of A and B (mm); distance of a number's middle from the face (mm).
NUMBER_MM, NAME_MM, OFF_MM = 2.0, 3.5, 2.7
#: Numbers stand at least so far apart along the base line (mm).
APART_MM = 4.0
#: A number at an end whose face is lower than this over the base line is moved up and out (mm on paper).
END_CLEAR_MM = 4.0
#: A part thinner than this on paper has thin edges (mm).
THICK_PART_MM = 2.0
#: Scales are whole numbers from here on, halves below.
WHOLE_FROM = 10


@fixed
class Frame:
    """The place and scale of the part's drawing.

    Args:
        scale: one on paper stands for so many.
        origin: A on the paper, mm from the page's lower left corner.
        height_mm: paper that the drawing takes.
    """

    scale: float
    origin: Point
    height_mm: float

    def at(self, point: Point) -> Point:
        """A point of the part on the paper."""
        return self.origin[0] + point[0] / self.scale, self.origin[1] + point[1] / self.scale


def framed(found: Ordinates, left_mm: float, top_mm: float, wide_mm: float, most_high_mm: float) -> Frame:
    """The least reduction at which the part fits, its middle in the middle, its highest point under the top."""
    x0, y0, x1, y1 = part_outline(found).bounds
    x0, y0, x1, y1 = min(x0, 0.0), min(y0, 0.0), max(x1, found.span_mm), max(y1, 0.0)
    least = max((x1 - x0) / (wide_mm - 2 * BESIDE_MM), (y1 - y0) / (most_high_mm - ABOVE_MM - 2.0))
    scale = float(math.ceil(least)) if least > WHOLE_FROM else math.ceil(2 * least) / 2.0
    middle = left_mm + wide_mm / 2.0
    return Frame(
        scale=scale,
        origin=(middle - (x0 + x1) / 2.0 / scale, top_mm - ABOVE_MM - y1 / scale),
        height_mm=(y1 - y0) / scale + ABOVE_MM + 2.0,
    )


def part_outline(found: Ordinates) -> Outline:
    """The finished part seen from its edge."""
    return Outline.of(found.inside, found.outside.reversed())


def draw_part(canvas: Any, found: Ordinates, frame: Frame) -> None:
    """The part, its base line, A and B, and a numbered line at each station."""
    outline = part_outline(found)
    canvas.setFillGray(0.92)
    edge_mm = THICK_MM if found.thickness_mm / frame.scale >= THICK_PART_MM else THIN_MM
    canvas.setLineWidth(edge_mm)
    canvas.drawPath(_path(canvas, outline.vertices, frame), stroke=1, fill=1)
    canvas.setFillGray(0.0)
    canvas.setLineWidth(THIN_MM)
    numbered = _numbered(found, frame)
    for number, row in enumerate(found.rows, start=1):
        _station(canvas, found, row, frame, number if number in numbered else None)
    _base_line(canvas, found, outline, frame)


def _base_line(canvas: Any, found: Ordinates, outline: Outline, frame: Frame) -> None:
    x0, _, x1, _ = outline.bounds
    (ax, ay), (bx, _) = frame.at((0.0, 0.0)), frame.at((found.span_mm, 0.0))
    left, right = min(ax, frame.at((x0, 0.0))[0]) - 8.0, max(bx, frame.at((x1, 0.0))[0]) + 8.0
    canvas.setLineWidth(THIN_MM)
    canvas.setDash(list(CENTRE_DASH_MM))
    canvas.line(left, ay, right, ay)
    canvas.setDash([])
    for x in (ax, bx):
        canvas.setFillGray(1.0)
        canvas.circle(x, ay, 0.8, stroke=1, fill=1)
        canvas.setFillGray(0.0)
    for name, x in (("A", left - 1.5 - text_width_mm("A", NAME_MM)), ("B", right + 1.5)):
        canvas.setFont(PLAIN, face_size(NAME_MM))
        canvas.drawString(x, ay - NAME_MM / 2.0, name)


def _numbered(found: Ordinates, frame: Frame) -> set[int]:
    """Numbers of the stations that are numbered: the first and the last, and what stands clear between them."""
    places = [row.from_a_mm / frame.scale for row in found.rows]
    kept = [1]
    for number, place in enumerate(places[:-1], start=1):
        if place - places[kept[-1] - 1] >= APART_MM and places[-1] - place >= APART_MM:
            kept.append(number)
    return {*kept, len(places)}


def _station(canvas: Any, found: Ordinates, row: Ordinate, frame: Frame, number: int | None) -> None:
    """A line from the base line to the far face, and its number, if any, beyond."""
    heights = [h.height_mm for h in (row.inside, row.outside) if h is not None]
    top = max([*heights, 0.0])
    low, high = frame.at((row.from_a_mm, min([*heights, 0.0]))), frame.at((row.from_a_mm, top))
    if high[1] - low[1] > 0.1:
        canvas.line(*low, *high)
    if number is None:
        return
    away = _away(found.outside, (row.from_a_mm, top))
    if number in (1, len(found.rows)) and top / frame.scale < END_CLEAR_MM:
        away = (math.copysign(0.7, number - 1.5), 1.3)  # clear of the base line
    x, y = high[0] + OFF_MM * away[0], high[1] + OFF_MM * away[1]
    canvas.setFont(PLAIN, face_size(NUMBER_MM))
    text = str(number)
    canvas.drawString(x - text_width_mm(text, NUMBER_MM) / 2.0, y - NUMBER_MM / 2.0, text)


def _away(face: ArcSpline, point: Point) -> Point:
    """Unit vector out of the part at a point of its outside face; straight up elsewhere."""
    station, off = face.nearest(*point)
    if abs(off) > 1e-3:
        return 0.0, 1.0
    left = face.pose(station).left
    return -left[0], -left[1]


def _path(canvas: Any, vertices: Sequence[Vertex], frame: Frame) -> Any:
    """A closed shape of lines and arcs on the paper, each arc as curves of at most an eighth of a turn."""
    path = canvas.beginPath()
    path.moveTo(*frame.at(vertices[0][:2]))
    for (ax, ay, bulge), (bx, by, _) in pairwise((*vertices, vertices[0])):
        edge = Edge((ax, ay), (bx, by), bulge)
        count = max(1, math.ceil(abs(edge.sweep_rad) / (math.pi / 4.0))) if bulge else 1
        for i in range(count):
            _curve(path, edge.between(i / count, (i + 1) / count), frame)
    path.close()
    return path


def _curve(path: Any, edge: Edge, frame: Frame) -> None:
    """One line, or one arc as a cubic whose handles are 4/3 tan(sweep/4) of the radius long."""
    if not edge.bulge:
        path.lineTo(*frame.at(edge.b))
        return
    # along the chord and to its left: the handle leaves at half the sweep from the chord
    dx, dy, half = edge.b[0] - edge.a[0], edge.b[1] - edge.a[1], edge.sweep_rad / 2.0
    share = 2.0 / 3.0 * math.tan(half / 2.0) / math.sin(half)
    c, s = share * math.cos(half), share * math.sin(half)
    first = (edge.a[0] + c * dx + s * dy, edge.a[1] - s * dx + c * dy)
    second = (edge.b[0] - c * dx + s * dy, edge.b[1] - s * dx - c * dy)
    path.curveTo(*frame.at(first), *frame.at(second), *frame.at(edge.b))
