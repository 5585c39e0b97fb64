"""Stage `laminate`: one ply as it lies in the press."""

from __future__ import annotations

from formgen.fixed import fixed


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
