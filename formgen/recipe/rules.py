"""Stage `recipe`: what no single key can say: plies that must agree.

In: sources as read, and the laminate if it could be understood. Out: mistakes.
"""

from __future__ import annotations

from collections.abc import Iterator

from formgen.recipe.mistakes import Mistake, at_missing, at_value
from formgen.recipe.schema import MOST_PLIES, LaminateAsk, PlyGroup
from formgen.recipe.sense import limits
from formgen.recipe.source import Source

#: How far a thickness that is given beside groups of plies may be from their sum (mm).
THICKNESS_AGREES_MM = 0.1
_WOOD, _PLIES, _THICKNESS = (("laminate", key) for key in ("wood", "plies", "thickness"))


def laminate(ask: LaminateAsk, recipe: Source) -> Iterator[Mistake]:
    """Plies without a thickness, a wood or a modulus, thinner than any, or with a sum that is not the thickness."""
    yield from _too_thin(ask, recipe)
    common = ask.wood is not None or ask.modulus_mpa is not None
    if not isinstance(ask.plies, tuple):
        what = "plies: auto" if ask.plies == "auto" else "a number of plies"
        if ask.thickness_mm is None:
            yield at_missing(
                recipe, _THICKNESS, f"expected the part's thickness beside {what}; add it, or list the plies"
            )
        if ask.plies == "auto" and ask.wood is None:
            yield at_missing(
                recipe, _WOOD, "expected a wood, whose strength chooses the plies; add one, or give their number"
            )
        elif not common:
            yield at_missing(recipe, _WOOD, "expected a wood or a modulus for the plies; add one")
        return
    yield from _groups(ask.plies, ask, recipe, common=common)


def _too_thin(ask: LaminateAsk, recipe: Source) -> Iterator[Mistake]:
    """Plies that nobody can have: most likely numbers of the other unit."""
    least, of = float(limits()["ply"]["least_mm"]), "check units:, or write the unit beside the number"
    if isinstance(ask.plies, tuple):
        for i, group in enumerate(ask.plies):
            if group.thickness_mm < least:
                path = (*_PLIES, i, "thickness")
                yield at_value(recipe, path, f"expected a ply of {least:g} mm or more; {of}")
    elif isinstance(ask.plies, int) and ask.thickness_mm is not None and ask.thickness_mm / ask.plies < least:
        thin = ask.thickness_mm / ask.plies
        yield at_value(
            recipe, _PLIES, f"expected plies of {least:g} mm or more, got {thin:.3g} mm each; {of}, or take fewer"
        )


def _groups(groups: tuple[PlyGroup, ...], ask: LaminateAsk, recipe: Source, *, common: bool) -> Iterator[Mistake]:
    count = sum(group.count for group in groups)
    if count > MOST_PLIES:
        yield at_value(recipe, _PLIES, f"expected at most {MOST_PLIES} plies in all, got {count}; take some out")
    together_mm = sum(group.count * group.thickness_mm for group in groups)
    if ask.thickness_mm is not None and abs(together_mm - ask.thickness_mm) > THICKNESS_AGREES_MM:
        yield at_value(
            recipe, _THICKNESS,
            f"expected {together_mm:.2f} mm, which the plies add up to; delete it or correct the plies",
        )  # fmt: skip
    for i, group in enumerate(groups):
        if not common and group.wood is None and group.modulus_mpa is None and group.panel is None:
            path = (*_PLIES, i, "wood")
            yield at_missing(recipe, path, "expected a wood or a modulus for every ply; add one here or under laminate")
