"""Stage `reports`: short things to tick side by side, and the plies to cut in figures that are read across the bench.

In: text, and the width of a column. Out: words and lines placed from the upper left corner of the thing, mm of paper.
"""

from __future__ import annotations

from formgen.drafting.paper import HEAD_MM
from formgen.drafting.text import showable, wide
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
    stacked,
)


@fixed
class Grid:
    """Many short things to tick, in as many columns as fit; down the columns or, with `across`, in reading order."""

    cells: tuple[str, ...]
    across: bool = False

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column."""
        side, texts = box_mm(capital_mm), [showable(c) for c in self.cells]
        indent = side + 0.6 * capital_mm
        need = max(wide(t, capital_mm) for t in texts) + indent + 1.2 * capital_mm
        columns = max(1, min(len(texts), int((width_mm + 1.2 * capital_mm) / need)))
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


@fixed
class Cuts:
    """Plies of one kind to tick as they are cut, every figure as high as a head.

    Args:
        of: which, of what wood, and what the figures are.
        lengths: a number of a ply, or of the first and last of several, and how long it is, or all its sizes.
        sizes: how thick and how wide each is, where that does not stand with the length.
    """

    of: str
    lengths: tuple[tuple[str, str], ...]
    sizes: str = ""

    def laid(self, width_mm: float, capital_mm: float) -> Laid:
        """In a column; the figures do not shrink with the rest of the page."""
        high = max(HEAD_MM, capital_mm)
        over = [paragraph(self.of, width_mm, capital_mm)]
        if self.sizes:
            over.append(paragraph(self.sizes, width_mm, high))
        cells = tuple(f"{ply}:  {long}" for ply, long in self.lengths)
        return stacked([*over, Grid(cells=cells).laid(width_mm, high)], 0.0)
