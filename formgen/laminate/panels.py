"""Stage `laminate`: plywood and bending panels as plies: how stiff they are, and how far they may be bent.

In: a panel of the catalogue, its thickness and how its face grain lies to the curve. Out: MPa and mm.
"""

from __future__ import annotations

from typing import Literal

from formgen.recipe.entries import Panel

Grain = Literal["along", "across"]

#: How far a panel as measured may be from a thickness that is listed (mm), as stock is sold by its nominal thickness.
LISTED_WITHIN_MM = 0.25


def panel_modulus(
    veneer_modulus_mpa: float, cross_ratio: float, veneers: int, grain: Grain, core_share: float | None = None
) -> float:
    """Modulus in bending of a panel of veneers of one wood, crossed in turn, MPa, along the curve.

    Args:
        veneer_modulus_mpa: E of a veneer along its own grain.
        cross_ratio: E across the grain over E along it.
        veneers: how many, an odd number.
        grain: `along` where the face grain runs along the curve.
        core_share: the middle veneer's share of the thickness of three veneers; None where all are of one thickness.

    Assumptions:
        Plane sections through the whole panel, rigid glue lines, veneers of one wood.

    Reference:
        Composite-beam theory: E = Σ Eᵢ Iᵢ / I with Iᵢ about the panel's middle.
    """
    half = veneers // 2
    # Where each layer ends, from the middle outward, as a share of half the thickness; its share of I is the cubes'.
    ends = [core_share, 1.0] if core_share is not None else [(2 * j + 1) / veneers for j in range(half + 1)]
    stiffness, inner = 0.0, 0.0
    for j, outer in enumerate(ends):
        as_the_face = (len(ends) - 1 - j) % 2 == 0
        stiffness += (outer**3 - inner**3) * (1.0 if as_the_face == (grain == "along") else cross_ratio)
        inner = outer
    return veneer_modulus_mpa * stiffness


def listed(panel: Panel, thickness_mm: float) -> tuple[float, int, float, float | None] | None:
    """The catalogue's row for a thickness, None where none is within a quarter of a millimetre."""
    nearest = min(panel.layers, key=lambda row: abs(row[0] - thickness_mm))
    return nearest if abs(nearest[0] - thickness_mm) <= LISTED_WITHIN_MM else None


def least_radius_mm(panel: Panel, thickness_mm: float, grain: Grain) -> float | None:
    """The published least radius, None where the thickness or the way of bending is not listed."""
    row = listed(panel, thickness_mm)
    if row is None:
        return None
    return row[2] if grain == "across" else row[3]


def modulus_mpa(panel: Panel, thickness_mm: float, grain: Grain) -> float:
    """Modulus along the curve, with as many veneers as the nearest thickness listed."""
    nearest = min(panel.layers, key=lambda row: abs(row[0] - thickness_mm))
    return panel_modulus(panel.veneer_modulus_mpa, panel.cross_ratio, nearest[1], grain, panel.core_share)
