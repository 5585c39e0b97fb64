"""Building: an opening schedule as rows of cells, before anybody asks what they mean.

In: cells with their row numbers, from a CSV file (`file`) or a workbook. Out: a header and rows, numbered as a
spreadsheet numbers them (the header is row 1 where nothing stands above it). It knows nothing of what a recipe means.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import quoted, unseen

_NO_CONTROL = "expected no control characters; delete them"
MOST_ROWS, MOST_COLUMNS = 20_000, 200
#: The column that every schedule has; it settles which separator a CSV file uses.
FIRST_COLUMN = "opening"

#: What a cell holds: text as typed, a number as a workbook stores it, or nothing.
CellValue = str | int | float | bool | None


@fixed
class Row:
    """One row: its number in the spreadsheet, and a value for each column, None where the cell is blank."""

    number: int
    cells: tuple[CellValue, ...]


@fixed
class Table:
    """A schedule as it was read.

    Args:
        name: the file's name, for messages.
        header_row: number of the row that the header stands in.
        header: column names as typed, runs of blanks as one and none at the ends.
        rows: rows that hold anything.
        mistakes: rows or cells that cannot be read, as (row, line without the file's name).
    """

    name: str
    header_row: int
    header: tuple[str, ...]
    rows: tuple[Row, ...]
    mistakes: tuple[tuple[int, str], ...] = ()


def tabled(
    name: str, records: Sequence[tuple[int, Sequence[CellValue]]], spoiled: Sequence[tuple[int, str]] = ()
) -> Table:
    """Header and rows from numbered records; blank records are passed over.

    Args:
        name: the file's name.
        records: (row number, cells), top to bottom.
        spoiled: mistakes that are known already.

    Raises:
        RecipeError: no header with a column `opening`, too many columns, one twice, or one without a name.
    """
    held = [(number, [_blank_is_none(cell) for cell in cells]) for number, cells in records]
    held = [(number, cells) for number, cells in held if any(cell is not None for cell in cells)]
    if not held or not any(is_first(cell) for cell in held[0][1]):
        raise RecipeError(
            f"{name}: expected a first row of column names with {FIRST_COLUMN} among them; add it above the openings"
        )
    header_row, first = held[0]
    while first and first[-1] is None:
        first.pop()
    if len(first) > MOST_COLUMNS:
        raise RecipeError(
            f"{name}: row {header_row}: expected at most {MOST_COLUMNS} columns, got {len(first)}; delete what lies "
            "outside the schedule"
        )
    header = tuple(str(cell or "") if _hidden(cell) else " ".join(str(cell or "").split()) for cell in first)
    _refuse_header(name, header_row, header)
    rows, mistakes = [], list(spoiled)
    bad = {number for number, _ in spoiled}
    for number, cells in held[1:]:
        while len(cells) > len(header) and cells[-1] is None:
            cells.pop()
        if len(cells) != len(header):
            line = (
                f"row {number} has {len(cells)} cells, expected {len(header)} as in row {header_row}; "
                "look for a separator too many or too few, or quote the text that holds one"
            )
            mistakes.append((number, line))
            continue
        hidden = [(column, cell) for column, cell in zip(header, cells, strict=True) if _hidden(cell)]
        mistakes += [
            (number, f"row {number}, column {column} = {quoted(cell)}, {_NO_CONTROL}") for column, cell in hidden
        ]
        if number not in bad and not hidden:
            rows.append(Row(number=number, cells=tuple(cells)))
    return Table(name=name, header_row=header_row, header=header, rows=tuple(rows), mistakes=tuple(sorted(mistakes)))


def _refuse_header(name: str, row: int, header: Sequence[str]) -> None:
    """Refuses columns without a name and columns that stand twice."""
    lines = [
        f"{name}: row {row}, column {i} has no name, expected one; name it or delete the column"
        for i, column in enumerate(header, 1)
        if not column
    ]
    lines += [
        f"{name}: row {row}, column {i}: {quoted(column)}, {_NO_CONTROL}"
        for i, column in enumerate(header, 1)
        if _hidden(column)
    ]
    keys = [column.casefold() for column in header]
    lines += [
        f"{name}: row {row}, column {quoted(column)} stands twice; delete one"
        for i, column in enumerate(header)
        if column and keys[i] in keys[:i]
    ]
    if lines:
        raise RecipeError(*lines)


def _hidden(cell: CellValue) -> bool:
    """Tell whether a cell holds a character on which a screen would act, or that shows nothing."""
    return isinstance(cell, str) and unseen(cell) is not None


def is_first(cell: CellValue) -> bool:
    """Return whether a cell is the name of the column that every schedule has."""
    return isinstance(cell, str) and cell.strip().casefold() == FIRST_COLUMN


def _blank_is_none(cell: CellValue) -> CellValue:
    """A cell with its lines ended alike; None where it is blank."""
    if not isinstance(cell, str):
        return cell
    return cell.replace("\r\n", "\n").replace("\r", "\n") if cell.strip() else None
