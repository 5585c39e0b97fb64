"""Stage `recipe`: the short way to write a recipe: six keys at its top, and what goes without saying.

In: a recipe as plain data with its places. Out: the same data with every short key in its section, and format, name,
units, side and plies filled in where nobody wrote them. Places stay those of what was typed, so that a mistake is told
by the key that stands there. Nothing is chosen here but `auto`: what a program can compute later stages do.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import BaseModel

from formgen.lengths import Units, units_of
from formgen.quoted import quoted
from formgen.recipe.mistakes import Mistake, models_in, shown
from formgen.recipe.schema import SHORT, RecipeFile
from formgen.recipe.source import KeyPath, Place, Source
from formgen.recipe.strict import key_of

#: What stands for a key that nobody wrote.
UNSAID: Mapping[KeyPath, Any] = {("format",): 1, ("laminate", "plies"): "auto", ("press", "side"): "auto"}
_WHOLE_FILE = Place(1, 1, 1, 1, None)


def in_sections(source: Source) -> Source:
    """The recipe with each short key moved into its section; one that stands both ways is a mistake."""
    if not isinstance(source.data, dict):
        return source
    data, places, mistakes, short = dict(source.data), dict(source.places), list(source.mistakes), set[KeyPath]()
    for key, path in SHORT.items():
        section, name = path
        if section not in source.data:
            short.add(path)  # a key that is missing is asked for the short way too
        if key not in source.data:
            continue
        held, table = data.pop(key), data.get(section, {})
        if not isinstance(table, dict):
            continue  # the section is a mistake of its own
        if name in table:
            first, second = sorted((source.places[path].key_line, source.places[key,].key_line))
            place = source.places[key,]
            told = f"{key} stands twice, here and under {section}, at lines {first} and {second}; delete one"
            mistakes.append((place.key_line, place.key_column, told))
            continue
        data[section] = {**table, name: held}
        short.add(path)
        places |= {(*path, *at[1:]): place for at, place in source.places.items() if at[:1] == (key,)}
        places.setdefault((section,), source.places[key,])
    return replace(source, data=data, places=places, mistakes=tuple(mistakes), short=frozenset(short))


def filled(source: Source) -> tuple[Source, list[Mistake]]:
    """The recipe with what goes without saying: format, units as its lengths are written, side and plies `auto`.

    Returns:
        It, and the question for its units where the lengths do not settle them.
    """
    if not isinstance(source.data, dict):
        return source, []
    data, places, asked = dict(source.data), dict(source.places), list[Mistake]()
    for section in ("part", "laminate", "press"):
        data.setdefault(section, {})
        places.setdefault((section,), _WHOLE_FILE)
    for (*above, key), value in UNSAID.items():
        table = data
        for step in above:
            table = data[step] = dict(data[step]) if isinstance(data[step], dict) else data[step]
        if isinstance(table, dict):
            table.setdefault(key, value)
    if "units" not in data:
        data["units"], asked = _units(source)
    return replace(source, data=data, places=places), asked


def with_name(source: Source) -> Source:
    """The recipe with its file's name where it has none of its own: what a folder cannot be called becomes a dash."""
    if not isinstance(source.data, dict) or "name" in source.data:
        return source
    name = re.sub(r"[^A-Za-z0-9_-]+", "-", source.name.rsplit(".", 1)[0]).strip("-_")[:60]
    return replace(source, data={**source.data, "name": name}) if name else source


def _units(source: Source) -> tuple[Units, list[Mistake]]:
    """The units that all lengths are written in, and the question where they are not in one."""
    said: dict[Units, str] = {}
    for path, value in _lengths((), source.data):
        unit, this = units_of(str(value)), f"{shown(source, path)} = {quoted(value)}"
        if unit is None and value != 0:
            return "in", [
                _asked(
                    source, path, f"{this} says none", "units: mm or units: in, or write the unit beside every length"
                )
            ]
        if unit is not None and said.setdefault(unit, this) == this and len(said) > 1:
            both = f"{' and '.join(said.values())} are of two systems"
            return "in", [_asked(source, path, both, "units: mm or units: in")]
    return next(iter(said), "mm"), []


def _asked(source: Source, path: KeyPath, since: str, add: str) -> Mistake:
    message = f"units is missing, expected it, since {since}; add {add}"
    return Mistake(file=source.name, line=1, column=1, message=message, path=path)


def _lengths(path: KeyPath, data: Any) -> Iterator[tuple[KeyPath, Any]]:
    """Every length that was typed, in the order in which a recipe is read."""
    if isinstance(data, dict):
        for key in sorted(data, key=lambda key: key not in {"part", "arch"}):
            yield from _lengths((*path, key), data[key])
    elif isinstance(data, tuple):
        for i, held in enumerate(data):
            yield from _lengths((*path, i), held)
    elif isinstance(data, int | float | str) and not isinstance(data, bool):
        named = next((step for step in reversed(path) if isinstance(step, str)), "")
        if named in _length_keys():
            yield path, data


@cache
def _length_keys() -> frozenset[str]:
    """The keys of a recipe whose values are lengths."""
    models: list[type[BaseModel]] = [RecipeFile]
    for model in models:  # grows as it is gone through
        inner = [held for field in model.model_fields.values() for held in models_in(field.annotation)]
        models.extend(held for held in inner if held not in models)
    fields = (name for model in models for name in model.model_fields)
    return frozenset({"legs", *(key_of(name) for name in fields if name.endswith("_mm"))})
