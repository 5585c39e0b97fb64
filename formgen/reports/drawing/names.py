"""Stage `reports`: what the front view names: reliefs, dowels, ports, lines; how large, how many, how far a leg leans.

In: a view of a form with its lines and sizes. Out: numbers and notes on it. Reliefs are numbered all in their circles,
or all on one side of their row.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.drafting.dimension import aside, near, note
from formgen.drafting.field import Box, box_of
from formgen.drafting.ink import Face, Words
from formgen.drafting.numbers import said, size
from formgen.drafting.paper import FACES
from formgen.drafting.signs import cutting_plane
from formgen.drafting.text import wide
from formgen.drafting.view import View
from formgen.fixed import fixed
from formgen.form.stack import Groove, Opening
from formgen.geometry.outline import Outline, Point, whole_circle
from formgen.lengths import Units
from formgen.reports.drawing.shapes import cut_line, way_out
from formgen.reports.drawing.sizes import PAST_MM, guides
from formgen.reports.drawing.subject import Subject, dowel_name, half_width, middle

#: Name of the section at the face.
SECTION = "A"
#: White round a number in its circle, and between a relief and its number (mm on paper).
ROUND_MM, OUTSIDE_MM = 0.5, 0.9
#: How much farther off a number is tried on its side, and how far to the side of the square line (mm on paper; rad).
FARTHER_MM, TURNS_RAD = (0.0, 0.8, 1.6, 2.6, 4.0, 6.0, 8.0), (0.3, -0.3, 0.6, -0.6)
#: Where the section is tried, as shares of the pressed curve; how far it reaches into a form whose back is farther off
#: than that (mm on paper).
CUT_AT = (0.3, 0.27, 0.33, 0.24, 0.36, 0.2, 0.4, 0.16, 0.44, 0.7, 0.73, 0.67, 0.76, 0.64, 0.8, 0.6, 0.12, 0.88)
INTO_BLOCK_MM, MOST_BACK_MM = 14.0, 26.0
#: A leg that leans less stands upright (degrees).
LEAST_LEAN_DEG = 0.05
#: Directions of a note about holes: into the form and the white behind it, then out over the part; at how many it is
#: tried.
INWARD, OUTWARD, MOST_TRIED = (0.0, 0.6, -0.6, 1.1, -1.1), (2.6, -2.6, 3.14), 5


def circled(view: View, subject: Subject) -> Face | None:
    """The face in which every relief's number has room in its circle; None where one has not."""
    texts = [str(number) for number in range(1, len(subject.reliefs) + 1)]
    least = min((half_width(o.outline) for o in subject.reliefs), default=0.0) * view.scale - ROUND_MM
    h = view.text_mm
    faces: tuple[Face, ...] = ("plain", "narrow")
    return next((f for f in faces if all(math.hypot(wide(t, h, FACES[f]), h) / 2 <= least for t in texts)), None)


def crossed_gaps(view: View, subject: Subject) -> list[tuple[float, float]]:
    """Stretches of the centre line that give way to numbers in circles: from y, to y."""
    if circled(view, subject) is None:
        return []
    half = (view.text_mm / 2 + 0.7) / view.scale
    found = []
    for number, opening in enumerate(subject.reliefs, 1):
        x, y = middle(opening.outline)
        if abs(x) * view.scale < wide(str(number), view.text_mm) / 2 + 0.7:
            found.append((y - half, y + half))
    return sorted(found)


@fixed
class _Row:
    """A relief to be numbered: what it is called, where it is on paper, the way into the form, half its width there."""

    text: str
    opening: Opening
    at: Point
    into_rad: float
    half_mm: float

    def words(self, view: View, turn: float, farther_mm: float) -> Words:
        """Its number beside it, square to the face or turned from that."""
        c, s, h = math.cos(self.into_rad + turn), math.sin(self.into_rad + turn), view.text_mm
        away = self.half_mm + OUTSIDE_MM + farther_mm + abs(c) * wide(self.text, h) / 2 + abs(s) * h / 2
        (x, y) = self.at
        return Words(text=self.text, at=(x + away * c, y + away * s - h / 2), height_mm=h, anchor="middle")


