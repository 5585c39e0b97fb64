"""Building: a row of a schedule typed over the base recipe.

In: rows under columns that are decided, and the base recipe. Out: an opening with the recipe that the strict models of
`recipe` understood: nothing is parsed here that a recipe would not be. A blank cell keeps the base's value, except a
size of the arch: that is the opening's own, or the cell says `as base`. A dash leaves the base's value out. A row that
names another kind of arch than the base takes none of the base's sizes of arch.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from formgen.building.schedule.cells import Row, Spoiled
from formgen.building.schedule.columns import (
    KIND,
    LEGS,
    LEGS_RUN,
    NAME,
    NOTE,
    QUANTITY,
    SHOWN,
    Column,
)
from formgen.building.schedule.kinds import kind_named
from formgen.building.schedule.opening import Opening, Refused
from formgen.building.schedule.over import places_of, with_legs, with_value
from formgen.building.schedule.settle import MOST_ALIKE, whole
from formgen.building.schedule.table import Table
from formgen.building.schedule.values import is_dash, value_of
from formgen.building.schedule.words import is_one_of
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.quoted import escaped, quoted
from formgen.recipe.load import understood
from formgen.recipe.mistakes import Mistake, dotted, shown
from formgen.recipe.shop import Shop
from formgen.recipe.source import KeyPath, Place, Source

_ARCH: KeyPath = ("part", "arch")
_MEASURED_ON: KeyPath = ("part", "measured_on")


@dataclass(kw_only=True)
class _Written:
    """A row written over the base recipe, on its way.

    Args:
        source: the base recipe with the row's values.
        given: the column that gave each key.
        bad: keys whose cells say nothing readable.
        lines: what is wrong with those.
        typed: what stood in the others.
    """

    source: Source
    given: dict[KeyPath, Column] = field(default_factory=dict)
    bad: set[KeyPath] = field(default_factory=set)
    lines: list[str] = field(default_factory=list)
    typed: dict[KeyPath, str] = field(default_factory=dict)


@fixed
class RowReader:
    """Rows to openings, with one base recipe and one shop."""

    table: Table
    base: Source
    shop: Shop
    shop_source: Source | None
    folder: Path

    def read(self, row: Row) -> Opening | Refused:
        """The opening of a row, or all that is wrong with it."""
        written = self._written_over(row, frozenset())
        quantity, line = self._quantity(row)
        lines = [*written.lines, *([line] if line else [])]
        recipe, mistakes = understood(written.source, self.shop, self.shop_source, self.folder)
        if any(mistake.path == KIND for mistake in mistakes):
            mistakes += self._sizes_of_no_kind(written)
        told = [mistake for mistake in mistakes if not self._is_idle(mistake, written)]
        lines += [self._line(mistake, row, written) for mistake in told]
        if recipe is None or lines or written.bad:
            wrong = written.bad | {path for mistake in told for path in _above(mistake.path, written.given)}
            lines += self._behind(row, wrong)
            return Refused(row=row.number, mark=self._mark(row), lines=tuple(dict.fromkeys(lines)))
        return self._opening(row, written, replace(recipe, file="", places={}, quantity=quantity))

    def _opening(self, row: Row, written: _Written, recipe: object) -> Opening:
        shown = dict.fromkeys([*SHOWN, *(column.path for column in self.table.columns if column.path)])
        taken = [path for path in shown if path in written.source.places and not _above(path, written.given)]
        return Opening(
            row=row.number,
            recipe=recipe,  # type: ignore[arg-type]
            file=self.table.name,
            columns={dotted(path): column.name for path, column in written.given.items()},
            typed={dotted(path): text for path, text in written.typed.items()},
            from_base=tuple(dotted(path) for path in taken if path not in (NAME, NOTE)),
        )

    def _mark(self, row: Row) -> str:
        return next((str(c) for c, k in zip(row.cells, self.table.columns, strict=True) if k.path == NAME and c), "")

    def _where(self, row: Row, column: Column) -> str:
        return f"{self.table.name}: row {row.number}, column {escaped(column.name)}"

    def _written_over(self, row: Row, without: frozenset[KeyPath]) -> _Written:
        """The base recipe with the row's values, but those of the keys to do without."""
        data, places = dict(self.base.data), dict(self.base.places)
        data.pop("name", None)
        places.pop(NAME, None)
        if self._another_kind(row):
            data["part"] = {**data["part"], "arch": {}}
            places = {path: place for path, place in places.items() if path[:2] != _ARCH or len(path) == 2}
        written = _Written(source=replace(self.base, data=data, places=places))
        for column, cell in zip(self.table.columns, row.cells, strict=True):
            path = column.path
            if not path or path == QUANTITY or path in without or is_one_of(cell, "as_base"):
                continue
            if cell is None and path[:2] == _ARCH and path != KIND and path in places:
                cell = Spoiled(line=self._is_empty(column))  # noqa: PLW2901 -- what stands there, or is made of it
            if cell is None:
                continue
            if isinstance(cell, Spoiled) and not (path == NOTE and cell.text):
                written.bad.add(path)
                written.given[path] = column
                written.lines += [cell.after(self._where(row, column))] if cell.line else []
                continue
            try:
                value = value_of(cell, column)
            except ValueError as err:
                written.bad.add(path)
                written.given[path] = column
                written.lines.append(f"{self._where(row, column)} = {quoted(cell)}, {err}")
                continue
            if path == NOTE and path in written.given:
                value = f"{written.source.data['note']}; {value}"
            written.given[path] = column
            written.typed[path] = str(value if path == NOTE else cell).strip()
            written.source = _typed_over(written.source, path, value, str(cell).strip(), row.number)
        return written

    def _is_empty(self, column: Column) -> str:
        what = str(column.path[-1])
        return (
            f"is empty, expected the opening's own {what}: that of {self.base.name} is not taken unasked; write it, or "
            '"as base"'
        )

    def _another_kind(self, row: Row) -> bool:
        """Tell whether the row names another kind of arch than the base recipe does."""
        part = self.base.data.get("part")
        arch = part.get("arch") if isinstance(part, dict) else None
        if not isinstance(arch, dict):
            return False
        found = ((c, k) for c, k in zip(row.cells, self.table.columns, strict=True) if k.path == KIND)
        asked, column = next(found, (None, None))
        if column is None or asked is None or isinstance(asked, Spoiled):
            return False
        if is_dash(asked, column) or is_one_of(asked, "as_base"):
            return False
        said, held = str(asked).strip(), str(arch.get("kind"))
        return (kind_named(said) or said) != (kind_named(held) or held)

    def _quantity(self, row: Row) -> tuple[int, str]:
        """Return how many are wanted, 1 where nothing is said, and what is wrong with the cell or nothing."""
        for column, cell in zip(self.table.columns, row.cells, strict=True):
            if column.path != QUANTITY or cell is None:
                continue
            if isinstance(cell, Spoiled):
                return 1, cell.after(self._where(row, column))
            value = whole(cell)
            if value is not None and 1 <= value <= MOST_ALIKE:
                return value, ""
            return 1, (
                f"{self._where(row, column)} = {quoted(cell)}, expected a whole number from 1 to {MOST_ALIKE}; "
                "correct it"
            )
        return 1, ""

    def _sizes_of_no_kind(self, written: _Written) -> list[Mistake]:
        """Mistakes in the sizes of an arch whose kind nobody knows, which no model looks at."""
        source = written.source
        arch = {str(path[2]): _at(source.data, path) for path in written.given if path[:2] == _ARCH and len(path) == 3}
        data = with_value(source.data, _ARCH, {**arch, "kind": "segmental"})
        _, mistakes = understood(replace(source, data=data), self.shop, self.shop_source, self.folder)
        return [
            m for m in mistakes if m.path in written.given and m.path[:2] == _ARCH and " is not a key" not in str(m)
        ]

    def _behind(self, row: Row, wrong: set[KeyPath]) -> Iterator[str]:
        """Say what is wrong with the curve of a row whose other cells are refused: nothing of it is said twice."""
        from formgen.curve.stage import make_arch

        if not wrong or any(path[:2] in (_ARCH, LEGS, _MEASURED_ON) for path in wrong):
            return
        rest = self._written_over(row, frozenset(wrong))
        named = with_value(rest.source.data, NAME, "row")
        recipe, _ = understood(replace(rest.source, data=named), self.shop, self.shop_source, self.folder)
        if recipe is None:
            return
        opening = self._opening(row, rest, replace(recipe, file="", places={}))
        try:
            make_arch(opening.recipe)
        except CurveError as err:
            yield opening.placed(str(err)).replace(", opening row", "", 1)

    def _is_idle(self, mistake: Mistake, written: _Written) -> bool:
        """Tell whether a mistake follows from another that is said: a cell that says nothing, a column nobody knows."""
        path = mistake.path
        if any(path[: len(bad)] == bad or (path == _ARCH and bad[:2] == _ARCH) for bad in written.bad):
            return True
        follows = path == _ARCH or path not in written.source.places
        return bool(self.table.faults) and follows and path not in written.given

    def _line(self, mistake: Mistake, row: Row, written: _Written) -> str:
        """A mistake with its row and column, or with its place in the base recipe where that holds the value."""
        path, given = mistake.path, written.given
        for depth in range(len(path), 0, -1):
            column = given.get(path[:depth])
            if column is not None:
                said = mistake.message.removeprefix(shown(written.source, path[:depth]))
                said = said.removeprefix(".length") if path == (*LEGS, "length") else said
                return f"{self._where(row, column)}{said if said.startswith((' ', ',', '[')) else ': ' + said}"
        empty = next((column for column in self.table.columns if column.path == path), None)
        if empty is not None and path not in written.source.places:
            return (
                f"{self._where(row, empty)} is empty, expected a value, since {self.base.name} gives no "
                f"{dotted(path)} for it; write it"
            )
        if path and any(key[: len(path)] == path or key[:-1] == path[:-1] for key in given if len(key) > 1):
            return f"{self.table.name}: row {row.number}: {mistake.message}"
        return str(mistake)


def _typed_over(source: Source, path: KeyPath, value: object, typed: str, row: int) -> Source:
    """A recipe's source with a cell's value at a key."""
    if path in (LEGS, LEGS_RUN):
        data, places = with_legs(source.data, source.places, path, value, Place(row, 1, row, 1, typed))
        return replace(source, data=data, places=places)
    tables = {path[:depth]: Place(1, 1, 1, 1, None) for depth in range(1, len(path))}
    places = {**tables, **source.places, **dict(places_of(path, value, typed, row))}
    return replace(source, data=with_value(source.data, path, value), places=places)


def _above(path: KeyPath, given: Mapping[KeyPath, Column]) -> list[KeyPath]:
    """The keys of cells that gave a key or a table that it stands in."""
    return [path[:depth] for depth in range(1, len(path) + 1) if path[:depth] in given]


def _at(data: object, path: KeyPath) -> object:
    for step in path:
        data = data.get(step) if isinstance(data, dict) else None
    return data
