"""Building: an opening schedule from an XLSX workbook.

In: the file's bytes. Out: the same table as from CSV. Values are those that the spreadsheet last computed; a formula
that was never computed, a date (which a spreadsheet makes of 1/2), an error or merged cells are refused by name.
"""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formgen.building.table import MOST_ROWS, CellValue, Table, tabled
from formgen.errors import RecipeError

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

#: A workbook is a compressed archive; nothing that an estimator keeps unpacks to more than this.
LARGEST_UNPACKED_BYTES = 100_000_000
MOST_COLUMNS = 200


def read_workbook(path: Path, raw: bytes) -> Table:
    """The table on the one sheet of a workbook that holds anything.

    Raises:
        RecipeError: not a workbook, no sheet or several with something on them, no header with a column `opening`.
    """
    name = path.name
    values, formulas = (_sheet(name, raw, computed=computed) for computed in (True, False))
    if values.max_row > MOST_ROWS or values.max_column > MOST_COLUMNS:
        raise RecipeError(
            f"{name}: expected at most {MOST_ROWS} rows and {MOST_COLUMNS} columns, got {values.max_row} and "
            f"{values.max_column}; delete what lies outside the schedule"
        )
    spoiled: list[tuple[int, str]] = []
    records = []
    for number, (row, asked) in enumerate(zip(values.iter_rows(), formulas.iter_rows(), strict=True), 1):
        cells: list[CellValue] = []
        for cell, written in zip(row, asked, strict=True):
            value, mistake = _value(cell, written)
            cells.append(value)
            if mistake:
                spoiled.append((number, f"row {number}, cell {cell.coordinate} {mistake}"))
        records.append((number, cells))
    spoiled.extend(_merged(formulas))
    return tabled(name, records, spoiled)


def _sheet(name: str, raw: bytes, *, computed: bool) -> Worksheet:
    """The one sheet with something on it, with values as computed or formulas as written."""
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > LARGEST_UNPACKED_BYTES:
                raise RecipeError(
                    f"{name}: unpacks to more than 100 MB, expected an opening schedule; check what it is"
                )
        book = load_workbook(io.BytesIO(raw), data_only=computed)
    except (zipfile.BadZipFile, InvalidFileException, KeyError, ValueError, TypeError, SyntaxError) as err:
        raise RecipeError(
            f"{name}: is not a workbook that can be read; save it again as .xlsx or as CSV UTF-8"
        ) from err
    held = [
        sheet for sheet in book.worksheets if any(cell.value is not None for row in sheet.iter_rows() for cell in row)
    ]
    if len(held) != 1:
        names = ", ".join(sheet.title for sheet in held) or "none"
        raise RecipeError(f"{name}: expected one sheet with anything on it, got {names}; keep the schedule alone in it")
    return held[0]


def _value(cell: Any, written: Any) -> tuple[CellValue, str]:
    """A cell's value, and what is wrong with it or nothing."""
    value = cell.value
    if written.data_type == "f" and value is None:
        return None, "holds a formula without a value, expected one; open the workbook, save it, or write the value"
    if cell.data_type == "e":
        return None, f"holds the error {value}, expected a value; correct the formula"
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        return None, (
            "holds a date, expected a length or text (a spreadsheet makes a date of 1/2); "
            "format the column as text and type it again"
        )
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value), ""
    if value is None or isinstance(value, str | int | float):
        return value, ""
    return str(value), ""


def _merged(sheet: Worksheet) -> Iterator[tuple[int, str]]:
    """Cells merged with their neighbours hold one value for several rows or columns: which is meant is a guess."""
    for area in sheet.merged_cells.ranges:
        yield int(area.min_row), f"row {area.min_row}, cells {area.coord} are merged, expected one by one; unmerge them"
