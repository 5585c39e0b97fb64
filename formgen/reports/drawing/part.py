"""Stage `reports`: the finished part as it must come out, with the sizes that check it.

In: a Form and a scale. Out: a View in the axes of its base line: A at the left, B at the right, heights up.
"""

from __future__ import annotations

import math

from formgen.curve.ordinates import Ordinates
from formgen.drafting.dimension import GAP_MM, LEVEL_MM, PAST_MM, arrow, aside, centre_mark, near, note, radius
from formgen.drafting.ink import CENTRE, SIZES, TINT, line
from formgen.drafting.linear import linear
from formgen.drafting.numbers import size
from formgen.drafting.signs import angle
from formgen.drafting.view import View
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point
from formgen.holding.model import Holding
from formgen.makes.model import Made
from formgen.reports.drawing.front import MOST_ARCS, SHARES, plies
from formgen.reports.drawing.shapes import arcs, around, bounds, farthest, way_out

#: Less is no height (mm).
SAME_MM = 0.5
#: How far the base line runs past the part, and how deep under the inside face a sweep is drawn (mm on paper).
BASE_PAST_MM, SWEEP_MM = 4.0, 9.0
#: Length of the second arrow of a thickness (mm on paper).
TAIL_MM = 5.0
#: Where on the part its thickness is tried, as shares of its length.
THICK_AT = (0.3, 0.25, 0.35, 0.2, 0.7, 0.4, 0.6, 0.15)


def part_view(form: Holding, scale: float, text_mm: float = 2.5, *, strict: bool = True) -> View:
    """The view."""
    laminate = drawn_part(form).pressing.laminate
    view = View(scale=scale, units=laminate.recipe.units, text_mm=text_mm, strict=strict)
    found = drawn_part(form).gauge
    shape = Outline.of(found.outside, found.inside.reversed())
    view.fill(TINT, shape)
    half = found.thickness_mm / 2
    plies(view, found.centre, laminate, shape, half if found.measured_on == "inside" else -half)
    if found.measured_on == "centre":
        view.curve(CENTRE, found.centre)
    x0, _, x1, _ = shape.bounds
    left, right = min(x0, 0.0) - BASE_PAST_MM / scale, max(x1, found.span_mm) + BASE_PAST_MM / scale
    view.line(SIZES, (left, 0.0), (right, 0.0))
    _centres(view, found)
    _sizes(view, found, shape, left)
    view.settle()
    for x, name in ((0.0, "A"), (found.span_mm, "B")):
        near(view, (x, 0.0), name)
    _radii(view, found)
    _sweep(view, found)
    _thickness(view, found)
    return view


def drawn_part(form: Holding) -> Made:
    """The part that is drawn and listed: of several openings' the longest."""
    return max(form.makes, key=lambda part: part.pressing.laminate.pressed.length_mm)


def measured(found: Ordinates) -> ArcSpline:
    """The face that the opening was measured on."""
    return {"inside": found.inside, "outside": found.outside, "centre": found.centre}[found.measured_on]


def _sizes(view: View, found: Ordinates, shape: Outline, base_left: float) -> None:
    """The span below; how high the face stands over the base line, and how far it hangs below."""
    face = measured(found)
    x0, y0, _, _ = around((bounds(found.inside), bounds(found.outside)))
    low = view.at((0.0, y0))[1] - 3.0
    linear(view, (0.0, 0.0), (found.span_mm, 0.0), low - LEVEL_MM, along="x", clear=lambda p: _below(view, shape, p))
    left = view.at((x0, 0.0))[0] - 3.0
    for sign in (1.0, -1.0):
        point = farthest(face.edges, 0.0, sign)
        if sign * point[1] <= SAME_MM:
            continue
        base = (point[0], 0.0)
        if shape.bounds[0] < point[0] < shape.bounds[2] and not _crosses(shape, base, point):
            linear(view, base, point, view.at(point)[0], along="y")  # its arrow touches the face
        else:
            linear(
                view, (0.0, 0.0), point, left - LEVEL_MM, along="y",
                clear=lambda p: _left_of(view, shape, p, base_left),
            )  # fmt: skip


