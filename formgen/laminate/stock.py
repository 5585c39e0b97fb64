"""Stage `laminate`: what each ply is made of, from what the recipe asks and the catalogue knows.

In: a Recipe. Out: one `Stock` for each ply from the inside face outward, mm and MPa.
"""

from __future__ import annotations

import math

from formgen.errors import LaminateError
from formgen.fixed import fixed
from formgen.laminate.panels import Grain, least_radius_mm, modulus_mpa
from formgen.recipe.catalogue import panel as known_panel
from formgen.recipe.catalogue import wood as known_wood
from formgen.recipe.entries import Panel, Wood
from formgen.recipe.model import Recipe
from formgen.recipe.schema import PlyGroup
from formgen.recipe.shop import Shop


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
