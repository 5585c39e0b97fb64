"""Stage `reports`: the front view of the form, seen on the labelled side, with the part on it and all its sizes.

In: a Form and a scale. Out: a View; x along the span, y up, as everywhere.
"""

from __future__ import annotations

import math
from itertools import pairwise

from formgen.drafting.dimension import AROUND_RAD, LEVEL_MM, centre_mark, datum, linear, near, note, radius
from formgen.drafting.ink import CENTRE, EDGE, HIDDEN, PART, PLIES, TINT, Stroke, circle
from formgen.drafting.view import View
from formgen.geometry.outline import Point
from formgen.reports.drawing.shapes import arcs, bounds, cut_line, ply_lines, strip
from formgen.reports.drawing.subject import Subject, dowel_name, half_width, middle

#: Glue lines closer than this are not drawn (mm on paper): they would run together.
LEAST_APART_MM = 0.7
#: More arcs than this are listed as ordinates instead of radii.
MOST_ARCS = 8
#: Where on an arc its radius is tried, as shares of its length.
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.42, 0.58, 0.28, 0.72, 0.1, 0.9)


def front_view(subject: Subject, scale: float, text_mm: float = 2.5, *, strict: bool = True) -> View:
    """The view."""
    view = View(scale=scale, units=subject.units, text_mm=text_mm, strict=strict)
    _part(view, subject)
    _body(view, subject)
    _cut(view, subject)
    _guides(view, subject)
    centres = _centres(view, subject)
    x0, y0, x1, y1 = subject.reach
    if x0 <= 0.0 <= x1 and y0 <= 0.0 <= y1:
        datum(view, (0.0, 0.0))
    _widths(view, subject)
    _heights(view, subject)
    view.settle()
    for name, centre in centres:
        near(view, centre, name, height_mm=1.8)
    _radii(view, subject)
    _names(view, subject)
    return view


def _part(view: View, subject: Subject) -> None:
    laminate = subject.laminate
    view.fill(TINT, strip(laminate.pressed, laminate.thickness_mm))
    if min(ply.thickness_mm for ply in laminate.plies) * view.scale >= LEAST_APART_MM:
        for curve in ply_lines(subject.blank, laminate):
            view.curve(PLIES, curve)
    view.outline(PART, subject.blank_strip)


def _body(view: View, subject: Subject) -> None:
    """Edges seen from above, and what lies below them dashed."""
    for edge, on_top in subject.other_edges:
        pen = EDGE if on_top else HIDDEN
        view.paper.put(Stroke(pen=pen, vertices=view.vertices([(*edge.a, edge.bulge), (*edge.b, 0.0)])))
    view.outline(EDGE, subject.whole)


def _cut(view: View, subject: Subject) -> None:
    """Reliefs, dowels, ports and joints."""
    for opening in subject.reliefs:
        view.outline(EDGE, opening.outline)
    for hole in subject.dowels:
        view.paper.put(circle(EDGE, view.at(hole.centre), hole.diameter_mm / 2 * view.scale))
        centre_mark(view, hole.centre, max(hole.diameter_mm / 2 * view.scale + 0.6, 1.2))
    for groove in subject.grooves:
        view.outline(HIDDEN, groove.cleared)
    for layer, pen in zip(reversed(subject.form.layers[-2:]), (EDGE, HIDDEN), strict=False):
        for start, end in layer.joints:
            view.line(pen, start, end)


def _guides(view: View, subject: Subject) -> None:
    """Centre line, springing lines, trim lines, the bar's line."""
    laminate = subject.laminate
    x0, y0, x1, y1 = subject.reach
    past = 3.0 / view.scale
    if subject.two_legged:
        view.line(CENTRE, (0.0, y0 - past), (0.0, y1 + past))
    for station, lean, _ in subject.crossings():
        a, b = cut_line(laminate.pressed.pose(station), lean, *_across(subject, view))
        view.line(CENTRE, a, b)
    if subject.form.bar is not None:
        height = subject.form.bar.touch.height_mm
        view.line(CENTRE, (x0 - past, height), (x1 + past, height))


def _across(subject: Subject, view: View) -> tuple[float, float]:
    """Find how far such a line reaches to the left and right of the centre line: into the form, and out of the part."""
    half = subject.laminate.thickness_mm / 2
    inside, outside = abs(subject.pressing.face_offset_mm) + 8.0 / view.scale, half + 3.0 / view.scale
    return (inside, outside) if subject.pressing.side == "male" else (outside, inside)


