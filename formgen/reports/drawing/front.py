"""Stage `reports`: the front view of the form, seen on the labelled side, with the part on it and all its sizes.

In: a Form and a scale. Out: a View; x along the span, y up, as everywhere.
"""

from __future__ import annotations

import math

from formgen.drafting.dimension import AROUND_RAD, centre_mark, near, note, radius
from formgen.drafting.ink import BAR, CENTRE, EDGE, HIDDEN, JOINTS, PART, PLIES, SPRINGING, TINT, Stroke, Words, circle
from formgen.drafting.signs import datum_axes, datum_names, trim_line
from formgen.drafting.view import View
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point
from formgen.laminate.plies import Laminate
from formgen.reports.drawing import names
from formgen.reports.drawing.shapes import arcs, ply_lines, strip
from formgen.reports.drawing.sizes import PAST_MM, guides, heights, widths
from formgen.reports.drawing.subject import Subject

#: Glue lines closer than this are not drawn, and a part thinner than that shows one line only (mm on paper).
LEAST_APART_MM, LEAST_THICK_MM = 0.7, 1.0
#: More arcs than this are listed as ordinates instead of radii.
MOST_ARCS = 8
#: Where on an arc its radius is tried, as shares of its length.
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.42, 0.58, 0.28, 0.72, 0.1, 0.9)
#: What the two kinds of joint lines mean, and how far below the view it stands (mm on paper).
JOINTS_KEY, KEY_MM = "joints: odd layers full, even dashed", 6.0


def front_view(subject: Subject, scale: float, text_mm: float = 2.5, *, strict: bool = True) -> View:
    """The view."""
    view = View(scale=scale, units=subject.units, text_mm=text_mm, strict=strict)
    _part(view, subject)
    _body(view, subject)
    _cut(view, subject)
    _guides(view, subject)
    centres = _centres(view, subject)
    datum_axes(view, (0.0, 0.0))
    widths(view, subject)
    heights(view, subject)
    view.settle()
    in_circles = names.circled(view, subject) is not None
    if not in_circles:  # numbers beside their reliefs find other places, the section does not
        names.section(view, subject)
    names.reliefs(view, subject)
    datum_names(view, (0.0, 0.0))
    names.dowels(view, subject)
    names.lines(view, subject)
    if in_circles:
        names.section(view, subject)
    _radii(view, subject)
    names.ports(view, subject)
    for name, centre in centres:
        near(view, centre, name)
    names.diameters(view, subject)
    if any(layer.joints for layer in subject.form.layers):
        x0, y0, _, _ = view.reach
        view.paper.put(Words(text=JOINTS_KEY, at=(x0, y0 - KEY_MM), height_mm=text_mm))
    return view


def _part(view: View, subject: Subject) -> None:
    laminate = subject.laminate
    view.fill(TINT, strip(laminate.pressed, laminate.thickness_mm))
    away = math.copysign(laminate.thickness_mm / 2, -1.0 if subject.male else 1.0)
    plies(view, subject.blank, laminate, subject.blank_strip, away)


def plies(view: View, centre: ArcSpline, laminate: Laminate, shape: Outline, face_mm: float) -> None:
    """Glue lines where there is room for them, and the part's outline.

    Of a very thin part one face and the ends: the face that lies so far to the left of its centre line.
    """
    if min(ply.thickness_mm for ply in laminate.plies) * view.scale >= LEAST_APART_MM:
        for curve in ply_lines(centre, laminate):
            view.curve(PLIES, curve)
    if laminate.thickness_mm * view.scale >= LEAST_THICK_MM:
        view.outline(PART, shape)
        return
    first, last = (centre.pose(s).beside(-face_mm) for s in (0.0, centre.length_mm))
    line = [(first.x_mm, first.y_mm, 0.0), *centre.parallel(face_mm).vertices(), (last.x_mm, last.y_mm, 0.0)]
    view.paper.put(Stroke(pen=PART, vertices=view.vertices(line)))


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
        view.paper.keep_leaders_off(Stroke(pen=EDGE, vertices=view.vertices(opening.outline.vertices), closed=True))
    for hole in subject.dowels:
        rim = circle(EDGE, view.at(hole.centre), hole.diameter_mm / 2 * view.scale)
        view.paper.put(rim)
        view.paper.keep_leaders_off(rim)
        centre_mark(view, hole.centre, max(hole.diameter_mm / 2 * view.scale + 0.6, 1.2))
    for groove in subject.grooves:
        view.outline(HIDDEN, groove.cleared)
    for layer, pen in zip(subject.form.layers[:2], (JOINTS, HIDDEN), strict=False):
        for start, end in layer.joints:
            view.line(pen, start, end)


def _guides(view: View, subject: Subject) -> None:
    """Centre line, springing lines, trim lines, the bar's line."""
    x0, y0, x1, y1 = subject.reach
    past = PAST_MM / view.scale
    if subject.two_legged:
        below = y0 - past
        for low, high in names.crossed_gaps(view, subject):
            view.line(CENTRE, (0.0, below), (0.0, low))
            below = high
        view.line(CENTRE, (0.0, below), (0.0, y1 + past))
    for inside, outside, name in guides(view, subject):
        if name == "springing":
            view.line(SPRINGING, inside, outside)
        else:
            trim_line(view, inside, outside)
    if subject.form.bar is not None:
        height = subject.form.bar.touch.height_mm
        view.line(BAR, (x0 - past, height), (x1 + past, height))


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
        radius(view, centre, angles, r, f"R{number} =", inward=inward)
