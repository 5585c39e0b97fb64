"""Stage `laminate`: how far the free ends of the plies stand off a form in the bag, and how much trim that needs.

In: bending stiffness of the loose plies (N·mm² for each mm of width), pressure in MPa, the pressed curve in mm.
Out: mm. Who pushes on whom: the air on the bag pushes the plies to the form, which is so only where the bag is closed
behind the form; round the part alone or under clamps there is no such tail.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.curve.arch import Arch
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.laminate.stock import Stock

Pieces = Sequence[tuple[float, float]]


@fixed
class EndTail:
    """One end of the plies on a form in the bag, without a clamp on it.

    Args:
        end: `right` or `left`.
        length_mm: how far from the tip of the plies they stand off the form; 0 where a straight leg holds them down.
        trim_mm: how far the plies run past the finished end there.
        gap_at_tip_mm: gap between form and plies at their tip.
        gap_at_end_mm: the same at the finished end, 0 where the trim is at least the tail.
    """

    end: str
    length_mm: float
    trim_mm: float
    gap_at_tip_mm: float
    gap_at_end_mm: float


def tail_length_mm(pieces_from_tip: Pieces, stiffness: float, pressure_mpa: float) -> float:
    """Find how far from a free tip the plies stand off a form.

    Where they lie on a form of curvature κ they carry the moment EI′κ. At a distance x from the tip pressure can
    have made no more than q x²/2, so that they touch only from where q x²/2 reaches EI′κ: on an arc ℓ = √(2EI′/(qR)).

    Args:
        pieces_from_tip: (length mm, curvature 1/mm of either sign) from the tip inward.
        stiffness: EI′ of the loose plies, N·mm² for each mm of width.
        pressure_mpa: q, what presses the plies to the form.

    Returns:
        The greatest distance at which pressure does not suffice; 0 where a straight leg is longer than ℓ.

    Assumptions:
        Plies slide freely, small slopes, the form runs on to the tip, pressure on the whole tail.

    Reference:
        Beam theory, a strip pressed on a rigid arc (Timoshenko, Strength of Materials, Part I; from memory).
    """
    tail, begin = 0.0, 0.0
    for length, curvature in pieces_from_tip:
        needed = math.sqrt(2.0 * stiffness * abs(curvature) / pressure_mpa)
        if needed > begin:
            tail = max(tail, min(begin + length, needed))
        begin += length
    return tail


def gap_mm(pieces_from_tip: Pieces, tail_mm: float, from_tip_mm: float, stiffness: float, pressure_mpa: float) -> float:
    """Gap between the form and the plies at a distance from the tip, 0 from the tail's length on.

    The form leaves its tangent at the foot of the tail by ∫∫κ; pressure bends the tail after it by
    q(u⁴ − 4ℓu³ + 6ℓ²u²)/(24EI′), u from the foot. On one arc the tip stands off by ℓ²/(4R).
    """
    u = tail_mm - from_tip_mm
    if u <= 0.0:
        return 0.0
    bent = pressure_mpa * (u**4 - 4.0 * tail_mm * u**3 + 6.0 * tail_mm**2 * u**2) / (24.0 * stiffness)
    form, begin = 0.0, 0.0
    for length, curvature in pieces_from_tip:
        # the stretch of this piece between the foot of the tail and the place that is asked for, from the latter
        near, far = max(begin, from_tip_mm) - from_tip_mm, min(begin + length, tail_mm) - from_tip_mm
        if far > near:
            form += curvature * (far**2 - near**2) / 2.0
        begin += length
    return max(abs(form) - bent, 0.0)


def end_tails(stocks: Sequence[Stock], pressed: ArcSpline, arch: Arch, vacuum_kpa: float) -> tuple[EndTail, EndTail]:
    """Both ends of the plies, right and left, each run on by its trim with the curvature that it has there."""
    stiffness = loose_stiffness_n_mm(stocks)
    pressure = vacuum_kpa / 1000.0
    right, left = arch.waste_mm
    along = pressed.extended(right, left)
    return (
        _tail("right", along.pieces, right, stiffness, pressure),
        _tail("left", tuple(reversed(along.pieces)), left, stiffness, pressure),
    )


def _tail(end: str, pieces: Pieces, trim_mm: float, stiffness: float, pressure_mpa: float) -> EndTail:
    length = tail_length_mm(pieces, stiffness, pressure_mpa)
    return EndTail(
        end=end,
        length_mm=length,
        trim_mm=trim_mm,
        gap_at_tip_mm=gap_mm(pieces, length, 0.0, stiffness, pressure_mpa),
        gap_at_end_mm=gap_mm(pieces, length, trim_mm, stiffness, pressure_mpa),
    )


def tail_findings(tails: tuple[EndTail, EndTail], arch: Arch) -> Iterable[Finding]:
    """The end whose tail is longest past its trim."""
    short = [t for t in tails if t.length_mm > t.trim_mm + 1e-6]
    if not short:
        return
    worst = max(short, key=lambda t: t.length_mm - t.trim_mm)
    yield finding(  # a note: press.end-stands-off warns, only there is it known which side the form is on
        "laminate.end-tail",
        arch.recipe.units,
        value=worst.length_mm,
        limit=worst.trim_mm,
        ends="both" if len(short) == 2 else worst.end,
        gap=worst.gap_at_end_mm,
    )
