"""Building: the rows of a schedule that are no openings: totals, notes, headings, the header once more.

In: the rows under the header. Out: openings, rows left out with the reason, and rows that have too many cells or too
few. A row that holds a size, an arch or a mark of its own is never left out: it is an opening, and refused if it lacks
something.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from formgen.building.schedule.cells import Cell, Row, Spoiled
from formgen.building.schedule.columns import KIND, NAME, NOTE, QUANTITY, Column
from formgen.building.schedule.kinds import kind_named
from formgen.building.schedule.words import begins_with, is_one_of, plain
from formgen.errors import LengthError
from formgen.fixed import fixed
from formgen.lengths import read_length

#: A mark is shorter, and of fewer words.
LONGEST_MARK, MOST_WORDS = 30, 3
_ENUMERATOR = re.compile(r"[(\[]?(?:\d{1,2}|[a-z]|[ivx]{1,4}|\*+)[.)\]:]*", re.IGNORECASE)


@fixed
class LeftOut:
    """A row that is no opening: its number, why, and what stands in it."""

    row: int
    why: str
    text: str


def sort_out(
    records: Sequence[tuple[int, Sequence[Cell]]], columns: Sequence[Column], names: Sequence[str], header_row: int
) -> tuple[list[Row], list[tuple[int, str]], list[LeftOut]]:
    """Openings, lines for rows that do not fit the header, and rows that are left out.

    Args:
        records: (row number, cells), blank cells None.
        columns: what the header means.
        names: the header.
        header_row: in which it stands.
    """
    look = _Look(columns=tuple(columns), names=tuple(names), records=records)
    openings, mistakes, left_out, noted = [], list[tuple[int, str]](), [], False
    for number, found in records:
        cells = list(found)
        while len(cells) > len(names) and cells[-1] is None:
            cells.pop()
        why = look.why(cells[: len(names)] + [None] * (len(names) - len(cells)), noted=noted)
        if why:
            noted = noted or why == "note heading"
            text = " ".join(" ".join(str(cell).split()) for cell in cells if cell is not None)
            left_out.append(LeftOut(row=number, why=why.split()[0], text=text))
        elif len(cells) != len(names):
            line = (
                f"row {number} has {len(cells)} cells, expected {len(names)} as in row {header_row}; "
                "look for a separator too many or too few, or quote the text that holds one"
            )
            mistakes.append((number, line))
        else:
            openings.append(Row(number=number, cells=tuple(cells)))
    return openings, mistakes, left_out


class _Look:
    """A look at one row after another, by what the others are like."""

    def __init__(
        self, columns: tuple[Column, ...], names: tuple[str, ...], records: Sequence[tuple[int, Sequence[Cell]]]
    ) -> None:
        self._columns = columns
        self._header = [plain(name) for name in names]
        self._mark = next((i for i, c in enumerate(columns) if c.path == NAME), None)
        if self._mark is None:
            self._mark = next((i for i, c in enumerate(columns) if c.asks == "number"), 0)
        marks = [cells[self._mark] for _, cells in records if self._is_sized(cells)]
        #: Most openings have a figure in their mark, so that a word alone is the heading of a group.
        self._figured = 2 * sum(bool(re.search(r"\d", str(mark))) for mark in marks) > len(marks)
        self._measures = any(column.measures or column.path == KIND for column in columns)

    def _is_sized(self, cells: Sequence[Cell]) -> bool:
        return len(cells) > (self._mark or 0) and any(map(_is_size, self._columns, cells))

    def why(self, cells: Sequence[Cell], *, noted: bool) -> str:
        """Return why the row is no opening, or nothing; `note heading` where notes begin with it.

        Args:
            cells: one for each column.
            noted: notes have begun above.
        """
        mark = cells[self._mark or 0]
        filled = [(column, cell) for column, cell in zip(self._columns, cells, strict=True) if cell is not None]
        if all(plain(cell) == name for cell, name in zip(cells, self._header, strict=True) if cell is not None or name):
            return "header again"
        if any(is_one_of(cell, "totals") for column, cell in filled if mark is None or column.path != NOTE):
            return "total"
        return "" if self._is_sized(cells) else self._without_sizes(mark, filled, noted=noted)

    def _without_sizes(self, mark: Cell, filled: Sequence[tuple[Column, Cell]], *, noted: bool) -> str:
        """Return why a row without sizes is no opening; nothing where it is one all the same."""
        first = next((cell for _, cell in filled if isinstance(cell, str)), None)
        if begins_with(first, "totals"):
            return "total"
        if begins_with(first, "notes") and (mark is None or first is mark):
            return "note heading"
        if noted:
            return "note"
        if mark is not None:
            return self._with_mark(mark, filled)
        worded = any(isinstance(cell, str) and re.search(r"[^\W\d]", cell) for _, cell in filled)
        return "note" if worded else self._numbers_alone(filled)

    def _numbers_alone(self, filled: Sequence[tuple[Column, Cell]]) -> str:
        """Sums under quantities, prices and the like, and nothing else."""
        sums = all(not column.measures and (column.path in ((), QUANTITY)) for column, _ in filled)
        return "total" if sums else ""

    def _with_mark(self, mark: Cell, filled: Sequence[tuple[Column, Cell]]) -> str:
        """A row with something where the mark stands, and no size: a note, a heading, or an opening all the same."""
        said = str(mark).strip()
        if isinstance(mark, Spoiled):
            return ""
        if len(said) > LONGEST_MARK or len(said.split()) > MOST_WORDS or said.endswith(":"):
            return "note"
        others = [cell for column, cell in filled if cell is not mark and column.path != NOTE]
        sentence = any(isinstance(c, str) and len(c.split()) > MOST_WORDS and c.strip()[0].isalpha() for c in others)
        if sentence and _ENUMERATOR.fullmatch(said):
            return "note"
        lone = len(filled) == 1 and self._measures and self._figured
        return "heading" if lone and not re.search(r"\d", said) else ""


def _is_size(column: Column, cell: Cell) -> bool:
    """Tell whether a cell holds what only an opening has: a length in a column of lengths, or an arch."""
    if column.path == KIND or column.asks == "type":
        return isinstance(cell, str) and kind_named(cell) is not None
    if not column.measures or cell is None or isinstance(cell, bool):
        return False
    if not isinstance(cell, str):
        return True
    try:
        read_length(cell, "in")
    except LengthError:
        return bool(re.fullmatch(r"\W*\d.{0,12}", cell.strip()))  # a size mistyped is a size
    return True
