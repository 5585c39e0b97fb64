"""Stage `recipe`: the catalogue of woods, panels, sheets, layers, adhesives, arches and cautions, each with its source.

In: the data files beside this module, and the shop file, which goes before them. Out: fixed values in mm, MPa, kg/m³.
Every value says where it comes from and how sure it is. Computes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType
from typing import Any

from formgen.errors import RecipeError
from formgen.quoted import quoted
from formgen.recipe.data_file import named_entries
from formgen.recipe.entries import Adhesive, ArchKind, Between, Caution, Panel, StockSheet, Veneer, Wood
from formgen.recipe.shop import Sheet, Shop, ShopBetween

#: What a recipe calls the shop's own bag where it lies on the part.
BAG = "bag"

#: Sheet taken where neither recipe nor shop file names one, by the recipe's units.
DEFAULT_SHEET: Mapping[str, str] = MappingProxyType({"in": "MDF 3/4 in", "mm": "MDF 18 mm"})


@cache
def woods() -> Mapping[str, Wood]:
    """The catalogue's woods by name."""
    return named_entries(Wood, "woods")


@cache
def sheets() -> Mapping[str, StockSheet]:
    """The catalogue's sheets by name."""
    return named_entries(StockSheet, "sheets")


@cache
def layers_between() -> Mapping[str, Between]:
    """Return what the catalogue knows to lie between part and form, by name."""
    return named_entries(Between, "between")


@cache
def adhesives() -> Mapping[str, Adhesive]:
    """The catalogue's classes of adhesive by name."""
    return named_entries(Adhesive, "adhesives")


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


@cache
def veneers() -> Mapping[str, Veneer]:
    """Veneer as it is sold, thinnest first."""
    return named_entries(Veneer, "veneers")


@cache
def arches() -> Mapping[str, ArchKind]:
    """The arches that a recipe can name."""
    return named_entries(ArchKind, "arches")


@cache
def cautions() -> Mapping[str, Caution]:
    """Safety lines by name."""
    return named_entries(Caution, "cautions")


def wood(name: str, shop: Shop) -> Wood:
    """The shop's own wood of that name, else the catalogue's.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    own = shop.woods.get(name)
    if own is not None:
        return Wood(
            name=name,
            modulus_mpa=own.modulus_mpa,
            strength_mpa=own.strength_mpa,
            specific_gravity=own.specific_gravity,
            kind=None,
            source=own.source,
            how_sure="shop file",
            change_radial=own.change_radial,
            change_tangential=own.change_tangential,
            change_how_sure="shop file",
            southern_pine=False,
        )
    if name not in woods():
        raise RecipeError(f"wood = {quoted(name)}, {expected_name(name, 'wood', wood_names(shop.woods))}")
    return woods()[name]


def panel(name: str) -> Panel:
    """The catalogue's panel of that name.

    Raises:
        RecipeError: it is not known; names the nearest.
    """
    if name not in panels():
        raise RecipeError(f"panel = {quoted(name)}, {expected_name(name, 'panel', tuple(panels()))}")
    return panels()[name]


def adhesive(name: str, shop: Shop | None = None) -> Adhesive:
    """The shop's own adhesive of that name (its class, with what the shop says otherwise), else the catalogue's.

    Raises:
        RecipeError: neither knows it, or the shop's is like a class that is not known; names the nearest.
    """
    own = shop.adhesives.get(name) if shop is not None else None
    known = name if own is None else own.like
    if known not in adhesives():
        names = adhesive_names(shop.adhesives if shop is not None and own is None else {})
        raise RecipeError(f"adhesive = {quoted(known)}, {expected_name(known, 'adhesive', names)}")
    found = adhesives()[known]
    if own is None:
        return found
    ranges = {
        key: (value, value)
        for key in ("spread_g_per_m2", "open_min", "clamp_min")
        if (value := getattr(own, key)) is not None
    }
    factors = {key: value for key in ("glue_line_stiffness", "relaxation") if (value := getattr(own, key)) is not None}
    coldest = own.least_temperature_celsius
    changes: dict[str, Any] = {**ranges, **factors}
    if coldest is not None:
        changes["least_temperature_c"] = coldest
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
    if name not in layers_between():
        raise RecipeError(f"between = {quoted(name)}, {expected_name(name, 'layer', between_names(shop.between))}")
    return layers_between()[name].thickness_mm


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
    if name not in sheets():
        raise RecipeError(f"sheet = {quoted(name)}, {expected_name(name, 'sheet', sheet_names(shop.sheets))}")
    stock = sheets()[name]
    sizes = {"thickness": stock.thickness_mm, "length": stock.length_mm, "width": stock.width_mm}
    return Sheet.model_validate(sizes | {"density_kg_per_m3": stock.density_kg_per_m3})


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
