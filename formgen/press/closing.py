"""Stage `press`: whether the pressure bends the loose stack to the form, and whether its plies close.

In: plies, pressed curve, form side, waste at the ends, pressure. Out: pressure needed, gaps; N, mm, kPa, MPa.
Moments are per mm of the part's depth, so N·mm/mm = N. Clamps and bar are not counted: this is the pressure alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding, Severity
from formgen.laminate.plies import Ply
from formgen.lengths import Units, write_fine
from formgen.press.ends import LEG_SHARE, LEG_ZONE, EndLift, lifted_end
from formgen.press.film import Side


@dataclass(frozen=True, kw_only=True)
class Closing:
    """What the pressure does to the stack.

    Args:
        held_kpa: the pressure.
        moment_n: bending moment of the loose stack at its tightest station, N·mm per mm of depth.
        tightest_mm: that station, on the pressed centre line.
        needed_kpa: pressure that bends the stack to the form there.
        ends: right, left.
        ply: number of the ply that is hardest to press flat.
        hollow_mm: shortest hollow in it that the pressure closes to what the glue bridges; 0 where glue bridges all.
        hollow_likely_mm: length of the hollows that planing leaves.
    """

    held_kpa: float
    moment_n: float
    tightest_mm: float
    needed_kpa: float
    ends: tuple[EndLift, EndLift]
    ply: int
    hollow_mm: float
    hollow_likely_mm: float

    @property
    def plies_close(self) -> bool:
        """Whether the plies bend shut on the hollows that they are likely to have."""
        return self.hollow_mm <= self.hollow_likely_mm


def loose_stiffness_n_mm(plies: Sequence[Ply]) -> float:
    """Bending stiffness of the loose stack for each mm of depth: Σ E t³/12, N·mm."""
    return math.fsum(p.modulus_mpa * p.thickness_mm**3 for p in plies) / 12.0


def pressure_needed_mpa(moment_n: float, chord_mm: float) -> float:
    """Pressure on a free length that brings moment M to its root: q = 2M/c², c the chord to the free end.

    Assumptions:
        The same pressure everywhere, square to the stack; then its resultant is q times the chord, square to the
        chord at its middle, whatever the curve between.

    Reference:
        Statics of a uniform normal pressure on an arc.
    """
    return 2.0 * moment_n / chord_mm**2


def closed_hollow_mm(stiffness_n_mm: float, depth_mm: float, pressure_mpa: float) -> float:
    """Shortest hollow of a depth that pressure closes: L = (384 D w/q)^¼.

    Assumptions:
        A strip of the ply held fast at both rims of the hollow.

    Reference:
        Clamped strip under uniform load, w = qL⁴/(384D) (Timoshenko and Woinowsky-Krieger, Theory of Plates and
        Shells, 2nd ed., ch. 1).
    """
    return float((384.0 * stiffness_n_mm * max(depth_mm, 0.0) / pressure_mpa) ** 0.25)


def plan_closing(
    plies: Sequence[Ply],
    pressed: ArcSpline,
    waste_mm: tuple[float, float],
    side: Side,
    held_kpa: float,
    hollow: tuple[float, float],
) -> Closing:
    """What the pressure does to these plies.

    Args:
        plies: the stack.
        pressed: centre line in the press along the finished part.
        waste_mm: ply past the finished part at the right and the left end.
        side: of the form.
        held_kpa: gauge.
        hollow: depth (less what the glue bridges) and likely length of hollows in a ply, mm.
    """
    q = held_kpa / 1000.0
    stiffness = loose_stiffness_n_mm(plies)
    station, needed = _tightest(pressed, waste_mm, side, stiffness)
    stiffest = max(plies, key=lambda p: p.modulus_mpa * p.thickness_mm**3)
    ends = (
        lifted_end("right", pressed.pieces, waste_mm[0], side, stiffness, q),
        lifted_end("left", pressed.pieces[::-1], waste_mm[1], side, stiffness, q),
    )
    return Closing(
        held_kpa=held_kpa,
        moment_n=stiffness * abs(pressed.curvature_at(station)),
        tightest_mm=station,
        needed_kpa=1000.0 * needed,
        ends=ends,
        ply=stiffest.number,
        hollow_mm=closed_hollow_mm(loose_stiffness_n_mm([stiffest]), hollow[0], q),
        hollow_likely_mm=hollow[1],
    )


def closing_findings(closing: Closing, tolerance_mm: float, bridges_mm: float, units: Units) -> list[Finding]:
    """Enough pressure or not: to bend the stack, to hold its ends down, to shut the plies on each other.

    Args:
        closing: what the pressure does.
        tolerance_mm: of the part.
        bridges_mm: how thick a line the glue bridges.
        units: in which they are written.
    """
    enough = closing.needed_kpa <= closing.held_kpa
    found = [
        Finding(
            code="press.pulls-to-form" if enough else "press.too-stiff",
            severity=Severity.NOTE if enough else Severity.PROBLEM,
            message=(
                "The vacuum alone bends the loose stack to the form at its tightest station."
                if enough
                else "The vacuum alone does not bend the loose stack to the form at its tightest station: use thinner "
                "plies, run them longer, or draw them down with clamps and a caul before pumping."
            ),
            value=closing.needed_kpa,
            limit=closing.held_kpa,
            unit="kPa",
            source="statics: q = 2M/c², M = Σ E t³/12 · κ of the loose plies, c the chord to the nearer end; "
            "hollows as beams on the form",
        )
    ]
    worst = max(closing.ends, key=lambda e: e.gap_mm)
    if worst.gap_mm > tolerance_mm:
        found.append(
            Finding(
                code="press.end-stands-off",
                severity=Severity.WARNING,
                message=(
                    f"Under the vacuum alone the finished {worst.where} end stands off the form: run the plies "
                    "longer there (part.end_trim), by what the check's table gives, or clamp the end down."
                ),
                value=worst.gap_mm,
                limit=tolerance_mm,
                unit="mm",
                source="part.tolerance; strip on a rigid form under pressure, computed",
            )
        )
    return [*found, _plies_finding(closing, write_fine(bridges_mm, units))]


def _plies_finding(closing: Closing, bridges: str) -> Finding:
    if closing.plies_close:
        said = f"ply {closing.ply}, the stiffest, bends shut on hollows as short as this; planing leaves longer ones"
        if closing.hollow_mm == 0.0:
            said = f"the glue bridges {bridges}, deeper than the hollows that planing leaves"
        message = f"The vacuum closes the stack: {said}."
    else:
        message = (
            f"The vacuum does not close the stack: ply {closing.ply} shuts only on hollows longer than this, and "
            f"planing leaves shorter ones; the glue bridges {bridges} of their depth: use thinner plies, "
            "plane better, or take a glue that bridges more."
        )
    return Finding(
        code="press.plies-close" if closing.plies_close else "press.plies-gape",
        severity=Severity.NOTE if closing.plies_close else Severity.WARNING,
        message=message,
        value=closing.hollow_mm or None,
        limit=closing.hollow_likely_mm if closing.hollow_mm else None,
        unit="mm",
        source="clamped strip w = qL⁴/(384D); hollow depth and length in figures (common practice, no source)",
    )


def bridged_needed_mpa(moment_n: float, length_mm: float) -> float:
    """Pressure that presses the stack into a hollow of the form, straight on both sides, down to its middle.

    The lifted zones at both springings, each √(2√3 · M/q) long with 0.789 of it in the hollow, then meet in the middle.

    Assumptions:
        As for a lifted end beside a leg; small gaps.

    Reference:
        Beam on a rigid form, derived here; checked against an obstacle problem solved on a grid.
    """
    return LEG_ZONE * LEG_SHARE**2 * moment_n / (length_mm / 2.0) ** 2


def _tightest(pressed: ArcSpline, waste_mm: tuple[float, float], side: Side, stiffness: float) -> tuple[float, float]:
    """The tightest station, as far from the ends as it goes, and the greatest pressure needed anywhere, MPa."""
    whole = pressed.extended(*waste_mm)
    tightest = max(abs(k) for _, k in pressed.pieces)
    best = (-1.0, pressed.length_mm / 2.0)
    for i, (length, curvature) in enumerate(pressed.pieces):
        if abs(curvature) >= 0.999 * tightest > 0.0:
            middle = float(pressed.stations_mm[i]) + length / 2.0
            here = whole.pose(waste_mm[0] + middle)
            chord = min(math.dist((here.x_mm, here.y_mm), (p.x_mm, p.y_mm)) for p in (whole.start, whole.end))
            best = max(best, (chord, middle))
    needed = pressure_needed_mpa(stiffness * tightest, best[0]) if tightest > 0.0 else 0.0
    return best[1], max(needed, _bridged(pressed, side, stiffness))


def _bridged(pressed: ArcSpline, side: Side, stiffness: float) -> float:
    """The greatest pressure that a hollow between two other stretches needs, MPa; 0 without one.

    A stretch is a run of pieces that bend one way. Where it follows a bend the other way without a straight between,
    the stack has to turn from one moment to the other, and both count.
    """
    hollow = -1.0 if side == "male" else 1.0
    stretches = [
        (math.fsum(n for n, _ in run), max((k for _, k in run), key=abs))
        for run in (list(alike) for _, alike in groupby(pressed.pieces, key=lambda p: (p[1] > 0.0) - (p[1] < 0.0)))
    ]
    needed = 0.0
    for before, (length, curvature), after in zip(stretches, stretches[1:], stretches[2:], strict=False):
        if curvature * hollow > 0.0:
            against = max(abs(before[1]), abs(after[1]))
            needed = max(needed, bridged_needed_mpa(stiffness * (abs(curvature) + against), length))
    return needed
