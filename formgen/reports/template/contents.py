"""Stage `reports`: what the full-size template shows: every edge that is cut, holes with their middles, lines, names.

In: a Form, and the strips along which pages are joined. Out: a Field of ink at full size, in the form's axes, mm. No
text stands across a joint of pages.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from formgen.drafting.dimension import centre_mark, datum, near, note
from formgen.drafting.field import Box
from formgen.drafting.ink import CENTRE, EDGE, HIDDEN, Stroke, Words, circle
from formgen.drafting.numbers import said
from formgen.drafting.view import View
from formgen.form.stack import Layer
from formgen.geometry.arcspline import pose_past
from formgen.geometry.outline import Point
from formgen.geometry.pose import Pose
from formgen.makes.on_form import middle_mm
from formgen.makes.parts import has_middle_mark, trim_lines
from formgen.reports.drawing.shapes import cut_line
from formgen.reports.drawing.subject import Subject, dowel_name, half_width, middle

TEXT_MM = 3.5
#: How far a centre, springing or trim line runs past the edge that it crosses, and into the form (mm).
PAST_MM, INTO_MM = 12.0, 45.0


def contents(subject: Subject, joints: Sequence[Box] = ()) -> View:
    """The template's ink.

    Args:
        subject: what is drawn.
        joints: strips that text is kept out of.
    """
    view = View(scale=1.0, units=subject.units, text_mm=TEXT_MM, strict=False)
    for strip in joints:
        view.paper.keep_clear(strip)
    _edges(view, subject)
    _lines(view, subject)
    _holes(view, subject)
    _line_names(view, subject)
    _edge_names(view, subject)
    return view


def _edges(view: View, subject: Subject) -> None:
    """The whole layer, and dashed where some layers end short of it."""
    for edge, _ in subject.other_edges:
        view.paper.put(Stroke(pen=HIDDEN, vertices=((*edge.a, edge.bulge), (*edge.b, 0.0))))
    view.outline(EDGE, subject.whole)
    for groove in subject.grooves:
        view.outline(HIDDEN, groove.cleared)


def _lines(view: View, subject: Subject) -> None:
    for start, end in _through(subject):
        view.line(CENTRE, start, end)
    for _, start, end in guide_lines(subject):
        view.line(CENTRE, start, end)
    for layer, pen in zip(subject.form.layers[:2], (CENTRE, HIDDEN), strict=False):
        for start, end in layer.joints:
            view.line(pen, start, end)


def _through(subject: Subject) -> list[tuple[Point, Point]]:
    """Centre line and bar's line where they cross the form, run on past its edges: the rest is left white."""
    base = subject.whole
    lines: list[tuple[Point, Point]] = []
    if subject.two_legged:
        lines += [((0.0, a - PAST_MM), (0.0, b + PAST_MM)) for a, b in base.chords((0.0, 0.0), 0.0, 1.0)]
    if subject.form.bar is not None:
        y = subject.form.bar.touch.height_mm
        lines += [((a - PAST_MM, y), (b + PAST_MM, y)) for a, b in base.chords((0.0, y), 1.0, 0.0)]
    return lines


def guide_lines(subject: Subject) -> list[tuple[str, Point, Point]]:
    """Springing and trim lines: name, end outside the face, end in the form; trim lines of several openings by mark."""
    into = abs(subject.pressing.face_offset_mm) + INTO_MM
    out = subject.laminate.thickness_mm / 2 + PAST_MM
    found = []
    for station, lean, name in _crossings(subject):
        pose = pose_past(subject.laminate.pressed, station)
        if subject.male:
            a, b = cut_line(pose, lean, into, out)
        else:
            b, a = cut_line(pose, lean, out, into)
        found.append((name, b, a))
    return found


def _crossings(subject: Subject) -> Iterator[tuple[float, float, str]]:
    """Stations across which a line is drawn: how it leans, and what it is called."""
    for line in trim_lines(subject.form.makes):
        yield line.station_mm, line.lean_rad, f"trim {', '.join(line.marks)}" if line.marks else "trim"
    yield from ((station, lean, name) for station, lean, name in subject.crossings() if not name.endswith("trim"))
    if has_middle_mark(subject.pressing):
        laminate = subject.laminate
        yield middle_mm(laminate.arch, laminate.springing_mm), 0.0, "centre line"


