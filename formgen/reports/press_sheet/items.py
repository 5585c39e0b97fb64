"""Stage `reports`: a step of the press day, what it is made of, and how much paper each thing takes.

In: text, and the width of a column. Out: words and lines placed from the upper left corner of the thing, x to the
right, y down, mm of paper; nothing is drawn here. No letter is smaller than the capital that is given.
"""

from __future__ import annotations

from dataclasses import field

from formgen.drafting.paper import THICK_MM
from formgen.drafting.text import broken, showable, wide
from formgen.fixed import fixed
from formgen.reports.press_sheet.grids import Cuts, Grid
from formgen.reports.press_sheet.laid import (
    PITCH,
    Laid,
    Rule,
    Word,
    box,
    box_mm,
    paragraph,
    rectangle,
    stacked,
)

#: White inside the frame of a caution; the least length of a line to write on, how far it lies below the letters, and
#: white between two of them (mm).
INSET_MM, WRITE_MM, WRITE_LOW_MM, APART_MM = 1.6, 12.0, 0.7, 2.5


@fixed
class Tick:
    """A box to tick and what was to be done; with `write`, places to write behind it."""

    text: str
    write: str | tuple[str, ...] = ()

    @property
    def labels(self) -> tuple[str, ...]:
        """The words written behind it."""
        return (self.write,) if isinstance(self.write, str) else self.write

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        side = box_mm(capital_mm)
        indent = side + 0.6 * capital_mm
        body = _with_blanks(self.text, self.labels, width_mm - indent, capital_mm).moved(indent, 0.0)
        return Laid(height_mm=body.height_mm, words=body.words, rules=(*box(0.0, 0.0, side), *body.rules))


@fixed
class Say:
    """A paragraph without a box."""

    text: str

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        return paragraph(self.text, width_mm, capital_mm)


@fixed
class Care:
    """A caution in a frame, upright and as large as the rest, with the name of its source where its text has none."""

    text: str
    source: str

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        inside = width_mm - 2.0 * INSET_MM
        said = f"{self.text} [{self.source}]" if self.source else self.text
        body = paragraph(said, inside, capital_mm).moved(INSET_MM, 0.4 * INSET_MM)
        high = body.height_mm + 0.8 * INSET_MM
        frame = rectangle(0.0, 0.0, width_mm, high, THICK_MM)
        return Laid(height_mm=high, words=body.words, rules=frame)


@fixed
class Write:
    """Places to write: what belongs there, and a line; side by side where they find room, else one below the other."""

    labels: tuple[str, ...]

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        rows, left = [], self.labels
        while left:
            count = max(_beside(left, width_mm, capital_mm), 1)
            words, rules = _lines(left[:count], 0.0, width_mm, 2.2 * capital_mm - WRITE_LOW_MM, capital_mm)
            rows.append(Laid(height_mm=2.5 * capital_mm, words=words, rules=rules))
            left = left[count:]
        return stacked(rows, 0.0)


def _beside(labels: tuple[str, ...], width_mm: float, capital_mm: float) -> int:
    """Count how many labels, from the first, stand side by side with room to write behind each."""
    taken = 0.0
    for count, label in enumerate(labels):
        taken += wide(showable(label), capital_mm) + WRITE_MM + (APART_MM if count else 0.0)
        if taken > width_mm:
            return count
    return len(labels)


def _lines(
    labels: tuple[str, ...], x0_mm: float, x1_mm: float, base_mm: float, capital_mm: float
) -> tuple[tuple[Word, ...], tuple[Rule, ...]]:
    """Labels on one base line, with lines to write on that share what the labels leave."""
    texts = [showable(label) for label in labels]
    free = x1_mm - x0_mm - sum(wide(text, capital_mm) for text in texts) - APART_MM * (len(texts) - 1)
    words, rules, x = [], [], x0_mm
    for text in texts:
        words.append(Word(x_mm=x, y_mm=base_mm, text=text, capital_mm=capital_mm))
        begin, down = x + wide(text, capital_mm) + 1.2, base_mm + WRITE_LOW_MM
        x += wide(text, capital_mm) + free / len(texts)
        rules.append(Rule(x0_mm=begin, y0_mm=down, x1_mm=max(x, begin), y1_mm=down))
        x += APART_MM
    return tuple(words), tuple(rules)


