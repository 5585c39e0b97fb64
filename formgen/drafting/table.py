"""Drafting: a list on a drawing: a title, rows of cells in columns, ruled between rows.

In: texts. Out: ink from the list's upper left corner down; mm on paper.
"""

from __future__ import annotations

from dataclasses import replace

from formgen.drafting.ink import RULES, Ink, Words, line
from formgen.drafting.text import broken, wide
from formgen.fixed import fixed

#: Heights of a row's capitals and of the title's, large and small (mm on paper).
LARGE, SMALL = (2.5, 3.5), (1.8, 2.5)
#: Pitch of the rows, white between columns, and the longest cell before it is broken, in heights of a capital.
ROW, GUTTER, LONGEST = 2.0, 1.45, 32.0
#: Rows of a list before it goes on in another.
MOST_ROWS = 32


@fixed
class Table:
    """One list.

    Args:
        title: over it.
        heads: of the columns; none where they need none.
        rows: of cells; numbers are set right.
        numbers: which columns hold numbers.
    """

    title: str
    rows: tuple[tuple[str, ...], ...]
    heads: tuple[str, ...] = ()
    numbers: tuple[int, ...] = ()


def parted(table: Table) -> list[Table]:
    """A long list as several, each with the heads."""
    return [
        replace(
            table, title=table.title if begin == 0 else f"{table.title}, on", rows=table.rows[begin : begin + MOST_ROWS]
        )
        for begin in range(0, len(table.rows), MOST_ROWS)
    ]


def drawn(table: Table, heights_mm: tuple[float, float] = SMALL) -> tuple[Ink, ...]:
    """The list's ink, in letters of these heights: of the rows, and of the title."""
    h, title = heights_mm
    rows = [*((table.heads,) if table.heads else ()), *table.rows]
    cells = [[broken(text, LONGEST * h, h) for text in row] for row in rows]
    columns = max(len(row) for row in rows)
    widths = [max((wide(t, h) for row in cells if i < len(row) for t in row[i]), default=0.0) for i in range(columns)]
    starts = [sum(widths[:i]) + GUTTER * h * i for i in range(columns)]
    whole = max(starts[-1] + widths[-1], wide(table.title, title))
    y = -title - 0.8 * h
    inks: list[Ink] = [
        Words(text=table.title, at=(0.0, -title), height_mm=title),
        line(RULES, (0.0, y), (whole, y)),
    ]
    for number, row in enumerate(cells):
        for i, lines in enumerate(row):
            right = i in table.numbers
            for j, text in enumerate(lines):
                at = (starts[i] + (widths[i] if right else 0.0), y - ROW * h * (j + 1) + h / 2)
                inks.append(Words(text=text, at=at, height_mm=h, anchor="right" if right else "left"))
        y -= ROW * h * max(len(lines) for lines in row) + 0.15 * h
        if number == 0 and table.heads:
            inks.append(line(RULES, (0.0, y), (whole, y)))
    return tuple(ink for ink in inks if not isinstance(ink, Words) or ink.text)