def reliefs(view: View, subject: Subject) -> None:
    """Number every relief: in its circle, else all on one side, at one distance as far as there is room."""
    face = circled(view, subject)
    rows = [
        _Row(
            text=str(number), opening=opening, at=view.at(middle(opening.outline)),
            into_rad=subject.into_form_rad(middle(opening.outline)), half_mm=half_width(opening.outline) * view.scale,
        )
        for number, opening in enumerate(subject.reliefs, 1)
        if face is None or not _in_circle(view, number, opening, face)
    ]  # fmt: skip
    if not rows:
        return
    side, farther = _best_row(view, rows)
    for row in rows:
        places = [(side, farther), *((side + turn, more) for more in FARTHER_MM for turn in TURNS_RAD)]
        if not view.paper.put_first_free((row.words(view, *place), ()) for place in places):
            angles = [row.into_rad + side + turn for turn in (*TURNS_RAD, 1.0, -1.0, 3.14, 2.6, -2.6)]
            at = middle(row.opening.outline)
            near(view, at, row.text, half_width(row.opening.outline), angles_rad=angles)


def _in_circle(view: View, number: int, opening: Opening, face: Face) -> bool:
    """Write a number in its circle, where no line crosses it."""
    (x, y), h = view.at(middle(opening.outline)), view.text_mm
    half = wide(str(number), h, FACES[face]) / 2
    inner = Box(corner=(x - half + 0.1, y - h / 2 + 0.1), angle_rad=0.0, length_mm=2 * half - 0.2, height_mm=h - 0.2)
    if not view.paper.is_free(inner):
        return False
    view.paper.put(Words(text=str(number), at=(x, y - h / 2), height_mm=h, anchor="middle", face=face))
    return True


def _best_row(view: View, rows: Sequence[_Row]) -> tuple[float, float]:
    """The side, into the form or toward the part, and the distance at which most of the numbers have room."""
    best, most = (0.0, 0.0), -1
    for side in (0.0, math.pi):
        for farther in FARTHER_MM:
            free = sum(view.paper.is_free(box_of(row.words(view, side, farther))) for row in rows)
            if free > most:
                best, most = (side, farther), free
            if free == len(rows):
                return best
    return best


def dowels(view: View, subject: Subject) -> None:
    """Name every dowel, on the form's side of it where there is room; where numbers stand there, on the other."""
    side = math.pi if subject.reliefs and circled(view, subject) is None else 0.0
    for number, hole in enumerate(subject.dowels):
        into = subject.into_form_rad(hole.centre) + side
        angles = [into + turn for turn in (0.0, 0.5, -0.5, 1.0, -1.0, 1.6, -1.6, 2.2, -2.2, 2.8, -2.8, 3.14)]
        near(view, hole.centre, dowel_name(number), hole.diameter_mm / 2, angles_rad=angles)


def diameters(view: View, subject: Subject) -> None:
    """Say once how many reliefs and how many dowels there are, and how wide, at one of them; the lists say it too."""
    units, holes, found = subject.units, subject.dowels, subject.reliefs
    if found:
        places = [(middle(o.outline), half_width(o.outline)) for o in found]
        _once(view, subject, places, f"{len(found)} × {relief_text(found[0].outline, units)}")
    if holes:
        shop = subject.recipe.shop
        write = size if shop.units == units else said
        text = f"{len(holes)} × ⌀{write(shop.dowel.diameter_mm, shop.units)}"
        _once(view, subject, [(h.centre, h.diameter_mm / 2) for h in holes], text)


def relief_text(outline: Outline, units: Units) -> str:
    """The size of a relief: its diameter, or a slot's width and length."""
    r = half_width(outline)
    if whole_circle(outline):
        return f"⌀{size(2 * r, units)}"
    length = max(e.length_mm for e in outline.edges if not e.bulge) + 2 * r
    return f"slot {size(2 * r, units)} × {size(length, units)}"


def _once(view: View, subject: Subject, places: Sequence[tuple[Point, float]], text: str) -> None:
    """At the first of some holes where the note has room, from the middle of the row outward."""
    order = sorted(range(len(places)), key=lambda i: abs(i - (len(places) - 1) / 2 - 0.6))[:MOST_TRIED]
    for turns in (INWARD, OUTWARD):
        for i in order:
            at, radius_mm = places[i]
            into = subject.into_form_rad(at)
            for turn in turns:
                tip = aside(at, radius_mm, into + turn)
                if note(view, tip, text, angles_rad=(into + turn,), needed=False, over_guides=False):
                    return


