"""Drafting: signs of a drawing that measure nothing: trim lines, cutting planes, breaks, the named datum, angles.

In: places on the thing or on paper. Out: ink; mm on paper.

Reference: ISO 128-3 (cutting planes, breaks), ISO 129-1 (angles); both from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from formgen.drafting.dimension import LIFT_MM, arrow, datum
from formgen.drafting.field import Choice, box_of
from formgen.drafting.ink import EDGE, SIZES, TRIM, Fill, Pen, Stroke, Words, line
from formgen.drafting.text import wide
from formgen.drafting.view import View
from formgen.geometry.outline import Point

#: Teeth at the end of a trim line: how many, length and height of each (mm on paper).
TEETH, TOOTH_MM, TOOTH_HIGH_MM = 3, 1.2, 1.0
#: Length of the datum's arrows (mm on paper).
AXIS_MM = 9.0
#: Of a cutting plane: length of its thick ends, of its arrows, and how far beside them its letter stands (mm on paper).
CUT_MM, CUT_ARROW_MM, LETTER_MM = 3.5, 5.0, 1.0
#: Length and height of the zigzag of a break line (mm on paper).
BREAK_LONG_MM, BREAK_HIGH_MM = 2.4, 1.6
#: Where along an arc its angle is written, as shares of it.
ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def trim_line(view: View, inside: Point, outside: Point) -> None:
    """A line across the part where it is sawn, with saw teeth at its outer end.

    Args:
        view: where.
        inside: its end in the form.
        outside: its end beyond the part, where the teeth are.
    """
    (ax, ay), (bx, by) = view.at(inside), view.at(outside)
    length = math.hypot(bx - ax, by - ay)
    c, s = (bx - ax) / length, (by - ay) / length
    points = [(ax, ay)]
    begin = length - TEETH * TOOTH_MM
    for tooth in range(TEETH):  # straight up, down at a slant
        for along, up in ((0.0, 0.0), (0.0, TOOTH_HIGH_MM), (TOOTH_MM, 0.0)):
            t = begin + tooth * TOOTH_MM + along
            points.append((ax + t * c - up * s, ay + t * s + up * c))
    view.paper.put(line(TRIM, *points))


def datum_axes(view: View, at: Point) -> None:
    """The datum with its axes to the right and up."""
    datum(view, at)
    x, y = view.at(at)
    for angle in (0.0, math.pi / 2):
        tip = (x + AXIS_MM * math.cos(angle), y + AXIS_MM * math.sin(angle))
        view.paper.put(line(SIZES, (x, y), tip), arrow(tip, angle))


def datum_names(view: View, at: Point) -> None:
    """Letters of the axes and the datum's name, where they are free."""
    (x, y), h = view.at(at), view.text_mm
    places: dict[str, list[Point]] = {
        "x": [
            (x + AXIS_MM + along, y + up) for along, up in ((2.0, -h / 2), (-0.5, 1.4), (-0.5, -h - 1.2), (-3.0, 1.4))
        ],
        "y": [
            *((x + side, y + AXIS_MM + up) for side in (2.2, -2.2, 3.2, -3.2) for up in (-h, -h - 2.5, -0.5)),
            (x, y + AXIS_MM + 1.2),
        ],
    }
    half = wide("datum", h) / 2
    places["datum"] = [
        (x + side * (half + out), y + up)
        for out in (2.4, 5.0, 9.0, -half)
        for up in (-h - 2.2, 2.6, -h - 5.0, 5.4, -h - 8.0)
        for side in (1.0, -1.0)
    ]
    for text, middles in places.items():
        view.paper.put_first_free((Words(text=text, at=m, height_mm=h, anchor="middle"), ()) for m in middles)


def cutting_plane(view: View, inside: Point, outside: Point, letter: str) -> bool:
    """Mark where a section is cut, where there is room for it: thick ends, arrows the way it is seen, its letter twice.

    Args:
        view: where.
        inside: the plane's end in the form.
        outside: its end beyond the part.
        letter: its name.

    Returns:
        Whether it stands.
    """
    (ax, ay), (bx, by) = view.at(inside), view.at(outside)
    along = math.atan2(by - ay, bx - ax)
    c, s = math.cos(along), math.sin(along)
    inks: list[Stroke | Fill | Words] = []
    for (x, y), out in (((ax, ay), -1.0), ((bx, by), 1.0)):
        end = (x + out * CUT_MM * c, y + out * CUT_MM * s)
        tip = (end[0] + CUT_ARROW_MM * s, end[1] - CUT_ARROW_MM * c)
        half = wide(letter, view.text_mm) / 2
        away = LETTER_MM + max(half, view.text_mm / 2) * 1.2
        middle = (tip[0] + away * s, tip[1] - away * c - view.text_mm / 2)
        inks += [line(EDGE, (x, y), end), line(SIZES, end, tip), arrow(tip, along - math.pi / 2)]
        inks.append(Words(text=letter, at=middle, height_mm=view.text_mm, anchor="middle"))
    strokes = [ink for ink in inks if isinstance(ink, Stroke)]
    if not view.paper.untouched(strokes) or not all(
        view.paper.is_free(box_of(w)) for w in inks if isinstance(w, Words)
    ):
        return False
    view.paper.put(*inks)
    return True


def break_line(pen: Pen, a: Point, b: Point) -> Stroke:
    """A line along which the thing is drawn no further: straight, with a zigzag at its middle (mm on paper)."""
    length = math.dist(a, b)
    c, s = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    half, high = BREAK_LONG_MM / 2, BREAK_HIGH_MM
    at, up = length / 2, (0.0, 0.0, high, -high, 0.0, 0.0)
    shape = zip((0.0, at - half, at - half / 2, at + half / 2, at + half, length), up, strict=True)
    return line(pen, *((a[0] + t * c - u * s, a[1] + t * s + u * c) for t, u in shape))


def angle(view: View, centre: Point, radius_mm: float, begin_rad: float, turn_rad: float, text: str) -> bool:
    """An angle as an arc with arrows and its text along it, where there is room for it.

    Args:
        view: where.
        centre: of the arc, on paper.
        radius_mm: of the arc, on paper.
        begin_rad: direction of its begin, from the centre.
        turn_rad: from there to its end, left positive.
        text: what it says.

    Returns:
        Whether it stands.
    """

    def on(direction: float, r: float) -> Point:
        return centre[0] + r * math.cos(direction), centre[1] + r * math.sin(direction)

    end = begin_rad + turn_rad
    arc = Stroke(
        pen=SIZES,
        vertices=((*on(begin_rad, radius_mm), math.tan(turn_rad / 4)), (*on(end, radius_mm), 0.0)),
    )
    outward = math.copysign(math.pi / 2, turn_rad)
    heads = (arrow(on(begin_rad, radius_mm), begin_rad - outward), arrow(on(end, radius_mm), end + outward))

    def choices() -> Iterator[Choice]:
        for direction in _shares(begin_rad, turn_rad, ALONG):
            up = math.sin(direction) >= 0
            r = radius_mm + (LIFT_MM if up else LIFT_MM + view.text_mm)
            turn = direction - math.pi / 2 if up else direction + math.pi / 2
            yield (
                Words(text=text, at=on(direction, r), height_mm=view.text_mm, angle_rad=turn, anchor="middle"),
                (arc, *heads),
            )

    return view.paper.put_first_free(choices()) if view.paper.clear_line(arc) else False


def _shares(begin: float, turn: float, shares: Iterable[float]) -> Iterator[float]:
    for share in shares:
        yield begin + share * turn
