"""Building: from a row of the schedule to an opening, by typing its cells over the base recipe.

In: a row, its columns, the base recipe as plain data with places. Out: an opening, or its mistakes with row and column.
The strict models of `recipe` read the result; nothing is parsed here that a recipe would not be.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from formgen.building.schedule.columns import LEGS, LEGS_RUN, Column
from formgen.building.schedule.opening import Opening, Refused
from formgen.building.schedule.table import CellValue, Row
from formgen.quoted import quoted
from formgen.recipe.load import understood
from formgen.recipe.mistakes import Mistake, dotted
from formgen.recipe.shop import Shop
from formgen.recipe.source import KeyPath, Place, Source, plain_scalar, read_value

#: A cell with one of these says that the base recipe's value does not hold here.
DASHES = ("-", "–", "—")
MOST_ALIKE = 1000

_KIND: KeyPath = ("part", "arch", "kind")


class RowReader:
    """Rows to openings, with one base recipe and one shop."""

    def __init__(
        self, file: str, columns: tuple[Column, ...], base: Source, shop: Shop, shop_source: Source | None, folder: Path
    ) -> None:
        self._file = file
        self._columns = columns
        self._base = base
        self._shop = shop
        self._shop_source = shop_source
        self._folder = folder

    def read(self, row: Row) -> Opening | Refused:
        """The opening of a row, or what is wrong with it."""
        source, given, lines = self._written_over(row)
        quantity, line = self._quantity(row)
        lines += [line] if line else []
        recipe, mistakes = understood(source, self._shop, self._shop_source, self._folder)
        lines += [self._line(mistake, row, given, source) for mistake in mistakes]
        if recipe is None or lines:
            mark = next((str(c) for c, k in zip(row.cells, self._columns, strict=True) if k.path == ("name",)), "")
            return Refused(row=row.number, mark=mark, lines=tuple(dict.fromkeys(lines)))
        return Opening(
            row=row.number,
            recipe=replace(recipe, file="", places={}, quantity=quantity),
            file=self._file,
            columns={dotted(path): column.name for path, column in given.items()},
        )

    def _written_over(self, row: Row) -> tuple[Source, dict[KeyPath, Column], list[str]]:
        """The base recipe with the row's values, which column gave which key, and cells that say nothing readable."""
        data, places = dict(self._base.data), dict(self._base.places)
        data.pop("name", None)
        if self._another_kind(row):
            data["part"] = {**data["part"], "arch": {}}
            places = {path: place for path, place in places.items() if path[:2] != ("part", "arch") or len(path) == 2}
        given: dict[KeyPath, Column] = {}
        lines = []
        for column, cell in zip(self._columns, row.cells, strict=True):
            if cell is None or column.kind == "quantity":
                continue
            try:
                value = _leave_out(column) if _is_dash(cell) else _value(cell, column)
            except ValueError as err:
                lines.append(f"{self._file}: row {row.number}, column {column.name} = {quoted(cell)}, {err}")
                continue
            typed = str(cell).strip()
            given[column.path] = column
            if column.path in (LEGS, LEGS_RUN):
                data, places = _with_legs(data, places, column.path, value, Place(row.number, 1, row.number, 1, typed))
                continue
            data = _with(data, column.path, value)
            for depth in range(1, len(column.path)):
                places.setdefault(column.path[:depth], Place(1, 1, 1, 1, None))
            places.update(_places(column.path, value, typed, row.number))
        return replace(self._base, data=data, places=places), given, lines

    def _another_kind(self, row: Row) -> bool:
        """Tell whether the row names another kind of arch than the base recipe does."""
        part = self._base.data.get("part")
        arch = part.get("arch") if isinstance(part, dict) else None
        if not isinstance(arch, dict):
            return False
        asked = next((c for c, k in zip(row.cells, self._columns, strict=True) if k.path == _KIND), None)
        return asked is not None and not _is_dash(asked) and str(asked).strip() != arch.get("kind")

    def _quantity(self, row: Row) -> tuple[int, str]:
        """Return how many are wanted, 1 where nothing is said, and what is wrong with the cell or nothing."""
        for column, cell in zip(self._columns, row.cells, strict=True):
            if column.kind != "quantity" or cell is None:
                continue
            value = plain_scalar(cell.strip()) if isinstance(cell, str) else cell
            if type(value) is int and 1 <= value <= MOST_ALIKE:
                return value, ""
            return 1, (
                f"{self._file}: row {row.number}, column {column.name} = {quoted(cell)}, expected a whole number "
                f"from 1 to {MOST_ALIKE}; correct it"
            )
        return 1, ""

    def _line(self, mistake: Mistake, row: Row, given: Mapping[KeyPath, Column], source: Source) -> str:
        """A mistake with its row and column, or with its place in the base recipe where that holds the value."""
        path = mistake.path
        where = f"{self._file}: row {row.number}"
        for depth in range(len(path), 0, -1):
            column = given.get(path[:depth])
            if column is not None:
                said = mistake.message.removeprefix(dotted(path[:depth]))
                said = said.removeprefix(".length") if path == (*LEGS, "length") else said
                return f"{where}, column {column.name}{said if said.startswith((' ', ',', '[')) else ': ' + said}"
        empty = next((column for column in self._columns if column.path == path), None)
        if empty is not None and path not in source.places:
            return (
                f"{where}, column {empty.name} is empty, expected a value, since {source.name} gives no "
                f"{dotted(path)} for it; write it"
            )
        if path and any(key[: len(path)] == path or key[:-1] == path[:-1] for key in given if len(key) > 1):
            return f"{where}: {mistake.message}"
        return str(mistake)


