"""Building: merged cells of a workbook, as far as they can be meant: what stands once down several rows holds in each.

In: openings and merged areas. Out: openings. A value merged down one column is each row's; one of a mark or a quantity
may be meant together, and one across two columns may be either's: those are refused by name.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from formgen.building.schedule.cells import Cell, Merged, Row, Spoiled
from formgen.building.schedule.columns import NAME, QUANTITY, Column


def spread(rows: Sequence[Row], columns: Sequence[Column], merged: Sequence[Merged]) -> list[Row]:
    """The rows with merged values in each of their cells."""
    numbers = [row.number for row in rows]
    cells = [list(row.cells) for row in rows]
    for area in merged:
        inside = range(bisect_left(numbers, area.top), bisect_right(numbers, area.bottom))
        across = [c for c in range(area.left - 1, min(area.right, len(columns))) if columns[c].name]
        if not inside or not across:
            continue
        value = _fit(cells[inside[0]], across, columns, area, down=len(inside) > 1)
        for row in inside:
            for column in across:
                cells[row][column] = value
    return [Row(number=row.number, cells=tuple(held)) for row, held in zip(rows, cells, strict=True)]


def _fit(top: Sequence[Cell], across: Sequence[int], columns: Sequence[Column], area: Merged, *, down: bool) -> Cell:
    """Return what each cell of the area holds."""
    column = columns[across[0]]
    if len(across) > 1:
        return Spoiled(line=f"cells {area.name} are merged across columns, expected one by one; unmerge them")
    if down and (column.path in (NAME, QUANTITY) or column.asks == "number"):
        return Spoiled(line=f"cells {area.name} are merged, expected one by one; unmerge them")
    return top[across[0]]
