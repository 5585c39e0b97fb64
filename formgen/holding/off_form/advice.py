"""Stage `holding`: may the part come off the form in its bag, held by a bar or a tie, before the glue has set?

In: a Pressing and the height of the form's bar. Out: an OffForm in mm, kPa and N: the part at the least, the usual and
the most friction, what to set bar or tie to, the advice and its findings. The shapes come from `hanging.py`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Literal

from formgen.findings import Finding, finding, phrase
from formgen.findings.wording import change_text
from formgen.fixed import fixed
from formgen.holding.off_form.friction import Stack
from formgen.holding.off_form.hanging import Hanging, hang
from formgen.holding.spreader_bar import BarSetting, bar_setting, tie_setting
from formgen.laminate.plies import Laminate
from formgen.lengths import Units, write_fine
from formgen.press.film import Side
from formgen.press.setup import Pressing
from formgen.recipe.figures import figure
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop

Advice = Literal["may come off with the bar", "may come off with the tie", "stay on the form"]
HeldBy = Literal["bar", "tie", "nothing"]
#: What to do, by what holds the part within its tolerance.
ADVICE: Mapping[HeldBy, Advice] = {
    "bar": "may come off with the bar",
    "tie": "may come off with the tie",
    "nothing": "stay on the form",
}

#: Unless `press.off_form_tolerance` says otherwise, the part may be off by so many times its own tolerance.
USUAL_TIMES_TOLERANCE = 2.0
#: A part of which more than this share is locked has no rest that slips.
ALL_OF_IT = 0.995


@fixed
class OffForm:
    """The part off the form, in its bag, before the glue has set.

    Args:
        side: side of the form that it leaves.
        pressure_kpa: pressure of the bag, which presses ply on ply and makes friction.
        depth_mm: depth of the part that forces are for.
        held_by: `bar` across the outside of the legs, `tie` across the two ends, or `nothing` where neither can hold.
        bar: the setting of that bar or tie; None where nothing holds.
        tolerance_mm: how far the part may be off, in its bag or finished, to come off the form.
        least, usual, most: the part at the least, the usual and the most friction between wet plies.
        departure_mm: greatest distance from the pressed curve in the bag, at the usual friction, positive outside.
        bar_force_n: greatest pull of bar or tie over that range, for the part's depth.
        may_come_off: the part stays within the tolerance over the whole range, and something holds it.
        friction_decides: it does so at the most friction and not at the least.
        advice, reason: what to do, and why.
        findings: the same with limits and sources.
    """

    side: Side
    pressure_kpa: float
    depth_mm: float
    held_by: HeldBy
    bar: BarSetting | None
    tolerance_mm: float
    least: Hanging
    usual: Hanging
    most: Hanging
    departure_mm: float
    bar_force_n: float
    may_come_off: bool
    friction_decides: bool
    advice: Advice
    reason: str = ""
    findings: tuple[Finding, ...] = ()


def off_the_form(
    pressing: Pressing, bar_height_mm: float | None, *, pressure_kpa: float | None = None,
    frictions: tuple[float, float, float] | None = None,
) -> OffForm:  # fmt: skip
    """Tell whether the part may come off the form in its bag, and the shape that it takes if it does.

    Args:
        pressing: the part on its form, either side.
        bar_height_mm: y of the form's bar, at which a bar then goes across the outside; None where the form has no
            seat for one: then a tie across the two ends holds an arch.
        pressure_kpa: pressure of ply on ply; None for what the bag holds.
        frictions: least, usual and most friction between wet plies, 0 or more; None for the figures.

    Raises:
        PressError: the part does not reach the bar on both legs.
        NoRestError: no shape at rest is found.

    Assumptions:
        Those of `hang`. An arch that bends both ways has no tie: pulled at its ends it folds.
    """
    laminate = pressing.laminate
    recipe = laminate.recipe
    pressure = pressing.pressure_kpa if pressure_kpa is None else pressure_kpa
    held_by, holder = _holder(pressing, bar_height_mm)
    least, usual, most = (
        hang(laminate, pressure, friction, holder) for friction in frictions or friction_range(recipe.shop)
    )
    tolerance = off_form_tolerance_mm(recipe)
    fits = [holder is not None and state.furthest_mm <= tolerance for state in (least, usual, most)]
    found = OffForm(
        side=pressing.side,
        pressure_kpa=pressure,
        depth_mm=recipe.part.depth_mm,
        held_by=held_by,
        bar=holder,
        tolerance_mm=tolerance,
        least=least,
        usual=usual,
        most=most,
        departure_mm=usual.in_bag.departure_mm,
        bar_force_n=max(state.force_n_per_mm for state in (least, usual, most)) * recipe.part.depth_mm,
        may_come_off=all(fits),
        friction_decides=fits[2] and not fits[0],
        advice=ADVICE[held_by if all(fits) else "nothing"],
    )
    reason = phrase("press.may-come-off", "reason", recipe.units, tolerance=tolerance, **_stands(found, recipe.units))
    return replace(found, reason=reason, findings=_findings(found, laminate))


def friction_range(shop: Shop) -> tuple[float, float, float]:
    """Least, usual and most friction between wet plies; the shop's own usual value widens the range if it must."""
    least, usual, most = (figure(f"wet_glue_friction{end}", shop).value for end in ("_least", "", "_most"))
    return min(least, usual), usual, max(usual, most)


