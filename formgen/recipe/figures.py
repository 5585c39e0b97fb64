"""Stage `recipe`: single numbers that later stages calculate with, and the strength of boards, each with its source.

In: the data files beside this module, and the shop file's `figures`, which go before them. Out: fixed values, unit
stated. Computes nothing.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache, partial

from formgen.fixed import fixed
from formgen.recipe.data_file import listed_entries, named_entries
from formgen.recipe.shop import Shop


@fixed
class Figure:
    """One number: its value in `unit` (empty for a ratio), what it says, where it is from and how sure it is.

    `most` is what it cannot be more than, by its nature; infinite where nature sets no bound.
    """

    name: str
    value: float
    unit: str
    what: str
    source: str
    how_sure: str
    most: float = math.inf


@fixed
class Board:
    """Bending strength and modulus of MDF over one range of thickness.

    Args:
        over_mm, up_to_mm: the range.
        modulus_mpa: modulus of elasticity in bending.
        strength_mpa: bending strength.
        internal_bond_mpa: tensile strength at right angles to the face.
        source, how_sure: where the values come from.
    """

    over_mm: float
    up_to_mm: float
    modulus_mpa: float
    strength_mpa: float
    internal_bond_mpa: float
    source: str
    how_sure: str


#: The catalogue's figures by name, and MDF by rising thickness.
figures = cache(partial(named_entries, Figure, "figures"))
boards = cache(partial(listed_entries, Board, "boards"))


def figure(name: str, shop: Shop) -> Figure:
    """The figure of that name, with the shop's own value where it gives one.

    Raises:
        KeyError: the program asks for a figure that its own data do not hold.
    """
    known = figures()[name]
    if name not in shop.figures:
        return known
    return replace(known, value=shop.figures[name], source="shop file", how_sure="shop file")


def board(thickness_mm: float) -> Board:
    """MDF of that thickness; the thickest known where it is thicker still."""
    return next((b for b in boards() if b.over_mm < thickness_mm <= b.up_to_mm), boards()[-1])
