"""Stage `recipe`: the catalogue of woods, sheets, layers, adhesives, arches and cautions, each with its source.

In: the data files beside this module, and the shop file, which goes before them. Out: frozen values in mm, MPa, kg/m³.
Every value says where it comes from and how sure it is. Computes nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal, TypeVar

from formgen.errors import RecipeError
from formgen.quoted import quoted
from formgen.recipe.shop import Sheet, Shop

V = TypeVar("V")

#: Sheet taken where neither recipe nor shop file names one, by the recipe's units.
DEFAULT_SHEET: Mapping[str, str] = MappingProxyType({"in": "MDF 3/4 in", "mm": "MDF 18 mm"})


@dataclass(frozen=True, kw_only=True)
class Wood:
    """A wood at 12 % moisture.

    Args:
        name: as the recipe names it.
        modulus_mpa: modulus of elasticity along the grain.
        strength_mpa: bending strength (modulus of rupture).
        specific_gravity: oven-dry mass over volume at 12 %, None where the source gives none.
        kind: `hardwood` or `softwood`, which the published curvature limits tell apart; None for a shop's own wood.
        source: where the values come from.
        how_sure: `published`, or `shop file`.
    """

    name: str
    modulus_mpa: float
    strength_mpa: float
    specific_gravity: float | None
    kind: Literal["hardwood", "softwood"] | None
    source: str
    how_sure: str


@dataclass(frozen=True, kw_only=True)
class StockSheet:
    """A sheet as it is sold: the thickness is nominal, to be measured.

    Args:
        name: as the recipe names it.
        thickness_mm, length_mm, width_mm: nominal sizes.
        thickness_tolerance_mm: how far the thickness may be off either way and still be in order.
        density_kg_per_m3: for the weight of a form.
        source, how_sure: where the values come from.
    """

    name: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    thickness_tolerance_mm: float
    density_kg_per_m3: float
    source: str
    how_sure: str


@dataclass(frozen=True, kw_only=True)
class Between:
    """Something that lies between part and form: its thickness pressed flat, in mm."""

    name: str
    thickness_mm: float
    what: str
    source: str
    how_sure: str


@dataclass(frozen=True, kw_only=True)
class Adhesive:
    """A class of adhesive; ranges are (least, most).

    Args:
        spread_g_per_m2: glue on one line.
        open_min: minutes from spreading to full vacuum, at about 21 °C.
        clamp_min: minutes in the press, at about 21 °C.
        least_temperature_c: coldest shop it sets in.
        water_share: water by weight of the mixed glue, 0 to 1.
        gap_mm: thickest line that still holds.
        pressure_mpa: pressure that handbooks ask for.
        rigid: a glue line that does not creep.
        cautions: names in `cautions()`.
    """

    name: str
    spread_g_per_m2: tuple[float, float]
    open_min: tuple[float, float]
    clamp_min: tuple[float, float]
    least_temperature_c: float
    water_share: float
    gap_mm: float
    pressure_mpa: tuple[float, float]
    rigid: bool
    cautions: tuple[str, ...]
    note: str
    source: str
    how_sure: str


@dataclass(frozen=True, kw_only=True)
class ArchKind:
    """An arch that a recipe can name: what it is, and the choices of keys that must be given."""

    name: str
    what: str
    give: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Caution:
    """A safety line, to stand beside the number that it belongs to."""

    name: str
    line: str
    source: str
    how_sure: str


@cache
def woods() -> Mapping[str, Wood]:
    """The catalogue's woods by name."""
    data = _data("woods")
    sources = data["source"]
    return _frozen({
        name: Wood(
            name=name,
            specific_gravity=row.get("specific_gravity"),
            **{key: row[key] for key in ("modulus_mpa", "strength_mpa", "kind", "how_sure")},
            source=sources[row["source"]],
        )
        for name, row in data["wood"].items()
    })


@cache
def sheets() -> Mapping[str, StockSheet]:
    """The catalogue's sheets by name."""
    return _frozen({name: StockSheet(name=name, **row) for name, row in _data("sheets")["sheet"].items()})


@cache
def layers_between() -> Mapping[str, Between]:
    """What the catalogue knows to lie between part and form, by name."""
    return _frozen({name: Between(name=name, **row) for name, row in _data("between")["between"].items()})


@cache
def adhesives() -> Mapping[str, Adhesive]:
    """The catalogue's classes of adhesive by name."""
    return _frozen({name: Adhesive(name=name, **_tuples(row)) for name, row in _data("adhesives")["adhesive"].items()})


@cache
def arches() -> Mapping[str, ArchKind]:
    """The arches that a recipe can name."""
    return _frozen({name: ArchKind(name=name, **_tuples(row)) for name, row in _data("arches")["arch"].items()})


@cache
def cautions() -> Mapping[str, Caution]:
    """Safety lines by name."""
    return _frozen({name: Caution(name=name, **row) for name, row in _data("cautions")["caution"].items()})


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
        )
    if name not in woods():
        raise RecipeError(f"wood = {quoted(name)}, {expected_name(name, 'wood', wood_names(shop.woods))}")
    return woods()[name]


def between(name: str, shop: Shop) -> float:
    """Thickness in mm of something between part and form: the shop's own, else the catalogue's.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    own = shop.between.get(name)
    if own is not None:
        return own
    if name not in layers_between():
        raise RecipeError(f"between = {quoted(name)}, {expected_name(name, 'layer', between_names(shop.between))}")
    return layers_between()[name].thickness_mm


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
    return Sheet.model_validate(sizes)


def wood_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all woods, the shop's own first."""
    return (*own, *woods())


def between_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all that may lie between part and form, the shop's own first."""
    return (*own, *layers_between())


def sheet_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all sheets, the shop's own first."""
    return (*own, *sheets())


def expected_name(got: str, what: str, known: tuple[str, ...]) -> str:
    """`expected …; what to do` for a name that is not known: the nearest names, or where to find them all."""
    folded = {name.lower(): name for name in known}
    near = [folded[name] for name in get_close_matches(got.lower()[:100], folded, n=3, cutoff=0.5)]
    advice = f"did you mean {' or '.join(near)}?" if near else f"known are {', '.join(known[:8])}"
    return f"expected the name of a {what}; {advice} (or describe it in shop.yaml)"


def _data(name: str) -> dict[str, Any]:
    return tomllib.loads(files("formgen.recipe").joinpath("data", f"{name}.toml").read_text(encoding="utf-8"))


def _tuples(row: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in row.items()}


def _frozen(values: dict[str, V]) -> Mapping[str, V]:
    return MappingProxyType(values)