def _holes(view: View, subject: Subject) -> None:
    for opening in subject.reliefs:
        view.outline(EDGE, opening.outline)
    for hole in subject.dowels:
        view.paper.put(circle(EDGE, hole.centre, hole.diameter_mm / 2))
        centre_mark(view, hole.centre, hole.diameter_mm / 2 + 3.0)
    if subject.two_legged and subject.whole.contains((0.0, 0.0)):
        datum(view, (0.0, 0.0))
    for number, opening in enumerate(subject.reliefs, 1):
        near(view, middle(opening.outline), str(number), half_width(opening.outline))
    shop = subject.recipe.shop
    for number, hole in enumerate(subject.dowels):
        text = f"{dowel_name(number)}  ⌀ {said(shop.dowel.diameter_mm, shop.units)}"
        near(view, hole.centre, text, hole.diameter_mm / 2 + 2.0)


def _line_names(view: View, subject: Subject) -> None:
    for name, tip, back in guide_lines(subject):
        away = math.atan2(tip[1] - back[1], tip[0] - back[0])
        note(view, tip, name, angles_rad=[away + t for t in (0.0, 0.6, -0.6, 1.2, -1.2, 1.8, -1.8)], head=False)
    _, _, x1, y1 = subject.whole.bounds
    upward = [math.radians(a) for a in (45, 135, 20, 160, 70, 110)]
    if subject.two_legged:
        note(view, (0.0, y1 + PAST_MM), "centre line", angles_rad=upward, head=False)
    if subject.form.bar is not None:
        tip = (x1 + PAST_MM, subject.form.bar.touch.height_mm)
        note(view, tip, "bar", angles_rad=(0.4, -0.4, 0.8, -0.8), head=False)
    for layer, name in zip(subject.form.layers[:2], ("odd", "even"), strict=False):
        for start, end in layer.joints:
            note(view, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), f"joint, {name} layers")


def _edge_names(view: View, subject: Subject) -> None:
    """The face, along itself on the form's side; and what the dashed edges are for."""
    face = subject.pressing.face
    inward = 1.0 if subject.male else -1.0
    channel = [layer for layer in subject.form.layers if layer.channel]
    back = 9.0 + subject.set_back_mm
    for shares in ((0.5, 0.42, 0.58, 0.35, 0.65), (0.12, 0.2, 0.06), (0.88, 0.8, 0.94)):
        view.paper.put_first_free(
            [
                (words, ())
                for away in (back, back + 6.0, back + 14.0)
                for share in shares
                for words in _along(face.pose(share * face.length_mm), inward * away, "form face")
            ]
        )
    if channel:
        numbers = ", ".join(map(str, subject.channel))
        at = channel[0].face.pose(0.3 * channel[0].face.length_mm)
        note(view, (at.x_mm, at.y_mm), f"layer {numbers}: cut to the dashed line", head=True)
    seat = [layer for layer in subject.form.layers if layer.bar_seat]
    if seat:
        _seat_name(view, subject, seat)


def _along(pose: Pose, beside_mm: float, text: str) -> list[Words]:
    """A text beside a curve along its tangent, upright for the reader."""
    at = pose.beside(beside_mm)
    angle = math.atan2(pose.ahead[1], pose.ahead[0])
    if math.cos(angle) < -1e-9 or (abs(math.cos(angle)) <= 1e-9 and math.sin(angle) < 0):
        angle += math.pi
    down = TEXT_MM / 2
    where = (at.x_mm + down * math.sin(angle), at.y_mm - down * math.cos(angle))
    return [Words(text=text, at=where, height_mm=TEXT_MM, angle_rad=angle, anchor="middle")]


def _seat_name(view: View, subject: Subject, seat: Sequence[Layer]) -> None:
    edges = subject.beside(seat[0].outline)
    if edges:
        what = "end here" if subject.male else "are notched here"
        note(view, edges[0].at(0.5), f"layers {seat[0].number} to {seat[-1].number} {what}")
