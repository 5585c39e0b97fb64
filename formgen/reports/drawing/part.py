"""Stage `reports`: the finished part as it must come out, with the sizes that check it.

In: a Form and a scale. Out: a View in the axes of its base line: A at the left, B at the right, heights up.
"""

from __future__ import annotations

import math

from formgen.curve.ordinates import Ordinates
from formgen.drafting.dimension import LEVEL_MM, centre_mark, linear, near, note, radius
from formgen.drafting.ink import CENTRE, PART, PLIES, SIZES, TINT
from formgen.drafting.numbers import size
from formgen.drafting.view import View
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline
from formgen.holding.model import Holding
from formgen.makes.model import Made
from formgen.reports.drawing.front import LEAST_APART_MM, MOST_ARCS, SHARES
from formgen.reports.drawing.shapes import arcs, around, bounds, ply_lines


def part_view(form: Holding, scale: float, text_mm: float = 2.5, *, strict: bool = True) -> View:
    """The view."""
    laminate = drawn_part(form).pressing.laminate
    view = View(scale=scale, units=laminate.recipe.units, text_mm=text_mm, strict=strict)
    found = drawn_part(form).gauge
    shape = Outline.of(found.outside, found.inside.reversed())
    view.fill(TINT, shape)
    if min(ply.thickness_mm for ply in laminate.plies) * scale >= LEAST_APART_MM:
        for curve in ply_lines(found.centre, laminate):
            view.curve(PLIES, curve)
    view.outline(PART, shape)
    view.line(CENTRE, (-4.0 / scale, 0.0), (found.span_mm + 4.0 / scale, 0.0))
    _centres(view, found)
    _sizes(view, found)
    view.settle()
    _thickness(view, found)
    _radii(view, found)
    for x, name in ((0.0, "A"), (found.span_mm, "B")):
        near(view, (x, 0.0), name)
    return view


def drawn_part(form: Holding) -> Made:
    """The part that is drawn and listed: of several openings' the longest."""
    return max(form.makes, key=lambda part: part.pressing.laminate.pressed.length_mm)


def measured(found: Ordinates) -> ArcSpline:
    """The face that the opening was measured on."""
    return {"inside": found.inside, "outside": found.outside, "centre": found.centre}[found.measured_on]


def _sizes(view: View, found: Ordinates) -> None:
    face = measured(found)
    x0, y0, _, _ = around((bounds(found.inside), bounds(found.outside)))
    low = view.at((0.0, y0))[1] - 3.0
    linear(view, (0.0, 0.0), (found.span_mm, 0.0), low - LEVEL_MM, along="x")
    left = view.at((x0, 0.0))[0] - 3.0
    (_, foot, _, top) = bounds(face)
    crown = next(p for p in _tops(face) if abs(p[1] - top) < 1e-6)
    if top > 0.5:
        linear(view, (0.0, 0.0), crown, left - LEVEL_MM, along="y")
    if foot < -0.5:
        linear(view, (0.0, foot), (0.0, 0.0), left - LEVEL_MM, along="y")


def _tops(face: ArcSpline) -> list[tuple[float, float]]:
    """Ends of its stretches, and the highest points of its arcs."""
    points = [(p.x_mm, p.y_mm) for p in face.knots]
    for (cx, cy), r, begin, turn in arcs(face):
        share = ((math.pi / 2 - begin) * math.copysign(1.0, turn)) % (2 * math.pi) / abs(turn)
        if share <= 1.0:
            points.append((cx, cy + r))
    return points


def _thickness(view: View, found: Ordinates) -> None:
    """Two arrows on the faces, at a place of the curve that the text finds free."""
    pose = found.centre.pose(0.3 * found.centre.length_mm)
    outer, inner = pose.beside(-found.thickness_mm / 2), pose.beside(found.thickness_mm / 2)
    away = math.atan2(-pose.left[1], -pose.left[0])
    text = f"thick {size(found.thickness_mm, view.units)}"
    note(view, (outer.x_mm, outer.y_mm), text, angles_rad=(away, away + 0.5, away - 0.5, away + 1.0, away - 1.0))
    view.line(SIZES, (outer.x_mm, outer.y_mm), (inner.x_mm, inner.y_mm))


def _centres(view: View, found: Ordinates) -> None:
    x0, y0, x1, y1 = around((bounds(found.inside), bounds(found.outside)))
    all_arcs = arcs(measured(found))
    for centre, *_ in all_arcs if len(all_arcs) <= MOST_ARCS else ():
        if x0 < centre[0] < x1 and y0 < centre[1] < y1:
            centre_mark(view, centre, 2.5)


def _radii(view: View, found: Ordinates) -> None:
    face = measured(found)
    all_arcs = arcs(face)
    name = "centre line" if found.measured_on == "centre" else found.measured_on
    if len(all_arcs) > MOST_ARCS:
        return
    outward = found.measured_on == "outside"
    seen: list[float] = []
    for centre, r, begin, turn in all_arcs:
        if any(abs(r - other) < 1e-6 for other in seen):
            continue
        seen.append(r)
        angles = [begin + share * turn for share in SHARES]
        radius(view, centre, angles, r, f"{name} R", inward=(turn > 0) != outward)
