"""Building: columns whose word leaves open what they are, decided by what stands in them, or asked.

`No.` may be a mark or a quantity, `Type` an arch or a door. A wrong reading costs wood: what the cells do not settle is
asked, in one line for the column. In: a table and the base recipe's data. Out: the same table with columns that give a
recipe key or are passed over, each with why. `Height` is decided beside (`heights.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from formgen.building.schedule.cells import Cell
from formgen.building.schedule.columns import KIND, NAME, NOT_DECIDED, QUANTITY, Column, conflicts
from formgen.building.schedule.heights import heights_settled
from formgen.building.schedule.kinds import kind_named
from formgen.building.schedule.table import Table
from formgen.lengths import Units
from formgen.quoted import escaped, quoted
from formgen.recipe.source import KeyPath, plain_scalar

#: More alike of one opening nobody makes.
MOST_ALIKE = 1000
#: So many rows numbered one after another are no quantities.
_SURELY_RUNNING = 4


def settled(table: Table, base: object, units: Units) -> Table:
    """The table with every column decided, and a line more among its faults for each that is not.

    Args:
        table: as read.
        base: the base recipe's data.
        units: of the base recipe.
    """
    said = [replace(c, unit=c.unit or (table.unit if c.measures else "")) for c in table.columns]
    columns, asked = _numbers(said, table)
    columns, more = _types(columns, table)
    table = replace(table, columns=tuple(columns), faults=(*table.faults, *asked, *more))
    table = heights_settled(table, base, units)
    twice = conflicts(table.name, table.header_row, table.columns)
    return replace(table, faults=(*table.faults, *twice))


def whole(cell: Cell) -> int | None:
    """A whole number, typed or stored; None if the cell holds none."""
    value = plain_scalar(cell.strip()) if isinstance(cell, str) else cell
    return value if type(value) is int else None


def _numbers(columns: Sequence[Column], table: Table) -> tuple[list[Column], list[str]]:
    """`No.`, `Item` and the like: the mark where there is no other, else the quantity or a running number."""
    found, lines = list(columns), list[str]()
    open_ = [i for i, column in enumerate(found) if column.asks == "number"]
    if open_ and not _has(found, NAME):
        alone = "marks stand in no other column"
        first = next((i for i in open_ if _are_marks(table, i)), None)
        if first is None:
            lines.append(
                f"{_place(table, found[open_[0]])} holds one number twice and no other column holds marks, expected a "
                "mark for each opening; add a column Mark"
            )
        found[open_[0] if first is None else first] = _as(found[open_[0] if first is None else first], NAME, alone)
    for i in open_:
        if found[i].asks != "number":
            continue
        shown = escaped(next(column.name for column in found if column.path == NAME)).rstrip(".")
        cells = [row.cells[i] for row in table.rows]
        numbers = [whole(cell) for cell in cells]
        running = numbers == list(range(1, len(numbers) + 1)) and len(numbers) > 1
        odd = next((cell for cell, n in zip(cells, numbers, strict=True) if cell is not None and not _counts(n)), None)
        if _has(found, QUANTITY) or (running and len(numbers) >= _SURELY_RUNNING):
            found[i] = _as(found[i], (), "numbers the rows" if running else f"marks stand in {shown}")
        elif running:
            lines.append(
                f"{_place(table, found[i])} counts 1 to {len(numbers)}, which may be quantities or the rows' numbers; "
                "name it Quantity or delete it"
            )
            found[i] = _as(found[i], (), NOT_DECIDED)
        elif odd is not None:
            lines.append(
                f"{_place(table, found[i])} holds {quoted(odd)}, expected whole numbers, since marks stand in "
                f"{shown}; name it Mark, Quantity or Remarks, or delete it"
            )
            found[i] = _as(found[i], (), NOT_DECIDED)
        else:
            found[i] = _as(found[i], QUANTITY, f"whole numbers, and marks stand in {shown}")
    return found, lines


def _are_marks(table: Table, i: int) -> bool:
    marks = [str(row.cells[i]).strip().casefold() for row in table.rows if row.cells[i] is not None]
    return len(set(marks)) == len(marks)


def _counts(number: int | None) -> bool:
    return number is not None and 1 <= number <= MOST_ALIKE


def _types(columns: Sequence[Column], table: Table) -> tuple[list[Column], list[str]]:
    """`Type` and the like: the arch, where its cells name arches."""
    found, lines = list(columns), list[str]()
    for i, column in enumerate(found):
        if column.asks != "type":
            continue
        arch = next((other.name for other in found if other.path == KIND), None)
        cells = [row.cells[i] for row in table.rows if row.cells[i] is not None]
        if arch is not None or not cells:
            found[i] = _as(column, (), f"the arch stands in {escaped(arch)}" if arch else "empty")
        elif any(isinstance(cell, str) and kind_named(cell) for cell in cells):
            found[i] = _as(column, KIND, "its cells name arches")
        else:
            lines.append(
                f"{_place(table, column)} holds {quoted(cells[0])} and names no arch, expected one such as segmental "
                '(all: "formgen show arches"); write the arch, or name the column Remarks'
            )
            found[i] = _as(column, (), NOT_DECIDED)
    return found, lines


def _as(column: Column, path: KeyPath, why: str) -> Column:
    return replace(column, path=path, asks="", why=why)


def _has(columns: Sequence[Column], path: KeyPath) -> bool:
    return any(column.path == path for column in columns)


def _place(table: Table, column: Column) -> str:
    return f"{table.name}: row {table.header_row}, column {escaped(column.name)}"