def _crosses(shape: Outline, base: Point, point: Point) -> bool:
    """Tell whether an upright line from the base line to a point of a face runs through the part."""
    sign = math.copysign(1.0, point[1])
    length = abs(point[1])
    chords = [c for dx in (-0.02, 0.02) for c in shape.chords((base[0] + dx, 0.0), 0.0, sign)]
    return any(a < length - SAME_MM and b > SAME_MM for a, b in chords)


def _below(view: View, shape: Outline, point: Point) -> tuple[Point, bool]:
    out, inside = way_out((shape,), point, 0.0, -1.0)
    return out, inside and (point[1] - out[1]) * view.scale > 1.0


def _left_of(view: View, shape: Outline, point: Point, base_left: float) -> tuple[Point, bool]:
    if abs(point[1]) < 1e-9:
        return (base_left, 0.0), False
    out, inside = way_out((shape,), point, -1.0, 0.0)
    return out, inside and (point[0] - out[0]) * view.scale > 1.0


def _thickness(view: View, found: Ordinates) -> None:
    """Two arrows on the faces, at a place of the curve that the text finds free."""
    text = f"thick {size(found.thickness_mm, view.units)}"
    for share in THICK_AT:
        pose = found.centre.pose(share * found.centre.length_mm)
        outer, inner = pose.beside(-found.thickness_mm / 2), pose.beside(found.thickness_mm / 2)
        away = math.atan2(-pose.left[1], -pose.left[0])
        angles = (away, away + 0.5, away - 0.5, away + 1.0, away - 1.0)
        if view.paper.leaders.is_taken(view.at((inner.x_mm, inner.y_mm))):
            continue
        if note(view, (outer.x_mm, outer.y_mm), text, angles_rad=angles, needed=False):
            view.line(SIZES, (outer.x_mm, outer.y_mm), (inner.x_mm, inner.y_mm))
            tip = view.at((inner.x_mm, inner.y_mm))
            tail = line(SIZES, aside(tip, GAP_MM / 2, away + math.pi), aside(tip, TAIL_MM, away + math.pi))
            if view.paper.untouched([tail]):
                view.paper.put(line(SIZES, tip, tail.vertices[-1][:2]), arrow(tip, away))
            return
    view.no_room_for(text)


def _sweep(view: View, found: Ordinates) -> None:
    """The angle over which a part bends that is one arc with level ends, under its inside face."""
    all_arcs = arcs(found.inside)
    if (
        len(all_arcs) != 1
        or len(found.inside.merged().pieces) > 1
        or abs(found.inside.end.y_mm - found.inside.start.y_mm) > 0.01
    ):
        return
    ((centre, r, begin, turn),) = all_arcs
    paper_mm = r * view.scale - SWEEP_MM
    if paper_mm < 2 * SWEEP_MM:
        return
    text = f"{math.degrees(abs(turn)):.2f}".rstrip("0").rstrip(".") + "°"
    middle = view.at(centre)
    if angle(view, middle, paper_mm, begin, turn, text):
        for direction in (begin, begin + turn):
            ends = (r * view.scale - GAP_MM, paper_mm - PAST_MM)
            view.paper.put(line(SIZES, *(aside(middle, end, direction) for end in ends)))


def _centres(view: View, found: Ordinates) -> None:
    x0, y0, x1, y1 = around((bounds(found.inside), bounds(found.outside)))
    all_arcs = arcs(measured(found))
    for centre, *_ in all_arcs if len(all_arcs) <= MOST_ARCS else ():
        if x0 < centre[0] < x1 and y0 < centre[1] < y1:
            centre_mark(view, centre, 2.5)


def _radii(view: View, found: Ordinates) -> None:
    face = measured(found)
    all_arcs = arcs(face)
    remark = "centre line" if found.measured_on == "centre" else found.measured_on
    if len(all_arcs) > MOST_ARCS:
        return
    outward = found.measured_on == "outside"
    seen: list[float] = []
    for centre, r, begin, turn in all_arcs:
        if any(abs(r - other) < 1e-6 for other in seen):
            continue
        seen.append(r)
        angles = [begin + share * turn for share in SHARES]
        radius(view, centre, angles, r, "R", inward=(turn > 0) != outward, remark=remark)
