"""Building: an opening schedule read from its file.

In: a path that ends in `.csv` or `.xlsx`. Out: a `Table`, or one line that says why the file is none. Of a workbook the
sheet is taken that reads as a schedule, and its values are those that the spreadsheet last computed; a formula that was
never computed, a date (which a spreadsheet makes of 1/2) or an error is refused by name where an opening needs it. How
large it is and where its values end is known (`scan.py`) before the library reads a cell.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
import warnings
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from formgen.building.schedule.cells import Cell, Spoiled
from formgen.building.schedule.header import MOST_ABOVE, Header, find_header
from formgen.building.schedule.scan import BrokenWorkbookError, Sheet, scan
from formgen.building.schedule.table import MOST_ROWS, Table, held, tabled
from formgen.building.schedule.words import unit_of
from formgen.errors import RecipeError
from formgen.quoted import escaped, quoted, visible
from formgen.recipe.source import contents

_UNVALUED = "holds a formula without a value, expected one; open the workbook, save it, or write the value"
_DATE = (
    "holds a date, expected a length or text (a spreadsheet makes a date of 1/2); format the column as text and type "
    "it again"
)
#: Sheets that are named in a message.
_MOST_NAMED = 10


def read_workbook(path: Path, raw: bytes, wanted: str = "") -> Table:
    """The table on the sheet of a workbook that reads as a schedule, or on the one that is wanted.

    Raises:
        RecipeError: not a workbook, larger or sparser than a schedule, no sheet or several that read as one.
    """
    name = path.name
    try:
        sheets = {title: sheet for title, sheet in scan(name, raw).items() if sheet.rows}
        title = _chosen(name, raw, sheets, wanted)
        sheet = sheets[title]
        _refuse_overlaps(sheet)
        records = list(_rows(raw, title, sheet))
    except RecipeError:
        raise
    except Exception as err:  # damage makes archive, XML and library raise whatever they trip over
        raise RecipeError(
            f"{name}: is not a workbook that can be read; save it again as .xlsx or as CSV UTF-8"
        ) from err
    merged = [area for area in sheet.merged if area.within(sheet.rows, sheet.columns) > 1]
    table = tabled(name, records, merged)
    return replace(table, sheet=title, others=tuple(other for other in sheets if other != title))


def _refuse_overlaps(sheet: Sheet) -> None:
    """Refuse merged cells that lie on each other, which no spreadsheet writes and which take long to spread."""
    if sum(area.within(sheet.rows, sheet.columns) for area in sheet.merged) > sheet.rows * sheet.columns:
        raise BrokenWorkbookError("merged cells overlap")


def _chosen(name: str, raw: bytes, sheets: Mapping[str, Sheet], wanted: str) -> str:
    """The title of the sheet to read.

    Raises:
        RecipeError: none or several read as a schedule, or there is none of the title that is wanted.
    """
    listed = ", ".join(quoted(title) for title in list(sheets)[:_MOST_NAMED]) or "none"
    if wanted:
        found = [title for title in sheets if title.strip().casefold() == wanted.strip().casefold()]
        if found:
            return found[0]
        raise RecipeError(f"{name}: no sheet {quoted(wanted)}, expected one of {listed}; look at the spelling")
    headers = {title: _header(raw, title, sheet) for title, sheet in sheets.items()}
    for fits in (
        [title for title, header in headers.items() if header is not None and header.sizes],
        [title for title, header in headers.items() if header is not None],
    ):
        if len(fits) > 1:
            several = ", ".join(quoted(title) for title in fits[:_MOST_NAMED])
            raise RecipeError(
                f"{name}: {len(fits)} sheets read as a schedule ({several}), expected one; choose it with "
                f"--sheet {quoted(fits[0])}"
            )
        if fits:
            return fits[0]
    if len(sheets) == 1:
        return next(iter(sheets))
    raise RecipeError(
        f"{name}: no sheet reads as a schedule, with a row of column names and the opening's mark among them; got "
        f"{listed}; choose one with --sheet"
    )


def _header(raw: bytes, title: str, sheet: Sheet) -> Header | None:
    """The header among the first rows of a sheet, if one reads as such."""
    top = replace(sheet, rows=min(sheet.rows, MOST_ABOVE))
    merged = [area for area in sheet.merged if area.top <= MOST_ABOVE and area.within(sheet.rows, sheet.columns) > 1]
    return find_header(held(list(_rows(raw, title, top))), merged)


def _rows(raw: bytes, title: str, sheet: Sheet) -> Iterator[tuple[int, list[Cell]]]:
    """Each row of a sheet down to its last value: number and values."""
    from openpyxl import load_workbook

    unvalued = {cell for _, cell in sheet.formulas}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of what the library leaves out: colours, drawings
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True, keep_links=False)
        rows = book[title].iter_rows(min_row=1, max_row=sheet.rows, min_col=1, max_col=sheet.columns)
        for number, row in enumerate(rows, 1):
            yield number, [_value(cell, unvalued) for cell in row]


def _value(cell: Any, unvalued: set[str]) -> Cell:
    """A cell's value, with the unit that its format shows behind a number, or what is wrong with it."""
    value = cell.value
    if value is None:
        if unvalued and getattr(cell, "column", None) and cell.coordinate in unvalued:
            return Spoiled(line=f"cell {cell.coordinate} {_UNVALUED}")
        return None
    if cell.data_type == "e":
        line = f"cell {cell.coordinate} holds the error {escaped(value)}, expected a value; correct the formula"
        return Spoiled(line=line)
    if isinstance(value, dt.date | dt.time | dt.timedelta):
        return Spoiled(line=f"cell {cell.coordinate} {_DATE}", text=str(value))
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value if isinstance(value, str | bool) else str(value)
    number = int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e15 else value
    unit = _unit_shown(cell.number_format)
    return f"{number} {unit}" if unit else number


