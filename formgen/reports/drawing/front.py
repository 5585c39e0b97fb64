"""Stage `reports`: the front view of the form, seen on the labelled side, with the part on it and all its sizes.

In: a Form and a scale. Out: a View; x along the span, y up, as everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from formgen.curve.circle import whole_circle
from formgen.curve.outline import Edge, Outline, Point
from formgen.exports.ink import CENTRE, EDGE, HIDDEN, PART, PLIES, TINT, Pen, Stroke, circle
from formgen.form.model import Form, Hole, Opening
from formgen.reports.drawing.dimension import LEVEL_MM, centre_mark, datum, linear, near, note, radius
from formgen.reports.drawing.numbers import size
from formgen.reports.drawing.shapes import arcs, blank, bounds, cut_line, leans, ply_lines, strip
from formgen.reports.drawing.view import View

#: Glue lines closer than this are not drawn (mm on paper): they would run together.
LEAST_APART_MM = 0.7
#: More arcs than this are listed as ordinates instead of radii.
MOST_ARCS = 8
#: Where on an arc its radius is tried, as shares of its length.
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.42, 0.58, 0.28, 0.72, 0.1, 0.9)


def front_view(form: Form, scale: float, *, strict: bool = True) -> View:
    """The view."""
    view = View(scale=scale, units=form.pressing.laminate.arch.recipe.asked.units, strict=strict)
    _part(view, form)
    _body(view, form)
    _cut(view, form)
    _guides(view, form)
    _widths(view, form)
    _heights(view, form)
    view.settle()
    _radii(view, form)
    _names(view, form)
    return view


def reliefs(form: Form) -> tuple[Opening, ...]:
    """Each clamp relief once, from the right end."""
    found = dict.fromkeys(o for _, piece in form.pieces for o in piece.openings)
    face = form.face
    return tuple(sorted(found, key=lambda o: face.nearest(*middle(o.outline))[0]))


def dowels(form: Form) -> tuple[Hole, ...]:
    """Each dowel once, from the right end."""
    found = dict.fromkeys(h for _, piece in form.pieces for h in piece.holes)
    return tuple(sorted(found, key=lambda h: form.face.nearest(*h.centre)[0]))


def middle(outline: Outline) -> Point:
    """Middle of an outline's bounds."""
    x0, y0, x1, y1 = outline.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def dowel_name(number: int) -> str:
    """A to z, then aa and on."""
    letters = "abcdefghijklmnopqrstuvwxyz"
    return letters[number] if number < 26 else letters[number // 26 - 1] + letters[number % 26]


def whole(form: Form) -> Outline:
    """The largest layer: what the others are cut back from."""
    return max((layer.outline for layer in form.layers), key=lambda outline: outline.area_mm2)


def _part(view: View, form: Form) -> None:
    laminate = form.pressing.laminate
    view.fill(TINT, strip(laminate.pressed, laminate.thickness_mm))
    if min(ply.thickness_mm for ply in laminate.plies) * view.scale >= LEAST_APART_MM:
        for curve in ply_lines(blank(form), laminate):
            view.curve(PLIES, curve)
    view.outline(PART, strip(blank(form), laminate.thickness_mm))


def _body(view: View, form: Form) -> None:
    """Edges seen from above, and what lies below them dashed."""
    base, top = whole(form), form.layers[-1].outline
    for outline in dict.fromkeys(layer.outline for layer in form.layers):
        if outline == base:
            continue
        pen = EDGE if outline == top else HIDDEN
        for e in outline.edges:
            if base.distance(e.at(0.5)) > 0.01:
                view.paper.put(_edge(view, pen, e))
    view.outline(EDGE, base)


def _cut(view: View, form: Form) -> None:
    """Reliefs, dowels, ports and joints."""
    for opening in reliefs(form):
        view.outline(EDGE, opening.outline)
    for hole in dowels(form):
        view.paper.put(circle(EDGE, view.at(hole.centre), hole.diameter_mm / 2 * view.scale))
        centre_mark(view, hole.centre, max(hole.diameter_mm / 2 * view.scale + 0.6, 1.2))
    for groove in dict.fromkeys(g for _, piece in form.pieces for g in piece.grooves):
        view.outline(HIDDEN, groove.cleared)
    for start, end in form.layers[-1].joints:
        view.line(EDGE, start, end)
    if len(form.layers) > 1:
        for start, end in form.layers[-2].joints:
            view.line(HIDDEN, start, end)


def _edge(view: View, pen: Pen, edge: Edge) -> Stroke:
    return Stroke(pen=pen, vertices=view.vertices([(*edge.a, edge.bulge), (*edge.b, 0.0)]))


def _guides(view: View, form: Form) -> None:
    """Centre line, springing lines, trim lines, the bar's line."""
    laminate = form.pressing.laminate
    x0, y0, x1, y1 = _outer(form)
    past = 3.0 / view.scale
    if laminate.arch.two_legged:
        view.line(CENTRE, (0.0, y0 - past), (0.0, y1 + past))
    for station, lean, _ in crossings(form):
        a, b = cut_line(laminate.pressed.pose(station), lean, *_across(form, view))
        view.line(CENTRE, a, b)
    if form.bar is not None:
        height = form.bar.setting.height_mm
        view.line(CENTRE, (x0 - past, height), (x1 + past, height))


def crossings(form: Form) -> Iterator[tuple[float, float, str]]:
    """Stations across which a line is drawn: how it leans and what it is called."""
    laminate = form.pressing.laminate
    ends = (0.0, laminate.pressed.length_mm)
    for station, lean in zip(ends, leans(laminate), strict=True):
        yield station, lean, "trim"
    for station in laminate.springing_mm:
        if 1e-6 < station < ends[1] - 1e-6:
            yield station, 0.0, "springing"


def _across(form: Form, view: View) -> tuple[float, float]:
    """How far such a line reaches to the left and right of the centre line: into the form, and out of the part."""
    half = form.pressing.laminate.thickness_mm / 2
    inside, outside = abs(form.pressing.face_offset_mm) + 8.0 / view.scale, half + 3.0 / view.scale
    return (inside, outside) if form.pressing.side == "male" else (outside, inside)


def _outer(form: Form) -> tuple[float, float, float, float]:
    """Bounds of the form with the blank on it."""
    shapes = (whole(form).bounds, strip(blank(form), form.pressing.laminate.thickness_mm).bounds)
    low = [min(b[i] for b in shapes) for i in (0, 1)]
    high = [max(b[i] for b in shapes) for i in (2, 3)]
    return low[0], low[1], high[0], high[1]


def on_face(form: Form, station_mm: float) -> Point:
    """The point of the form face square across from a station of the pressed centre line."""
    pose = form.pressing.laminate.pressed.pose(station_mm).beside(form.pressing.face_offset_mm)
    return pose.x_mm, pose.y_mm


def _widths(view: View, form: Form) -> None:
    x0, _, x1, _ = whole(form).bounds
    level = view.at((0.0, _outer(form)[1]))[1] - 4.0
    right, left = (on_face(form, s) for s in form.pressing.laminate.springing_mm)
    if not form.pressing.laminate.arch.two_legged:
        right, left = (on_face(form, s) for s in (0.0, form.pressing.laminate.pressed.length_mm))
    linear(view, left, right, level - LEVEL_MM, size(right[0] - left[0], view.units), along="x")
    if x1 - x0 > 1.001 * (right[0] - left[0]):
        corner = (min(whole(form).vertices)[:2], max(whole(form).vertices)[:2])
        linear(view, (x0, corner[0][1]), (x1, corner[1][1]), level - 2 * LEVEL_MM, size(x1 - x0, view.units), along="x")


def _heights(view: View, form: Form) -> None:
    x0, y0, _, y1 = whole(form).bounds
    level = view.at((_outer(form)[0], 0.0))[0] - 4.0
    face = bounds(form.pressing.face)
    springing = on_face(form, form.pressing.laminate.springing_mm[1])
    stops = sorted({round(y, 6) for y in (y0, springing[1], face[3], y1)})
    if form.bar is not None:
        height = form.bar.setting.height_mm
        linear(view, (x0, y0), (x0, height), level - LEVEL_MM, size(height - y0, view.units), along="y")
        level -= LEVEL_MM
    kept = [stops[0]]
    for stop in stops[1:]:
        if stop - kept[-1] > 0.5:
            kept.append(stop)
    for low, high in pairwise(kept):
        linear(view, (x0, low), (x0, high), level - LEVEL_MM, size(high - low, view.units), along="y")
    if len(kept) > 2:
        linear(view, (x0, y0), (x0, y1), level - 2 * LEVEL_MM, size(y1 - y0, view.units), along="y")


def _radii(view: View, form: Form) -> None:
    laminate, found = form.pressing.laminate, arcs(form.pressing.face)
    if len(found) > MOST_ARCS:
        at = on_face(form, 0.5 * laminate.pressed.length_mm)
        note(view, at, "face: see its ordinates", angles_rad=(math.radians(60), math.radians(120)))
        return
    x0, y0, x1, y1 = _outer(form)
    male = form.pressing.side == "male"
    for number, (centre, r, begin, turn) in enumerate(found, 1):
        at_datum = laminate.arch.two_legged and math.hypot(*view.at(centre)) < 4.0
        if x0 <= centre[0] <= x1 and y0 - 30 / view.scale <= centre[1] <= y1 and not at_datum:
            centre_mark(view, centre, 2.5)
            near(view, centre, f"C{number}", height_mm=1.8)
        angles = [begin + share * turn for share in SHARES]
        inward = (turn > 0) != male  # the text stands on the part's side
        radius(view, centre, angles, r, f"face R{number} {size(r, view.units)}", inward=inward)


def _names(view: View, form: Form) -> None:
    laminate = form.pressing.laminate
    if laminate.arch.two_legged:
        datum(view, (0.0, 0.0))
    for station, lean, name in crossings(form):
        if laminate.arch.two_legged and station > laminate.pressed.length_mm / 2:
            continue  # the left side is like the right
        tip, back = cut_line(laminate.pressed.pose(station), lean, *_across(form, view))
        if form.pressing.side == "male":
            tip, back = back, tip
        away = math.atan2(tip[1] - back[1], tip[0] - back[0])
        around = [away + turn for turn in (0.0, 0.6, -0.6, 1.2, -1.2, 1.8, -1.8, 2.4, -2.4)]
        note(view, tip, name, angles_rad=around, head=False)
    for number, opening in enumerate(reliefs(form), 1):
        found = whole_circle(opening.outline)
        r = found[1] if found else min(_half_width(opening.outline), 1e9)
        near(view, middle(opening.outline), str(number), r)
    for number, hole in enumerate(dowels(form)):
        near(view, hole.centre, dowel_name(number), hole.diameter_mm / 2)
    if form.bar is not None:
        x1 = _outer(form)[2] + 3.0 / view.scale
        note(view, (x1, form.bar.setting.height_mm), "bar", angles_rad=(0.6, -0.6, 0.3, -0.3, 1.0, -1.0), head=False)


def _half_width(slot: Outline) -> float:
    """Half the width of a slot with round ends: the radius of an end."""
    return min(e.radius_mm for e in slot.edges if e.bulge)
