"""Stage `recipe`: the catalogue of woods, panels, sheets, layers, adhesives, arches and cautions, each with its source.

In: the data files beside this module, and the shop file, which goes before them. Out: fixed values in mm, MPa, kg/m³.
Every value says where it comes from and how sure it is. Computes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import field, replace
from functools import cache, partial
from typing import Any, TypeVar

from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import quoted
from formgen.recipe.data_file import named_entries
from formgen.recipe.entries import Adhesive, ArchKind, Between, Caution, Panel, StockSheet, Veneer, Wood
from formgen.recipe.names import Said, expected_name, proper
from formgen.recipe.shop import Sheet, Shop, ShopBetween

E = TypeVar("E")

#: What a recipe calls the shop's own bag where it lies on the part.
BAG = "bag"
#: The source of a figure for which the shop file gives none.
SHOPS_OWN = "the shop's own figure"

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


@fixed
class Kind:
    """One kind of things that recipe or shop file name.

    Args:
        what: what one of them is called in a message, and several of them.
        table: the catalogue's entries.
        own: the shop file's table for one's own, None where there is none.
        built_in: further names that need no entry, with their other names.
    """

    what: str
    several: str
    table: Callable[[], Mapping[str, Any]]
    own: str | None = None
    built_in: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def said(self) -> Said:
        """The catalogue's names with their other names."""
        return {**self.built_in, **{name: entry.also for name, entry in self.table().items()}}

    def expected(self, got: str, own: Collection[str]) -> str:
        """`expected …; what to do` for a name that neither shop nor catalogue knows."""
        return expected_name(got, self.what, own, self.said(), self.own)


WOOD = Kind(what="wood", several="woods", table=woods, own="woods")
PANEL = Kind(what="panel", several="panels", table=panels)
ADHESIVE = Kind(what="adhesive", several="adhesives", table=adhesives, own="adhesives")
SHEET = Kind(what="sheet", several="sheets", table=sheets, own="sheets")
BETWEEN = Kind(
    what="layer", several="layers", table=layers_between, own="between",
    built_in={BAG: ("the bag", "vacuum bag", "our bag")},
)  # fmt: skip
ARCH = Kind(what="kind of arch", several="arches", table=arches)


def wood(name: str, shop: Shop) -> Wood:
    """The shop's own wood of that name, else the catalogue's.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    known = _known("wood", WOOD, name, shop.woods)
    own = shop.woods.get(known)
    if own is None:
        return woods()[known]
    values = own.model_dump() | {"source": own.source or SHOPS_OWN}
    return Wood(name=known, kind=None, how_sure="shop file", change_how_sure="shop file", **values)


def panel(name: str) -> Panel:
    """The catalogue's panel of that name.

    Raises:
        RecipeError: it is not known; names the nearest.
    """
    return panels()[_known("panel", PANEL, name, ())]


def adhesive(name: str, shop: Shop | None = None) -> Adhesive:
    """The shop's own adhesive of that name (its class, with what the shop says otherwise), else the catalogue's.

    Raises:
        RecipeError: neither knows it, or the shop's is like a class that is not known; names the nearest.
    """
    theirs = shop.adhesives if shop is not None else {}
    called = _known("adhesive", ADHESIVE, name, theirs)
    own = theirs.get(called)
    if own is None:
        return adhesives()[called]
    found = adhesives()[_known("adhesive", ADHESIVE, own.like, ())]
    changes: dict[str, Any] = own.model_dump(exclude={"like", "source"}, exclude_none=True)
    for key in changes.keys() & {"spread_g_per_m2", "open_min", "clamp_min"}:
        changes[key] = (changes[key], changes[key])
    if "least_temperature_celsius" in changes:
        changes["least_temperature_c"] = changes.pop("least_temperature_celsius")
    source = own.source or SHOPS_OWN
    return replace(
        found,
        name=called,
        also=(),
        like=found.name,
        **changes,
        own=tuple(changes),
        own_source=source,
        source=f"{source}; the rest as {found.name}: {found.source}",
        how_sure="shop file",
    )


def between(name: str, shop: Shop) -> float:
    """Thickness in mm of something between part and form: the shop's own, else the catalogue's.

    Raises:
        RecipeError: neither knows it; names the nearest.
    """
    known = _known("between", BETWEEN, name, shop.between)
    own = shop.between.get(known)
    if own is not None:
        return own.thickness_mm if isinstance(own, ShopBetween) else own
    return shop.bag.thickness_mm if known == BAG else layers_between()[known].thickness_mm


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
    known = _known("sheet", SHEET, name, shop.sheets)
    own = shop.sheets.get(known)
    if own is not None:
        return own
    stock = sheets()[known]
    sizes = {"thickness": stock.thickness_mm, "length": stock.length_mm, "width": stock.width_mm}
    return Sheet.model_validate(sizes | {"density_kg_per_m3": stock.density_kg_per_m3})


def _known(key: str, kind: Kind, name: str, own: Collection[str]) -> str:
    """The proper name of what a key names; refused with what is meant or nearest where there is none."""
    if name in own or name in kind.built_in or name in kind.table():
        return name
    found = proper(name, own, kind.said())
    if found is None:
        raise RecipeError(f"{key} = {quoted(name)}, {kind.expected(name, own)}")
    return found


def wood_names(own: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of all woods, the shop's own first."""
    return (*own, *woods())
