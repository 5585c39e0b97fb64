"""Stage `holding`: what to say of the clamps that may come off and those that stay, in words of the shop.

In: an OnForm without findings. Out: the same with them; lengths as the recipe writes them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from formgen.findings import Finding, finding, phrase
from formgen.form.curve_ends import End
from formgen.holding.on_form.model import TOLD_TO, Lift, OnForm, Place, StayingClamp
from formgen.lengths import Units
from formgen.units import MM_PER_IN

_OFF = "holding.clamps-off"
#: Distances within this are one and the same to a tape (mm).
ALIKE_MM = 0.5


def on_form_findings(found: OnForm, units: Units) -> OnForm:
    """The result with what somebody must know of it.

    Args:
        found: the lifts and the clamps that stay.
        units: of the recipe.
    """
    first = _off(found, units) if found.holds else _all_on(found, units)
    return replace(found, findings=(first, *_slack(found, units)))


def staying_text(stays: Sequence[StayingClamp], units: Units) -> str:
    """The clamps that stay, in one line: feet, the pair with its distance, the rest.

    Args:
        stays: those clamps, by rising station.
        units: of the recipe.
    """
    trims = [c for c in stays if c.trim_line]
    places: tuple[Place, ...] = ("foot", "end of the curve", "along the curve")
    feet, ends, along = ([c for c in stays if c.place == place and not c.trim_line] for place in places)
    texts = [phrase(_OFF, "feet", units, _which(feet), **_numbers(feet))] if feet else []
    texts.extend(_pair_texts(ends, units))
    if trims:
        texts.append(phrase(_OFF, "trims", units, _which(trims), **_numbers(trims)))
    if along:
        at = tuple(c.station_mm for c in along)
        texts.append(phrase(_OFF, "along", units, at=at, **_numbers(along)))
    return "; ".join(texts)


def _which(clamps: Sequence[StayingClamp]) -> str:
    return "both" if len(clamps) > 1 else clamps[0].end


def _pair_texts(ends: Sequence[StayingClamp], units: Units) -> list[str]:
    """The pair at the ends of the curve: as one where both stand equally far from their spring lines."""
    measured = [(c, c.beyond_springing_mm) for c in ends]
    texts, known = [], [(c, d) for c, d in measured if d is not None]
    alike = len(known) == 2 and abs(known[0][1] - known[1][1]) <= ALIKE_MM
    for clamps in [[c for c, _ in known]] if alike else [[c] for c, _ in known]:
        distance = clamps[0].beyond_springing_mm or 0.0
        far = {"far": abs(distance), "ends": _which(clamps)}
        texts.append(phrase(_OFF, "pair", units, "leg" if distance > 0.0 else "curve", **far, **_numbers(clamps)))
    changes = [c for c, d in measured if d is None]
    return texts + [phrase(_OFF, "pair", units, "change", far=c.station_mm, **_numbers([c])) for c in changes]


def _numbers(clamps: Sequence[StayingClamp]) -> dict[str, Any]:
    known = tuple(c.clamp for c in clamps if c.clamp is not None)
    if not known:
        return {"numbers": "back"}
    return {"numbers": "all" if len(known) == len(clamps) else "some", "clamps": known}


def _off(found: OnForm, units: Units) -> Finding:
    without: dict[str, Any] = {"without": "none"}
    if len(found.stays) > 2:
        without = {"without": _feet(found), **_lifts("alone", found.feet_alone, found.tolerance_mm)}
    return finding(
        _OFF,
        units,
        value=found.staying[0].lift_mm,
        limit=found.tolerance_mm,
        stays=staying_text(found.stays, units),
        **without,
    )


def _all_on(found: OnForm, units: Units) -> Finding:
    lift = found.staying[0]
    return finding(
        "holding.leave-clamps-on",
        units,
        value=lift.lift_mm if lift.lift_mm < float("inf") else None,
        limit=found.tolerance_mm,
        clamps=len(found.stays),
        where=lift.station_mm,
        **_lifts("lifts", lift, found.tolerance_mm),
    )


def _slack(found: OnForm, units: Units) -> Iterator[Finding]:
    """Say what slack costs; nothing where no length of the part lies over a bulge."""
    if found.per_slack < 1e-3:
        return
    step = float(MM_PER_IN) / 16.0 if units == "in" else 1.0
    yield finding(
        "holding.slack",
        units,
        value=found.per_slack,
        step=step,
        rise=step * found.per_slack,
        slack=found.slack_mm,
        usual=found.slack_usual,
    )


def _feet(found: OnForm) -> str:
    """Say what holds the part where all but its outermost clamps are off."""
    ends: set[End] = {c.end for c in found.stays if c.place == "foot" and not c.trim_line}
    return "feet" if len(ends) == 2 else "outer"


def _lifts(word: str, lift: Lift, tolerance_mm: float) -> dict[str, Any]:
    """The lift; where it is too large for the sums only how many tolerances it is more than."""
    told = lift.lift_mm < float("inf")
    return {word: "lift" if told else "more", "lift": lift.lift_mm if told else TOLD_TO * tolerance_mm}
