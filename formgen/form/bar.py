"""Stage `form`: the spreader bar that holds the legs: where it goes and what is cut away for it.

On a male form the bar is a bar clamp across the outside of the legs, pulling in. Its layers, from just below the
middle of the part to the top of the stack, end above it: the bar lies at mid-depth, and part and bar lift off the
form together. On a female form the bar stands between the legs and pushes out; a notch in the outer edge of
each leg, in the middle layers at the bar's height, takes the clamp that keeps the form's own legs from opening.

It sets no length for the shop: that is the holding stage's, which knows what lies between jaw and wood.
"""

from __future__ import annotations

import math

import numpy as np

from formgen.errors import CurveError, FormError, PressError
from formgen.findings import Finding, finding, phrase
from formgen.fixed import fixed
from formgen.form.free_space import WALL_MM
from formgen.form.model import BarSeat, BarTouch
from formgen.geometry.arcspline import same_place
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Outline, Vertex
from formgen.geometry.pose import Pose
from formgen.laminate.plies import Laminate
from formgen.press.film import Side
from formgen.press.setup import Pressing
from formgen.recipe.figures import figure
from formgen.recipe.schema import BarAsk
from formgen.recipe.shop import Bar

#: A bar slips off a face that leans further than this from upright. Common practice, no source.
LEAN_LIMIT_RAD = math.radians(30.0)
#: More of a leg should keep its face in every layer. Common practice, no source.
LOST_SHARE = 0.5


@fixed
class BarPlan:
    """The seat, and how it changes an outline; `seat` is None where no bar is fitted, with the reason as a finding."""

    seat: BarSeat | None
    bar: Bar
    findings: tuple[Finding, ...] = ()

    def cut_away(self, outline: Outline, layer: int) -> list[Outline]:
        """List what the seat leaves of a layer or a piece of it; on layers without a seat, the outline itself."""
        if self.seat is None or layer not in self.seat.layers:
            return [outline]
        half = self.bar.height_mm / 2.0 + self.bar.play_mm
        if self.seat.touch.face_offset_mm < 0.0:  # across the outside of the legs
            return outline.cut((0.0, self.seat.touch.height_mm + half), 1.0, 0.0)
        return [_notched(outline, self.seat.touch.height_mm, half, self.notch_depth_mm)]

    @property
    def notch_depth_mm(self) -> float:
        """The depth of the notches of a female form in its legs."""
        return self.bar.height_mm / 2.0


def plan_bar(pressing: Pressing, count: int, sheet_mm: float, outline: Outline) -> BarPlan:
    """The seat of the spreader bar.

    Args:
        pressing: the part on its form.
        count: number of layers.
        sheet_mm: thickness of a layer.
        outline: a whole layer, before anything is cut away.

    Raises:
        FormError: a bar was asked for and cannot be fitted; the message says why.
    """
    recipe = pressing.recipe
    bar, wanted = recipe.shop.bar, recipe.asked.form.spreader_bar
    if wanted is False or (wanted is None and pressing.way != "part-bagged"):
        return BarPlan(seat=None, bar=bar)  # in one bag with the form, or under clamps alone, nothing is left to a bar
    try:
        return _fitted(pressing, count, sheet_mm, bar, outline)
    except _NoBarError as why:
        if wanted is not None:
            said = phrase("form.no-bar", "why", recipe.units, why.key, **why.values)
            raise FormError(
                f"form.spreader_bar was asked for, but {said}: leave it out, or hold the ends with clamps"
            ) from why
        note = finding("form.no-bar", recipe.units, why=why.key, **why.values)
        return BarPlan(seat=None, bar=bar, findings=(note,))


class _NoBarError(Exception):
    """Raised where no bar is fitted: a key of the words of `form.no-bar`, and the values in them."""

    def __init__(self, key: str, **values: float) -> None:
        super().__init__(key)
        self.key, self.values = key, values


