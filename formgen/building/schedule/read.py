"""Building: from an opening schedule and a base recipe to one recipe for each opening.

In: a table and a base recipe. Out: openings, each with the recipe that the strict models of `recipe` understood: a row
is the base recipe with some of its values typed over, and nothing is parsed here that a recipe would not be. A blank
cell keeps the base's value; a dash leaves that value out. A row that names another kind of arch than the base takes
none of the base's sizes of arch. Mistakes are said with row and column.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from formgen.building.running.events import Tell, tell_how_far
from formgen.building.schedule.columns import LEGS, LEGS_RUN, QUANTITY, TEXTS, Column, read_columns
from formgen.building.schedule.file import read_table
from formgen.building.schedule.opening import Opening, Refused, Schedule
from formgen.building.schedule.table import CellValue, Row
from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import quoted
from formgen.recipe.load import SHOP_FILE, load_shop, understood
from formgen.recipe.mistakes import Mistake, dotted, shown
from formgen.recipe.shop import Shop
from formgen.recipe.short import in_sections
from formgen.recipe.source import KeyPath, Place, Source, plain_scalar, read_source, read_value

#: A cell with one of these says that the base recipe's value does not hold here.
DASHES = ("-", "–", "—")
MOST_ALIKE = 1000

_KIND: KeyPath = ("part", "arch", "kind")


def read_schedule(
    path: Path, base_path: Path, shop_path: Path | None = None, tell: Tell = lambda _event: None
) -> Schedule:
    """The openings of a schedule.

    Args:
        path: the schedule, CSV or XLSX.
        base_path: the base recipe, which need not be whole.
        shop_path: the shop file; None takes `shop.yaml` beside the base recipe if there is one, else the defaults.
        tell: told how far it is, where there are many rows.

    Raises:
        RecipeError: nothing can be read: no table, unknown columns, a base recipe that is not YAML, a bad shop file.
    """
    if shop_path is None and (base_path.parent / SHOP_FILE).is_file():
        shop_path = base_path.parent / SHOP_FILE
    base = in_sections(read_source(base_path))
    if not isinstance(base.data, dict):
        raise RecipeError(f"{base.name}: expected keys with values, such as format: 1; see a recipe that works")
    shop, shop_source = (load_shop(shop_path), read_source(shop_path)) if shop_path is not None else (Shop(), None)
    table = read_table(path)
    columns = read_columns(table.name, table.header_row, table.header)
    reader = _RowReader(
        file=table.name, columns=columns, base=base, shop=shop, shop_source=shop_source, folder=base_path.parent
    )
    read = []
    for i, row in enumerate(table.rows):
        tell_how_far(tell, "reading", "reading the openings", i, len(table.rows))
        read.append(reader.read(row))
    openings = [held for held in read if isinstance(held, Opening)]
    refused = [held for held in read if isinstance(held, Refused)]
    refused += [Refused(row=n, mark="", lines=(f"{table.name}: {line}",)) for n, line in table.mistakes]
    openings, twice = _each_once(openings)
    return Schedule(
        file=table.name,
        base=base.name,
        openings=tuple(openings),
        refused=tuple(sorted([*refused, *twice], key=lambda held: held.row)),
    )


def _each_once(openings: Iterable[Opening]) -> tuple[list[Opening], list[Refused]]:
    """Openings whose marks differ in more than capitals: a mark becomes a folder's name."""
    first: dict[str, Opening] = {}
    refused = []
    for opening in openings:
        other = first.setdefault(opening.mark.casefold(), opening)
        if other is not opening:
            line = (
                f"{opening.file}: row {opening.row}, column {opening.columns['name']} = {quoted(opening.mark)} stands "
                f"in row {other.row} too, expected a mark of its own; change one, or give the quantity"
            )
            refused.append(Refused(row=opening.row, mark=opening.mark, lines=(line,)))
    return list(first.values()), refused


@fixed
class _RowReader:
    """Rows to openings, with one base recipe and one shop."""

    file: str
    columns: tuple[Column, ...]
    base: Source
    shop: Shop
    shop_source: Source | None
    folder: Path

    def read(self, row: Row) -> Opening | Refused:
        """The opening of a row, or what is wrong with it."""
        source, given, lines = self._written_over(row)
        quantity, line = self._quantity(row)
        lines += [line] if line else []
        recipe, mistakes = understood(source, self.shop, self.shop_source, self.folder)
        lines += [self._line(mistake, row, given, source) for mistake in mistakes]
        if recipe is None or lines:
            mark = next((str(c) for c, k in zip(row.cells, self.columns, strict=True) if k.path == ("name",)), "")
            return Refused(row=row.number, mark=mark, lines=tuple(dict.fromkeys(lines)))
        return Opening(
            row=row.number,
            recipe=replace(recipe, file="", places={}, quantity=quantity),
            file=self.file,
            columns={dotted(path): column.name for path, column in given.items()},
        )

    def _written_over(self, row: Row) -> tuple[Source, dict[KeyPath, Column], list[str]]:
        """The base recipe with the row's values, which column gave which key, and cells that say nothing readable."""
        data, places = dict(self.base.data), dict(self.base.places)
        data.pop("name", None)
        if self._another_kind(row):
            data["part"] = {**data["part"], "arch": {}}
            places = {path: place for path, place in places.items() if path[:2] != ("part", "arch") or len(path) == 2}
        given: dict[KeyPath, Column] = {}
        lines = []
        for column, cell in zip(self.columns, row.cells, strict=True):
            if cell is None or column.path == QUANTITY:
                continue
            try:
                value = _leave_out(column) if _is_dash(cell) else _value(cell, column)
            except ValueError as err:
                lines.append(f"{self.file}: row {row.number}, column {column.name} = {quoted(cell)}, {err}")
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
        return replace(self.base, data=data, places=places), given, lines

    def _another_kind(self, row: Row) -> bool:
        """Tell whether the row names another kind of arch than the base recipe does."""
        part = self.base.data.get("part")
        arch = part.get("arch") if isinstance(part, dict) else None
        if not isinstance(arch, dict):
            return False
        asked = next((c for c, k in zip(row.cells, self.columns, strict=True) if k.path == _KIND), None)
        return asked is not None and not _is_dash(asked) and str(asked).strip() != arch.get("kind")

    def _quantity(self, row: Row) -> tuple[int, str]:
        """Return how many are wanted, 1 where nothing is said, and what is wrong with the cell or nothing."""
        for column, cell in zip(self.columns, row.cells, strict=True):
            if column.path != QUANTITY or cell is None:
                continue
            value = plain_scalar(cell.strip()) if isinstance(cell, str) else cell
            if type(value) is int and 1 <= value <= MOST_ALIKE:
                return value, ""
            return 1, (
                f"{self.file}: row {row.number}, column {column.name} = {quoted(cell)}, expected a whole number "
                f"from 1 to {MOST_ALIKE}; correct it"
            )
        return 1, ""

    def _line(self, mistake: Mistake, row: Row, given: Mapping[KeyPath, Column], source: Source) -> str:
        """A mistake with its row and column, or with its place in the base recipe where that holds the value."""
        path = mistake.path
        where = f"{self.file}: row {row.number}"
        for depth in range(len(path), 0, -1):
            column = given.get(path[:depth])
            if column is not None:
                said = mistake.message.removeprefix(shown(source, path[:depth]))
                said = said.removeprefix(".length") if path == (*LEGS, "length") else said
                return f"{where}, column {column.name}{said if said.startswith((' ', ',', '[')) else ': ' + said}"
        empty = next((column for column in self.columns if column.path == path), None)
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
    if column.path in TEXTS:
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
