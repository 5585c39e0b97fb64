"""Stage `recipe`: values that are tried without writing them down: `--set form.backing=150`.

In: texts of the form key=value, the key by its dotted name, the value as a recipe would write it. Out: the recipe's
plain data with those values over its own, before anybody looks at it, so that they are read, refused and named by the
same sentences; and the lines to type for whoever wants to keep them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import escaped, quoted, unseen
from formgen.recipe.mistakes import dotted
from formgen.recipe.source import DEEPEST, KeyPath, Place, Source, read_setting

OPTION = "--set"
#: A value alone that stands for a table: what its one key would be.
_ALONE: Mapping[KeyPath, str] = {("part", "legs"): "length"}
_STEP = re.compile(r"(?P<key>[A-Za-z_][A-Za-z0-9_-]*)(?P<items>(?:\[[0-9]{1,3}\])*)")


@fixed
class Setting:
    """One value that is tried.

    Args:
        path: the key's.
        text: the value as it was typed.
        value: the same as plain data.
        places: of the key and of all that stands in the value's brackets.
    """

    path: KeyPath
    text: str
    value: Any
    places: Mapping[KeyPath, Place]


def read_settings(texts: Sequence[str], moved: Mapping[str, KeyPath] | None = None) -> tuple[Setting, ...]:
    """Return the settings in texts such as `form.backing=150`.

    Args:
        texts: key=value each.
        moved: keys at the top of a recipe that stand for one in a section, and for which.

    Raises:
        RecipeError: no key, no value, a value that cannot be read, a key given twice; one line for each.
    """
    found: dict[KeyPath, Setting] = {}
    mistakes = []
    for text in texts:
        try:
            setting = _read(text, moved or {})
        except ValueError as err:
            mistakes.append(str(err))
            continue
        if setting.path in found:
            mistakes.append(f"{_named(setting.path)} stands twice, expected each key once; delete one")
        found[setting.path] = setting
    if mistakes:
        raise RecipeError(*mistakes)
    return tuple(found.values())


def with_settings(source: Source, settings: Sequence[Setting]) -> Source:
    """Return a recipe's plain data with the settings over its own values.

    Args:
        source: the recipe.
        settings: a table above a key is made where there is none.

    Raises:
        RecipeError: a key below a value that is no table, or an item that its list does not have.
    """
    if not isinstance(source.data, dict):
        return source
    data, places = source.data, dict(source.places)
    mistakes = []
    for setting in settings:
        try:
            data, made = _put(data, setting.path, setting.value, ())
        except _NoPlaceError as err:
            mistakes.append(f"{_named(setting.path)}: {err}")
            continue
        said = Place(0, 0, 0, 0, None, _named(setting.path))
        places = {path: place for path, place in places.items() if path[: len(setting.path)] != setting.path}
        places |= dict.fromkeys(made, said) | dict(setting.places)
    if mistakes:
        raise RecipeError(*mistakes)
    return replace(source, data=data, places=places)


def lines_to_keep(source: Source, settings: Sequence[Setting], moved: Mapping[str, KeyPath]) -> Iterator[str]:
    """Yield the line to type for each setting, with its place: `porch.yaml:26: backing: 150 (now 6)`.

    Args:
        source: the recipe as it stands in its file.
        settings: what was tried.
        moved: keys at the top of a recipe that stand for one in a section, and for which.
    """
    for setting in settings:
        path = _as_typed(source, setting.path, moved)
        tables = [n for n in range(len(path)) if isinstance(_at(source.data, path[:n]), dict | tuple)]
        above, (first, *below) = path[: tables[-1]], path[tables[-1] :]
        place, text = source.places.get((*above, first)), setting.text
        alone = _ALONE.get((*above, first))
        for step in reversed(below):
            held = f"{alone}: {place.typed}, " if alone is not None and place is not None and step != alone else ""
            text = f"{{{held}{step}: {text}}}"
        line = f"{first}: {text}" if isinstance(first, str) else f"- {text}"
        if place is not None:
            now = f" (now {place.typed})" if place.typed else ""
            yield f"{source.name}:{place.key_line}: {line}{now}"
        else:
            yield f"{source.name}{f', under {dotted(above)}' if above else ''}: {line}"


def _as_typed(source: Source, path: KeyPath, moved: Mapping[str, KeyPath]) -> KeyPath:
    """The path by a recipe's short key, where the recipe has that, or has not the section."""
    for key, long in moved.items():
        if path[: len(long)] == long and (key in source.data or long[0] not in source.data):
            return (key, *path[len(long) :])
    return path