def _with_edges(plan: BarPlan, outline: Outline) -> BarPlan:
    """The plan, if on a female form both notches find a straight outer edge at the bar's height."""
    if plan.seat is None or plan.seat.touch.face_offset_mm < 0.0:
        return plan
    cut = plan.cut_away(outline, plan.seat.layers[0])[0]
    whole = 2 * plan.notch_depth_mm * (plan.bar.height_mm + 2 * plan.bar.play_mm)
    if outline.area_mm2 - cut.area_mm2 < whole * (1 - 1e-9):
        raise _NoBarError("edge")
    return plan


def _fitted(pressing: Pressing, count: int, sheet_mm: float, bar: Bar, outline: Outline) -> BarPlan:
    laminate = pressing.laminate
    if not laminate.arch.two_legged:
        raise _NoBarError("legs")
    height = _height(pressing, bar)
    try:
        touch = bar_touch(laminate, pressing.side, height)
        over_mm = math.fsum(mm for _, mm in pressing.over)  # under the jaws, which must find the leg there too
        at_height(laminate, touch.face_offset_mm + math.copysign(over_mm, touch.face_offset_mm), height)
    except PressError as why:
        raise _NoBarError("reach", height=height) from why
    if touch.lean_rad > LEAN_LIMIT_RAD:
        raise _NoBarError("lean", lean=touch.lean_rad, most_lean=LEAN_LIMIT_RAD)
    least = figure("least_bar_mm", laminate.recipe.shop).value
    if touch.between_mm < least:
        raise _NoBarError("narrow", between=touch.between_mm, bar=least)
    numbers, findings = _layers(pressing, count, sheet_mm, bar)
    seat = BarSeat(touch=touch, layers=numbers)
    findings = (*findings, *_lost_face(pressing, seat, bar))
    return _with_edges(BarPlan(seat=seat, bar=bar, findings=findings), outline)


def bar_touch(laminate: Laminate, side: Side, height_mm: float) -> BarTouch:
    """Find where a bar at that height bears: on the outside faces for a male form, the inside faces for a female one.

    Raises:
        PressError: the part does not reach that height on two legs.
    """
    offset = (-1 if side == "male" else 1) * laminate.thickness_mm / 2.0
    between, stations, poses = at_height(laminate, offset, height_mm)
    return BarTouch(
        height_mm=height_mm,
        stations_mm=stations,
        face_offset_mm=offset,
        between_mm=between,
        lean_rad=max(math.asin(min(1.0, abs(math.cos(p.heading_rad)))) for p in poses),
    )


def at_height(
    laminate: Laminate, offset_mm: float, height_mm: float
) -> tuple[float, tuple[float, float], tuple[Pose, Pose]]:
    """Find the two places at a height on a curve parallel to the pressed one.

    Returns:
        The distance between them, their stations on the centre line, right and left, and their poses.

    Raises:
        PressError: there are no two; or no such curve, as of a jaw on the inside of one tighter than what lies there.
    """
    try:
        held = laminate.pressed.parallel(offset_mm)
        first, *_, last = held.at_height(height_mm)
    except (CurveError, ValueError) as err:  # the latter for fewer than two
        raise PressError(
            f"spreader bar at {height_mm:.0f} mm: the part does not reach that height on both legs, "
            "expected a height that it passes twice; move the bar or lengthen the legs"
        ) from err
    right, left = held.pose(first), held.pose(last)
    stations = (same_place(held, laminate.pressed, first), same_place(held, laminate.pressed, last))
    return right.x_mm - left.x_mm, stations, (right, left)