def ports(view: View, subject: Subject) -> None:
    """Number the ports of the channel where they leave the form at its back."""
    for number, groove in enumerate(subject.grooves, 1):
        at, out = _mouth(subject, groove)
        angles = [out + turn for turn in (0.4, -0.4, 0.8, -0.8, 0.0, 1.2, -1.2, 1.6, -1.6)]
        note(view, at, f"port {number}", angles_rad=angles)


def _mouth(subject: Subject, groove: Groove) -> tuple[Point, float]:
    """The middle of a port's end away from the face, and the direction out of it."""
    out = subject.into_form_rad(middle(groove.cleared))
    ux, uy = math.cos(out), math.sin(out)
    return way_out((groove.cleared,), middle(groove.cleared), ux, uy)[0], out


def lines(view: View, subject: Subject) -> None:
    """Name the trim and springing lines, the centre line's bar, and how far the legs lean."""
    named: set[str] = set()
    for (back, tip, name), (station, _, _) in zip(guides(view, subject), subject.crossings(), strict=True):
        if subject.two_legged and station > subject.laminate.pressed.length_mm / 2:
            continue  # the left side is like the right
        if _line_name(view, tip, back, name, again=name in named):
            named.add(name)
    if subject.form.bar is not None:
        height, past = subject.form.bar.touch.height_mm, PAST_MM / view.scale
        ends = ((subject.reach[2] + past, height), (subject.reach[0] - past, height))
        if not any(_line_name(view, end, other, "bar", again=True) for end, other in (ends, ends[::-1])):
            view.no_room_for("bar")
    _lean(view, subject)


def _line_name(view: View, tip: Point, back: Point, name: str, *, again: bool) -> bool:
    """The name of a line at its tip, else at its other end; one that has stood before only where there is much room."""
    for at, other in ((tip, back), (back, tip)):
        away = math.atan2(at[1] - other[1], at[0] - other[0])
        around = [away + turn for turn in (0.5, -0.5, 0.0, 1.0, -1.0, 1.5, -1.5, 2.1, -2.1)]
        if note(view, at, name, angles_rad=around, head=False, needed=False, over_guides=not again):
            return True
        if again:
            return False
    view.no_room_for(name)
    return False


def _lean(view: View, subject: Subject) -> None:
    """Say how far a straight leg leans from upright, as the form holds it."""
    pressed = subject.laminate.pressed
    long_mm, k = pressed.pieces[0]
    ahead = pressed.pose(0.0).ahead
    lean = math.degrees(math.atan2(ahead[0], ahead[1]))  # from upright, the crown's end to the right positive
    if not subject.two_legged or abs(k) > 1e-9 or abs(lean) < LEAST_LEAN_DEG:
        return
    side, away = (-1.0, 0.0) if subject.male else (1.0, math.pi)  # out over the part, clear of the form
    at = pressed.pose(0.45 * long_mm).beside(side * subject.laminate.thickness_mm / 2)
    text = f"leans {'in' if lean > 0 else 'out'} {abs(lean):.1f}°"
    angles = [away + turn for turn in (0.3, -0.3, 0.6, -0.6, 0.9, -0.9)]
    note(view, (at.x_mm, at.y_mm), text, angles_rad=angles, needed=False, over_guides=False)


def section(view: View, subject: Subject) -> None:
    """Mark where the section at the face is cut: across form and part, between the holes."""
    half = subject.laminate.thickness_mm / 2
    for share in CUT_AT:
        pose = subject.laminate.pressed.pose(share * subject.laminate.pressed.length_mm)
        on_face = subject.on_face(share * subject.laminate.pressed.length_mm)
        into = subject.into_form_rad(on_face)
        ux, uy = math.cos(into), math.sin(into)
        chords = subject.whole.chords(on_face, ux, uy)
        back = next((b for a, b in chords if b > 1.0 and a < 1.0), 0.0)
        deep = (back * view.scale + 2.0 if back * view.scale < MOST_BACK_MM else INTO_BLOCK_MM) / view.scale
        within, out = abs(subject.pressing.face_offset_mm) + deep, half + 2.0 / view.scale
        if subject.male:
            a, b = cut_line(pose, 0.0, within, out)
        else:
            b, a = cut_line(pose, 0.0, out, within)
        if cutting_plane(view, a, b, SECTION):
            return
