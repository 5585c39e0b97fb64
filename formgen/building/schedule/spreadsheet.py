"""Building: rows of cells as XLSX, the same bytes on any day, and no cell that a spreadsheet would run.

In: rows. Out: bytes. A text that looks like a formula is marked as text in its cell.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from typing import cast

from formgen.outputs.sheets.csv_table import RUNS, Cell

#: The first day that a ZIP archive can name, as XLSX files are archives.
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
_DATE = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(<)")
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def as_xlsx(rows: Sequence[Sequence[Cell]], title: str) -> bytes:
    """The rows as a workbook with one sheet, its first row bold and held in place.

    Args:
        rows: the header first.
        title: the sheet's name.
    """
    from openpyxl import Workbook
    from openpyxl.cell import Cell as SheetCell
    from openpyxl.styles import Font

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = title
    for i, row in enumerate(rows, 1):
        for j, value in enumerate(row, 1):
            if value is None:
                continue
            cell = cast("SheetCell", sheet.cell(i, j))
            if isinstance(value, str):
                cell.value = _NOT_IN_XML.sub(" ", value)
                cell.data_type = "s"
                cell.quotePrefix = value.startswith(RUNS)
            else:
                cell.value = value
            if i == 1:
                cell.font = Font(bold=True)
    sheet.freeze_panes = "C2"
    out = io.BytesIO()
    book.save(out)
    return _undated(out.getvalue())


def _undated(raw: bytes) -> bytes:
    """The archive with every date in it the same."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in sorted(old.infolist(), key=lambda held: held.filename):
            content = _DATE.sub(rb"\g<1>1980-01-01T00:00:00Z\2", old.read(entry))
            new.writestr(zipfile.ZipInfo(entry.filename, _FIRST_DAY), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()
