"""Building: one cell of a schedule as it would stand in a recipe, with the unit that its column says.

In: a cell and its column. Out: a value as YAML would give it, or why it is none.
"""

from __future__ import annotations

import re
from typing import Any

from formgen.building.schedule.cells import Cell, Spoiled
from formgen.building.schedule.columns import KIND, NAME, TEXTS, Column
from formgen.building.schedule.kinds import kind_named
from formgen.building.schedule.over import LeftBlank
from formgen.building.schedule.words import OWN_UNIT, is_one_of
from formgen.errors import LengthError
from formgen.lengths import Units, read_length
from formgen.recipe.source import read_value

#: A number, fraction or mixed number without a letter or a mark of feet or inches.
_BARE = re.compile(r"[-+−]?[\d\s./⁄¼½¾⅓⅔⅛⅜⅝⅞–-]*[\d.¼½¾⅓⅔⅛⅜⅝⅞]")


def is_dash(cell: Cell, column: Column) -> bool:
    """Tell whether a cell says that there is none: a dash, or for a size `none` and the like."""
    return is_one_of(cell, "none") or (column.measures and is_one_of(cell, "no_length"))


def value_of(cell: Cell, column: Column) -> Any:
    """A cell as it would stand in a recipe.

    Raises:
        ValueError: `expected …; what to do`.
    """
    if is_dash(cell, column):
        if column.path == NAME:
            raise ValueError("expected a mark; give the opening one")
        return LeftBlank()
    if column.path == NAME:
        return "-".join(str(cell).split())
    if column.path in TEXTS:
        return " ".join(str(cell).split("\n")).strip() if isinstance(cell, str) else str(cell)
    if column.path == KIND and isinstance(cell, str):
        return kind_named(cell) or cell.strip()
    if column.measures and column.unit and not isinstance(cell, bool):
        return with_unit(cell, column.unit)
    return read_value(cell.strip()) if isinstance(cell, str) else cell


def with_unit(cell: Cell, unit: str) -> Any:
    """A length with the column's unit, unless it says its own.

    Raises:
        ValueError: each cell has to say its own, and this one does not.
    """
    text = str(cell).strip()
    if not _BARE.fullmatch(text):
        return read_value(text)
    if unit == OWN_UNIT:
        raise ValueError("expected feet and inches, since the header says so; write for example 3'-0\"")
    return f"{text} {unit}"


def mm_of(cell: Cell, column: Column, units: Units) -> float | None:
    """A length (mm); None where the cell holds none that can be read."""
    if cell is None or isinstance(cell, bool | Spoiled) or is_dash(cell, column):
        return None
    try:
        value = with_unit(cell, column.unit) if column.unit else str(cell).strip()
        return read_length(str(value), units)
    except (LengthError, ValueError):
        return None
