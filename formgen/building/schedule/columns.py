"""Building: what the columns of an opening schedule are called, and which recipe key each one gives.

In: a header. Out: the columns in order. Trade words stand for the keys that an estimator fills in for every opening;
any other column is named by its recipe key, with points between: `laminate.plies`, or `part.legs.run` beside `legs`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import escaped, quoted
from formgen.recipe.mistakes import dotted, keys_of, models_at
from formgen.recipe.schema import RecipeFile
from formgen.recipe.source import KeyPath

#: How many of an opening are wanted: the one column that is no recipe key.
QUANTITY: KeyPath = ("quantity",)
#: Columns by trade word, and the recipe key that each gives. The opening's mark becomes the recipe's name.
TRADE_WORDS: Mapping[str, KeyPath] = {
    "opening": ("name",),
    "arch": ("part", "arch", "kind"),
    "span": ("part", "arch", "span"),
    "rise": ("part", "arch", "rise"),
    "depth": ("part", "depth"),
    "legs": ("part", "legs"),
    "measured on": ("part", "measured_on"),
    "remarks": ("note",),
    "quantity": QUANTITY,
}
#: Keys whose cells are texts, whatever they look like.
TEXTS: tuple[KeyPath, ...] = (("name",), ("note",))
#: Legs as a table, and how they run: the one key below that may have a column beside the whole's.
LEGS: KeyPath = ("part", "legs")
LEGS_RUN: KeyPath = ("part", "legs", "run")
#: Keys that belong to the base recipe alone, or to a trade word.
_NOT_A_COLUMN = ("format", "units", "name", "note")


@fixed
class Column:
    """One column: its name as typed, and what it gives."""

    name: str
    path: KeyPath


def read_columns(file: str, row: int, header: Sequence[str]) -> tuple[Column, ...]:
    """The columns of a header.

    Raises:
        RecipeError: names that are neither a trade word nor a recipe key, or two columns for one key.
    """
    columns, lines = [], []
    for name in header:
        try:
            columns.append(_column(name))
        except ValueError as err:
            lines.append(f"{file}: row {row}, column {quoted(name)} {err}")
    for i, column in enumerate(columns):
        for other in columns[:i]:
            shared = min(len(column.path), len(other.path))
            if {column.path, other.path} == {LEGS, LEGS_RUN}:
                continue
            if column.path[:shared] == other.path[:shared]:
                both = f"{other.name} and {column.name} both give {dotted(column.path[:shared])}"
                lines.append(f"{file}: row {row}, columns {both}, expected one; delete the other")
    if lines:
        raise RecipeError(*lines)
    return tuple(columns)


def _column(name: str) -> Column:
    """The column that a name means; ValueError with `is not a column, expected …; …`."""
    word = " ".join(name.casefold().replace("_", " ").split())
    if word in TRADE_WORDS:
        return Column(name=name, path=TRADE_WORDS[word])
    path = tuple(name.casefold().split("."))
    if path[0] in _NOT_A_COLUMN:
        raise ValueError("is a key of the base recipe, expected a column for each opening; delete it")
    for i, step in enumerate(path):
        known = keys_of(models_at(RecipeFile, path[:i]))
        if step not in known:
            raise ValueError(_unknown(word, path[:i], str(step), known))
    return Column(name=name, path=path)


def _unknown(word: str, above: KeyPath, step: str, known: Sequence[str]) -> str:
    near = get_close_matches(step, known, n=1)
    if above and near:
        return f"is not a recipe key, expected one below {dotted(above)}; did you mean {dotted((*above, near[0]))}?"
    near = get_close_matches(word, TRADE_WORDS, n=1)
    advice = f"did you mean {near[0]}?" if near else "correct or delete it"
    below = f", or a key below {dotted(above)}" if above else ""
    expected = f"{', '.join(TRADE_WORDS)}, or a recipe key such as laminate.plies{escaped(below)}"
    return f"is not a column, expected {expected}; {advice}"
