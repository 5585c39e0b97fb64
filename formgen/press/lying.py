"""Stage `press`: what lies on either face of the part: the bag's sheeting, breather, caul, release.

In: a Recipe. Out: names, thicknesses and whether it is the bag itself, counted from the part; mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from formgen.fixed import fixed
from formgen.recipe.catalogue import BAG, between, folds
from formgen.recipe.model import Recipe
from formgen.recipe.schema import BetweenItem, Way

#: What lies against the form when the recipe does not say: the part in a bag of its own lies on the bag; a form that
#: the plies lie on is waxed or taped, which takes no room. Common practice, no source.
USUAL_BETWEEN: Mapping[Way, tuple[str, ...]] = MappingProxyType(
    {"part-bagged": (BAG,), "form-bagged": ("release",), "clamped": ("release",)}
)
#: The same for the other face: air must find its way to the pump, and a clamp's load its way to the whole glue line.
#: Common practice, no source.
USUAL_OVER: Mapping[Way, tuple[str, ...]] = MappingProxyType(
    {
        "part-bagged": ("breather", BAG),
        "form-bagged": ("release", "breather", BAG),
        "clamped": ("release", "stiff caul"),
    }
)


@fixed
class Lying:
    """One thing on the part: its thickness pressed flat, and whether it is the bag itself, drawn round the part."""

    name: str
    thickness_mm: float
    is_bag: bool


def lying_between(recipe: Recipe) -> tuple[Lying, ...]:
    """On the form's side, from the part to the form."""
    ask = recipe.asked.press
    return _named(recipe, USUAL_BETWEEN[ask.way] if ask.between is None else ask.between)


def lying_over(recipe: Recipe) -> tuple[Lying, ...]:
    """On the other side, from the part outward."""
    ask = recipe.asked.press
    return _named(recipe, USUAL_OVER[ask.way] if ask.over is None else ask.over)


def together_mm(lies: Sequence[Lying]) -> float:
    """Thickness of all of it."""
    return math.fsum(item.thickness_mm for item in lies)


def _named(recipe: Recipe, wanted: Sequence[str | BetweenItem]) -> tuple[Lying, ...]:
    shop = recipe.shop
    own = shop.bag.sheeting
    return tuple(
        Lying(
            name=f"{own} bag" if item == BAG and BAG not in shop.between else item,
            thickness_mm=between(item, shop),
            is_bag=folds(item, shop),
        )
        if isinstance(item, str)
        else Lying(name=item.name, thickness_mm=item.thickness_mm, is_bag=item.folds)
        for item in wanted
    )
