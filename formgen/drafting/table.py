"""Drafting: a list on a drawing, as wide as the column that all lists of a sheet stand in.

In: texts. Out: ink from the list's upper left corner down; mm on paper. Cells of words are broken to what the numbers
leave of the width; a long list of few numbers is folded, so that it runs down two or three times side by side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from formgen.drafting.ink import RULES, Anchor, Ink, Words, line
from formgen.drafting.paper import HEAD_MM, STEP_MM, TEXT_MM
from formgen.drafting.text import broken, wide
from formgen.fixed import fixed

#: Width of a list; between two columns of its cells; of the words before a row of words; between folds (mm on paper).
WIDE_MM, GUTTER_MM, KEY_MM, FOLD_MM = 112.0, 3.0, 24.0, 6.0
#: From the title's foot to the rule below it; from a row's top to its base line; on each side of a rule (mm on paper).
UNDER_MM, DOWN_MM, RULE_MM = 1.4, 3.1, 0.6
#: A list of fewer rows is not folded, nor one in more folds than this.
LEAST_ROWS, MOST_FOLDS = 6, 3


@fixed
class Table:
    """One list.

    Args:
        title: over it.
        heads: of the columns; without any the first cell of each row names the second.
        rows: of cells; numbers are set right.
        numbers: which columns hold numbers.
        remark: what holds of all rows, below the title.
    """

    title: str
    rows: tuple[tuple[str, ...], ...]
    heads: tuple[str, ...] = ()
    numbers: tuple[int, ...] = ()
    remark: str = ""


def parted(table: Table, most_high_mm: float) -> list[Table]:
    """A list that is higher than a column as several that are not, each with the heads."""
    parts, rows, title = [], table.rows, table.title
    while rows:
        count = len(rows)
        while count > 1 and (high := height_mm(replace(table, title=title, rows=rows[:count]))) > most_high_mm:
            count = max(1, min(count - 1, int(count * most_high_mm / high)))
        parts.append(replace(table, title=title, rows=rows[:count]))
        rows, title = rows[count:], f"{table.title}, on"
    return parts


def height_mm(table: Table) -> float:
    """The paper that a list takes."""
    return -_laid(table)[1]


def drawn(table: Table) -> tuple[Ink, ...]:
    """The list's ink, title on the top."""
    return _laid(table)[0]


@lru_cache(maxsize=64)
def _laid(table: Table) -> tuple[tuple[Ink, ...], float]:
    """The ink, and where it ends."""
    y = -HEAD_MM - UNDER_MM
    inks: list[Ink] = [
        Words(text=table.title, at=(0.0, -HEAD_MM), height_mm=HEAD_MM),
        line(RULES, (0.0, y), (WIDE_MM, y)),
    ]
    y -= RULE_MM
    for text in broken(table.remark, WIDE_MM, TEXT_MM) if table.remark else ():
        inks.append(Words(text=text, at=(0.0, y - DOWN_MM), height_mm=TEXT_MM))
        y -= STEP_MM
    folds, widths = _folds(table)
    step = (WIDE_MM + FOLD_MM) / folds
    deep = math.ceil(len(table.rows) / folds)
    ends = [
        _block(inks, table, table.rows[i * deep : (i + 1) * deep], widths, (i * step, y), step - FOLD_MM)
        for i in range(math.ceil(len(table.rows) / deep))
    ]
    return tuple(inks), min(ends)


def _folds(table: Table) -> tuple[int, list[float]]:
    """Find how often a list runs down, and how wide its columns are."""
    rows = [*((table.heads,) if table.heads else ()), *table.rows]
    columns = range(max(len(row) for row in rows))
    natural = [max(wide(row[i], TEXT_MM) for row in rows if i < len(row)) for i in columns]
    if not table.heads:
        return 1, [KEY_MM - GUTTER_MM, WIDE_MM - KEY_MM]
    gutters = GUTTER_MM * (len(natural) - 1)
    if len(table.rows) >= LEAST_ROWS:
        folds = min(MOST_FOLDS, int((WIDE_MM + FOLD_MM) / (sum(natural) + gutters + FOLD_MM)))
        if folds > 1:
            return folds, natural
    body = [max(wide(row[i], TEXT_MM) for row in table.rows if i < len(row)) for i in columns]
    words = [max((wide(w, TEXT_MM) for w in head.split()), default=0.0) for head in table.heads]
    least = [max(pair) for pair in zip(body, words, strict=True)]  # a head may be broken, a number may not
    if sum(natural) + gutters <= WIDE_MM:
        return 1, natural
    if sum(least) + gutters > WIDE_MM:
        least = _capped(least, table.numbers, WIDE_MM - gutters)
    return 1, least


def _capped(widths: Sequence[float], kept: Sequence[int], room_mm: float) -> list[float]:
    """Widths of which the widest, but those that are kept, are made less until they fit."""
    low, high = 0.0, max(widths)
    for _ in range(40):
        cap = (low + high) / 2
        fits = sum(w if i in kept else min(w, cap) for i, w in enumerate(widths)) <= room_mm
        low, high = (cap, high) if fits else (low, cap)
    return [w if i in kept else min(w, low) for i, w in enumerate(widths)]


def _block(
    inks: list[Ink], table: Table, rows: Sequence[tuple[str, ...]], widths: Sequence[float],
    at: tuple[float, float], room_mm: float,
) -> float:  # fmt: skip
    """Heads and rows from a place down; where they end."""
    x, y = at
    starts = [x + sum(widths[:i]) + GUTTER_MM * i for i in range(len(widths))]
    if table.heads:
        y = _row(inks, table.heads, table.numbers, starts, widths, y) - RULE_MM
        inks.append(line(RULES, (x, y), (x + room_mm, y)))
        y -= RULE_MM
    for row in rows:
        y = _row(inks, row, table.numbers, starts, widths, y)
    return y


def _row(
    inks: list[Ink], cells: Sequence[str], numbers: Sequence[int], starts: Sequence[float], widths: Sequence[float],
    top: float,
) -> float:  # fmt: skip
    """One row; where it ends."""
    deep = 1
    for i, text in enumerate(cells):
        right = i in numbers
        anchor: Anchor = "right" if right else "left"
        lines = broken(text, widths[i] + 1e-6, TEXT_MM) if text else []
        for j, said in enumerate(lines):
            at = (starts[i] + widths[i] * right, top - DOWN_MM - j * STEP_MM)
            inks.append(Words(text=said, at=at, height_mm=TEXT_MM, anchor=anchor))
        deep = max(deep, len(lines))
    return top - deep * STEP_MM
