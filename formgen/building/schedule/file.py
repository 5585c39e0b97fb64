"""Building: an opening schedule read from its file.

In: a path that ends in `.csv` or `.xlsx`. Out: a `Table`, or one line that says why the file is none.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from formgen.building.schedule.table import FIRST_COLUMN, MOST_ROWS, CellValue, Table, is_first, tabled
from formgen.building.schedule.workbook import read_workbook
from formgen.errors import RecipeError
from formgen.quoted import quoted, visible
from formgen.recipe.source import contents

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