def _at(held: Any, path: KeyPath) -> Any:
    """Find what stands at a path, None where there is nothing."""
    for step in path:
        if isinstance(held, dict):
            held = held.get(step)
        else:
            held = held[step] if isinstance(held, tuple) and isinstance(step, int) and step < len(held) else None
    return held


class _NoPlaceError(Exception):
    """Raised where a value cannot be put: what stands in the way, and what to type instead."""


def _read(text: str, moved: Mapping[str, KeyPath]) -> Setting:
    """One setting; ValueError with the whole line to say else."""
    key, sign, value = text.partition("=")
    key, value = key.strip(), value.strip()
    path = tuple(_steps(key))
    if not (sign and path):
        raise ValueError(f"{OPTION} {quoted(text)}: expected key=value; write for example {OPTION} form.backing=150")
    if len(path) > DEEPEST:
        raise ValueError(f"{OPTION} {quoted(text)}: expected at most {DEEPEST} keys below each other; check it")
    named = _named(path)
    if not value:
        raise ValueError(f"{named} has no value, expected one after the =; write it")
    if unseen(value) is not None:
        raise ValueError(f"{named} = {quoted(value)}, expected no control characters; delete them")
    path = (*moved.get(str(path[0]), path[:1]), *path[1:])
    try:
        held, places = read_setting(value, path, named)
    except ValueError as err:
        raise ValueError(f"{named} = {quoted(value)}, {err}") from None
    return Setting(path=path, text=value, value=held, places=places)


def _steps(key: str) -> Iterator[str | int]:
    """The steps of a dotted key, items of lists counted from 0; none where it is no key."""
    matches = [_STEP.fullmatch(part) for part in key.split(".")]
    for match in matches if all(matches) else ():
        if match is not None:
            yield match["key"]
            yield from (int(number) - 1 for number in re.findall("[0-9]+", match["items"]))


def _named(path: KeyPath) -> str:
    return f"{OPTION} {dotted(path)}"


def _put(held: Any, path: KeyPath, value: Any, above: KeyPath) -> tuple[Any, list[KeyPath]]:
    """The data with a value at a path, and the tables that were made for it.

    Args:
        held: what stands there, None for nothing.
        path: from there on.
        value: what is put there.
        above: the path so far.
    """
    if not path:
        return value, []
    first, *rest = path
    here = (*above, first)
    if isinstance(first, int):
        if not isinstance(held, tuple) or not 0 <= first < len(held):
            have = f"has {len(held)}" if isinstance(held, tuple) else "is no list"
            raise _NoPlaceError(f"{dotted(above)} {have}, expected an item that is there; write the whole list")
        inner, made = _put(held[first], tuple(rest), value, here)
        return (*held[:first], inner, *held[first + 1 :]), made
    table, new = _table(held, above, first)
    inner, made = _put(table.get(first), tuple(rest), value, here)
    return {**table, first: inner}, [*new, *made]


def _table(held: Any, above: KeyPath, key: str) -> tuple[dict[str, Any], list[KeyPath]]:
    """Find what stands at a place as a table, and its path if it is made here: of nothing, of true or of false."""
    if isinstance(held, dict):
        return held, []
    if held is None or isinstance(held, bool):
        return {}, [above]
    alone = _ALONE.get(above)
    if alone is not None and not isinstance(held, tuple):
        return {alone: held}, [above, (*above, alone)]
    what = "a list" if isinstance(held, tuple) else escaped(held)
    raise _NoPlaceError(
        f"{dotted(above)} is {what}, expected a table that {key} could stand in; write it whole: "
        f"{OPTION} '{dotted(above)}={{{key}: …}}'"
    )
