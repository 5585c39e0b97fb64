"""Building: what the columns of an opening schedule are called, and which recipe key each one gives.

In: a header. Out: the columns in order. The trade's words for the keys that an estimator fills in stand in
`data/words.toml`; any other column is named by its recipe key, with points between: `laminate.plies`, or
`part.legs.run` beside `legs`. A column that its word leaves open is decided later, by what stands in it (`settle.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from formgen.building.schedule.words import (
    called,
    header_words,
    is_one_of,
    meaning_of,
    plain,
    unit_names,
    unit_of,
    without_unit,
)
from formgen.fixed import fixed
from formgen.quoted import escaped, quoted
from formgen.recipe.mistakes import dotted, keys_of, models_at
from formgen.recipe.schema import RecipeFile
from formgen.recipe.source import KeyPath

#: How many of an opening are wanted: the one column that is no recipe key.
QUANTITY: KeyPath = ("quantity",)
NAME: KeyPath = ("name",)
NOTE: KeyPath = ("note",)
KIND: KeyPath = ("part", "arch", "kind")
SPAN: KeyPath = ("part", "arch", "span")
RISE: KeyPath = ("part", "arch", "rise")
#: Keys whose cells are texts, whatever they look like.
TEXTS: tuple[KeyPath, ...] = (NAME, NOTE)
#: Legs as a table, and how they run: the one key below that may have a column beside the whole's.
LEGS: KeyPath = ("part", "legs")
LEGS_RUN: KeyPath = ("part", "legs", "run")
#: Said of a column that has to be asked.
NOT_DECIDED = "not decided"
#: Keys that are shown of every opening.
SHOWN: tuple[KeyPath, ...] = (KIND, SPAN, RISE, ("part", "depth"), LEGS, ("part", "measured_on"))
#: Keys that belong to the base recipe alone, or to a trade word.
_NOT_A_COLUMN = ("format", "units", "name", "note")


@fixed
class Column:
    """One column.

    Args:
        name: as typed, without its unit's brackets taken off.
        path: the key that it gives; empty while its contents have to say, and where it is passed over.
        asks: what its contents have to decide, or nothing.
        unit: of a number without one, or `ft-in` where each cell says its own; empty is the base recipe's.
        why: how it was decided, in words; empty where its word says it.
    """

    name: str
    path: KeyPath = ()
    asks: str = ""
    unit: str = ""
    why: str = ""

    @property
    def measures(self) -> bool:
        """Tell whether its cells are lengths."""
        return self.asks in ("height", "overall") or is_length(self.path)


def is_length(path: KeyPath) -> bool:
    """Tell whether a recipe key holds a length: its field carries mm in its name, or it is the legs."""
    if path == LEGS:
        return True
    fields = [f for model in models_at(RecipeFile, path[:-1]) for f in model.model_fields.items()] if path else []
    return any(name.endswith("_mm") and (field.alias or name) == path[-1] for name, field in fields)


def known(name: str) -> Column | None:
    """The column that a name means; None if it means none."""
    try:
        return _meant(name)
    except ValueError:
        return None


def column_of(name: str) -> Column:
    """The column that a name means.

    Raises:
        ValueError: `is not a column, expected …; …`, or what is wrong with its unit.
    """
    column = _meant(name)
    if column is None:
        raise ValueError(_unknown(plain(name)))
    return column


def _meant(name: str) -> Column | None:
    """The column that a name means; None if it means none, ValueError where it means one and is wrong in itself."""
    said = plain(name)
    column = _by_word(name, said) or _by_key(name, said)
    if column is not None:
        return column
    word, typed = without_unit(said)
    column = _by_word(name, word) or _by_key(name, word) if typed is not None else None
    if column is None or typed is None:
        return None
    unit = unit_of(typed)
    if unit is None and (column.path in TEXTS or is_one_of(typed, "no_unit") or not (column.path or column.asks)):
        return column
    if unit is None:
        raise ValueError(f"has {quoted(typed)} for a unit, expected {unit_names()}; write one of them, or none")
    if not column.measures:
        raise ValueError(f"has a unit, {unit}, and holds no length; delete the unit")
    return Column(name=name, path=column.path, asks=column.asks, unit=unit)


def _by_word(name: str, word: str) -> Column | None:
    meaning = meaning_of(word)
    return None if meaning is None else Column(name=name, path=meaning.gives, asks=meaning.asks)


def _by_key(name: str, word: str) -> Column | None:
    """The column of a recipe key; None where the word is none, and says why only if it looks like one."""
    path: KeyPath = tuple(word.replace(" ", "_").split("."))
    if path[0] in _NOT_A_COLUMN:
        raise ValueError("is a key of the base recipe, expected a column for each opening; delete it")
    for i, step in enumerate(path):
        if step not in keys_of(models_at(RecipeFile, path[:i])):
            return None
    return Column(name=name, path=path)


def conflicts(file: str, row: int, columns: Iterable[Column]) -> list[str]:
    """A line for each two columns that give one key; remarks may stand in several."""
    lines = []
    held = [column for column in columns if column.path]
    for i, column in enumerate(held):
        for other in held[:i]:
            shared = min(len(column.path), len(other.path))
            if {column.path, other.path} == {LEGS, LEGS_RUN} or column.path == other.path == NOTE:
                continue
            if plain(column.name) == plain(other.name):
                continue  # which stands twice, and is said so
            if column.path[:shared] == other.path[:shared]:
                what = dotted(column.path[:shared])
                both = f"{escaped(other.name)} and {escaped(column.name)} both give {what}"
                lines.append(f"{file}: row {row}, columns {both}, expected one; delete the other")
    return lines


def read_columns(file: str, row: int, header: Sequence[str]) -> tuple[tuple[Column, ...], list[str]]:
    """The columns of a header, and a line for each whose name means nothing; such a one is passed over."""
    columns, lines = [], []
    for name in header:
        if not name:
            columns.append(Column(name=name))
            continue
        try:
            columns.append(column_of(name))
        except ValueError as err:
            lines.append(f"{file}: row {row}, column {quoted(name)} {err}")
            columns.append(Column(name=name, why=NOT_DECIDED))
    return tuple(columns), lines


def _unknown(word: str) -> str:
    """Say what was expected of a header that means nothing, and what it may have been meant for."""
    path = tuple(word.replace(" ", "_").split("."))
    for i, step in enumerate(path if len(path) > 1 else ()):
        keys = keys_of(models_at(RecipeFile, path[:i]))
        if step not in keys:
            near = get_close_matches(step, keys, n=1)
            above = dotted(path[:i])
            if near and above:
                return f"is not a recipe key, expected one below {above}; did you mean {above}.{near[0]}?"
            break
    near = get_close_matches(without_unit(word)[0], header_words(), n=1)
    advice = f"did you mean {near[0]}?" if near else 'correct it, or delete the column; text goes under "remarks"'
    return f"is not a column, expected {', '.join(called())}, or a recipe key such as laminate.plies; {advice}"
