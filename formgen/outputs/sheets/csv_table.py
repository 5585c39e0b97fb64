"""Stage `outputs`: rows of cells as CSV, and no cell that a spreadsheet would run.

In: rows. Out: bytes. A text that begins with =, +, -, @, a tab or a line break is a formula to a spreadsheet: an
apostrophe before it makes it a text again.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

Cell = str | int | float | None

#: Texts that a spreadsheet would run begin with one of these.
RUNS = ("=", "+", "-", "@", "\t", "\r", "\n")


def as_csv(rows: Iterable[Sequence[Cell]]) -> bytes:
    """The rows as CSV: UTF-8 with a mark at its start, by which spreadsheets know it, commas, CRLF (RFC 4180)."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([_harmless(cell) for cell in row] for row in rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _harmless(cell: Cell) -> Cell:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(RUNS) else cell
