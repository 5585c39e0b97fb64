"""Stage `holding`: may the part come off the form under vacuum, held by the bar alone, before the glue has set?

In: a Laminate, the pressure, the side of the form, the bar's height and the friction between wet plies. Out: an
OffForm in mm, kPa and N. The shapes come from `resting.py`, the bar's setting from `setting.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding, Severity
from formgen.holding.off_form.friction import Stack, locked_stretch
from formgen.holding.off_form.shape import Resting, locked, slipped
from formgen.holding.spreader_bar import BarSetting, bar_setting
from formgen.laminate.plies import Laminate
from formgen.lengths import write_fine, write_length
from formgen.press.film import Side

Advice = Literal["may come off with the bar", "stay on the form"]

_LOCK_SOURCE = "shear of the locked stack against friction, ℓ = 1.5 M/(T μ q), computed"


@dataclass(frozen=True, kw_only=True)
class OffForm:
    """The part off the form, in its bag, before the glue has set.

    Args:
        side: side of the form.
        pressure_kpa: pressure of the bag on the part.
        friction: coefficient of friction between wet plies.
        depth_mm: depth of the part that forces are for.
        moment_n_mm_per_mm: moment of the loose plies where the curve is tightest, for each mm of depth.
        tightest_station_mm: station on the pressed curve there.
        transfer_mm: length ℓ over which friction takes up that moment; infinite without pressure.
        half_length_mm: half the part, which must be longer than ℓ to lock.
        locked_share: share of the curve's turning that friction locks, 0 to 1.
        locked_mm: stations between which it does; None where it nowhere does.
        slips: nothing is locked: the plies slide along the whole part and the bar carries the shape.
        bar: the bar's setting; None without one.
        bar_holds: the bar can hold the legs against opening: it pulls in.
        bar_force_n: its pull, for the part's depth; 0 where it does not hold.
        loose_departure_mm: greatest departure from the pressed curve if the plies slide freely, positive outside.
        departure_mm: the same for what is expected: sliding freely if the plies slip, else held by friction
            where it can.
        departure_station_mm, departure_height_mm: where that is, on the pressed curve.
        leg_turn_rad: greatest turn of a leg at the bar against the pressed curve; 0 where no bar holds.
        loose_span_per_bar: mm of finished span for each mm of bar, if glue sets while the plies hang loose in the bar;
            None without a bar that holds. On the form, and locked by friction, the bar's own `span_per_bar` stands.
        shape: the part as it hangs, for drawing.
        advice, reason: what to do, and why.
        findings: the same with limits and sources.
    """

    side: Side
    pressure_kpa: float
    friction: float
    depth_mm: float
    moment_n_mm_per_mm: float
    tightest_station_mm: float
    transfer_mm: float
    half_length_mm: float
    locked_share: float
    locked_mm: tuple[float, float] | None
    slips: bool
    bar: BarSetting | None
    bar_holds: bool
    bar_force_n: float
    loose_departure_mm: float
    departure_mm: float
    departure_station_mm: float
    departure_height_mm: float
    leg_turn_rad: float
    loose_span_per_bar: float | None
    shape: ArcSpline
    advice: Advice
    reason: str
    findings: tuple[Finding, ...] = ()


def off_the_form(
    laminate: Laminate, pressure_kpa: float, side: Side, bar_height_mm: float | None, friction: float
) -> OffForm:
    """Whether the part may come off the form in its bag, and the shape that it takes if it does.

    Args:
        laminate: the plies, pressed.
        pressure_kpa: what the bag really presses with, gauge.
        side: `male` (the bar pulls the legs in) or `female` (it pushes them out, so that it cannot stop them opening).
        bar_height_mm: y of the bar's centre line; None without a bar.
        friction: coefficient of friction between plies with wet glue, 0 or more.

    Raises:
        PressError: the part does not reach the bar on both legs, or no shape at rest is found.

    Assumptions:
        Elastic plies; uniform pressure; no weight; the bar keeps its two faces at the pressed distance and
        lets the legs turn. Whether plies slip is decided by ℓ at each station against its distance to the nearer end;
        if they do, friction counts for nothing and natural curvature is zero. If they do not, see `resting.locked`.
    """
    pressed = laminate.pressed
    stack = Stack.of(laminate, pressure_kpa, friction)
    bar = None if bar_height_mm is None else bar_setting(laminate, side, bar_height_mm)
    holder = bar if side == "male" else None
    share, stretch = locked_stretch(stack, pressed)
    slips = stretch is None
    loose = slipped(laminate, stack, holder)
    rest = loose if slips else locked(laminate, stack, holder)
    tightest = int(np.argmax([abs(k) for _, k in pressed.pieces]))
    curvature = pressed.pieces[tightest][1]
    part = laminate.arch.recipe.asked.part
    may = holder is not None and abs(rest.departure_mm) <= part.tolerance_mm
    advice: Advice = "may come off with the bar" if may else "stay on the form"
    reason = _reason(laminate, side, bar, rest, slips=slips)
    transfer = stack.transfer_mm(curvature)
    findings = [
        _lock_finding(laminate, transfer, stretch, share, friction),
        Finding(
            code="press.may-come-off" if may else "press.stay-on-form",
            severity=Severity.NOTE,
            message=f"{advice.capitalize()} while the glue sets: {reason}.",
            value=abs(rest.departure_mm),
            limit=part.tolerance_mm,
            unit="mm",
            source="part.tolerance; shape at rest computed",
        ),
        *_tape_findings(laminate, bar),
    ]
    return OffForm(
        side=side,
        pressure_kpa=pressure_kpa,
        friction=friction,
        depth_mm=part.depth_mm,
        moment_n_mm_per_mm=stack.moment_n(curvature),
        tightest_station_mm=float(pressed.stations_mm[tightest]) + pressed.pieces[tightest][0] / 2.0,
        transfer_mm=transfer,
        half_length_mm=pressed.length_mm / 2.0,
        locked_share=share,
        locked_mm=stretch,
        slips=slips,
        bar=bar,
        bar_holds=holder is not None,
        bar_force_n=rest.force_n_per_mm * part.depth_mm,
        loose_departure_mm=loose.departure_mm,
        departure_mm=rest.departure_mm,
        departure_station_mm=rest.station_mm,
        departure_height_mm=rest.height_mm,
        leg_turn_rad=rest.leg_turn_rad,
        loose_span_per_bar=loose.span_per_bar,
        shape=rest.shape,
        advice=advice,
        reason=reason,
        findings=tuple(findings),
    )


def _reason(laminate: Laminate, side: Side, bar: BarSetting | None, rest: Resting, *, slips: bool) -> str:
    part, units = laminate.arch.recipe.asked.part, laminate.arch.recipe.asked.units
    away = write_length(abs(rest.departure_mm), units)
    way = "outside" if rest.departure_mm > 0 else "inside"
    crown = f"{away} {way} the pressed curve at {write_length(rest.height_mm, units)} above the springing line"
    held = "the plies slip" if slips else "friction locks only part of the plies"
    if bar is None:
        return f"no bar holds the ends, and {held}, so that the part would stand {crown}"
    if side == "female":
        return f"the bar pushes out and cannot stop the legs from opening; {held}, so that the part would stand {crown}"
    inside = abs(rest.departure_mm) <= part.tolerance_mm
    limit = write_length(part.tolerance_mm, units)
    if inside:
        return f"held by the bar the part stands at most {crown}, within its tolerance of {limit}"
    return f"{held}, and held by the bar alone the part stands {crown}, its tolerance being {limit}"


def _lock_finding(
    laminate: Laminate, transfer: float, stretch: tuple[float, float] | None, share: float, friction: float
) -> Finding:
    half, units = laminate.pressed.length_mm / 2.0, laminate.arch.recipe.asked.units
    if stretch is None:
        known = math.isfinite(transfer)
        over = f"over {write_length(transfer, units)} from each end" if known else "nowhere without pressure"
        return Finding(
            code="press.plies-slip",
            severity=Severity.NOTE,
            message=f"Off the form the plies slip: friction of {friction:.2f} would lock them {over}, and half the "
            f"part is {write_length(half, units)}.",
            value=half,
            limit=transfer if math.isfinite(transfer) else None,
            unit="mm",
            source=_LOCK_SOURCE,
        )
    return Finding(
        code="press.plies-lock",
        severity=Severity.NOTE,
        message=f"Off the form friction of {friction:.2f} locks {share:.0%} of the plies' bend, from "
        f"{write_length(stretch[0], units)} to {write_length(stretch[1], units)} along the part; elsewhere they slide.",
        value=stretch[0],
        limit=half,
        unit="mm",
        source=_LOCK_SOURCE,
    )


def _tape_findings(laminate: Laminate, bar: BarSetting | None) -> list[Finding]:
    """Where setting the bar to the nearest mark alone moves the finished span past the tolerance."""
    if bar is None or not math.isfinite(bar.span_per_bar):
        return []
    part, units = laminate.arch.recipe.asked.part, laminate.arch.recipe.asked.units
    moved = abs(bar.tape_error_mm * bar.span_per_bar)
    if moved <= part.tolerance_mm:
        return []
    return [
        Finding(
            code="press.bar-tape",
            severity=Severity.WARNING,
            message=f"The nearest mark on the tape, {bar.tape}, moves the finished span by {write_fine(moved, units)}: "
            "set the bar with a stick cut to the length instead.",
            value=moved,
            limit=part.tolerance_mm,
            unit="mm",
            source="part.tolerance",
        )
    ]