def _lost_face(pressing: Pressing, seat: BarSeat, bar: Bar) -> tuple[Finding, ...]:
    """List how much of the legs has no face behind it in the layers that end above the bar of a male form."""
    laminate = pressing.laminate
    if pressing.side == "female":
        return ()
    above = seat.touch.height_mm + bar.height_mm / 2.0 + bar.play_mm
    legs = (
        (laminate.pressed.start.y_mm, laminate.springing_mm[0]),
        (laminate.pressed.end.y_mm, laminate.pressed.length_mm - laminate.springing_mm[1]),
    )
    lost = max((min((above - foot) / length, 1.0) for foot, length in legs if length > 0.0), default=0.0)
    if lost <= LOST_SHARE:
        return ()
    asked = laminate.recipe.asked.form.spreader_bar
    case = "asked" if isinstance(asked, BarAsk) else "usual"
    layers = {"first": seat.layers[0], "last": seat.layers[-1]}
    return (finding("form.bar-face", laminate.recipe.units, case, value=lost, limit=LOST_SHARE, **layers),)


def _height(pressing: Pressing, bar: Bar) -> float:
    """The height asked for, else as low on the shorter leg as the whole bar still bears on it."""
    laminate = pressing.laminate
    asked = laminate.recipe.asked.form.spreader_bar
    pressed = laminate.pressed
    lowest = max(pressed.start.y_mm, pressed.end.y_mm) + bar.height_mm / 2.0
    if isinstance(asked, BarAsk):
        if asked.height_mm < lowest - 1e-6:
            raise _NoBarError("hangs", height=asked.height_mm, least=lowest)
        return asked.height_mm
    straight = [0.0 if abs(k) > 1e-12 else length for length, k in (pressed.pieces[0], pressed.pieces[-1])]
    if min(straight) < bar.height_mm:
        raise _NoBarError("short", straight=min(straight), bar=bar.height_mm)
    return lowest


def _layers(pressing: Pressing, count: int, sheet_mm: float, bar: Bar) -> tuple[tuple[int, ...], tuple[Finding, ...]]:
    middle, half = count * sheet_mm / 2.0, bar.width_mm / 2.0 + bar.play_mm
    if pressing.side == "female":
        first = math.floor((middle - half) / sheet_mm) + 1
        last = math.ceil((middle + half) / sheet_mm)
        return tuple(range(max(first, 1), min(last, count) + 1)), ()
    wanted = math.ceil((middle + half) / sheet_mm - 1e-9)
    if count < 2:
        raise _NoBarError("layer")
    if wanted < count:
        return tuple(range(count - wanted + 1, count + 1)), ()
    recipe = pressing.recipe
    usual = "form.spreader_bar" in recipe.taken and not recipe.shop.bar.model_fields_set
    case = "usual" if usual else "asked"
    shallow = finding("form.bar-off-middle", recipe.units, case, value=sheet_mm + half, limit=middle)
    return tuple(range(2, count + 1)), (shallow,)


def _notched(outline: Outline, height_mm: float, half_mm: float, depth_mm: float) -> Outline:
    """The outline with a notch in its outermost edge on either side, if it reaches that height with a straight edge."""
    chords = outline.chords((0.0, height_mm), 1.0, 0.0)
    for x in {chords[0][0], chords[-1][1]} if chords else set():
        outline = _notch_at(outline, (x, height_mm), half_mm, depth_mm)
    return outline


def _notch_at(outline: Outline, at: tuple[float, float], half_mm: float, depth_mm: float) -> Outline:
    vertices: list[Vertex] = []
    for e in outline.edges:
        vertices.append((*e.a, e.bulge))
        if e.bulge or distances_mm(np.array([at]), [e])[0] > 1e-6:
            continue
        ux, uy = (e.b[0] - e.a[0]) / e.length_mm, (e.b[1] - e.a[1]) / e.length_mm
        along = (at[0] - e.a[0]) * ux + (at[1] - e.a[1]) * uy
        outward = (at[0] > 0) == (uy > 0)  # an anticlockwise outline climbs on its right-hand side
        if outward and half_mm + WALL_MM < along < e.length_mm - half_mm - WALL_MM:
            vertices.extend(
                (at[0] + a * ux - d * uy, at[1] + a * uy + d * ux, 0.0)
                for a, d in ((-half_mm, 0.0), (-half_mm, depth_mm), (half_mm, depth_mm), (half_mm, 0.0))
            )
    return Outline.tidy(vertices)
