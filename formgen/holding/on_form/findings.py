"""Stage `holding`: what to say of the clamps that may come off and those that stay, in words of the shop.

In: an OnForm without findings. Out: the same with them; lengths as the recipe writes them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from formgen.findings import Finding, Severity
from formgen.holding.on_form.model import End, Lift, OnForm, StayingClamp
from formgen.lengths import Units, write_fine, write_tape

_SOURCE = "part.tolerance; lift of loose plies on one side of the form without friction between them, computed"
#: Distances within this are one and the same to a tape (mm).
ALIKE_MM = 0.5
#: A lift of more than so many tolerances is not told to the hundredth.
MANY = 10.0


def on_form_findings(found: OnForm, units: Units) -> OnForm:
    """The result with what somebody must know of it.

    Args:
        found: the lifts and the clamps that stay.
        units: of the recipe.
    """
    findings = [_off(found, units) if found.holds else _all_on(found, units)]
    slack = _slack(found, units)
    return replace(found, findings=(*findings, *([slack] if slack is not None else [])))


def staying_text(stays: Sequence[StayingClamp], units: Units) -> str:
    """The clamps that stay, in one line: feet, the pair with its distance, the rest.

    Args:
        stays: those clamps, by rising station.
        units: of the recipe.
    """
    texts = []
    feet = [c for c in stays if c.place == "foot" and not c.trim_line]
    trims = [c for c in stays if c.trim_line]
    ends = [c for c in stays if c.place == "end of the curve" and not c.trim_line]
    along = [c for c in stays if c.place == "along the curve" and not c.trim_line]
    if feet:
        texts.append(f"{'the feet' if len(feet) > 1 else f'the {feet[0].end} foot'}{_numbers(feet)}")
    texts.extend(_pair_texts(ends, units))
    if trims:
        where = "the trim lines" if len(trims) > 1 else f"the {trims[0].end} trim line"
        texts.append(f"at {where}{_numbers(trims)}")
    if along:
        at = " and ".join(write_tape(c.station_mm, units).removeprefix("≈ ") for c in along)
        texts.append(f"on the curve{_numbers(along)}, {at} from the right end")
    return "; ".join(texts)


def _pair_texts(ends: Sequence[StayingClamp], units: Units) -> list[str]:
    """The pair at the ends of the curve: as one where both stand equally far from their spring lines."""
    measured = [(c, c.beyond_springing_mm) for c in ends]
    texts, known = [], [(c, d) for c, d in measured if d is not None]
    alike = len(known) == 2 and abs(known[0][1] - known[1][1]) <= ALIKE_MM
    for clamps in [[c for c, _ in known]] if alike else [[c] for c, _ in known]:
        distance = clamps[0].beyond_springing_mm or 0.0
        far = write_tape(abs(distance), units).removeprefix("≈ ")
        way = "beyond the spring line, on the leg" if distance > 0.0 else "before the spring line, on the curve"
        who = "one at each end" if len(clamps) > 1 else f"one at the {clamps[0].end} end"
        texts.append(f"{who}{_numbers(clamps)}, {far} {way}")
    for c in (c for c, d in measured if d is None):
        at = write_tape(c.station_mm, units).removeprefix("≈ ")
        texts.append(f"one{_numbers([c])}, {at} from the right end, where the curve changes")
    return texts


def _numbers(clamps: Sequence[StayingClamp]) -> str:
    known = [str(c.clamp) for c in clamps if c.clamp is not None]
    if not known:
        return " (from the back of the form)"
    word = "clamps" if len(known) > 1 else "clamp"
    back = "" if len(known) == len(clamps) else ", the other from the back of the form"
    return f" ({word} {' and '.join(known)}{back})"


def _off(found: OnForm, units: Units) -> Finding:
    lift = found.staying[0]
    stays = staying_text(found.stays, units)
    alone = len(found.stays) <= len(("right", "left"))
    without = (
        ""
        if alone
        else f" With {_feet(found)} alone it would lift {_lifts(found.feet_alone, found.tolerance_mm, units)}."
    )
    return Finding(
        code="holding.clamps-off",
        severity=Severity.NOTE,
        message=f"Once the gauge reads full, clamps may come off. These stay: {stays}. "
        f"The part then lifts {write_fine(lift.lift_mm, units)} off the form at most; "
        f"{write_fine(found.tolerance_mm, units)} is allowed.{without}",
        value=lift.lift_mm,
        limit=found.tolerance_mm,
        unit="mm",
        source=_SOURCE,
    )


def _all_on(found: OnForm, units: Units) -> Finding:
    lift = found.staying[0]
    where = write_tape(lift.station_mm, units).removeprefix("≈ ")
    return Finding(
        code="holding.leave-clamps-on",
        severity=Severity.WARNING,
        message=f"Leave all clamps on until the glue has set: with {len(found.stays)} of them the part still lifts "
        f"{_lifts(lift, found.tolerance_mm, units)}, {where} from the right end; "
        f"{write_fine(found.tolerance_mm, units)} is allowed.",
        value=lift.lift_mm if lift.lift_mm < float("inf") else None,
        limit=found.tolerance_mm,
        unit="mm",
        source=_SOURCE,
    )


def _slack(found: OnForm, units: Units) -> Finding | None:
    """What slack costs; nothing where no length of the part lies over a bulge."""
    if found.per_slack < 1e-3:
        return None
    unit = 25.4 / 16.0 if units == "in" else 1.0
    step = "1/16 in" if units == "in" else "1 mm"
    marked = " (the usual figure)" if found.slack_usual else ""
    return Finding(
        code="holding.slack",
        severity=Severity.NOTE,
        message=f"Draw the plies tight from the crown outward: {step} of length left over lifts the part by "
        f"{write_fine(unit * found.per_slack, units)}. {write_fine(found.slack_mm, units)} is counted on{marked}.",
        value=found.per_slack,
        unit="",
        source="2e/θ over one arc, else computed; press.slack",
    )


def _feet(found: OnForm) -> str:
    """What holds the part where all but its outermost clamps are off."""
    ends: set[End] = {c.end for c in found.stays if c.place == "foot" and not c.trim_line}
    return "the feet" if len(ends) == 2 else "the outermost clamps"


def _lifts(lift: Lift, tolerance_mm: float, units: Units) -> str:
    """The lift; where it is many times the tolerance only that much, for the sums are for small lifts."""
    most = MANY * tolerance_mm
    return write_fine(lift.lift_mm, units) if lift.lift_mm <= most else f"more than {write_fine(most, units)}"
