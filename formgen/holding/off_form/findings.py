"""Stage `holding`: what is found of the part off the form.

In: the part at three frictions, what holds it, the tolerance. Out: a reason and findings, lengths as the recipe's.
It computes nothing.
"""

from __future__ import annotations

import math
from typing import Any

from formgen.findings import Finding, finding, phrase
from formgen.findings.wording import change_text
from formgen.fixed import fixed
from formgen.holding.off_form.hanging import Hanging
from formgen.holding.spreader_bar import BarSetting
from formgen.lengths import Units, write_fine

#: A part of which more than this share is locked has no rest that slips.
ALL_OF_IT = 0.995


@fixed
class Case:
    """The facts that the findings are made of.

    Args:
        units: of the recipe.
        held_by, holder: bar, tie or nothing, and its setting.
        tolerance_mm: how far the part may be off.
        states: at the least, usual and most friction.
        fits: whether each is within the tolerance, with something that holds.
        transfer_mm, half_length_mm: what friction at its usual value needs from each end to lock, and half the part.
        sweep_rad: turn of the whole part.
        bare_jaw_sweep_deg: sweep under which bare jaws slide off the two ends.
    """

    units: Units
    held_by: str
    holder: BarSetting | None
    tolerance_mm: float
    states: tuple[Hanging, Hanging, Hanging]
    fits: tuple[bool, bool, bool]
    transfer_mm: float
    half_length_mm: float
    sweep_rad: float
    bare_jaw_sweep_deg: float


def reason_of(case: Case) -> str:
    """Say why the part may come off or stays, with the numbers at both ends of the range."""
    return phrase("press.may-come-off", "reason", case.units, tolerance=case.tolerance_mm, **_stands(case))


def _stands(case: Case) -> dict[str, Any]:
    """Word how far the part stands off its curve at the least and the most friction, once where it is the same."""
    low, _, high = case.states
    same = write_fine(low.furthest_mm, case.units) == write_fine(high.furthest_mm, case.units)
    return {
        "held": case.held_by if case.holder is not None else "nothing",
        "off": "same" if same else "apart",
        "low": low.furthest_mm,
        "high": high.furthest_mm,
        "least": low.friction,
        "most": high.friction,
    }


def findings_of(case: Case) -> tuple[Finding, ...]:
    """List what somebody must know of the part off the form."""
    return (_friction(case), _advice(case), *_decides(case), *_blocks(case))


def _friction(case: Case) -> Finding:
    """Return how much of the curve friction holds at its usual value, and where."""
    usual = case.states[1]
    if usual.locked_mm is not None:
        share = usual.locked_share
        rest = share <= ALL_OF_IT
        return finding(
            "press.plies-lock", case.units, value=share, friction=usual.friction, along=usual.locked_mm, rest=rest
        )
    finite = math.isfinite(case.transfer_mm)
    return finding(
        "press.plies-slip",
        case.units,
        value=case.half_length_mm,
        limit=case.transfer_mm if finite else None,
        friction=usual.friction,
        needs="length" if finite else "pressure",
    )


def no_shape_found(units: Units) -> Finding:
    """The part stays on the form, since nothing is known of it elsewhere."""
    return finding("press.stay-on-form", units, "unknown")


def _advice(case: Case) -> Finding:
    low, _, high = case.states
    spans = (low.finished.span_change_mm, high.finished.span_change_mm)
    same = change_text(spans[0], case.units) == change_text(spans[1], case.units)
    said = {
        **_stands(case),
        "value": low.furthest_mm,
        "limit": case.tolerance_mm,
        "span": "same" if same else "apart",
        "low_span": spans[0],
        "high_span": spans[1],
    }
    if all(case.fits):
        return finding("press.may-come-off", case.units, holder=case.held_by, **said)
    return finding("press.stay-on-form", case.units, "off", **said)


def _decides(case: Case) -> list[Finding]:
    """List where the two ends of the range decide differently."""
    low, _, high = case.states
    if case.fits[0] or not case.fits[2]:
        return []
    friction = {"least": low.friction, "most": high.friction}
    return [finding("press.friction-decides", case.units, value=low.furthest_mm, limit=case.tolerance_mm, **friction)]


def _blocks(case: Case) -> list[Finding]:
    """Blocks under the jaws of a tie, where the ends lean too far for bare jaws."""
    sweep = math.degrees(case.sweep_rad)
    if case.held_by != "tie" or not all(case.fits) or sweep >= case.bare_jaw_sweep_deg:
        return []
    angle = {"value": sweep, "limit": case.bare_jaw_sweep_deg}
    return [finding("press.tie-blocks", case.units, **angle, sweep=case.sweep_rad)]
