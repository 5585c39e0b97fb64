"""Building: cells, rows and merged areas of a schedule, before anybody asks what they mean."""

from __future__ import annotations

from formgen.fixed import fixed
from formgen.quoted import quoted


@fixed
class Spoiled:
    """A cell that holds something that nothing can be made of.

    Args:
        line: what is wrong with it; empty where that is said elsewhere.
        got: what stands there, where the line does not say it.
        text: what it may be in a remark.
    """

    line: str
    got: str = ""
    text: str = ""

    def __str__(self) -> str:
        return self.text

    def after(self, place: str) -> str:
        """The mistake, after the row and column where it stands."""
        if self.got:
            return f"{place} = {quoted(self.got)}, {self.line}"
        return f"{place} {self.line}" if self.line.startswith("is ") else f"{place}: {self.line}"


#: What a cell holds: text as typed, a number as a workbook stores it, something unreadable, or nothing.
Cell = str | int | float | bool | Spoiled | None


@fixed
class Row:
    """One row: its number in the spreadsheet, and a value for each column, None where the cell is blank."""

    number: int
    cells: tuple[Cell, ...]


@fixed
class Merged:
    """An area of merged cells, its rows and columns counted from 1, both ends inside; `name` as `B2:B3`."""

    name: str
    top: int
    left: int
    bottom: int
    right: int

    def within(self, rows: int, columns: int) -> int:
        """Return how many of its cells lie within so many rows and columns."""
        return max(0, min(self.bottom, rows) - self.top + 1) * max(0, min(self.right, columns) - self.left + 1)
