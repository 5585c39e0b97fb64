"""Stage `laminate`: the loose stack in bending, before the glue holds its plies together.

In: plies, a curve. Out: stiffness and moment for each mm of the part's depth; N·mm, N.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.ply import Ply
from formgen.laminate.stock import Stock


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
