"""Stage `laminate`: one ply as it lies in the press, and the loose stack in bending, before glue holds it together.

In: plies, a curve. Out: stiffness and moment for each mm of the part's depth; N·mm, N.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.stock import Stock


@fixed
class Ply:
    """One ply as it lies in the press.

    Args:
        number: 1 at the inside face, rising outward.
        wood: name of the wood or panel, or `modulus given`.
        thickness_mm: thickness.
        modulus_mpa: modulus of elasticity along the curve.
        strength_mpa: bending strength (modulus of rupture), None where only a modulus was given.
        offset_mm: from the part's centre line to the ply's middle, positive toward the inside.
        length_mm: its own arc in the press, with trim at both ends.
        radius_mm: its tightest radius in the press, at its own middle; infinite where it stays straight.
        strain: greatest bending strain, t/(2R).
        strain_limit: strain at which it is likely to break, MOR/E; None without a strength.
        radius_limit_mm: published least radius of a panel, which then is the limit; None for wood.
    """

    number: int
    wood: str
    thickness_mm: float
    modulus_mpa: float
    strength_mpa: float | None
    offset_mm: float
    length_mm: float
    radius_mm: float
    strain: float
    strain_limit: float | None
    radius_limit_mm: float | None


def loose_stiffness_n_mm(plies: Iterable[Ply | Stock]) -> float:
    """Bending stiffness of plies that slide on each other, for each mm of depth: EI′ = Σ E t³/12, N·mm."""
    return math.fsum(p.modulus_mpa * p.thickness_mm**3 for p in plies) / 12.0


def loose_moment_n(plies: Iterable[Ply | Stock], curve: ArcSpline) -> float:
    """Greatest bending moment of the loose stack along a curve, N·mm for each mm of depth.

    Assumptions:
        Plies slide freely; nothing but their own bending counts.

    Reference:
        M = Σ E t³/12 · κ (Timoshenko, Strength of Materials, Part I; from memory).
    """
    return loose_stiffness_n_mm(plies) * max(abs(curvature) for _, curvature in curve.pieces)
