"""Stage `laminate`: the result, the plies of the part and the curve they must be pressed to."""

from __future__ import annotations

from dataclasses import dataclass

from formgen.curve.arch import Arch
from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding


@dataclass(frozen=True, kw_only=True)
class Ply:
    """One ply as it lies in the press.

    Args:
        number: 1 at the inside face, rising outward.
        wood: name of the wood, or `modulus given`.
        thickness_mm: thickness.
        modulus_mpa: modulus of elasticity along the grain.
        strength_mpa: bending strength (modulus of rupture), None where only a modulus was given.
        offset_mm: from the part's centre line to the ply's middle, positive toward the inside.
        length_mm: its own arc in the press, with trim at both ends.
        radius_mm: its tightest radius in the press, at its own middle; infinite where it stays straight.
        strain: greatest bending strain, t/(2R).
        strain_limit: strain at which it is likely to break, MOR/E; None without a strength.
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


@dataclass(frozen=True, kw_only=True)
class Laminate:
    """The stack of plies.

    Args:
        arch: the stage before.
        plies: from the inside face outward.
        thickness_mm: all of them together.
        spring_back: the part s of the curvature that release takes back, 0 to below 1.
        pressed: centre line in the press, in the form's axes (origin midway between the pressed springing
            points of a two-legged part, or midway between the ends, which then lie level).
        springing_mm: stations of the springing points on `pressed` (those on the target: lengths are kept).
        findings: bend limits and the like.
    """

    arch: Arch
    plies: tuple[Ply, ...]
    thickness_mm: float
    spring_back: float
    pressed: ArcSpline
    springing_mm: tuple[float, float]
    findings: tuple[Finding, ...] = ()
