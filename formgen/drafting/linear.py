"""Drafting: sizes along an axis of a view, with their extension lines.

In: points of the thing. Out: ink; mm on paper. Text reads from below or from the right and stands clear of
every line; arrows turn outward where there is no room between them.

Reference: ISO 129-1 (extension lines, arrows, place of the text); from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Literal

from formgen.drafting.dimension import ARROW_MM, GAP_MM, LIFT_MM, PAST_MM, arrow
from formgen.drafting.field import Choice
from formgen.drafting.ink import SIZES, Fill, Size, Stroke, Words, line
from formgen.drafting.numbers import size
from formgen.drafting.text import wide
from formgen.drafting.view import View
from formgen.fixed import fixed
from formgen.geometry.outline import Point

#: Across a dot, and how far past the end of a short line its text is tried (mm on paper).
DOT_MM, PASTS_MM = 1.0, (2 * ARROW_MM + 0.8, 12.0, 18.0, 25.0)
#: For a point the one off which its extension line begins, and whether the point is to be marked.
Clear = Callable[[Point], tuple[Point, bool]]


@fixed
class _Line:
    """A dimension line along an axis: between two coordinates, at a coordinate across."""

    along: Literal["x", "y"]
    low: float
    high: float
    across: float

    def at(self, along_mm: float, lift_mm: float = 0.0) -> Point:
        """A point so far along, lifted to where the text stands: above, or to the left of an upright line."""
        return (along_mm, self.across + lift_mm) if self.along == "x" else (self.across - lift_mm, along_mm)

    @property
    def angle_rad(self) -> float:
        return 0.0 if self.along == "x" else math.pi / 2

    def words(self, text: str, middle: float, height_mm: float) -> Words:
        at = self.at(middle, LIFT_MM)
        return Words(text=text, at=at, height_mm=height_mm, angle_rad=self.angle_rad, anchor="middle")


def linear(
    view: View,
    a: Point,
    b: Point,
    at_mm: float,
    *,
    along: Literal["x", "y"],
    clear: Clear = lambda point: (point, False),
) -> None:
    """The distance of two points of the thing along an axis.

    Args:
        view: where.
        a: a point of the thing.
        b: another.
        at_mm: of the dimension line, on paper: its y where it runs along x, its x where it runs along y.
        along: which axis.
        clear: for each of the points the one off which its extension line begins, so that it crosses nothing on its
            way out, and whether the point itself is then to be marked.
    """
    i = 0 if along == "x" else 1
    a, b = sorted((a, b), key=lambda point: point[i])
    p, q = view.at(a), view.at(b)
    where = _Line(along=along, low=p[i], high=q[i], across=at_mm)
    lines: list[Stroke | Fill] = []
    for point in (a, b):
        lines += _extension(view, point, at_mm, i, *clear(point))
    roomy = where.high - where.low >= 2 * ARROW_MM + 1.0
    outward = where.angle_rad if roomy else where.angle_rad + math.pi
    reach = 0.0 if roomy else 2 * ARROW_MM
    lines.append(line(SIZES, where.at(where.low - reach), where.at(where.high + reach)))
    lines += [arrow(where.at(where.low), outward + math.pi), arrow(where.at(where.high), outward)]
    view.paper.take_room(*lines)
    view.runs.append((along, at_mm, where.low, where.high))

    def place() -> None:
        text = size(b[i] - a[i], view.units)
        shown = view.paper.first_free(_beside_line(view, where, text))
        if not shown:
            view.no_room_for(text)
        points = (p, q, where.at(where.high))
        view.paper.take_room(*shown)
        view.paper.inks.append(Size(along=along, points=points, full_mm=b[i] - a[i], parts=(*lines, *shown)))

    view.waiting.append(place)


def _extension(
    view: View,
    point: Point,
    at_mm: float,
    axis: int,
    begin: Point,
    marked: bool,  # noqa: FBT001
) -> Iterator[Stroke | Fill]:
    """The line from a point out to its dimension line, and a dot on the point where the line begins far from it."""
    start, on = view.at(begin)[1 - axis], view.at(point)[axis]
    away = math.copysign(1.0, at_mm - start)
    if abs(at_mm - start) > GAP_MM:
        ends = (start + away * GAP_MM, at_mm + away * PAST_MM)
        yield line(SIZES, *((on, e) if axis == 0 else (e, on) for e in ends))
    if marked:
        yield dot(view.at(point))


def _beside_line(view: View, where: _Line, text: str) -> Iterator[Choice]:
    """Above the line from its middle outward; else past an end, on the line drawn on, not over a neighbour's line."""
    height_mm = view.text_mm
    width = wide(text, height_mm)
    room = where.high - where.low
    if room >= width + 1.0:
        for share in (0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85):
            middle = where.low + share * room
            if share == 0.5 or where.low + width / 2 + 1.0 <= middle <= where.high - width / 2 - 1.0:
                yield where.words(text, middle, height_mm), ()
    places = [(end, sign, past) for past in PASTS_MM for end, sign in ((where.high, 1.0), (where.low, -1.0))]
    taken = [(low, high) for axis, across, low, high in view.runs if (axis, across) == (where.along, where.across)]
    for over_others in (False, True):
        for end, sign, past in places:
            low, high = sorted((end, end + sign * (past + width)))
            if over_others or not any(a < high - 0.1 and b > low + 0.1 for a, b in taken):
                shelf = line(SIZES, where.at(end), where.at(end + sign * (past + width)))
                yield where.words(text, end + sign * (past + width / 2), height_mm), (shelf,)


def dot(at: Point) -> Fill:
    """A mark on what a line is meant for but does not reach (mm on paper)."""
    (x, y), r = at, DOT_MM / 2
    return Fill(pen=SIZES, vertices=((x - r, y, 1.0), (x + r, y, 1.0)))
