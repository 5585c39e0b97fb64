"""Stage `press`: whether the pressure bends the loose stack to the form, how its ends lift off, and whether plies close.

In: plies, pressed curve, form side, waste at the ends, pressure. Out: pressure needed, lengths and gaps; N, mm, kPa, MPa.
Moments are per mm of the part's depth, so N·mm/mm = N. Clamps and bar are not counted: this is the pressure alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding, Severity
from formgen.laminate.plies import Ply
from formgen.press.film import Side

#: Where a straight leg follows the curve, the lifted zone is long √(2√3 · M/q), and so much of it lies on the leg
#: of a male form (on the curve of a female one); its greatest gap is this times κ × length².
LEG_ZONE, LEG_SHARE, LEG_GAP = 2.0 * math.sqrt(3.0), 0.5 + math.sqrt(3.0) / 6.0, 0.0077723
#: On a female form the tip of a free end touches, and the zone behind it, √(4M/q) long, lifts by this times κ × length².
FEMALE_ZONE, FEMALE_GAP = 4.0, 9.0 / 512.0


@dataclass(frozen=True, kw_only=True)
class EndLift:
    """One end of the stack under the pressure alone.

    Args:
        where: `right` or `left`.
        on_leg: a straight leg takes the end.
        zone_mm: length that stands off the form.
        waste_mm: length of ply past the finished part's end.
        in_part_mm: how much of the zone lies in the finished part.
        gap_mm: greatest gap to the form in the finished part.
    """

    where: str
    on_leg: bool
    zone_mm: float
    waste_mm: float
    in_part_mm: float
    gap_mm: float


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
        hollow_mm: shortest hollow in it that the pressure closes to what the glue bridges; 0 where the glue bridges all.
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


def lifted_end_mm(moment_n: float, pressure_mpa: float, side: Side) -> float:
    """How far from a free end a stack stands off a curved form: √(2M/q) on a male, √(4M/q) on a female.

    Args:
        moment_n: M = Σ E t³/12 · κ, per mm of depth.
        pressure_mpa: q.
        side: of the form.

    Assumptions:
        Plies slide on each other; the curve keeps its radius over the end; small gaps. On a male form the free end
        carries no moment, so only the pressure on it can bend the stack where it begins to touch. On a female form
        the tip itself touches and helps to bend; the zone lies between tip and touch.

    Reference:
        Beam on a rigid curved foundation: M(ℓ) = qℓ²/2; for the female form M = Pℓ − qℓ²/2 with no gap at the tip
        (derived here, checked against an obstacle problem solved on a grid).
    """
    return math.sqrt((2.0 if side == "male" else FEMALE_ZONE) * moment_n / pressure_mpa)


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
        _end("right", pressed.pieces, waste_mm[0], side, stiffness, q),
        _end("left", pressed.pieces[::-1], waste_mm[1], side, stiffness, q),
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


def closing_findings(closing: Closing, tolerance_mm: float, bridges_mm: float) -> list[Finding]:
    """Enough pressure or not: to bend the stack, to hold its ends down, to shut the plies on each other.

    Args:
        closing: what the pressure does.
        tolerance_mm: of the part.
        bridges_mm: how thick a line the glue bridges.
    """
    enough = closing.needed_kpa <= closing.held_kpa
    found = [
        Finding(
            code="press.pulls-to-form" if enough else "press.too-stiff",
            severity=Severity.NOTE if enough else Severity.PROBLEM,
            message=(
                "The vacuum alone bends the loose stack to the form at its tightest station."
                if enough
                else "The vacuum alone does not bend the loose stack to the form at its tightest station: use thinner plies, "
                "run the plies longer, or draw them down with clamps and a caul before pumping."
            ),
            value=closing.needed_kpa,
            limit=closing.held_kpa,
            unit="kPa",
            source="statics: q = 2M/c², M = Σ E t³/12 · κ of the loose plies, c the chord to the nearer end",
        )
    ]
    worst = max(closing.ends, key=lambda e: e.gap_mm)
    if worst.gap_mm > tolerance_mm:
        more = max(worst.zone_mm - worst.waste_mm, 0.0)
        found.append(
            Finding(
                code="press.end-stands-off",
                severity=Severity.WARNING,
                message=(
                    f"Under the vacuum alone the finished {worst.where} end stands off the form: run the plies {more:.0f} mm "
                    "longer there (part.end_trim), or clamp the end down."
                ),
                value=worst.gap_mm,
                limit=tolerance_mm,
                unit="mm",
                source="part.tolerance; strip on a rigid form under pressure, computed",
            )
        )
    return [*found, _plies_finding(closing, bridges_mm)]


def _plies_finding(closing: Closing, bridges_mm: float) -> Finding:
    if closing.plies_close:
        said = f"ply {closing.ply}, the stiffest, bends shut on hollows as short as this, and planing leaves longer ones"
        if closing.hollow_mm == 0.0:
            said = f"the glue bridges {bridges_mm:.2g} mm, deeper than the hollows that planing leaves"
        message = f"The vacuum closes the stack: {said}."
    else:
        message = (
            f"The vacuum does not close the stack: ply {closing.ply} shuts only on hollows longer than this, and planing leaves "
            f"shorter ones; the glue bridges {bridges_mm:.2g} mm of their depth: use thinner plies, plane better, or take a glue "
            "that bridges more."
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


def _tightest(
    pressed: ArcSpline, waste_mm: tuple[float, float], side: Side, stiffness: float
) -> tuple[float, float]:
    """The tightest station, as far from the ends as it goes, and the greatest pressure needed anywhere, MPa.

    Beside the chord to the nearer end, a stretch that is hollow to the form is bridged by the stack: there each half
    of it has to bring the moment, together with that of the bend before it.
    """
    whole = pressed.extended(*waste_mm)
    tightest = max(abs(k) for _, k in pressed.pieces)
    best = (-1.0, pressed.length_mm / 2.0)
    hollow = -1.0 if side == "male" else 1.0
    needed = 0.0
    inner = pressed.merged().pieces
    for i, (length, curvature) in enumerate(inner):
        if curvature * hollow > 0.0 and 0 < i < len(inner) - 1 and inner[i - 1][1] * hollow < 0.0:
            moment = stiffness * (abs(curvature) + abs(inner[i - 1][1]))
            needed = max(needed, pressure_needed_mpa(moment, length / 2.0))
    for i, (length, curvature) in enumerate(pressed.pieces):
        if abs(curvature) >= 0.999 * tightest > 0.0:
            middle = float(pressed.stations_mm[i]) + length / 2.0
            here = whole.pose(waste_mm[0] + middle)
            chord = min(math.dist((here.x_mm, here.y_mm), (p.x_mm, p.y_mm)) for p in (whole.start, whole.end))
            best = max(best, (chord, middle))
    if tightest > 0.0:
        needed = max(needed, pressure_needed_mpa(stiffness * tightest, best[0]))
    return best[1], needed


def _end(
    where: str, pieces: Sequence[tuple[float, float]], waste_mm: float, side: Side, stiffness: float, q: float
) -> EndLift:
    """One end; `pieces` begin with the one at that end."""
    leg = pieces[0][0] if pieces[0][1] == 0.0 and len(pieces) > 1 else 0.0
    signed = pieces[1][1] if leg else pieces[0][1]
    kappa = abs(signed)
    moment = stiffness * kappa
    if signed < 0.0:  # here the form is hollow where elsewhere it is round
        side = "female" if side == "male" else "male"
    straight = leg + waste_mm
    if moment == 0.0:
        return EndLift(where=where, on_leg=leg > 0.0, zone_mm=0.0, waste_mm=waste_mm, in_part_mm=0.0, gap_mm=0.0)
    zone = math.sqrt(LEG_ZONE * moment / q)
    on_leg = zone * (LEG_SHARE if side == "male" else 1.0 - LEG_SHARE)
    if leg > 0.0 and straight >= on_leg:
        in_part = zone - max(on_leg - leg, 0.0)
        gap = LEG_GAP * kappa * zone**2
        return EndLift(where=where, on_leg=True, zone_mm=zone, waste_mm=waste_mm, in_part_mm=in_part, gap_mm=gap)
    zone = lifted_end_mm(moment, q, side)
    gap = _free_gap(kappa, zone, waste_mm, straight if leg else 0.0, side)
    in_part = max(zone - waste_mm, 0.0)
    return EndLift(where=where, on_leg=leg > 0.0, zone_mm=zone, waste_mm=waste_mm, in_part_mm=in_part, gap_mm=gap)


def _free_gap(kappa: float, zone: float, waste: float, straight: float, side: Side) -> float:
    """Greatest gap in the finished part at a free end: at its very end on a male form, within the zone on a female.

    With v the share of the zone from where it touches: male κℓ²(v³/3 − v⁴/12), female κℓ²(v³ − v⁴)/6, greatest at
    v = 3/4. A leg too short to take the end leaves less of a gap than a curve that runs on, by κ times half the square
    of what of the straight lies inside the point looked at.
    """
    v = min(max(1.0 - waste / zone, 0.0), 1.0)
    if side == "female":
        v = min(v, 0.75)
        return kappa * zone**2 * (v**3 - v**4) / 6.0
    past = max(min(straight, zone) - min(waste, zone), 0.0)
    return max(kappa * zone**2 * (v**3 / 3.0 - v**4 / 12.0) - kappa * past**2 / 2.0, 0.0)
