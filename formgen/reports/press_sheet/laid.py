"""Stage `reports`: something laid out on paper: words and lines placed from its upper left corner.

In: text and widths, mm of paper. Out: words and lines, x to the right, y down; nothing is drawn here.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.drafting.paper import LETTERING_MM, PLAIN, THIN_MM
from formgen.drafting.text import broken
from formgen.fixed import fixed

#: From base line to base line, and how much more over a line with a raised figure, over the height of capitals.
PITCH, RAISED = 1.5, 0.22
#: Least height of capitals that is still read at arm's length (ISO 3098-1, the least of the series).
LEAST_MM = LETTERING_MM[0]


@fixed
class Word:
    """A line of text: base line beginning at a point."""

    x_mm: float
    y_mm: float
    text: str
    capital_mm: float
    face: str = PLAIN


@fixed
class Rule:
    """A straight line."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float
    width_mm: float = THIN_MM


@fixed
class Laid:
    """Something laid out.

    Args:
        height_mm: paper that it takes.
        words, rules: in place.
    """

    height_mm: float
    words: tuple[Word, ...] = ()
    rules: tuple[Rule, ...] = ()

    def moved(self, dx_mm: float, dy_mm: float) -> Laid:
        """The same elsewhere."""
        return Laid(
            height_mm=self.height_mm,
            words=tuple(
                Word(x_mm=w.x_mm + dx_mm, y_mm=w.y_mm + dy_mm, text=w.text, capital_mm=w.capital_mm, face=w.face)
                for w in self.words
            ),
            rules=tuple(
                Rule(
                    x0_mm=r.x0_mm + dx_mm, y0_mm=r.y0_mm + dy_mm, x1_mm=r.x1_mm + dx_mm, y1_mm=r.y1_mm + dy_mm,
                    width_mm=r.width_mm,
                )
                for r in self.rules
            ),
        )  # fmt: skip


def stacked(parts: Sequence[Laid], gap_mm: float) -> Laid:
    """One below the other."""
    words: list[Word] = []
    rules: list[Rule] = []
    down = 0.0
    for part in parts:
        placed = part.moved(0.0, down)
        words += placed.words
        rules += placed.rules
        down += part.height_mm + gap_mm
    return Laid(height_mm=max(down - gap_mm, 0.0), words=tuple(words), rules=tuple(rules))


def paragraph(text: str, width_mm: float, capital_mm: float, face: str = PLAIN) -> Laid:
    """Lines of text, the first base line as far down as a box's."""
    words: list[Word] = []
    down = 0.0
    for i, line in enumerate(broken(text, width_mm, capital_mm, face)):
        down += RAISED * capital_mm if i and any(letter in line for letter in "²³") else 0.0
        words.append(Word(x_mm=0.0, y_mm=line_mm(capital_mm) + down, text=line, capital_mm=capital_mm, face=face))
        down += PITCH * capital_mm
    return Laid(height_mm=down + 0.15 * capital_mm, words=tuple(words))


def line_mm(capital_mm: float) -> float:
    """Find how far down the first base line is."""
    return 1.25 * capital_mm


def box_mm(capital_mm: float) -> float:
    """Side of a box to tick."""
    return 1.3 * capital_mm


def box(x_mm: float, y_mm: float, side_mm: float) -> tuple[Rule, ...]:
    """A box to tick, its lower edge just under the base line."""
    return rectangle(x_mm, y_mm + 0.05, side_mm, side_mm, THIN_MM)


def rectangle(x_mm: float, y_mm: float, wide_mm: float, high_mm: float, line_width_mm: float) -> tuple[Rule, ...]:
    """Four lines."""
    corners = [(x_mm, y_mm), (x_mm + wide_mm, y_mm), (x_mm + wide_mm, y_mm + high_mm), (x_mm, y_mm + high_mm)]
    return tuple(
        Rule(x0_mm=a[0], y0_mm=a[1], x1_mm=b[0], y1_mm=b[1], width_mm=line_width_mm)
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
    )
