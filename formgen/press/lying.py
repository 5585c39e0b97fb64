"""Stage `press`: what lies on either face of the part: film, breather, caul, release.

In: a Recipe. Out: names, thicknesses and whether it is the bag's own film, counted from the part; mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from formgen.recipe.catalogue import between, folds
from formgen.recipe.model import Recipe
from formgen.recipe.schema import BetweenItem

#: What lies against the form when the recipe does not say: the part in a bag of its own lies on the bag's film;
#: a form inside the bag is waxed or taped, which takes no room. Common practice, no source.
USUAL_BETWEEN = {False: ("film",), True: ("release",)}
#: The same for the other face: air must find its way to the pump. Common practice, no source.
USUAL_OVER = {False: ("breather", "film"), True: ("release", "breather", "film")}


@dataclass(frozen=True, kw_only=True)
class Lying:
    """One thing on the part: its thickness pressed flat, and whether it is the bag's own film."""

    name: str
    thickness_mm: float
    is_bag: bool


def lying_between(recipe: Recipe) -> tuple[Lying, ...]:
    """On the form's side, from the part to the form."""
    ask = recipe.asked.press
    return _named(recipe, USUAL_BETWEEN[ask.way == "form-bagged"] if ask.between is None else ask.between)


def lying_over(recipe: Recipe) -> tuple[Lying, ...]:
    """On the other side, from the part outward."""
    ask = recipe.asked.press
    return _named(recipe, USUAL_OVER[ask.way == "form-bagged"] if ask.over is None else ask.over)


def together_mm(lies: Sequence[Lying]) -> float:
    """Thickness of all of it."""
    return math.fsum(item.thickness_mm for item in lies)


def _named(recipe: Recipe, wanted: Sequence[str | BetweenItem]) -> tuple[Lying, ...]:
    shop = recipe.shop
    return tuple(
        Lying(name=item, thickness_mm=between(item, shop), is_bag=folds(item, shop))
        if isinstance(item, str)
        else Lying(name=item.name, thickness_mm=item.thickness_mm, is_bag=item.folds)
        for item in wanted
    )
