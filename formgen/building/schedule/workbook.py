"""Building: an opening schedule from an XLSX workbook.

In: the file's bytes. Out: the same table as from CSV. Values are those that the spreadsheet last computed; a formula
that was never computed, a date (which a spreadsheet makes of 1/2), an error or merged cells are refused by name. How
large it is and where its values end is known (`workbook_scan.py`) before the library reads a cell.
"""

from __future__ import annotations

import datetime as dt
import io
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from formgen.building.schedule.scan import Sheet, scan
from formgen.building.schedule.table import CellValue, Table, tabled
from formgen.errors import RecipeError
from formgen.quoted import escaped

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