def _with_blanks(text: str, labels: tuple[str, ...], width_mm: float, capital_mm: float) -> Laid:
    """A paragraph, and places to write: on its last line or below it, in the fewest lines."""
    body = paragraph(text, width_mm, capital_mm)
    if not labels:
        return body
    last = body.words[-1]
    begin = wide(last.text, capital_mm) + 1.4 * capital_mm
    count = _beside(labels, width_mm - begin, capital_mm)
    if not count or (count < len(labels) and _beside(labels, width_mm, capital_mm) == len(labels)):
        return stacked([body, Write(labels=labels).laid(width_mm, capital_mm)], 0.0)
    words, rules = _lines(labels[:count], begin, width_mm, last.y_mm, capital_mm)
    beside = Laid(height_mm=body.height_mm + 0.4 * capital_mm, words=(*body.words, *words), rules=(*body.rules, *rules))
    return stacked([beside, Write(labels=labels[count:]).laid(width_mm, capital_mm)], 0.0)


@fixed
class Table:
    """Rows of what is wanted, with cells to write in.

    Args:
        head: of the columns; the first is over what is measured, the second over what is wanted.
        rows: what, and what is wanted; the other cells are blank.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, str], ...] = field(default=())

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        edges = self._edges(width_mm, capital_mm)
        first, pitch = edges[1], PITCH * capital_mm
        over = [broken(self.head[0], first - 2.0, capital_mm), *([t] for t in self.head[1:])]
        words = [
            Word(x_mm=x + 1.0, y_mm=1.25 * capital_mm + i * pitch, text=showable(t), capital_mm=capital_mm)
            for x, lines in zip(edges, over, strict=False)
            for i, t in enumerate(lines)
        ]
        top = down = 1.9 * capital_mm + (len(over[0]) - 1) * pitch
        rules = [Rule(x0_mm=0.0, y0_mm=down, x1_mm=width_mm, y1_mm=down)]
        for what, value in self.rows:
            lines = broken(what, first - 2.0, capital_mm)
            row = max(2.4 * capital_mm, (len(lines) + 0.4) * pitch)
            base = down + (row - (len(lines) - 1) * pitch + capital_mm) / 2.0
            words += [Word(x_mm=1.0, y_mm=base + i * pitch, text=t, capital_mm=capital_mm) for i, t in enumerate(lines)]
            middle = down + (row + capital_mm) / 2.0
            words.append(Word(x_mm=edges[1] + 1.0, y_mm=middle, text=showable(value), capital_mm=capital_mm))
            down += row
            rules.append(Rule(x0_mm=0.0, y0_mm=down, x1_mm=width_mm, y1_mm=down))
        rules += [Rule(x0_mm=x, y0_mm=top, x1_mm=x, y1_mm=down) for x in edges]
        return Laid(height_mm=down + 0.4, words=tuple(words), rules=tuple(rules))

    def _edges(self, width_mm: float, capital_mm: float) -> list[float]:
        """Left edges of the columns and the right edge of the last."""
        wanted = max(wide(showable(t), capital_mm) for t in (self.head[1], *(r[1] for r in self.rows))) + 2.4
        blanks = [max(0.13 * width_mm, wide(showable(t), capital_mm) + 2.0) for t in self.head[2:]]
        edges = [0.0, width_mm - wanted - sum(blanks)]
        for step in (wanted, *blanks):
            edges.append(edges[-1] + step)
        return edges


Item = Tick | Say | Write | Grid | Cuts | Table


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
