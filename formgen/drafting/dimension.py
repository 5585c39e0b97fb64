"""Drafting: sizes on a view: linear ones with their witness lines, radii with centres, notes on a leader.

In: points of the thing. Out: ink; mm on paper. Text reads from below or from the right and stands clear of
every line; arrows turn outward where there is no room between them.

Reference: ISO 129-1 (witness lines, arrows, place of the text); from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import product
from typing import Literal

from formgen.drafting.field import Choice
from formgen.drafting.ink import CENTRE, SIZES, Fill, Pen, Size, Stroke, Words, circle, line
from formgen.drafting.numbers import size
from formgen.drafting.text import wide
from formgen.drafting.view import View
from formgen.fixed import fixed
from formgen.geometry.outline import Point

#: Length and width of an arrow's head; gap and overshoot of a witness line (mm on paper).
ARROW_MM, ARROW_WIDE_MM, GAP_MM, PAST_MM = 2.6, 0.9, 1.0, 1.6
#: Text above its line, clear of what hangs below the base line of letters of any height (mm on paper), and above its
#: shelf (in heights of a capital).
LIFT_MM, SHELF = 1.4, 0.44
#: Between dimension lines that lie one outside another (mm on paper).
LEVEL_MM = 7.0
#: How far past the end of a short line its text is tried (mm on paper).
PASTS_MM = (2 * ARROW_MM + 0.8, 12.0, 18.0, 25.0)
#: Directions in which a note is tried round its point, and how far off (mm on paper).
AROUND_RAD = tuple(math.radians(a) for a in (45, 135, 225, 315, 20, 160, 200, 340, 70, 110, 250, 290, 0, 180, 90, 270))
LEADERS_MM = (5.0, 8.0, 12.0, 17.0, 23.0, 30.0, 40.0)


def arrow(tip: Point, angle_rad: float) -> Fill:
    """A filled head whose tip points along an angle."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    x, y, half = tip[0] - ARROW_MM * c, tip[1] - ARROW_MM * s, ARROW_WIDE_MM / 2
    return Fill(pen=SIZES, vertices=((*tip, 0.0), (x - half * s, y + half * c, 0.0), (x + half * s, y - half * c, 0.0)))


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


def linear(view: View, a: Point, b: Point, at_mm: float, *, along: Literal["x", "y"]) -> None:
    """The distance of two points of the thing along an axis.

    Args:
        view: where.
        a: a point of the thing.
        b: another.
        at_mm: of the dimension line, on paper: its y where it runs along x, its x where it runs along y.
        along: which axis.
    """
    i = 0 if along == "x" else 1
    a, b = sorted((a, b), key=lambda point: point[i])
    p, q = view.at(a), view.at(b)
    where = _Line(along=along, low=p[i], high=q[i], across=at_mm)
    lines: list[Stroke | Fill] = []
    for point in (p, q):
        away = math.copysign(1.0, at_mm - point[1 - i])
        if abs(at_mm - point[1 - i]) > GAP_MM:
            ends = [(point[1 - i] + away * GAP_MM), at_mm + away * PAST_MM]
            lines.append(line(SIZES, *((point[i], e) if i == 0 else (e, point[i]) for e in ends)))
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


def note(view: View, tip: Point, text: str, *, angles_rad: Iterable[float] = AROUND_RAD, head: bool = True) -> None:
    """A text on a short shelf, with a leader to a point of the thing; the first place that has room.

    Args:
        view: where.
        tip: the point of the thing.
        text: what it says.
        angles_rad: directions of the leader, seen from the tip, in the order of trial.
        head: with an arrow at the tip.
    """
    angles = tuple(angles_rad)
    choices = (
        choice
        for length in LEADERS_MM
        for angle in angles
        for choice in _on_leader(view, tip, text, angle, length, head=head)
    )
    if not view.paper.put_first_free(choices):
        view.no_room_for(text)


def _on_leader(view: View, tip: Point, text: str, angle: float, length: float, *, head: bool) -> Iterator[Choice]:
    x, y = view.at(tip)
    knee = (x + length * math.cos(angle), y + length * math.sin(angle))
    width = wide(text, view.text_mm)
    for sign in (1.0, -1.0) if abs(math.cos(angle)) < 0.5 else (math.copysign(1.0, math.cos(angle)),):
        end = (knee[0] + sign * (width + 1.0), knee[1])
        at = (min(knee[0], end[0]) + 0.5, knee[1] + SHELF * view.text_mm)
        words = Words(text=text, at=at, height_mm=view.text_mm)
        beside: tuple[Stroke | Fill, ...] = (line(SIZES, (x, y), knee, end),)
        yield words, (*beside, arrow((x, y), angle + math.pi)) if head else beside


def near(view: View, at: Point, text: str, radius_mm: float = 0.0, height_mm: float | None = None) -> None:
    """A short text close to a point, or in the circle round it where it fits; on a leader where nothing is free.

    Args:
        view: where.
        at: the point of the thing.
        text: what it says.
        radius_mm: of a circle of the thing that the text names.
        height_mm: of a capital; the view's where not given.
    """
    h = height_mm or view.text_mm
    x, y = view.at(at)
    width, radius = wide(text, h), radius_mm * view.scale

    def middles() -> Iterator[Point]:
        if math.hypot(width, h) / 2 + 0.9 <= radius:
            yield x, y - h / 2
        for away in (1.2, 2.5, 4.0):
            for angle in AROUND_RAD:
                c, s = math.cos(angle), math.sin(angle)
                yield x + (radius + away + width / 2) * c, y + (radius + away + h / 2) * s - h / 2

    choices = ((Words(text=text, at=middle, height_mm=h, anchor="middle"), ()) for middle in middles())
    if not view.paper.put_first_free(choices):
        note(view, at, text)


def radius(
    view: View, centre: Point, angles_rad: Iterable[float], radius_mm: float, name: str, *, inward: bool
) -> None:
    """A radius: an arrow on the arc with its text on a shelf, its line on the ray from the centre.

    Args:
        view: where.
        centre: of the arc.
        angles_rad: where on the arc the arrow may touch it, in the order of trial.
        radius_mm: of the arc.
        name: what its text says before the number.
        inward: the text stands on the centre's side, where it finds room there.
    """
    text = f"{name} {size(radius_mm, view.units)}"
    angles = tuple(angles_rad)
    for side, length, angle in product((inward, not inward), LEADERS_MM, angles):
        tip = (centre[0] + radius_mm * math.cos(angle), centre[1] + radius_mm * math.sin(angle))
        ray = angle + math.pi if side else angle
        shown = view.paper.first_free(_on_leader(view, tip, text, ray, length, head=True))
        if shown:
            points = (view.at(centre), view.at(tip))
            view.paper.put(Size(along="radius", points=points, full_mm=radius_mm, name=name, parts=shown))
            return
    view.no_room_for(text)


def centre_mark(view: View, at: Point, half_mm: float) -> None:
    """A cross at a centre (mm on paper)."""
    view.paper.put(*_cross(CENTRE, view.at(at), half_mm))


def datum(view: View, at: Point) -> None:
    """The point from which the lists measure: a circle round a cross."""
    view.paper.put(circle(SIZES, view.at(at), 1.4), *_cross(SIZES, view.at(at), 2.4))


def _cross(pen: Pen, at: Point, half_mm: float) -> tuple[Stroke, Stroke]:
    x, y = at
    return line(pen, (x - half_mm, y), (x + half_mm, y)), line(pen, (x, y - half_mm), (x, y + half_mm))
