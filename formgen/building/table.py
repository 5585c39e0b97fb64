"""Building: an opening schedule as rows of cells, before anybody asks what they mean.

In: a CSV file, or an XLSX workbook (read in `workbook.py`). Out: a header and rows, numbered as a spreadsheet numbers
them (the header is row 1 where nothing stands above it). It knows nothing of what a recipe means.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from formgen.errors import RecipeError
from formgen.quoted import quoted, unseen, visible
from formgen.recipe.source import contents

LARGEST_BYTES = 5_000_000
_NO_CONTROL = "expected no control characters; delete them"
_EXPECTED = "a file of at most 5 MB; is it an opening schedule?"
MOST_ROWS, MOST_COLUMNS = 20_000, 200
#: The column that every schedule has; it settles which separator a CSV file uses.
FIRST_COLUMN = "opening"

#: What a cell holds: text as typed, a number as a workbook stores it, or nothing.
CellValue = str | int | float | bool | None


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row: its number in the spreadsheet, and a value for each column, None where the cell is blank."""

    number: int
    cells: tuple[CellValue, ...]


@dataclass(frozen=True, kw_only=True)
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


def read_table(path: Path) -> Table:
    """The schedule in a file, by its ending: `.csv` or `.xlsx`.

    Raises:
        RecipeError: the file cannot be read, or it has no header with a column `opening`.
    """
    ending = path.suffix.lower()
    if ending == ".xlsx":
        from formgen.building.workbook import read_workbook

        return read_workbook(path, contents(path, LARGEST_BYTES, _EXPECTED))
    if ending == ".csv":
        return read_csv(path.name, contents(path, LARGEST_BYTES, _EXPECTED))
    raise RecipeError(f"{visible(path.name)}: expected a schedule that ends in .csv or .xlsx; save it as one of them")


def read_csv(name: str, raw: bytes) -> Table:
    """The table in a CSV file: UTF-8 with or without a mark at its start, `,` or `;` between cells.

    Raises:
        RecipeError: not UTF-8, quotes that do not close, or no header with a column `opening`.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as err:
        line = raw.count(b"\n", 0, err.start) + 1
        raise RecipeError(f"{name}: line {line}: expected UTF-8 text; save it as CSV UTF-8") from None
    if "\0" in text:
        raise RecipeError(f"{name}: expected text, got a file with zero bytes; save it as CSV UTF-8")
    records = list(islice(_records(name, text, _separator(name, text)), MOST_ROWS + 1))
    if len(records) > MOST_ROWS:
        raise RecipeError(f"{name}: expected at most {MOST_ROWS} rows; divide it")
    return tabled(name, records)


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
    if not held or not any(_is_first(cell) for cell in held[0][1]):
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
    """Whether a cell holds a character on which a screen would act, or that shows nothing."""
    return isinstance(cell, str) and unseen(cell) is not None


def _is_first(cell: CellValue) -> bool:
    return isinstance(cell, str) and cell.strip().casefold() == FIRST_COLUMN


def _blank_is_none(cell: CellValue) -> CellValue:
    """A cell with its lines ended alike; None where it is blank."""
    if not isinstance(cell, str):
        return cell
    return cell.replace("\r\n", "\n").replace("\r", "\n") if cell.strip() else None


def _separator(name: str, text: str) -> str:
    """The one of `,` and `;` that makes the first line a header with the column `opening`."""
    first = next((line for line in text.splitlines() if line.strip(' \t,;"')), "")
    fits, broken = [], None
    for separator in ",;":
        try:
            cells = next(csv.reader([first], delimiter=separator), [])
        except csv.Error as err:
            broken = err
            continue
        fits += [separator] if any(_is_first(cell) for cell in cells) else []
    if broken is not None and not fits:
        raise _no_csv(name, text[: text.index(first)].count("\n") + 1, broken)
    if len(fits) == 2 and "," not in first and ";" not in first:
        return ","  # a schedule of one column
    if len(fits) == 1:
        return fits[0]
    raise RecipeError(
        f"{name}: expected a first row of column names with {FIRST_COLUMN} among them, with , or ; between them, "
        f"got {quoted(first)}; correct it"
    )


def _records(name: str, text: str, separator: str) -> Iterator[tuple[int, list[CellValue]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for number, cells in enumerate(reader, 1):
            yield number, list(cells)
    except csv.Error as err:
        raise _no_csv(name, reader.line_num, err) from None


def _no_csv(name: str, line: int, err: csv.Error) -> RecipeError:
    """What is said of text that the library cannot divide into cells."""
    return RecipeError(
        f"{name}: line {line}: not CSV ({err}); look for a quote that is not closed, and write inches "
        "as in, or double the quotes inside quotes"
    )
