"""Stage `reports`: the drawing on the gauge page: the finished part on its base line, with the stations numbered.

In: `Ordinates` and a frame on the paper. Out: ink, mm on paper from its lower left corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from formgen.curve.ordinates import Ordinate, Ordinates
from formgen.drafting.ink import CENTRE, EDGE, PART, SIZES, TINT, Fill, Ink, Stroke, Words, circle, line
from formgen.drafting.paper import NAME_MM, TEXT_MM
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point
from formgen.lengths import Units
from formgen.reports.drawing.blocks import SCALES

#: Paper kept free beside the part for A and B, and above it for the numbers (mm).
BESIDE_MM, ABOVE_MM = 18.0, 9.0
#: Distance of a number's middle from the face, and how far the base line runs past the part (mm).
OFF_MM, PAST_MM = 3.6, 8.0
#: Numbers stand at least so far apart along the base line (mm).
APART_MM = 5.5
#: A number at an end whose face is lower than this over the base line is moved up and out (mm on paper).
END_CLEAR_MM = 5.0
#: A part thinner than this on paper has thin edges (mm).
THICK_PART_MM = 2.0
#: Round A and B, and round the crown's number (mm).
POINT_MM, RING_MM = 0.8, 2.6


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


def framed(found: Ordinates, units: Units, left_mm: float, top_mm: float, wide_mm: float, most_high_mm: float) -> Frame:
    """The least reduction of the standard ones at which the part fits, in the middle, its highest point at the top."""
    x0, y0, x1, y1 = part_outline(found).bounds
    x0, y0, x1, y1 = min(x0, 0.0), min(y0, 0.0), max(x1, found.span_mm), max(y1, 0.0)
    least = max((x1 - x0) / (wide_mm - 2 * BESIDE_MM), (y1 - y0) / (most_high_mm - ABOVE_MM - 2.0))
    scale = float(next((s for s in SCALES[units] if s >= least - 1e-9), math.ceil(least)))
    middle = left_mm + wide_mm / 2.0
    return Frame(
        scale=scale,
        origin=(middle - (x0 + x1) / 2.0 / scale, top_mm - ABOVE_MM - y1 / scale),
        height_mm=(y1 - y0) / scale + ABOVE_MM + 2.0,
    )


def part_outline(found: Ordinates) -> Outline:
    """The finished part seen from its edge."""
    return Outline.of(found.inside, found.outside.reversed())


def part_inks(found: Ordinates, frame: Frame, crown: int) -> Iterator[Ink]:
    """The part, its base line, A and B, and a numbered line at each station.

    Args:
        found: the part.
        frame: its place on paper.
        crown: number of the station at which the rise is read, whose number stands in a ring; 0 for none.
    """
    outline = part_outline(found)
    vertices = tuple((*frame.at((x, y)), bulge) for x, y, bulge in outline.vertices)
    yield Fill(pen=TINT, vertices=vertices)
    thick = found.thickness_mm / frame.scale >= THICK_PART_MM
    yield Stroke(pen=EDGE if thick else PART, vertices=vertices, closed=True)
    numbered = _numbered(found, frame, crown)
    for number, row in enumerate(found.rows, start=1):
        yield from _station(found, row, frame, number, named=number in numbered, ringed=number == crown)
    yield from _base_line(found, outline, frame)


def _base_line(found: Ordinates, outline: Outline, frame: Frame) -> Iterator[Ink]:
    x0, _, x1, _ = outline.bounds
    (ax, ay), (bx, _) = frame.at((0.0, 0.0)), frame.at((found.span_mm, 0.0))
    left, right = min(ax, frame.at((x0, 0.0))[0]) - PAST_MM, max(bx, frame.at((x1, 0.0))[0]) + PAST_MM
    yield line(CENTRE, (left, ay), (right, ay))
    yield circle(SIZES, (ax, ay), POINT_MM)
    yield circle(SIZES, (bx, ay), POINT_MM)
    yield Words(text="A", at=(left - 1.5, ay - NAME_MM / 2.0), height_mm=NAME_MM, anchor="right")
    yield Words(text="B", at=(right + 1.5, ay - NAME_MM / 2.0), height_mm=NAME_MM)


def _numbered(found: Ordinates, frame: Frame, crown: int) -> set[int]:
    """Numbers of the stations that are named: the ends, the crown, and what stands clear of these and each other."""
    places = [row.from_a_mm / frame.scale for row in found.rows]
    fixed_ones = {1, len(places), *({crown} if crown else ())}
    kept = set(fixed_ones)
    for number, place in enumerate(places, start=1):
        if all(abs(place - places[other - 1]) >= APART_MM for other in kept):
            kept.add(number)
    return kept


def _station(found: Ordinates, row: Ordinate, frame: Frame, number: int, *, named: bool, ringed: bool) -> Iterator[Ink]:
    """A line from the base line to the far face, and its number, if it is named, beyond."""
    heights = [h.height_mm for h in (row.inside, row.outside) if h is not None]
    top = max([*heights, 0.0])
    low, high = frame.at((row.from_a_mm, min([*heights, 0.0]))), frame.at((row.from_a_mm, top))
    if high[1] - low[1] > 0.1:
        yield line(SIZES, low, high)
    if not named:
        return
    away = _away(found.outside, (row.from_a_mm, top))
    if number in (1, len(found.rows)) and top / frame.scale < END_CLEAR_MM:
        away = (math.copysign(0.8, number - 1.5), 1.2)  # clear of the base line
    off = OFF_MM + (0.8 if ringed else 0.0)
    x, y = high[0] + off * away[0], high[1] + off * away[1]
    yield Words(text=str(number), at=(x, y - TEXT_MM / 2.0), height_mm=TEXT_MM, anchor="middle")
    if ringed:
        yield circle(SIZES, (x, y), RING_MM)


def _away(face: ArcSpline, point: Point) -> Point:
    """Unit vector out of the part at a point of its outside face; straight up elsewhere."""
    station, off = face.nearest(*point)
    if abs(off) > 1e-3:
        return 0.0, 1.0
    left = face.pose(station).left
    return -left[0], -left[1]
