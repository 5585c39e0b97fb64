"""Stage `laminate`: what each ply is made of, from what the recipe asks and the catalogue knows.

In: a Recipe. Out: one `Stock` for each ply from the inside face outward, mm and MPa. Plywood and
bending panels have their stiffness and least radius by how the face grain lies to the curve.
"""

from __future__ import annotations

import math
from typing import Literal

from formgen.errors import LaminateError
from formgen.fixed import fixed
from formgen.recipe.catalogue import panel as known_panel
from formgen.recipe.catalogue import wood as known_wood
from formgen.recipe.entries import Panel, Wood
from formgen.recipe.model import Recipe
from formgen.recipe.schema import PlyGroup
from formgen.recipe.shop import Shop

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


@fixed
class Stock:
    """The material of one ply.

    Args:
        name: the wood or panel, or `modulus given`.
        thickness_mm: thickness.
        modulus_mpa: modulus along the curve.
        strength_mpa: bending strength; None where it is not known, and for panels.
        wood: the catalogue's or shop's entry.
        panel, grain: the panel and how its face grain lies to the curve.
        radius_limit_mm: the panel's published least radius.
    """

    name: str
    thickness_mm: float
    modulus_mpa: float
    strength_mpa: float | None = None
    wood: Wood | None = None
    panel: Panel | None = None
    grain: Grain | None = None
    radius_limit_mm: float | None = None

    @property
    def strain_limit(self) -> float | None:
        """Strain at which it is likely to break, MOR/E."""
        return None if self.strength_mpa is None else self.strength_mpa / self.modulus_mpa


def asked_stocks(recipe: Recipe, count: int | None = None) -> tuple[Stock, ...]:
    """One stock for every ply, from the inside face outward.

    Args:
        recipe: the recipe.
        count: number of equal plies where the recipe leaves it to the program.

    Raises:
        LaminateError: a number of plies without the part's thickness.
    """
    ask = recipe.asked.laminate
    if isinstance(ask.plies, tuple):
        return tuple(_of(group, recipe) for group in ask.plies for _ in range(group.count))
    number = count if count is not None else ask.plies
    if ask.thickness_mm is None or not isinstance(number, int):
        raise LaminateError(
            f"laminate.plies = {ask.plies}, expected laminate.thickness beside it: give the part's thickness"
        )
    thickness = ask.thickness_mm / number
    group = PlyGroup.model_construct(
        count=1, thickness_mm=thickness, wood=ask.wood, modulus_mpa=ask.modulus_mpa, panel=None, grain=None
    )
    return (_of(group, recipe),) * number


def _of(group: PlyGroup, recipe: Recipe) -> Stock:
    """A group's stock; wood and modulus are the laminate's where the group names neither."""
    ask = recipe.asked.laminate
    if group.panel is not None and group.grain is not None:
        panel = known_panel(group.panel)
        return Stock(
            name=f"{panel.name}, face grain {group.grain}",
            thickness_mm=group.thickness_mm,
            modulus_mpa=group.modulus_mpa or modulus_mpa(panel, group.thickness_mm, group.grain),
            panel=panel,
            grain=group.grain,
            radius_limit_mm=least_radius_mm(panel, group.thickness_mm, group.grain),
        )
    name = group.wood or (None if group.modulus_mpa else ask.wood)
    modulus = group.modulus_mpa or (None if group.wood else ask.modulus_mpa)
    return _of_wood(name, modulus, group.thickness_mm, recipe.shop)


def _of_wood(name: str | None, modulus: float | None, thickness_mm: float, shop: Shop) -> Stock:
    if name is None:
        return Stock(name="modulus given", thickness_mm=thickness_mm, modulus_mpa=modulus or math.nan)
    entry = known_wood(name, shop)
    return Stock(
        name=name,
        thickness_mm=thickness_mm,
        modulus_mpa=modulus or entry.modulus_mpa,
        strength_mpa=entry.strength_mpa,
        wood=entry,
    )
