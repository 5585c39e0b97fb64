"""Stage `recipe`: every name in a recipe and in a shop file, made the proper one, and those that nobody knows.

In: sources as read. Out: the same with proper names in the place of what was said, so that `White Oak` is stored, shown
and coded as `white oak`; and mistakes. Names are looked at in the raw data, so that they are reported together with
everything else.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from formgen.recipe.catalogue import ADHESIVE, ARCH, BETWEEN, PANEL, SHEET, WOOD, Kind
from formgen.recipe.figures import figures
from formgen.recipe.mistakes import LIKE, Mistake, at_value
from formgen.recipe.names import expected_name, listing, proper
from formgen.recipe.source import KeyPath, Source

#: Where a key names something: its path, the kind of thing, and what a message calls it where the kind's word is wide.
Reference = tuple[KeyPath, Kind, str]

_LAYER_BETWEEN, _LAYER_OVER = "layer between part and form", "layer over the part"


def with_proper_names(source: Source, shop: Source | None) -> Source:
    """Return a recipe, or the shop file itself, with proper names; one that nobody knows stays as it is."""
    data = source.data
    for path, kind, _ in _references(source, shop):
        said = at(data, path)
        if isinstance(said, str):
            name = proper(said, _own(shop, kind), kind.said())
            if name is not None and name != said:
                data = _put(data, path, name)
    return source if data is source.data else replace(source, data=data)


def names(recipe: Source, shop: Source | None) -> Iterator[Mistake]:
    """Names that neither the shop file nor the catalogue knows, or that several things share; of both files."""
    for source in (recipe, shop) if shop is not None and shop is not recipe else (recipe,):
        for path, kind, what in _references(source, shop):
            if kind is not ARCH:  # which the models tell by
                yield from _known(source, path, kind, what, shop)
    if shop is not None:
        yield from _figures(shop)


def _references(source: Source, shop: Source | None) -> Iterator[Reference]:
    return _shop_references(source) if source is shop else _recipe_references(source)


def _recipe_references(recipe: Source) -> Iterator[Reference]:
    yield ("part", "arch", "kind"), ARCH, ARCH.what
    yield ("laminate", "wood"), WOOD, WOOD.what
    for i in _rows(recipe, ("laminate", "plies")):
        yield ("laminate", "plies", i, "wood"), WOOD, WOOD.what
        yield ("laminate", "plies", i, "panel"), PANEL, PANEL.what
    yield ("laminate", "adhesive"), ADHESIVE, ADHESIVE.what
    for key, what in (("between", _LAYER_BETWEEN), ("over", _LAYER_OVER)):
        for i in _rows(recipe, ("press", key)):
            yield ("press", key, i), BETWEEN, what
    yield ("form", "sheet"), SHEET, SHEET.what


def _shop_references(shop: Source) -> Iterator[Reference]:
    yield ("sheet",), SHEET, SHEET.what
    for key in ("stock", "offcuts"):
        for i in _rows(shop, (key,)):
            yield (key, i, "sheet"), SHEET, SHEET.what
    yield ("adhesive",), ADHESIVE, ADHESIVE.what
    for name in _table(shop, "adhesives"):
        yield ("adhesives", name, "like"), CLASS, CLASS.what


#: What a shop's own adhesive is like is one of the catalogue.
CLASS = Kind(what="adhesive of the catalogue", several=ADHESIVE.several, table=ADHESIVE.table)


def _known(source: Source, path: KeyPath, kind: Kind, what: str, shop: Source | None) -> Iterator[Mistake]:
    said = at(source.data, path)
    own = _own(shop, kind)
    if not isinstance(said, str) or proper(said, own, kind.said()) is not None:
        return
    panel = proper(said, (), PANEL.said()) if kind is WOOD else None
    if panel is not None:
        yield at_value(
            source, path,
            f"expected a wood, which {panel} is not; in a list of plies write panel: {panel}, grain: along or across",
        )  # fmt: skip
        return
    expected = expected_name(said, what, own, kind.said(), kind.own)
    if kind is CLASS:
        expected += f"; {LIKE}"
    aid = ""
    if expected.startswith("expected the name"):  # where several share it, the line itself lists them
        aid = listing(said, kind.several, own, kind.said(), kind.own, begun=shop is not None)
    yield replace(at_value(source, path, expected), aid=aid)


def _figures(shop: Source) -> Iterator[Mistake]:
    """Figures that nobody knows, and past what nature allows."""
    known: dict[str, tuple[str, ...]] = dict.fromkeys(figures(), ())
    for name, value in _table(shop, "figures").items():
        if name not in known:
            yield at_value(shop, ("figures", name), expected_name(name, "figure", (), known))
        elif isinstance(value, int | float) and value > figures()[name].most:
            yield at_value(shop, ("figures", name), f"expected {figures()[name].most:g} or less; correct it")


def _own(shop: Source | None, kind: Kind) -> tuple[str, ...]:
    """The shop's own names of a kind."""
    return tuple(_table(shop, kind.own)) if shop is not None and kind.own is not None else ()


def at(data: Any, path: KeyPath) -> Any:
    """Return the value at a path, None where there is none."""
    for step in path:
        in_table = isinstance(data, dict) and step in data
        in_list = isinstance(data, tuple) and isinstance(step, int) and step < len(data)
        if not (in_table or in_list):
            return None
        data = data[step]
    return data


def _put(data: Any, path: KeyPath, value: Any) -> Any:
    """Return a copy of tables and lists with another value at a path that is there."""
    if not path:
        return value
    first, *rest = path
    inner = _put(data[first], tuple(rest), value)
    if isinstance(data, tuple) and isinstance(first, int):
        return (*data[:first], inner, *data[first + 1 :])
    return {**data, first: inner}


def _rows(source: Source, path: KeyPath) -> range:
    rows = at(source.data, path)
    return range(len(rows)) if isinstance(rows, tuple) else range(0)


def _table(source: Source, key: str) -> dict[str, Any]:
    table = at(source.data, (key,))
    return table if isinstance(table, dict) else {}
