"""Stage `press`: how the ends of the loose stack lift off the form under the pressure alone.

In: curve at an end, waste, side, bending stiffness, pressure. Out: lengths and gaps; mm, N·mm per mm of depth, MPa.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.fixed import fixed
from formgen.laminate.tails import gap_mm, tail_length_mm
from formgen.press.film import Side

#: Where a straight leg follows the curve, the lifted zone is √(2√3 · M/q) long, and so much of it lies on the leg
#: of a male form (on the curve of a female one); its greatest gap is this times κ × length².
LEG_ZONE, LEG_SHARE, LEG_GAP = 2.0 * math.sqrt(3.0), 0.5 + math.sqrt(3.0) / 6.0, 0.0077723
#: On a female form the tip of a free end touches, and the zone behind it is √(4M/q) long.
FEMALE_ZONE = 4.0


@fixed
class EndLift:
    """One end of the stack under the pressure alone.

    Args:
        where: `right` or `left`.
        on_leg: the zone lies about the springing and a straight leg holds the end.
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


def lifted_end_mm(moment_n: float, pressure_mpa: float, side: Side) -> float:
    """Find how far from a free end a stack stands off a curved form: √(2M/q) on a male, √(4M/q) on a female.

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


def lifted_end(
    where: str, pieces: Sequence[tuple[float, float]], waste_mm: float, side: Side, stiffness: float, q: float
) -> EndLift:
    """One end under the pressure alone.

    Args:
        where: `right` or `left`.
        pieces: (length mm, curvature 1/mm) of the finished part from that end inward.
        waste_mm: ply past the finished end.
        side: of the form.
        stiffness: Σ E t³/12 of the loose plies, N·mm per mm of depth.
        q: pressure, MPa.

    Assumptions:
        A leg and a female end are reckoned with the curvature next to the end alone; a male free end with every piece.

    Reference:
        Beam on a rigid curved foundation, derived here; checked against an obstacle problem solved on a grid.
    """
    leg = pieces[0][0] if pieces[0][1] == 0.0 and len(pieces) > 1 else 0.0
    signed = pieces[1][1] if leg else pieces[0][1]
    kappa = abs(signed)
    if kappa == 0.0:
        return EndLift(where=where, on_leg=leg > 0.0, zone_mm=0.0, waste_mm=waste_mm, in_part_mm=0.0, gap_mm=0.0)
    if signed < 0.0:  # here the form is hollow where elsewhere it is round
        side = "female" if side == "male" else "male"
    zone = math.sqrt(LEG_ZONE * stiffness * kappa / q)
    on_leg = zone * (LEG_SHARE if side == "male" else 1.0 - LEG_SHARE)
    held_by_leg = leg > 0.0 and leg + waste_mm >= on_leg
    if held_by_leg:
        in_part, gap = zone - max(on_leg - leg, 0.0), LEG_GAP * kappa * zone**2
    elif side == "male":
        tip = ((waste_mm + pieces[0][0], pieces[0][1]), *pieces[1:])
        zone = tail_length_mm(tip, stiffness, q)
        in_part, gap = max(zone - waste_mm, 0.0), gap_mm(tip, zone, waste_mm, stiffness, q)
    else:
        zone = lifted_end_mm(stiffness * kappa, q, side)
        in_part, gap = max(zone - waste_mm, 0.0), _female_gap(kappa, zone, waste_mm)
    return EndLift(where=where, on_leg=held_by_leg, zone_mm=zone, waste_mm=waste_mm, in_part_mm=in_part, gap_mm=gap)


def _female_gap(kappa: float, zone: float, waste: float) -> float:
    """Greatest gap within the finished part on a female form.

    κℓ²(v³ − v⁴)/6, with v the share of the zone from where it touches; greatest at v = 3/4, or at the finished end.
    """
    v = min(max(1.0 - waste / zone, 0.0), 0.75)
    return kappa * zone**2 * (v**3 - v**4) / 6.0
