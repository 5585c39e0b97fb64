"""Stage `reports`: a list on a drawing: a title, rows of cells in columns, ruled between rows.

In: texts. Out: ink from the list's upper left corner down; mm on paper.
"""

from __future__ import annotations

from dataclasses import dataclass

from formgen.exports.ink import RULES, Ink, Words, line
from formgen.reports.paper import PLAIN, text_width_mm

#: Height of a row's and of the title's capitals, pitch of the rows, white between columns (mm on paper).
TEXT_MM, TITLE_MM, ROW_MM, GUTTER_MM = 1.8, 2.5, 3.6, 2.6
#: A cell longer than this is broken into lines (mm on paper).
LONGEST_MM = 58.0


@dataclass(frozen=True, kw_only=True)
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


def broken(text: str, longest_mm: float) -> list[str]:
    """A text in lines no longer than that, broken between words."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and text_width_mm(f"{lines[-1]} {word}", TEXT_MM, PLAIN) <= longest_mm:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def drawn(table: Table) -> tuple[Ink, ...]:
    """The list's ink."""
    rows = [*((table.heads,) if table.heads else ()), *table.rows]
    cells = [[broken(text, LONGEST_MM) for text in row] for row in rows]
    columns = max(len(row) for row in rows)
    widths = [
        max((text_width_mm(t, TEXT_MM) for row in cells if i < len(row) for t in row[i]), default=0.0)
        for i in range(columns)
    ]
    starts = [sum(widths[:i]) + GUTTER_MM * i for i in range(columns)]
    whole = max(starts[-1] + widths[-1], text_width_mm(table.title, TITLE_MM))
    inks: list[Ink] = [Words(text=table.title, at=(0.0, -TITLE_MM), height_mm=TITLE_MM)]
    y = -TITLE_MM - 1.6
    inks.append(line(RULES, (0.0, y), (whole, y)))
    for number, row in enumerate(cells):
        for i, lines in enumerate(row):
            right = i in table.numbers
            for j, text in enumerate(lines):
                at = (starts[i] + (widths[i] if right else 0.0), y - ROW_MM * (j + 1) + 0.9)
                inks.append(Words(text=text, at=at, height_mm=TEXT_MM, anchor="right" if right else "left"))
        y -= ROW_MM * max(len(lines) for lines in row) + 0.3
        if number == 0 and table.heads:
            inks.append(line(RULES, (0.0, y), (whole, y)))
    return tuple(ink for ink in inks if not isinstance(ink, Words) or ink.text)
