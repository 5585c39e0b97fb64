"""Stage `recipe`: what no single key can say: names that must be known, and plies that must agree.

In: sources as read, and the laminate if it could be understood. Out: mistakes. Names are checked on the raw data, so
that they are reported together with everything else.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from formgen.recipe.catalogue import adhesive_names, between_names, expected_name, panels, sheet_names, wood_names
from formgen.recipe.figures import figures
from formgen.recipe.mistakes import Mistake, at_missing, at_value
from formgen.recipe.schema import MOST_PLIES, LaminateAsk, PlyGroup
from formgen.recipe.sense import limits
from formgen.recipe.source import KeyPath, Source

#: How far a thickness that is given beside groups of plies may be from their sum (mm).
THICKNESS_AGREES_MM = 0.1
_WOOD, _PLIES, _THICKNESS = (("laminate", key) for key in ("wood", "plies", "thickness"))


def names(recipe: Source, shop: Source | None) -> Iterator[Mistake]:
    """Woods, sheets and layers that neither the shop file nor the catalogue knows."""
    own = shop.data if shop is not None else None
    woods = wood_names(_table(own, "woods"))
    sheets = sheet_names(_table(own, "sheets"))
    layers = between_names(_table(own, "between"))
    plies = _at(recipe.data, _PLIES)
    groups = range(len(plies)) if isinstance(plies, tuple) else ()
    for path in [_WOOD, *((*_PLIES, i, "wood") for i in groups)]:
        yield from _known(recipe, path, "wood", woods)
    for i in groups:
        yield from _known(recipe, (*_PLIES, i, "panel"), "panel", tuple(panels()))
    yield from _known(recipe, ("laminate", "adhesive"), "adhesive", adhesive_names(_table(own, "adhesives")))
    for key, what in (("between", "layer between part and form"), ("over", "layer over the part")):
        items = _at(recipe.data, ("press", key))
        for i in range(len(items)) if isinstance(items, tuple) else ():
            yield from _known(recipe, ("press", key, i), what, layers)
    yield from _known(recipe, ("form", "sheet"), "sheet", sheets)
    if shop is not None:
        yield from _known(shop, ("sheet",), "sheet", sheets)
        yield from _shop_names(shop)


def _shop_names(shop: Source) -> Iterator[Mistake]:
    """Adhesives and figures that the shop file names and nobody knows, and figures past what nature allows."""
    sheets = sheet_names(_table(shop.data, "sheets"))
    for key in ("stock", "offcuts"):
        rows = _at(shop.data, (key,))
        for i in range(len(rows)) if isinstance(rows, tuple) else ():
            yield from _known(shop, (key, i, "sheet"), "sheet", sheets)
    own = _table(shop.data, "adhesives")
    yield from _known(shop, ("adhesive",), "adhesive", adhesive_names(own))
    for name in own:
        yield from _known(shop, ("adhesives", name, "like"), "class of adhesive", adhesive_names({}))
    for name, value in _table(shop.data, "figures").items():
        if name not in figures():
            yield at_value(shop, ("figures", name), expected_name(name, "figure", tuple(figures())))
        elif isinstance(value, int | float) and value > figures()[name].most:
            yield at_value(shop, ("figures", name), f"expected {figures()[name].most:g} or less; correct it")


def _known(source: Source, path: KeyPath, what: str, known: tuple[str, ...]) -> Iterator[Mistake]:
    name = _at(source.data, path)
    if isinstance(name, str) and name not in known:
        yield at_value(source, path, expected_name(name, what, known))


def _at(data: Any, path: KeyPath) -> Any:
    """The value at a path, None where there is none."""
    for step in path:
        in_table = isinstance(data, dict) and step in data
        in_list = isinstance(data, tuple) and isinstance(step, int) and step < len(data)
        if not (in_table or in_list):
            return None
        data = data[step]
    return data


def _table(data: Any, key: str) -> dict[str, Any]:
    table = _at(data, (key,))
    return table if isinstance(table, dict) else {}


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