@cache
def _unit_shown(number_format: str) -> str:
    """The unit that a format writes behind a number, as `0" mm"` does; empty where it writes none."""
    found = re.search(r'[0#?]\s*(?:"([^"]*)"|\\(["\']))[^"]*$', number_format.split(";", maxsplit=1)[0])
    return (found and unit_of(found[1] or found[2])) or ""


LARGEST_BYTES = 5_000_000
_EXPECTED = "a file of at most 5 MB; is it an opening schedule?"


def read_table(path: Path, sheet: str = "") -> Table:
    """The schedule in a file, by its ending: `.csv` or `.xlsx`.

    Args:
        path: of the file.
        sheet: title of the workbook's sheet; without it the one that reads as a schedule.

    Raises:
        RecipeError: the file cannot be read, or it has no header that names the opening's mark.
    """
    ending = path.suffix.lower()
    if ending == ".xlsx":
        return read_workbook(path, contents(path, LARGEST_BYTES, _EXPECTED), sheet)
    if ending == ".csv" and sheet:
        raise RecipeError(f"{visible(path.name)}: a CSV file has no sheets, got --sheet {quoted(sheet)}; leave it out")
    if ending == ".csv":
        return read_csv(path.name, contents(path, LARGEST_BYTES, _EXPECTED))
    raise RecipeError(f"{visible(path.name)}: expected a schedule that ends in .csv or .xlsx; save it as one of them")


def read_csv(name: str, raw: bytes) -> Table:
    """The table in a CSV file: UTF-8 with or without a mark at its start, `,` or `;` between cells.

    Raises:
        RecipeError: not UTF-8, quotes that do not close, or no header that names the opening's mark.
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
    """The one of `,` and `;` that makes a header with most columns of one of the first rows; else the comma."""
    found: dict[str, int] = {}
    broken: RecipeError | None = None
    for separator in ",;":
        try:
            header = find_header(held(list(islice(_records(name, text, separator), MOST_ABOVE))))
        except RecipeError as err:
            broken = err
            continue
        found[separator] = header.score if header is not None else 0
    if broken is not None and not any(found.values()):
        raise broken
    return max(found, key=lambda separator: found[separator])


def _records(name: str, text: str, separator: str) -> Iterator[tuple[int, list[Cell]]]:
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