def _is_dash(cell: CellValue) -> bool:
    return isinstance(cell, str) and cell.strip() in DASHES


class _LeftOut:
    """Marks a value of the base recipe that is left out."""


def _leave_out(column: Column) -> _LeftOut:
    if column.path == ("name",):
        raise ValueError("expected a mark; give the opening one")
    return _LeftOut()


def _value(cell: CellValue, column: Column) -> Any:
    """A cell as it would stand in a recipe."""
    if column.kind == "text":
        return str(cell).strip()
    return read_value(cell.strip()) if isinstance(cell, str) else cell


def _with(table: Mapping[str, Any], path: KeyPath, value: Any) -> dict[str, Any]:
    """A copy of a table in which the key at a path has the value, tables above it made where there are none."""
    first, *rest = path
    out = dict(table)
    if rest:
        inner = out.get(str(first))
        out[str(first)] = _with(inner if isinstance(inner, dict) else {}, tuple(rest), value)
        if isinstance(value, _LeftOut) and not isinstance(inner, dict):
            out = dict(table)  # nothing to leave out
    elif isinstance(value, _LeftOut):
        out.pop(str(first), None)
    else:
        out[str(first)] = value
    return out


def _with_legs(
    data: Mapping[str, Any], places: Mapping[KeyPath, Place], path: KeyPath, value: Any, place: Place
) -> tuple[dict[str, Any], dict[KeyPath, Place]]:
    """Legs and how they run stand in two columns, either of which may be in the base recipe as well.

    A length in the one becomes a table where the other says how they run, whichever column comes first.
    """
    part = data.get("part")
    held = part.get("legs") if isinstance(part, dict) else None
    if path == LEGS_RUN:
        if held is not None and not isinstance(held, dict):
            data = _with(data, LEGS, {"length": held})
            places = {**places, (*LEGS, "length"): places[LEGS]}
        wanted = value
    else:
        run = held.get("run") if isinstance(held, dict) else None
        sizes = value if isinstance(value, dict) else {"length": value}
        plain = run is None or isinstance(value, _LeftOut) or "run" in sizes
        wanted = value if plain else {**sizes, "run": run}
    known: dict[KeyPath, Place] = {LEGS[:1]: Place(1, 1, 1, 1, None), LEGS: Place(1, 1, 1, 1, None), **places}
    if path == LEGS and isinstance(wanted, dict):
        known |= {(*LEGS, str(step)): place for step in wanted}
    return _with(data, path, wanted), {**known, path: place}


def _places(path: KeyPath, value: Any, typed: str, row: int) -> Iterator[tuple[KeyPath, Place]]:
    """Places for a cell's value and for whatever stands in its brackets."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, tuple) else ()
    whole = isinstance(value, dict | tuple)
    yield path, Place(row, 1, row, 1, None if whole else typed)
    for step, held in inner:
        yield from _places((*path, step), held, str(held), row)
