"""Drafting: what is written beside a point of a view: radii with centres, notes on a leader, names; marks at points.

In: points of the thing. Out: ink; mm on paper. Text stands clear of every line, and a leader of sizes and leaders.

Reference: ISO 129-1 (arrows, leaders, place of the text); from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import product

from formgen.drafting.field import Led
from formgen.drafting.ink import CENTRE, SIZES, Fill, Pen, Size, Stroke, Words, circle, line
from formgen.drafting.numbers import size
from formgen.drafting.text import wide
from formgen.drafting.view import View
from formgen.geometry.outline import Point

#: Length and width of an arrow's head; gap and overshoot of a witness line (mm on paper).
ARROW_MM, ARROW_WIDE_MM, GAP_MM, PAST_MM = 2.6, 0.9, 1.5, 1.6
#: Text above its line, clear of what hangs below the base line of letters of any height (mm on paper), and above its
#: shelf (in heights of a capital).
LIFT_MM, SHELF = 1.4, 0.44
#: Between dimension lines that lie one outside another (mm on paper).
LEVEL_MM = 7.0
#: Radius of the datum's circle (mm on paper).
DATUM_MM = 1.6
#: Directions in which a note is tried round its point, and how far off (mm on paper).
AROUND_RAD = tuple(math.radians(a) for a in (45, 135, 225, 315, 20, 160, 200, 340, 70, 110, 250, 290, 0, 180, 90, 270))
LEADERS_MM = (5.0, 8.0, 12.0, 17.0, 23.0, 30.0, 40.0)


def arrow(tip: Point, angle_rad: float) -> Fill:
    """A filled head whose tip points along an angle."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    x, y, half = tip[0] - ARROW_MM * c, tip[1] - ARROW_MM * s, ARROW_WIDE_MM / 2
    return Fill(pen=SIZES, vertices=((*tip, 0.0), (x - half * s, y + half * c, 0.0), (x + half * s, y - half * c, 0.0)))


def note(
    view: View,
    tip: Point,
    text: str,
    *,
    angles_rad: Iterable[float] = AROUND_RAD,
    head: bool = True,
    needed: bool = True,
    over_guides: bool = True,
) -> bool:
    """A text on a short shelf, with a leader to a point of the thing; the first place that has room.

    Args:
        view: where.
        tip: the point of the thing.
        text: what it says.
        angles_rad: directions of the leader, seen from the tip, in the order of trial.
        head: with an arrow at the tip.
        needed: that it finds no room is to be known; else it is left to the caller.
        over_guides: where nothing else is free its leader may cross centre, springing and trim lines and holes.

    Returns:
        Whether it stands.
    """
    stands = view.paper.put_first_led(led(view, tip, text, angles_rad, head=head), over_guides=over_guides)
    if not stands and needed:
        view.no_room_for(text)
    return stands


def led(view: View, tip: Point, text: str, angles_rad: Iterable[float], *, head: bool = True) -> Iterator[Led]:
    """Places of a note round its point, in the order of trial."""
    for length, angle in product(LEADERS_MM, tuple(angles_rad)):
        yield from _on_leader(view, tip, text, angle, length, head=head)


def _on_leader(view: View, tip: Point, text: str, angle: float, length: float, *, head: bool) -> Iterator[Led]:
    x, y = view.at(tip)
    knee = aside((x, y), length, angle)
    width = wide(text, view.text_mm)
    for sign in (1.0, -1.0) if abs(math.cos(angle)) < 0.5 else (math.copysign(1.0, math.cos(angle)),):
        end = (knee[0] + sign * (width + 1.0), knee[1])
        at = (min(knee[0], end[0]) + 0.5, knee[1] + SHELF * view.text_mm)
        words = Words(text=text, at=at, height_mm=view.text_mm)
        heads = (arrow((x, y), angle + math.pi),) if head else ()
        yield line(SIZES, (x, y), knee, end), *heads, words


