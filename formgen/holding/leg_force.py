"""Stage `holding`: the force that holds each end of the loose plies down on the form.

In: a Laminate, the side of the form and the places of the clamps. Out: N, N·mm and mm for the part's depth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from formgen.findings import Finding, Severity
from formgen.holding.off_form.friction import Stack
from formgen.laminate.plies import Laminate
from formgen.lengths import Units
from formgen.press.amounts import force_text
from formgen.press.film import Side
from formgen.units import STANDARD_GRAVITY_M_PER_S2

STANDARD_GRAVITY = float(STANDARD_GRAVITY_M_PER_S2)

#: A run of the part that is straighter than this takes a flat jaw without a mark (1/mm).
STRAIGHT_PER_MM = 1e-9


@dataclass(frozen=True, kw_only=True)
class LegForce:
    """What holds one end of the part down on the form.

    Args:
        end: `right` or `left`.
        bears: where the force is needed: at the `end of the leg` where the form lies on the concave side, so that
            the legs lift; at the `springing` where it lies on the convex side: the legs then press on the form by
            themselves and the plies stand off where the curve begins. `end` and `second clamp` where there is no leg.
        lever_mm: length of the leg; without one, distance between the last two clamps at that end.
        has_leg: whether the lever is a leg.
        moment_n_mm: of the loose plies where the curve ends, for the part's depth.
        force_n: moment over lever; None where there is no lever.
        clamps: how many clamps bear on the leg; 1 at an end without one.
    """

    end: Literal["right", "left"]
    bears: Literal["end of the leg", "springing", "end", "second clamp"]
    lever_mm: float
    has_leg: bool
    moment_n_mm: float
    force_n: float | None
    clamps: int


def leg_force(laminate: Laminate, stations_mm: Sequence[float], side: Side, *, right: bool) -> LegForce:
    """Force on one end: F = M / leg.

    Args:
        laminate: the plies, pressed.
        stations_mm: of all clamps, on the pressed centre line.
        side: side of the form.
        right: the right end rather than the left.

    Assumptions:
        The moment of the loose plies where the curve ends is held by a couple of two forces a leg's length apart, one
        from the form and one from clamps; several clamps share it. Vacuum, which helps, is left out.

    Reference:
        Equilibrium of the leg: computed.
    """
    pressed = laminate.pressed
    pieces = pressed.pieces if right else pressed.pieces[::-1]
    leg = 0.0
    curvature = 0.0
    for length, k in pieces:
        if abs(k) > STRAIGHT_PER_MM:
            curvature = k
            break
        leg += length
    # friction and pressure play no part in the moment
    moment = Stack.of(laminate, 0.0, 0.0).moment_n(curvature) * laminate.arch.recipe.asked.part.depth_mm
    ordered = sorted(s if right else pressed.length_mm - s for s in stations_mm)
    has_leg = 0.0 < leg < pressed.length_mm
    lever = leg if has_leg else (ordered[1] - ordered[0] if len(ordered) > 1 else 0.0)
    lifts = (curvature > 0.0) == (side == "male")  # the form lies on the concave side, the ends stand off it
    bears: Literal["end of the leg", "springing", "end", "second clamp"]
    bears = ("end of the leg" if lifts else "springing") if has_leg else ("end" if lifts else "second clamp")
    return LegForce(
        end="right" if right else "left",
        bears=bears,
        lever_mm=lever,
        has_leg=has_leg,
        moment_n_mm=moment,
        force_n=moment / lever if lever > 0.0 else None,
        clamps=sum(s <= leg + 1e-6 for s in ordered) if has_leg else 1,
    )


def leg_force_findings(legs: Sequence[LegForce], units: Units) -> list[Finding]:
    """What to say about the end that needs the greater force, and of legs without a clamp."""
    known = [leg for leg in legs if leg.force_n is not None]
    if not known:
        return []
    worst = max(known, key=lambda leg: leg.force_n or 0.0)
    force = worst.force_n or 0.0
    # In kg as well: that is what a hand can judge.
    felt = force_text(force / 1000.0, units) if units == "in" else f"{force:.0f} N ({force / STANDARD_GRAVITY:.0f} kg)"
    where = {
        "end of the leg": "the legs lift: a clamp at the end of each leg holds it",
        "end": "the ends lift: a clamp holds them",
        "springing": "the legs press on the form by themselves, and the plies stand off where "
        "the curve begins: a clamp there closes them",
        "second clamp": "the ends press on the form by themselves, and the plies stand off "
        "next to them: a clamp there closes them",
    }[worst.bears]
    found = [
        Finding(
            code="press.leg-force",
            severity=Severity.NOTE,
            message=f"With up to {felt} at the {worst.end} end {where}. "
            "On and off again: crown first, bottom pair last.",
            value=force,
            unit="N",
            source="moment of the loose plies over the length of the leg, computed; order of clamps: "
            "common practice, no source",
        )
    ]
    bare = [leg for leg in known if leg.bears == "end of the leg" and leg.clamps == 0]
    ends = " and the ".join(leg.end for leg in bare)
    if bare:
        found.append(
            Finding(
                code="press.leg-no-clamp",
                severity=Severity.WARNING,
                message=f"No clamp relief lies on the {ends} leg: clamp its end from the back of the form, "
                "or set the reliefs closer (form.clamp_reliefs.spacing).",
                value=0.0,
                limit=1.0,
                unit="clamps",
                source="common practice, no source",
            )
        )
    return found
