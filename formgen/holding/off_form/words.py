"""Stage `holding`: the sentences about the part off the form, as a foreman says them.

In: the part at three frictions, what holds it, the tolerance. Out: a reason and findings, lengths as the recipe's.
It computes nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from formgen.findings import Finding, Severity
from formgen.holding.off_form.hanging import Hanging
from formgen.holding.spreader_bar import BarSetting
from formgen.lengths import Units, write_fine, write_tape

SOURCE = "plies sliding on each other against friction, held at their ends, large turns: computed"


@dataclass(frozen=True, kw_only=True)
class Case:
    """What is said something about.

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
    """Why the part may come off or stays, with the numbers at both ends of the range."""
    low, _, high = case.states
    held = f"held by the {case.held_by}" if case.holder is not None else "with nothing to hold its ends"
    off = _both_ends(case, *(f"{write_fine(state.furthest_mm, case.units)} off its curve" for state in (low, high)))
    return f"{held}, it stands {off}; {write_fine(case.tolerance_mm, case.units)} is allowed"


def _both_ends(case: Case, at_low: str, at_high: str) -> str:
    """What holds at the least and at the most friction, said once where it is the same."""
    if at_low == at_high:
        return at_low
    return f"{at_low} at a friction of {case.states[0].friction:.1f}, {at_high} at {case.states[2].friction:.1f}"


def findings_of(case: Case) -> tuple[Finding, ...]:
    """What somebody must know of the part off the form."""
    return (_friction(case), _advice(case), *_decides(case), *_blocks(case))


def _friction(case: Case) -> Finding:
    """How much of the curve friction holds at its usual value, and where."""
    usual = case.states[1]
    if usual.locked_mm is not None:
        begin, end = (_along(mm, case.units) for mm in usual.locked_mm)
        whole = usual.locked_share > 0.995
        return Finding(
            code="press.plies-lock",
            severity=Severity.NOTE,
            message=f"Off the form, friction ({usual.friction:.2f}) holds {usual.locked_share * 100:.0f} % of the "
            f"curve, from {begin.removesuffix(f' {case.units}')} to {end}{'.' if whole else '; the rest slips.'}",
            value=usual.locked_share,
            source=SOURCE,
        )
    half = _along(case.half_length_mm, case.units)
    needs = (
        f"it needs {_along(case.transfer_mm, case.units)} from each end to lock them, and half the part is {half}"
        if math.isfinite(case.transfer_mm)
        else "without pressure nothing locks them"
    )
    return Finding(
        code="press.plies-slip",
        severity=Severity.NOTE,
        message=f"Off the form, the plies slip along the whole part at a friction of {usual.friction:.2f}: {needs}.",
        value=case.half_length_mm,
        limit=case.transfer_mm if math.isfinite(case.transfer_mm) else None,
        unit="mm",
        source="ℓ = 1.5 M/(T μ q) from a free end: computed",
    )


def no_shape_found() -> Finding:
    """The part stays on the form, since nothing is known of it elsewhere."""
    return Finding(
        code="press.stay-on-form",
        severity=Severity.NOTE,
        message="Stays on the form while the glue sets: off it no shape was found in which its plies would rest.",
        source=SOURCE,
    )


def _advice(case: Case) -> Finding:
    may = all(case.fits)
    low, _, high = case.states
    does = f"May come off the form with the {case.held_by}" if may else "Stays on the form while the glue sets"
    finished = _both_ends(case, *(write_change(state.finished.span_change_mm, case.units) for state in (low, high)))
    return Finding(
        code="press.may-come-off" if may else "press.stay-on-form",
        severity=Severity.NOTE,
        message=f"{does}: {reason_of(case)}. Finished span: {finished}.",
        value=low.furthest_mm,
        limit=case.tolerance_mm,
        unit="mm",
        source=f"press.off_form_tolerance, or twice part.tolerance; {SOURCE}",
    )


def _decides(case: Case) -> list[Finding]:
    """Where the two ends of the range decide differently."""
    low, _, high = case.states
    if case.fits[0] or not case.fits[2]:
        return []
    return [
        Finding(
            code="press.friction-decides",
            severity=Severity.NOTE,
            message=f"Friction decides: at {high.friction:.1f} it holds the part off the form, at {low.friction:.1f} "
            "it does not. Keep the part on the form, or try one: measure the glued part at once, after 5 and after 30 "
            "minutes.",
            value=low.furthest_mm,
            limit=case.tolerance_mm,
            unit="mm",
            source="figures wet_glue_friction_least and wet_glue_friction_most",
        )
    ]


def _blocks(case: Case) -> list[Finding]:
    """Blocks under the jaws of a tie, where the ends lean too far for bare jaws."""
    sweep = math.degrees(case.sweep_rad)
    if case.held_by != "tie" or not all(case.fits) or sweep >= case.bare_jaw_sweep_deg:
        return []
    return [
        Finding(
            code="press.tie-blocks",
            severity=Severity.NOTE,
            message=f"The part turns through {sweep:.0f}°, so bare jaws slide off its ends: put blocks on the ends, "
            "square to the tie.",
            value=sweep,
            limit=case.bare_jaw_sweep_deg,
            unit="deg",
            source="figure bare_jaw_sweep_deg: common practice",
        )
    ]


def write_change(mm: float, units: Units) -> str:
    """How much wider or narrower a span is."""
    text = write_fine(abs(mm), units)
    if text == write_fine(0.0, units):
        return "true"
    return f"{text} {'wide' if mm > 0 else 'narrow'}"


def _along(mm: float, units: Units) -> str:
    """A place along the part, to 1/8 in or 1 mm."""
    return write_tape(mm, units, 8).removeprefix("≈ ")
