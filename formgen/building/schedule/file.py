"""Building: an opening schedule read from its file.

In: a path that ends in `.csv` or `.xlsx`. Out: a `Table`, or one line that says why the file is none. Of a workbook the
values are those that the spreadsheet last computed; a formula that was never computed, a date (which a spreadsheet
makes of 1/2), an error or merged cells are refused by name. How large it is and where its values end is known
(`scan.py`) before the library reads a cell.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import warnings
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from formgen.building.schedule.scan import Sheet, scan
from formgen.building.schedule.table import FIRST_COLUMN, MOST_ROWS, CellValue, Table, is_first, tabled
from formgen.errors import RecipeError
from formgen.quoted import escaped, quoted, visible
from formgen.recipe.source import contents

_UNVALUED = "holds a formula without a value, expected one; open the workbook, save it, or write the value"


def read_workbook(path: Path, raw: bytes) -> Table:
    """The table on the one sheet of a workbook that holds anything.

    Raises:
        RecipeError: not a workbook, larger or sparser than a schedule, no sheet or several with something on them, no
            header with a column `opening`.
    """
    name = path.name
    try:
        title, sheet = _one_held(name, scan(name, raw))
        read = list(_rows(raw, title, sheet))
    except RecipeError:
        raise
    except Exception as err:  # damage makes archive, XML and library raise whatever they trip over
        raise RecipeError(
            f"{name}: is not a workbook that can be read; save it again as .xlsx or as CSV UTF-8"
        ) from err
    spoiled = [(row, f"row {row}, cell {cell} {_UNVALUED}") for row, cell in sheet.formulas]
    spoiled += [(row, f"row {row}, cells {a} are merged, expected one by one; unmerge them") for row, a in sheet.merged]
    spoiled += [(row, f"row {row}, {line}") for row, _, lines in read for line in lines]
    return tabled(name, [(row, cells) for row, cells, _ in read], spoiled)


def _one_held(name: str, sheets: dict[str, Sheet]) -> tuple[str, Sheet]:
    """The one sheet with a value on it, by its title."""
    held = [(title, sheet) for title, sheet in sheets.items() if sheet.rows]
    if len(held) != 1:
        names = ", ".join(escaped(title) for title, _ in held[:10]) or "none"
        raise RecipeError(f"{name}: expected one sheet with anything on it, got {names}; keep the schedule alone in it")
    return held[0]


def _rows(raw: bytes, title: str, sheet: Sheet) -> Iterator[tuple[int, list[CellValue], list[str]]]:
    """Each row of a sheet down to its last value: number, values, and what is wrong with its cells."""
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of what the library leaves out: colours, drawings
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True, keep_links=False)
        rows = book[title].iter_rows(min_row=1, max_row=sheet.rows, min_col=1, max_col=sheet.columns)
        for number, row in enumerate(rows, 1):
            found = [_value(cell) for cell in row]
            lines = [f"cell {cell.coordinate} {line}" for cell, (_, line) in zip(row, found, strict=True) if line]
            yield number, [value for value, _ in found], lines


def _value(cell: Any) -> tuple[CellValue, str]:
    """A cell's value, and what is wrong with it or nothing."""
    value = cell.value
    if value is None:
        return None, ""
    if cell.data_type == "e":
        return None, f"holds the error {escaped(value)}, expected a value; correct the formula"
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        return None, (
            "holds a date, expected a length or text (a spreadsheet makes a date of 1/2); "
            "format the column as text and type it again"
        )
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value), ""
    return (value if isinstance(value, str | int | float) else str(value)), ""


LARGEST_BYTES = 5_000_000
_EXPECTED = "a file of at most 5 MB; is it an opening schedule?"


def read_table(path: Path) -> Table:
    """The schedule in a file, by its ending: `.csv` or `.xlsx`.

    Raises:
        RecipeError: the file cannot be read, or it has no header with a column `opening`.
    """
    ending = path.suffix.lower()
    if ending == ".xlsx":
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
        fits += [separator] if any(is_first(cell) for cell in cells) else []
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
    """Return what is said of text that the library cannot divide into cells."""
    return RecipeError(
        f"{name}: line {line}: not CSV ({err}); look for a quote that is not closed, and write inches "
        "as in, or double the quotes inside quotes"
    )