def near(
    view: View,
    at: Point,
    text: str,
    radius_mm: float = 0.0,
    height_mm: float | None = None,
    angles_rad: Iterable[float] = AROUND_RAD,
) -> None:
    """A short text close to a point, or in the circle round it where it fits; on a leader where nothing is free.

    Args:
        view: where.
        at: the point of the thing.
        text: what it says.
        radius_mm: of a circle of the thing that the text names.
        height_mm: of a capital; the view's where not given.
        angles_rad: directions from the point in which it is tried, in their order.
    """
    h, angles = height_mm or view.text_mm, tuple(angles_rad)
    x, y = view.at(at)
    width, radius = wide(text, h), radius_mm * view.scale

    def middles() -> Iterator[Point]:
        if math.hypot(width, h) / 2 + 0.9 <= radius:
            yield x, y - h / 2
        for away in (1.2, 2.5, 4.0):
            for angle in angles:
                c, s = math.cos(angle), math.sin(angle)
                yield x + (radius + away + width / 2) * c, y + (radius + away + h / 2) * s - h / 2

    choices = ((Words(text=text, at=middle, height_mm=h, anchor="middle"), ()) for middle in middles())
    if view.paper.put_first_free(choices):
        return
    places = (
        place
        for length, angle in product(LEADERS_MM, angles)
        for place in _on_leader(view, aside(at, radius_mm, angle), text, angle, length, head=True)
    )
    if not view.paper.put_first_led(places):
        view.no_room_for(text)


def aside(at: Point, away_mm: float, angle_rad: float) -> Point:
    """A point so far from another in a direction."""
    return at[0] + away_mm * math.cos(angle_rad), at[1] + away_mm * math.sin(angle_rad)


def radius(
    view: View,
    centre: Point,
    angles_rad: Iterable[float],
    radius_mm: float,
    name: str,
    *,
    inward: bool,
    remark: str = "",
) -> None:
    """A radius: an arrow on the arc with its text on a shelf, its line on the ray from the centre.

    Args:
        view: where.
        centre: of the arc.
        angles_rad: where on the arc the arrow may touch it, in the order of trial.
        radius_mm: of the arc.
        name: what its text says before the number.
        inward: the text stands on the centre's side, where it finds room there.
        remark: what stands behind the number.
    """
    text = f"{name} {size(radius_mm, view.units)}"
    whole = f"{text} {remark}" if remark else text
    angles = tuple(angles_rad)

    def choices() -> Iterator[Led]:
        for side, length, angle in product((inward, not inward), LEADERS_MM, angles):
            tip = aside(centre, radius_mm, angle)
            yield from _on_leader(view, tip, whole, angle + math.pi if side else angle, length, head=True)

    shown = view.paper.first_led(choices())
    if shown is None:
        view.no_room_for(whole)
        return
    words = shown[-1]
    view.paper.leaders.tips.append(shown[0].vertices[0][:2])
    points = (view.at(centre), shown[0].vertices[0][:2])
    parts = (*shown[:-1], replace(words, text=text))
    view.paper.put(Size(along="radius", points=points, full_mm=radius_mm, name=name, parts=parts))
    if remark:
        behind = words.at[0] + wide(f"{text} ", words.height_mm)
        view.paper.put(replace(words, text=remark, at=(behind, words.at[1])))


def centre_mark(view: View, at: Point, half_mm: float) -> None:
    """A cross at a centre (mm on paper)."""
    view.paper.put(*_cross(CENTRE, view.at(at), half_mm))


def datum(view: View, at: Point) -> None:
    """The point from which the lists measure: a circle round a cross, two of its quarters black: no hole looks so."""
    (x, y), r = view.at(at), DATUM_MM
    bulge = math.tan(math.pi / 16)  # of half a quarter: a fill of three corners would be taken for an arrow
    for turn in (0.0, math.pi):
        rim = [(x + r * math.cos(turn + a), y + r * math.sin(turn + a)) for a in (0.0, math.pi / 4, math.pi / 2)]
        corners = ((x, y, 0.0), (*rim[0], bulge), (*rim[1], bulge), (*rim[2], 0.0))
        view.paper.put(Fill(pen=SIZES, vertices=corners))
    view.paper.put(circle(SIZES, (x, y), r), *_cross(SIZES, (x, y), r + 1.0))


def _cross(pen: Pen, at: Point, half_mm: float) -> tuple[Stroke, Stroke]:
    x, y = at
    return line(pen, (x - half_mm, y), (x + half_mm, y)), line(pen, (x, y - half_mm), (x, y + half_mm))