def _widths(view: View, subject: Subject) -> None:
    x0, _, x1, _ = subject.whole.bounds
    level = view.at((0.0, subject.reach[1]))[1] - 4.0
    right, left = subject.face_ends
    linear(view, left, right, level - LEVEL_MM, along="x")
    if x1 - x0 > 1.001 * (right[0] - left[0]):
        corner = (min(subject.whole.vertices)[:2], max(subject.whole.vertices)[:2])
        linear(view, (x0, corner[0][1]), (x1, corner[1][1]), level - 2 * LEVEL_MM, along="x")


def _heights(view: View, subject: Subject) -> None:
    x0, y0, _, y1 = subject.whole.bounds
    level = view.at((subject.reach[0], 0.0))[0] - 4.0
    face = bounds(subject.pressing.face)
    springing = subject.on_face(subject.laminate.springing_mm[1])
    stops = sorted({round(y, 6) for y in (y0, springing[1], face[3], y1)})
    if subject.form.bar is not None:
        height = subject.form.bar.touch.height_mm
        linear(view, (x0, y0), (x0, height), level - LEVEL_MM, along="y")
        level -= LEVEL_MM
    kept = [stops[0]]
    for stop in stops[1:]:
        if stop - kept[-1] > 0.5:
            kept.append(stop)
    for low, high in pairwise(kept):
        linear(view, (x0, low), (x0, high), level - LEVEL_MM, along="y")
    if len(kept) > 2:
        linear(view, (x0, y0), (x0, y1), level - 2 * LEVEL_MM, along="y")


def _centres(view: View, subject: Subject) -> list[tuple[str, Point]]:
    """Marks at the centres of the face's arcs that lie on the view, and their names."""
    found = arcs(subject.pressing.face)
    if len(found) > MOST_ARCS:
        return []
    x0, y0, x1, y1 = subject.reach
    shown = []
    for number, (centre, *_) in enumerate(found, 1):
        at_datum = math.hypot(*view.at(centre)) < 4.0
        if x0 < centre[0] < x1 and y0 < centre[1] < y1 and not at_datum:
            centre_mark(view, centre, 2.5)
            shown.append((f"C{number}", centre))
    return shown


def _radii(view: View, subject: Subject) -> None:
    face, found = subject.pressing.face, arcs(subject.pressing.face)
    if len(found) > MOST_ARCS:
        middle_of_face = face.pose(0.5 * face.length_mm)
        tip = (middle_of_face.x_mm, middle_of_face.y_mm)
        note(view, tip, "face: see its ordinates", angles_rad=(math.radians(60), math.radians(120), *AROUND_RAD))
        return
    male = subject.pressing.side == "male"
    for number, (centre, r, begin, turn) in enumerate(found, 1):
        angles = [begin + share * turn for share in SHARES]
        inward = (turn > 0) != male  # the text stands on the part's side
        radius(view, centre, angles, r, f"face R{number}", inward=inward)


def _names(view: View, subject: Subject) -> None:
    laminate = subject.laminate
    for station, lean, name in subject.crossings():
        if subject.two_legged and station > laminate.pressed.length_mm / 2:
            continue  # the left side is like the right
        tip, back = cut_line(laminate.pressed.pose(station), lean, *_across(subject, view))
        if subject.pressing.side == "male":
            tip, back = back, tip
        away = math.atan2(tip[1] - back[1], tip[0] - back[0])
        around = [away + turn for turn in (0.0, 0.6, -0.6, 1.2, -1.2, 1.8, -1.8, 2.4, -2.4)]
        note(view, tip, name, angles_rad=around, head=False)
    for number, opening in enumerate(subject.reliefs, 1):
        near(view, middle(opening.outline), str(number), half_width(opening.outline))
    for number, hole in enumerate(subject.dowels):
        near(view, hole.centre, dowel_name(number), hole.diameter_mm / 2)
    if subject.form.bar is not None:
        tip = (subject.reach[2] + 3.0 / view.scale, subject.form.bar.touch.height_mm)
        note(view, tip, "bar", angles_rad=(0.6, -0.6, 0.3, -0.3, 1.0, -1.0), head=False)
