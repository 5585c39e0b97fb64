"""Stage `reports`: what a step of the press-day sheet is made of, and how much paper each thing takes.

In: text, and the width of a column. Out: words and lines placed from the upper left corner of the thing, x to the
right, y down, mm of paper; nothing is drawn here.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from formgen.reports.page_text import broken, fitting, showable, wide
from formgen.reports.paper import LEANING, NARROW, PLAIN, THICK_MM
from formgen.reports.press_sheet_laid import (
    LEAST_MM,
    PITCH,
    Laid,
    Rule,
    Word,
    box,
    box_mm,
    line_mm,
    paragraph,
    rectangle,
    stacked,
)


@dataclass(frozen=True, kw_only=True)
class Tick:
    """A box to tick and what was to be done; with `write`, a place to write behind it."""

    text: str
    write: str = ""

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        side = box_mm(capital_mm)
        indent = side + 0.8 * capital_mm
        text = paragraph(self.text, width_mm - indent, capital_mm).moved(indent, 0.0)
        parts = [text]
        if self.write:
            parts.append(Write(labels=(self.write,)).laid(width_mm - indent, capital_mm).moved(indent, 0.0))
        body = stacked(parts, 0.3 * capital_mm)
        return Laid(height_mm=body.height_mm, words=body.words, rules=(*box(0.0, 0.0, side), *body.rules))


@dataclass(frozen=True, kw_only=True)
class Say:
    """A paragraph without a box."""

    text: str

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        return paragraph(self.text, width_mm, capital_mm)


@dataclass(frozen=True, kw_only=True)
class Care:
    """A caution: small, leaning, with a heavy line at its left."""

    text: str

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        small = max(0.8 * capital_mm, min(LEAST_MM, capital_mm))
        body = paragraph(self.text, width_mm - 2.2, small, LEANING).moved(2.2, 0.0)
        line = Rule(x0_mm=0.6, y0_mm=0.1, x1_mm=0.6, y1_mm=body.height_mm - 0.3 * small, width_mm=THICK_MM)
        return Laid(height_mm=body.height_mm, words=body.words, rules=(line,))


@dataclass(frozen=True, kw_only=True)
class Write:
    """Places to write, side by side: what belongs there, and a line."""

    labels: tuple[str, ...]

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        height = 2.3 * capital_mm
        each = (width_mm - 3.0 * (len(self.labels) - 1)) / len(self.labels)
        words: list[Word] = []
        rules: list[Rule] = []
        for i, label in enumerate(self.labels):
            x, text = i * (each + 3.0), showable(label)
            capital, face = fitting(
                text, 0.72 * each, (capital_mm, 0.9 * capital_mm, 0.8 * capital_mm), (PLAIN, NARROW)
            )
            words.append(Word(x_mm=x, y_mm=height - 0.7, text=text, capital_mm=capital, face=face))
            begin = x + wide(text, capital, face) + 1.2
            rules.append(Rule(x0_mm=begin, y0_mm=height, x1_mm=x + each, y1_mm=height))
        return Laid(height_mm=height + 0.4 * capital_mm, words=tuple(words), rules=tuple(rules))


@dataclass(frozen=True, kw_only=True)
class Grid:
    """Many short things to tick, in as many columns as fit; down the columns or, with `across`, in reading order."""

    cells: tuple[str, ...]
    across: bool = False

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        side, texts = box_mm(capital_mm), [showable(c) for c in self.cells]
        indent = side + 0.8 * capital_mm
        need = max(wide(t, capital_mm) for t in texts) + indent + 1.6 * capital_mm
        columns = max(1, min(len(texts), int(width_mm / need)))
        rows = -(-len(texts) // columns)
        columns = -(-len(texts) // rows)
        pitch = PITCH * capital_mm + 0.4
        words: list[Word] = []
        rules: list[Rule] = []
        for i, text in enumerate(texts):
            column, row = (i % columns, i // columns) if self.across else divmod(i, rows)
            x, y = column * width_mm / columns, row * pitch
            words.append(Word(x_mm=x + indent, y_mm=y + line_mm(capital_mm), text=text, capital_mm=capital_mm))
            rules += box(x, y, side)
        return Laid(height_mm=rows * pitch, words=tuple(words), rules=tuple(rules))


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A length that is read across the bench, in a frame."""

    text: str
    under: str = ""

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column; the height of the reading does not shrink with the rest of the page."""
        text = showable(self.text)
        big, face = fitting(text, width_mm - 8.0, (14.0, 12.0, 10.0), (PLAIN, NARROW))
        high = big + 7.0
        left = (width_mm - wide(text, big, face)) / 2.0
        word = Word(x_mm=left, y_mm=(high + big) / 2.0, text=text, capital_mm=big, face=face)
        frame = Laid(height_mm=high + 1.0, words=(word,), rules=rectangle(0.0, 0.0, width_mm, high, THICK_MM))
        return stacked([frame, paragraph(self.under, width_mm, capital_mm)], 0.6) if self.under else frame


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows of what is wanted, with cells to write in.

    Args:
        head: of the columns; the first is over what is measured.
        rows: what, and what is wanted; the other cells are blank.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, str], ...] = field(default=())

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        wanted = max(wide(showable(t), capital_mm) for t in (self.head[1], *(r[1] for r in self.rows))) + 2.4
        blank = max(0.17 * width_mm, *(wide(showable(t), 0.8 * capital_mm) + 2.0 for t in self.head[2:]))
        first = width_mm - wanted - blank * (len(self.head) - 2)
        edges = [0.0, first, first + wanted]
        edges += [edges[-1] + blank * (i + 1) for i in range(len(self.head) - 2)]
        high = 2.5 * capital_mm
        words = [
            Word(x_mm=x + 1.0, y_mm=1.25 * capital_mm, text=showable(t), capital_mm=0.8 * capital_mm)
            for x, t in zip(edges, self.head, strict=False)
        ]
        down = 1.9 * capital_mm
        rules = [Rule(x0_mm=0.0, y0_mm=down, x1_mm=width_mm, y1_mm=down)]
        for what, value in self.rows:
            lines = broken(what, first - 2.0, 0.9 * capital_mm)
            row = max(high, (len(lines) + 0.4) * PITCH * 0.9 * capital_mm)
            top = down + (row - (len(lines) - 1) * PITCH * 0.9 * capital_mm + 0.9 * capital_mm) / 2.0
            words += [
                Word(x_mm=1.0, y_mm=top + i * PITCH * 0.9 * capital_mm, text=t, capital_mm=0.9 * capital_mm)
                for i, t in enumerate(lines)
            ]
            middle = down + (row + capital_mm) / 2.0
            words.append(Word(x_mm=edges[1] + 1.0, y_mm=middle, text=showable(value), capital_mm=capital_mm))
            down += row
            rules.append(Rule(x0_mm=0.0, y0_mm=down, x1_mm=width_mm, y1_mm=down))
        rules += [Rule(x0_mm=x, y0_mm=1.9 * capital_mm, x1_mm=x, y1_mm=down) for x in (*edges[1:-1], edges[-1])]
        rules.append(Rule(x0_mm=0.0, y0_mm=1.9 * capital_mm, x1_mm=0.0, y1_mm=down))
        return Laid(height_mm=down + 0.4, words=tuple(words), rules=tuple(rules))


Item = Tick | Say | Care | Write | Grid | Reading | Table
