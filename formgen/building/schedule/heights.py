"""Building: `H` and `Height` of a schedule: the rise of the arch, or the height over all with its legs.

Beside a column of rises the height says nothing that a form needs. Alone, it is the rise where nothing has legs and
every height can be one; else it is asked. A height that is said to be over all gives the rise less the legs. A rise
written beside a semicircle has to be half its span. In: a table whose other columns are decided. Out: the same, its
heights read as rises.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from formgen.building.schedule.cells import Cell, Row, Spoiled
from formgen.building.schedule.columns import KIND, LEGS, NOT_DECIDED, RISE, SPAN, Column
from formgen.building.schedule.kinds import kind_named
from formgen.building.schedule.table import Table
from formgen.building.schedule.values import is_dash, mm_of
from formgen.errors import LengthError
from formgen.fixed import fixed
from formgen.lengths import Units, read_length, write_length
from formgen.quoted import escaped

#: Greatest rise by span that a height may be taken for, by kind; of a kind that is not named here, half.
_MOST_RISE = {"pointed": 1.5, "ogee": 1.5}
_MOST_RISE_ELSE = 0.5
#: What a tape may be off at a semicircle (mm): a sixteenth of an inch.
_TAPE_MM = 1.6


@fixed
class _Sizes:
    """Sizes that a row says of its arch, in mm; None where it says nothing readable, legs 0."""

    row: Row
    kind: str
    span: float | None
    rise: float | None
    height: float | None
    legs: float


def heights_settled(table: Table, base: object, units: Units) -> Table:
    """The table with heights read as rises or passed over; a line more among its faults for what is asked."""
    i = next((i for i, column in enumerate(table.columns) if column.asks in ("height", "overall")), None)
    if i is not None:
        table = _settled(table, i, _given(base), units)
    return _half_rounds(table, _given(base), units)


def _settled(table: Table, i: int, given: Mapping[str, Any], units: Units) -> Table:
    """The table with its column of heights decided."""
    column = table.columns[i]
    sizes = list(_sizes(table, given, units, i))
    place = f"{table.name}: row {table.header_row}, column {escaped(column.name)}"
    has_legs = any(row.legs > 0.0 for row in sizes)
    rise = next((other.name for other in table.columns if other.path == RISE), None)
    if rise is not None:
        low = [row for row in sizes if row.height is not None and row.rise is not None and row.height < row.rise]
        lines = [f"{place} is less than {escaped(rise)} in row {row.row.number}; are they swapped?" for row in low]
        return _with(table, i, replace(column, asks="", why=f"height over all; {escaped(rise)} is what counts"), lines)
    if column.asks == "overall" and has_legs:
        return _less_legs(table, i, sizes)
    if column.asks == "overall":
        asked = f"{place} gives no rise without the legs, expected Rise or Legs beside it; add one of them"
    elif has_legs:
        asked = f"{place} may be the rise, or the height over all with the legs; name it Rise, or Overall height"
    else:
        odd = next((row for row in sizes if _no_rise(row)), None)
        if odd is None:
            why = "nothing has legs, and every height can be a rise"
            return _with(table, i, replace(column, path=RISE, asks="", why=why))
        typed, wide = write_length(odd.height or 0.0, units), write_length(odd.span or 0.0, units)
        asked = (
            f"{place} may be the rise or the height over all: in row {odd.row.number} it is {typed} over a span of "
            f"{wide}, no rise of {'an' if odd.kind[:1] in 'aeio' else 'a'} {odd.kind}; name it Rise, or Overall height "
            "with Legs beside it"
        )
    silent = [replace_cell(row, i, Spoiled(line="")) for row in table.rows]
    return _with(replace(table, rows=tuple(silent)), i, replace(column, path=RISE, asks="", why=NOT_DECIDED), [asked])


def _less_legs(table: Table, i: int, sizes: Sequence[_Sizes]) -> Table:
    """The table with heights over all less their legs."""
    rows = []
    for row in sizes:
        cell = row.row.cells[i]
        if row.height is not None:
            rise = row.height - row.legs
            low = Spoiled(line="expected more than the legs; measure from the foot to the crown", got=str(cell))
            cell = f"{rise:.4f} mm" if rise > 0.0 else low
        rows.append(replace_cell(row.row, i, cell))
    column = replace(table.columns[i], path=RISE, asks="", unit="", why="height over all, less the legs")
    return _with(replace(table, rows=tuple(rows)), i, column)


def _no_rise(row: _Sizes) -> bool:
    """Tell whether a height cannot be, or hardly is, the rise of its arch."""
    if row.height is None or row.span is None:
        return False
    if row.kind == "semicircle":
        return abs(row.height - row.span / 2.0) > _TAPE_MM
    return row.height > row.span * _MOST_RISE.get(row.kind, _MOST_RISE_ELSE)


def _half_rounds(table: Table, given: Mapping[str, Any], units: Units) -> Table:
    """The table without the rises of semicircles, which have none of their own: each has to be half the span."""
    i = next((i for i, column in enumerate(table.columns) if column.path == RISE), None)
    if i is None:
        return table
    rows = []
    for row in _sizes(table, given, units, i):
        cell = row.row.cells[i]
        if row.kind == "semicircle" and row.rise is not None and row.span is not None:
            half = write_length(row.span / 2.0, units)
            expected = (
                f"expected {half}, half the span of a semicircle; correct one of them, or name the arch segmental"
            )
            cell = None if abs(row.rise - row.span / 2.0) <= _TAPE_MM else Spoiled(line=expected, got=str(cell))
        rows.append(replace_cell(row.row, i, cell))
    return replace(table, rows=tuple(rows))


def _sizes(table: Table, given: Mapping[str, Any], units: Units, height: int) -> Iterator[_Sizes]:
    """Return what each row says of its arch; kind and legs of the base recipe where it says nothing."""
    at = {column.path: i for i, column in enumerate(table.columns) if column.path}
    arch = given.get("arch")
    usual = str(arch.get("kind", "")) if isinstance(arch, dict) else ""
    usual = kind_named(usual) or usual
    for row in table.rows:

        def mm(i: int | None, row: Row = row) -> float | None:
            return None if i is None else mm_of(row.cells[i], table.columns[i], units)

        kind = row.cells[at[KIND]] if KIND in at else None
        legs = row.cells[at[LEGS]] if LEGS in at else None
        none = LEGS in at and is_dash(legs, table.columns[at[LEGS]])
        yield _Sizes(
            row=row,
            kind=(kind_named(kind) or kind.strip()) if isinstance(kind, str) else usual,
            span=mm(at.get(SPAN)),
            rise=mm(at.get(RISE)),
            height=mm(height),
            legs=0.0 if none else (_base_legs(given, units) if legs is None else mm(at[LEGS]) or 0.0),
        )


def _base_legs(given: Mapping[str, Any], units: Units) -> float:
    """The longer leg of the base recipe (mm)."""
    legs = given.get("legs", 0)
    found = [legs.get(key, 0) for key in ("length", "right", "left")] if isinstance(legs, dict) else [legs]
    try:
        return max(read_length(str(leg), units) for leg in found)
    except LengthError:
        return 0.0


def _given(base: object) -> Mapping[str, Any]:
    part = base.get("part") if isinstance(base, dict) else None
    return part if isinstance(part, dict) else {}


def replace_cell(row: Row, i: int, cell: Cell) -> Row:
    """The row with another value in one column."""
    return Row(number=row.number, cells=(*row.cells[:i], cell, *row.cells[i + 1 :]))


def _with(table: Table, i: int, column: Column, lines: Sequence[str] = ()) -> Table:
    columns = (*table.columns[:i], column, *table.columns[i + 1 :])
    return replace(table, columns=columns, faults=(*table.faults, *lines))
