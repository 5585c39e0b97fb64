"""Stage `recipe`: the catalogue of woods, panels, sheets, layers, adhesives, arches and cautions, each with its source.

In: the data files beside this module, and the shop file, which goes before them. Out: fixed values in mm, MPa, kg/m³.
Every value says where it comes from and how sure it is. Computes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from functools import cache, partial
from typing import Any, TypeVar

from formgen.errors import RecipeError
from formgen.quoted import quoted
from formgen.recipe.data_file import named_entries
from formgen.recipe.entries import Adhesive, ArchKind, Between, Caution, Panel, StockSheet, Veneer, Wood
from formgen.recipe.shop import Sheet, Shop, ShopBetween

E = TypeVar("E")

#: What a recipe calls the shop's own bag where it lies on the part.
BAG = "bag"

#: Sheet taken where neither recipe nor shop file names one, by the recipe's units.
DEFAULT_SHEET: Mapping[str, str] = {"in": "MDF 3/4 in", "mm": "MDF 18 mm"}

#: The catalogue's tables by name, each read when it is first asked for.
woods = cache(partial(named_entries, Wood, "woods"))
sheets = cache(partial(named_entries, StockSheet, "sheets"))
#: What the catalogue knows to lie between part and form.
layers_between = cache(partial(named_entries, Between, "between"))
adhesives = cache(partial(named_entries, Adhesive, "adhesives"))
#: Veneer as it is sold, thinnest first.
veneers = cache(partial(named_entries, Veneer, "veneers"))
#: The arches that a recipe can name.
arches = cache(partial(named_entries, ArchKind, "arches"))
#: Safety lines.
cautions = cache(partial(named_entries, Caution, "cautions"))


@cache
def panels() -> Mapping[str, Panel]:
    """The catalogue's panels by name."""
    given = named_entries(Panel, "panels")
    return {
        name: replace(
            panel, layers=tuple((mm, count, across, along or None) for mm, count, across, along in panel.layers)
        )
        for name, panel in given.items()
    }


def wood(name: str, shop: Shop) -> Wood:
    """The shop's own wood of that name, else the catalogue's.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    own = shop.woods.get(name)
    if own is not None:
        return Wood(name=name, kind=None, how_sure="shop file", change_how_sure="shop file", **own.model_dump())
    return _known("wood", "wood", name, woods(), wood_names(shop.woods))


def panel(name: str) -> Panel:
    """The catalogue's panel of that name.

    Raises:
        RecipeError: it is not known; names the nearest.
    """
    return _known("panel", "panel", name, panels(), tuple(panels()))


def adhesive(name: str, shop: Shop | None = None) -> Adhesive:
    """The shop's own adhesive of that name (its class, with what the shop says otherwise), else the catalogue's.

    Raises:
        RecipeError: neither knows it, or the shop's is like a class that is not known; names the nearest.
    """
    own = shop.adhesives.get(name) if shop is not None else None
    known = name if own is None else own.like
    names = adhesive_names(shop.adhesives if shop is not None and own is None else {})
    found = _known("adhesive", "adhesive", known, adhesives(), names)
    if own is None:
        return found
    changes: dict[str, Any] = own.model_dump(exclude={"like", "source"}, exclude_none=True)
    for key in changes.keys() & {"spread_g_per_m2", "open_min", "clamp_min"}:
        changes[key] = (changes[key], changes[key])
    if "least_temperature_celsius" in changes:
        changes["least_temperature_c"] = changes.pop("least_temperature_celsius")
    return replace(
        found,
        name=name,
        **changes,
        own=tuple(changes),
        own_source=own.source,
        source=f"{own.source}; the rest as {known}: {found.source}",
        how_sure="shop file",
    )


def between(name: str, shop: Shop) -> float:
    """Thickness in mm of something between part and form: the shop's own, else the catalogue's.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    own = shop.between.get(name)
    if own is not None:
        return own.thickness_mm if isinstance(own, ShopBetween) else own
    if name == BAG:
        return shop.bag.thickness_mm
    return _known("between", "layer", name, layers_between(), between_names(shop.between)).thickness_mm


def folds(name: str, shop: Shop) -> bool:
    """Tell whether it is the bag itself, which is drawn round the part whole and gathers in a hollow."""
    own = shop.between.get(name)
    if isinstance(own, ShopBetween):
        return own.folds
    return (name == BAG and own is None) or (name in layers_between() and layers_between()[name].folds)


def sheet(name: str, shop: Shop) -> Sheet:
    """The shop's own sheet of that name, else the catalogue's at its nominal thickness.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    own = shop.sheets.get(name)
    if own is not None:
        return own
    stock = _known("sheet", "sheet", name, sheets(), sheet_names(shop.sheets))
    sizes = {"thickness": stock.thickness_mm, "length": stock.length_mm, "width": stock.width_mm}
    return Sheet.model_validate(sizes | {"density_kg_per_m3": stock.density_kg_per_m3})


def _known(key: str, what: str, name: str, table: Mapping[str, E], names: tuple[str, ...]) -> E:
    """The entry of a name that a key gives; refused with the nearest names where the catalogue has none."""
    if name not in table:
        raise RecipeError(f"{key} = {quoted(name)}, {expected_name(name, what, names)}")
    return table[name]


def wood_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all woods, the shop's own first."""
    return (*own, *woods())


def between_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all that may lie between part and form, the shop's own first."""
    return (*own, BAG, *layers_between())


def sheet_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all sheets, the shop's own first."""
    return (*own, *sheets())


def adhesive_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all adhesives, the shop's own first."""
    return (*own, *adhesives())


def expected_name(got: str, what: str, known: tuple[str, ...]) -> str:
    """`expected …; what to do` for a name that is not known: the nearest names, or where to find them all."""
    folded = {name.lower(): name for name in known}
    near = [folded[name] for name in get_close_matches(got.lower()[:100], folded, n=3, cutoff=0.5)]
    advice = f"did you mean {' or '.join(near)}?" if near else f"known are {', '.join(known[:8])}"
    article = "an" if what[0] in "aeiou" else "a"
    return f"expected the name of {article} {what}; {advice} (or describe it in shop.yaml)"