def off_form_tolerance_mm(recipe: Recipe) -> float:
    """Find how far the part may be off: `press.off_form_tolerance`, or twice the part's tolerance."""
    own = recipe.asked.press.off_form_tolerance_mm
    return USUAL_TIMES_TOLERANCE * recipe.part.tolerance_mm if own is None else own


def _holder(pressing: Pressing, bar_height_mm: float | None) -> tuple[HeldBy, BarSetting | None]:
    """A bar across the outside of the legs where the form has one, a tie across the ends of any other arch."""
    if bar_height_mm is not None:
        return "bar", bar_setting(pressing, "outside", bar_height_mm)
    return ("tie", tie_setting(pressing)) if _bends_one_way(pressing.laminate) else ("nothing", None)


def _bends_one_way(laminate: Laminate) -> bool:
    """The inside of the curve lies to the left all along, and the ends face each other."""
    least, most = laminate.pressed.curvature_range_per_mm
    return least >= 0.0 and most > 0.0


def _findings(found: OffForm, laminate: Laminate) -> tuple[Finding, ...]:
    """List what somebody must know of the part off the form."""
    units = laminate.recipe.units
    return (_friction(found, laminate), _advice(found, units), *_decides(found, units), *_blocks(found, laminate))


def _stands(found: OffForm, units: Units) -> dict[str, Any]:
    """Word how far the part stands off its curve at the least and the most friction, once where it is the same."""
    low, high = found.least, found.most
    same = write_fine(low.furthest_mm, units) == write_fine(high.furthest_mm, units)
    return {
        "held": found.held_by,
        "off": "same" if same else "apart",
        "low": low.furthest_mm,
        "high": high.furthest_mm,
        "least": low.friction,
        "most": high.friction,
    }


def _friction(found: OffForm, laminate: Laminate) -> Finding:
    """Return how much of the curve friction holds at its usual value, and where, or what it would need to lock."""
    usual, units, pressed = found.usual, laminate.recipe.units, laminate.pressed
    if usual.locked_mm is not None:
        lock = {"value": usual.locked_share, "rest": usual.locked_share <= ALL_OF_IT}
        return finding("press.plies-lock", units, **lock, friction=usual.friction, along=usual.locked_mm)
    stack = Stack.of(laminate, found.pressure_kpa, usual.friction)
    transfer = stack.transfer_mm(1.0 / pressed.tightest_radius_mm)
    finite = math.isfinite(transfer)
    return finding(
        "press.plies-slip",
        units,
        value=pressed.length_mm / 2.0,
        limit=transfer if finite else None,
        friction=usual.friction,
        needs="length" if finite else "pressure",
    )


def no_shape_found(units: Units) -> Finding:
    """The part stays on the form, since nothing is known of it elsewhere."""
    return finding("press.stay-on-form", units, "unknown")


def _advice(found: OffForm, units: Units) -> Finding:
    low, high = (state.finished.span_change_mm for state in (found.least, found.most))
    said = {
        **_stands(found, units),
        "value": found.least.furthest_mm,
        "limit": found.tolerance_mm,
        "span": "same" if change_text(low, units) == change_text(high, units) else "apart",
        "low_span": low,
        "high_span": high,
    }
    if found.may_come_off:
        return finding("press.may-come-off", units, holder=found.held_by, **said)
    return finding("press.stay-on-form", units, "off", **said)


def _decides(found: OffForm, units: Units) -> list[Finding]:
    """List where the two ends of the range decide differently."""
    if not found.friction_decides:
        return []
    values = {"value": found.least.furthest_mm, "limit": found.tolerance_mm}
    friction = {"least": found.least.friction, "most": found.most.friction}
    return [finding("press.friction-decides", units, **values, **friction)]


def _blocks(found: OffForm, laminate: Laminate) -> list[Finding]:
    """Blocks under the jaws of a tie, where the ends lean too far for bare jaws."""
    recipe, sweep = laminate.recipe, abs(laminate.pressed.sweep_rad)
    angle = {"value": math.degrees(sweep), "limit": figure("bare_jaw_sweep_deg", recipe.shop).value}
    if found.held_by != "tie" or not found.may_come_off or angle["value"] >= angle["limit"]:
        return []
    return [finding("press.tie-blocks", recipe.units, **angle, sweep=sweep)]
