"""Stage `holding`: clamps on the form: the force on each leg, where they go, the order in which they come off.

In: a Laminate, the side of the form, the places of the clamp reliefs and the width of a jaw. Out: a ClampPlan in mm, N.
It places no reliefs and asks nothing of the vacuum, which helps where there is one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from formgen.curve.across import same_place
from formgen.curve.arcspline import ArcSpline
from formgen.errors import PressError
from formgen.findings import Finding, Severity
from formgen.holding.leg_force import STRAIGHT_PER_MM, LegForce, leg_force, leg_force_findings
from formgen.laminate.plies import Laminate
from formgen.lengths import write_length
from formgen.press.film import Side


@dataclass(frozen=True, kw_only=True)
class ClampPlace:
    """One clamp, in a relief.

    Args:
        number: counted from the right end, from 1, as the reliefs are.
        station_mm: on the pressed centre line.
        height_mm: y there.
        on_curve: whether the jaw bears on a curve rather than a straight leg.
        face_radius_mm: least radius of the face under the jaw; infinite on a leg.
        flat_mm: how deep a flat jaw and that curve differ, c²/(8R); 0 on a leg.
    """

    number: int
    station_mm: float
    height_mm: float
    on_curve: bool
    face_radius_mm: float
    flat_mm: float


@dataclass(frozen=True, kw_only=True)
class ClampPlan:
    """The clamps of a form.

    Args:
        places: from the right end, one to a relief.
        legs: right and left end.
        jaw_mm: width of a jaw along the part.
        release: numbers of the clamps in the order in which they come off, those of one pair together: crown
            first, bottom pair last. They go on in the same order, so that the plies slide towards their ends.
        findings: force, flat spots, order.
    """

    places: tuple[ClampPlace, ...]
    legs: tuple[LegForce, ...]
    jaw_mm: float
    release: tuple[tuple[int, ...], ...]
    findings: tuple[Finding, ...] = ()


def clamp_plan(laminate: Laminate, relief_stations_mm: Sequence[float], side: Side, jaw_mm: float) -> ClampPlan:
    """Clamps in the reliefs.

    Args:
        laminate: the plies, pressed.
        relief_stations_mm: stations of the reliefs on the pressed centre line, see `on_centre_line`; may be none.
        side: side of the form; the moving jaw bears on the face of the part that is turned away from it.
        jaw_mm: width of the jaw, or of the block under it, along the part.

    Raises:
        PressError: a jaw without width, or a relief that does not lie on the part.
    """
    pressed = laminate.pressed
    stations = sorted(relief_stations_mm)
    if not jaw_mm > 0:
        raise PressError(f"clamp jaw = {jaw_mm} mm, expected above 0; measure the jaw or the block under it")
    if stations and not (stations[0] >= -1e-6 and stations[-1] <= pressed.length_mm + 1e-6):
        raise PressError(
            f"clamp reliefs lie from {stations[0]:.1f} to {stations[-1]:.1f} mm, expected on the part, "
            f"0 to {pressed.length_mm:.1f} mm; move them"
        )
    places = tuple(_place(laminate, i + 1, s, side, jaw_mm) for i, s in enumerate(stations))
    legs = tuple(leg_force(laminate, stations, side, right=right) for right in (True, False)) if stations else ()
    release = release_order(stations, sum(laminate.springing_mm) / 2.0)
    return ClampPlan(
        places=places,
        legs=legs,
        jaw_mm=jaw_mm,
        release=release,
        findings=(
            *leg_force_findings(legs, laminate.arch.recipe.asked.units),
            *_flat_findings(laminate, places, jaw_mm),
        ),
    )


def on_centre_line(laminate: Laminate, face: ArcSpline, stations_mm: Sequence[float]) -> tuple[float, ...]:
    """Stations on the pressed centre line square across from stations on the form face (`Pressing.face`, no run-on)."""
    return tuple(same_place(face, laminate.pressed, s) for s in stations_mm)


def release_order(stations_mm: Sequence[float], crown_mm: float) -> tuple[tuple[int, ...], ...]:
    """Numbers (from 1, by rising station) of clamps in the order of release, from the crown outward in pairs.

    A clamp nearer to the crown than a quarter of the least distance between two clamps comes off alone, and so do those
    near it of which one side has more than the other; then one from the right together with one from the left, outward.
    Common practice, no source: the crown has least to hold, and the bottom pair keeps the legs down until
    all else is free.
    """
    order = sorted(range(len(stations_mm)), key=lambda i: stations_mm[i])
    ordered = [stations_mm[i] for i in order]
    gaps = [b - a for a, b in pairwise(ordered)]
    near = 0.25 * min(gaps) if gaps else math.inf
    alone = [n for n, s in enumerate(ordered, 1) if abs(s - crown_mm) <= near]
    right = [n for n, s in enumerate(ordered, 1) if s < crown_mm and n not in alone][::-1]
    left = [n for n, s in enumerate(ordered, 1) if s >= crown_mm and n not in alone]
    pairs = min(len(right), len(left))
    # Pairs are counted from the ends, so that the bottom pair is one from each end; the longer side begins alone.
    steps = [(n,) for n in (*alone, *right[: len(right) - pairs], *left[: len(left) - pairs])]
    paired = zip(right[len(right) - pairs :], left[len(left) - pairs :], strict=True)
    return (*steps, *paired)


def _place(laminate: Laminate, number: int, station_mm: float, side: Side, jaw_mm: float) -> ClampPlace:
    pressed = laminate.pressed
    away = (-1 if side == "male" else 1) * laminate.thickness_mm / 2.0
    low, high = max(station_mm - jaw_mm / 2.0, 0.0), min(station_mm + jaw_mm / 2.0, pressed.length_mm)
    tightest = 0.0
    for (length, k), begin in zip(pressed.pieces, pressed.stations_mm, strict=False):
        if begin < high - 1e-9 and begin + length > low + 1e-9 and abs(k) > STRAIGHT_PER_MM:
            tightest = max(tightest, abs(k / (1.0 - k * away)))
    return ClampPlace(
        number=number,
        station_mm=station_mm,
        height_mm=pressed.pose(min(max(station_mm, 0.0), pressed.length_mm)).y_mm,
        on_curve=tightest > 0.0,
        face_radius_mm=1.0 / tightest if tightest > 0.0 else math.inf,
        flat_mm=jaw_mm**2 * tightest / 8.0,
    )


def _flat_findings(laminate: Laminate, places: Sequence[ClampPlace], jaw_mm: float) -> list[Finding]:
    part, units = laminate.arch.recipe.asked.part, laminate.arch.recipe.asked.units
    flat = [p for p in places if p.flat_mm > part.tolerance_mm]
    if not flat:
        return []
    worst = max(flat, key=lambda p: p.flat_mm)
    numbers = ", ".join(str(p.number) for p in flat)
    longest = math.sqrt(8.0 * worst.face_radius_mm * part.tolerance_mm)
    return [
        Finding(
            code="press.flat-spot",
            severity=Severity.WARNING,
            message=f"A flat jaw of {write_length(jaw_mm, units)} leaves a flat spot on the curve at clamp {numbers}: "
            f"put a block cut to the radius under it, or bear on no more than {write_length(longest, units)} along it.",
            value=worst.flat_mm,
            limit=part.tolerance_mm,
            unit="mm",
            source="sagitta under the jaw, c²/(8R), against part.tolerance",
        )
    ]
