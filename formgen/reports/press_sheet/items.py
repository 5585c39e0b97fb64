"""Stage `reports`: a step of the press day, what it is made of, and how much paper each thing takes.

In: text, and the width of a column. Out: words and lines placed from the upper left corner of the thing, x to the
right, y down, mm of paper; nothing is drawn here. No letter is smaller than the capital that is given.
"""

from __future__ import annotations

from dataclasses import field

from formgen.drafting.paper import NARROW, PLAIN, THICK_MM
from formgen.drafting.text import broken, fitting, showable, wide
from formgen.fixed import fixed
from formgen.reports.press_sheet.laid import (
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

#: White inside the frame of a caution, and the least length of a line to write on (mm).
INSET_MM, WRITE_MM = 1.8, 16.0


@fixed
class Tick:
    """A box to tick and what was to be done; with `write`, places to write behind it."""

    text: str
    write: str | tuple[str, ...] = ()

    @property
    def labels(self) -> tuple[str, ...]:
        """The words written behind it."""
        return (self.write,) if isinstance(self.write, str) else self.write

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column."""
        side = box_mm(capital_mm)
        indent = side + 0.8 * capital_mm
        body = _with_blanks(self.text, self.labels, width_mm - indent, capital_mm, face).moved(indent, 0.0)
        return Laid(height_mm=body.height_mm, words=body.words, rules=(*box(0.0, 0.0, side), *body.rules))


@fixed
class Say:
    """A paragraph without a box."""

    text: str

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column."""
        return paragraph(self.text, width_mm, capital_mm, face)


@fixed
class Care:
    """A caution in a frame, upright and as large as the rest, with the name of its source."""

    text: str
    source: str

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column."""
        inside = width_mm - 2.0 * INSET_MM
        body = paragraph(f"{self.text} [{self.source}]", inside, capital_mm, face).moved(INSET_MM, 0.4 * INSET_MM)
        high = body.height_mm + 0.8 * INSET_MM
        frame = rectangle(0.0, 0.0, width_mm, high, THICK_MM)
        return Laid(height_mm=high + 0.5 * capital_mm, words=body.words, rules=frame)


@fixed
class Write:
    """Places to write: what belongs there, and a line; side by side where they find room, else one below the other."""

    labels: tuple[str, ...]

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column."""
        row = self._first_row(width_mm, capital_mm, face)
        if row < len(self.labels):
            rows = (Write(labels=self.labels[:row]), Write(labels=self.labels[row:]))
            return stacked([one.laid(width_mm, capital_mm, face) for one in rows], 0.0)
        each = (width_mm - 3.0 * (len(self.labels) - 1)) / len(self.labels)
        height = 2.4 * capital_mm
        words: list[Word] = []
        rules: list[Rule] = []
        for i, label in enumerate(self.labels):
            x, text = i * (each + 3.0), showable(label)
            capital, own = fitting(text, 0.82 * each, (capital_mm,), (face, NARROW))
            words.append(Word(x_mm=x, y_mm=height - 0.7, text=text, capital_mm=capital, face=own))
            begin = min(x + wide(text, capital, own) + 1.2, x + each)
            rules.append(Rule(x0_mm=begin, y0_mm=height, x1_mm=x + each, y1_mm=height))
        return Laid(height_mm=height + 0.4 * capital_mm, words=tuple(words), rules=tuple(rules))

    def _first_row(self, width_mm: float, capital_mm: float, face: str) -> int:
        """Count how many labels stand side by side with room to write, each on an equal share; at least one."""
        for count in range(len(self.labels), 1, -1):
            each = (width_mm - 3.0 * (count - 1)) / count
            if all(wide(showable(label), capital_mm, face) + WRITE_MM <= each for label in self.labels[:count]):
                return count
        return 1


def _with_blanks(text: str, labels: tuple[str, ...], width_mm: float, capital_mm: float, face: str) -> Laid:
    """A paragraph, and places to write: on its last line where they find room there, else below."""
    body = paragraph(text, width_mm, capital_mm, face)
    if not labels:
        return body
    last = body.words[-1]
    begin = wide(last.text, capital_mm, face) + 2.0 * capital_mm
    each = (width_mm - begin - 3.0 * (len(labels) - 1)) / len(labels)
    if any(wide(showable(label), capital_mm, face) + WRITE_MM > each for label in labels):
        return stacked([body, Write(labels=labels).laid(width_mm, capital_mm, face)], 0.3 * capital_mm)
    words, rules = list(body.words), list(body.rules)
    for i, label in enumerate(labels):
        x, shown = begin + i * (each + 3.0), showable(label)
        words.append(Word(x_mm=x, y_mm=last.y_mm, text=shown, capital_mm=capital_mm, face=face))
        start, down = x + wide(shown, capital_mm, face) + 1.2, last.y_mm + 0.7
        rules.append(Rule(x0_mm=start, y0_mm=down, x1_mm=x + each, y1_mm=down))
    return Laid(height_mm=body.height_mm + 0.5 * capital_mm, words=tuple(words), rules=tuple(rules))


@fixed
class Grid:
    """Many short things to tick, in as many columns as fit; down the columns or, with `across`, in reading order."""

    cells: tuple[str, ...]
    across: bool = False

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column."""
        side, texts = box_mm(capital_mm), [showable(c) for c in self.cells]
        indent = side + 0.8 * capital_mm
        need = max(wide(t, capital_mm, face) for t in texts) + indent + 1.6 * capital_mm
        columns = max(1, min(len(texts), int(width_mm / need)))
        rows = -(-len(texts) // columns)
        columns = -(-len(texts) // rows)
        pitch = PITCH * capital_mm + 0.4
        words: list[Word] = []
        rules: list[Rule] = []
        for i, text in enumerate(texts):
            column, row = (i % columns, i // columns) if self.across else divmod(i, rows)
            x, y = column * width_mm / columns, row * pitch
            words.append(
                Word(x_mm=x + indent, y_mm=y + line_mm(capital_mm), text=text, capital_mm=capital_mm, face=face)
            )
            rules += box(x, y, side)
        return Laid(height_mm=rows * pitch, words=tuple(words), rules=tuple(rules))


@fixed
class Reading:
    """A number that is read across the bench, in a frame, with what it is below; capitals of `most_mm` or less."""

    text: str
    under: str
    most_mm: float = 14.0

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column; the height of the reading does not change with the rest of the page."""
        text = showable(self.text)
        big, own = fitting(
            text, width_mm - 8.0, tuple(c for c in (14.0, 12.0, 10.0, 9.0) if c <= self.most_mm), (PLAIN, NARROW)
        )
        high = big + 5.0
        left = (width_mm - wide(text, big, own)) / 2.0
        word = Word(x_mm=left, y_mm=(high + big) / 2.0, text=text, capital_mm=big, face=own)
        frame = Laid(height_mm=high + 1.0, words=(word,), rules=rectangle(0.0, 0.0, width_mm, high, THICK_MM))
        return stacked([frame, paragraph(self.under, width_mm, capital_mm, face)], 0.6)


@fixed
class Table:
    """Rows of what is wanted, with cells to write in.

    Args:
        head: of the columns; the first is over what is measured, the second over what is wanted.
        rows: what, and what is wanted; the other cells are blank.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, str], ...] = field(default=())

    def laid(self, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
        """In a column."""
        edges = self._edges(width_mm, capital_mm, face)
        first, pitch = edges[1], PITCH * capital_mm
        over = [broken(self.head[0], first - 2.0, capital_mm, face), *([t] for t in self.head[1:])]
        words = [
            Word(x_mm=x + 1.0, y_mm=1.25 * capital_mm + i * pitch, text=showable(t), capital_mm=capital_mm, face=face)
            for x, lines in zip(edges, over, strict=False)
            for i, t in enumerate(lines)
        ]
        top = down = 1.9 * capital_mm + (len(over[0]) - 1) * pitch
        rules = [Rule(x0_mm=0.0, y0_mm=down, x1_mm=width_mm, y1_mm=down)]
        for what, value in self.rows:
            lines = broken(what, first - 2.0, capital_mm, face)
            row = max(2.4 * capital_mm, (len(lines) + 0.4) * pitch)
            base = down + (row - (len(lines) - 1) * pitch + capital_mm) / 2.0
            words += [
                Word(x_mm=1.0, y_mm=base + i * pitch, text=t, capital_mm=capital_mm, face=face)
                for i, t in enumerate(lines)
            ]
            middle = down + (row + capital_mm) / 2.0
            words.append(Word(x_mm=edges[1] + 1.0, y_mm=middle, text=showable(value), capital_mm=capital_mm, face=face))
            down += row
            rules.append(Rule(x0_mm=0.0, y0_mm=down, x1_mm=width_mm, y1_mm=down))
        rules += [Rule(x0_mm=x, y0_mm=top, x1_mm=x, y1_mm=down) for x in edges]
        return Laid(height_mm=down + 0.4, words=tuple(words), rules=tuple(rules))

    def _edges(self, width_mm: float, capital_mm: float, face: str) -> list[float]:
        """Left edges of the columns and the right edge of the last."""
        wanted = max(wide(showable(t), capital_mm, face) for t in (self.head[1], *(r[1] for r in self.rows))) + 2.4
        blanks = [max(0.13 * width_mm, wide(showable(t), capital_mm, face) + 2.0) for t in self.head[2:]]
        edges = [0.0, width_mm - wanted - sum(blanks)]
        for step in (wanted, *blanks):
            edges.append(edges[-1] + step)
        return edges


Item = Tick | Say | Write | Grid | Reading | Table


@fixed
class Step:
    """One step.

    Args:
        key: what the step is, for whoever looks for it; see `day.py`.
        title: as it stands over the step.
        items: what to do, read and write down, in order.
        cautions: what to take care of; they stand before the step.
    """

    key: str
    title: str
    items: tuple[Item, ...]
    cautions: tuple[Care, ...] = ()
