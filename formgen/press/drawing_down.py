"""Stage `press`: form and part in one bag: what vacuum draws the bent stack down to the form and holds its ends there.

In: plies, pressed curve, form side, waste at the ends, pressure. Out: pressure needed, gaps at the ends; N, mm, kPa.
Moments are per mm of the part's depth, so N·mm/mm = N. Who pushes on whom: the air on the bag pushes the stack to the
form, since the bag is closed behind the form. With the bag round the part alone it does not, and none of this holds.
Clamps and bar are not counted. How far the ends lift off under the pressure alone comes last.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.plies import Ply
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.laminate.tails import gap_mm, tail_length_mm
from formgen.lengths import Units
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


@fixed
class DrawingDown:
    """The stack drawn down by the pressure, on a form inside the bag.

    Args:
        held_kpa: the pressure.
        legs_down_kpa: the most while the legs are brought down by hand or with clamps.
        tightest_mm: the tightest station, on the pressed centre line.
        needed_kpa: pressure that bends the stack to the form there.
        ends: right, left.
    """

    held_kpa: float
    legs_down_kpa: float
    tightest_mm: float
    needed_kpa: float
    ends: tuple[EndLift, EndLift]


def pressure_needed_mpa(moment_n: float, chord_mm: float) -> float:
    """Pressure on a free length that brings moment M to its root: q = 2M/c², c the chord to the free end.

    Assumptions:
        The same pressure everywhere, square to the stack; then its resultant is q times the chord, square to the
        chord at its middle, whatever the curve between.

    Reference:
        Statics of a uniform normal pressure on an arc.
    """
    return 2.0 * moment_n / chord_mm**2


def plan_drawing_down(
    plies: Sequence[Ply],
    pressed: ArcSpline,
    waste_mm: tuple[float, float],
    side: Side,
    held_kpa: float,
    legs_down_kpa: float,
) -> DrawingDown:
    """Return what the pressure does to these plies.

    Args:
        plies: the stack.
        pressed: centre line in the press along the finished part.
        waste_mm: ply past the finished part at the right and the left end.
        side: of the form.
        held_kpa: gauge.
        legs_down_kpa: gauge, the most while the legs come down.
    """
    q = held_kpa / 1000.0
    stiffness = loose_stiffness_n_mm(plies)
    station, needed = _tightest(pressed, waste_mm, side, stiffness)
    return DrawingDown(
        held_kpa=held_kpa,
        legs_down_kpa=legs_down_kpa,
        tightest_mm=station,
        needed_kpa=1000.0 * needed,
        ends=(
            lifted_end("right", pressed.pieces, waste_mm[0], side, stiffness, q),
            lifted_end("left", pressed.pieces[::-1], waste_mm[1], side, stiffness, q),
        ),
    )


def drawing_down_findings(drawn: DrawingDown, tolerance_mm: float, units: Units) -> Iterator[Finding]:
    """Enough pressure or not: to draw the stack down, and to hold its ends.

    Args:
        drawn: what the pressure does.
        tolerance_mm: of the part.
        units: in which they are written.
    """
    yield finding(
        "press.pulls-to-form" if drawn.needed_kpa <= drawn.held_kpa else "press.too-stiff",
        units,
        value=drawn.needed_kpa,
        limit=drawn.held_kpa,
        legs_down=drawn.legs_down_kpa,
    )
    worst = max(drawn.ends, key=lambda e: e.gap_mm)
    if worst.gap_mm > tolerance_mm:
        yield finding("press.end-stands-off", units, value=worst.gap_mm, limit=tolerance_mm, ends=worst.where)


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
