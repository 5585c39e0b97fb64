"""Stage `reports`: the press-day sheet on paper: head, strip of pictures, steps in two columns, two sides if needed.

In: a Holding. Out: `press-day.pdf`. What stands in the steps is decided in `day.py`; here they are laid out. Letters do
not shrink: capitals are 2.5 mm on the usual papers and larger on larger ones, and what finds no room goes overleaf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from formgen.drafting.paper import NARROW, PLAIN, SIZES_MM, THICK_MM, text_width_mm
from formgen.drafting.text import fitting, showable
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.reports.press_sheet.day import heading, steps_of
from formgen.reports.press_sheet.flow import Part, Room, draw, pages, together
from formgen.reports.press_sheet.items import Step, Write
from formgen.reports.press_sheet.laid import Laid, Rule, Word, paragraph, stacked
from formgen.reports.press_sheet.strip import draw_strip, pictures_of, strip_height_mm
from formgen.reports.rows.makes import has_list, is_shared
from formgen.reports.rows.makes_table import APART_MM, openings_parts, openings_table
from formgen.reports.stamp import stamp
from formgen.verdict import MARK

#: Paper left free at the edges, between the columns, and right of a step's number (mm).
MARGIN_MM, BETWEEN_MM, NUMBER_MM = 9.0, 6.0, 8.5
#: Height of capitals on the usual papers, and the height of their room, in whose share larger papers have larger ones.
CAPITAL_MM, USUAL_ROOM_MM = 2.5, 245.0
#: White between two steps, and the height of the line at the head of a further side (mm).
GAP_MM, OVERLEAF_MM = 2.0, 8.5
#: What the sheet is.
DAY = "press day"
#: Sides that the sheet may have before something is said more briefly.
SIDES = 2


def press_sheet(holding: Holding) -> bytes:
    """The sheet; of a form for many openings their list behind it."""
    size = paper_mm(holding)
    width, height = size
    wide = width - 2.0 * MARGIN_MM
    made = _flowed(holding, size)
    first = _head(holding, wide, made.sides)
    shown = pictures_of(holding, made.steps)

    def head(canvas: Any, side: int) -> None:
        if side == 1:
            draw(canvas, first.moved(MARGIN_MM, MARGIN_MM), height)
            draw_strip(canvas, holding, shown, (MARGIN_MM, height - MARGIN_MM - first.height_mm), wide)
        else:
            over = _overleaf(holding, wide, f"{side} of {made.sides}")
            draw(canvas, over.moved(MARGIN_MM, MARGIN_MM), height)

    lists = openings_parts(holding, wide) if has_list(holding) else ()
    listed = [Part(part, APART_MM) for part in lists]
    return pages(size, f"{showable(holding.recipe.name)}: {DAY}", made.rooms, made.parts(), listed, head)[0]


def paper_mm(holding: Holding) -> tuple[float, float]:
    """Width and height of the shop's paper; where it has two sizes, of the smaller."""
    recipe = holding.recipe
    return SIZES_MM[recipe.shop.paper.sizes(recipe.units)[0]]


def _head(holding: Holding, width_mm: float, sides: int = 1) -> Laid:
    """Name, what it is, and places for the day, the people and the part's number."""
    title, about = heading(holding)
    name = showable(title)
    capital, face = fitting(name, 0.55 * width_mm, (7.0, 5.0, 4.2, 3.5, 2.5))
    day, side = width_mm - text_width_mm(DAY, 5.0), f"1 of {sides}" if sides > 1 else ""
    words = (
        Word(x_mm=0.0, y_mm=6.4, text=name, capital_mm=capital, face=face),
        Word(x_mm=day, y_mm=6.4, text=DAY, capital_mm=5.0),
        Word(x_mm=day - text_width_mm(side, CAPITAL_MM) - 6.0, y_mm=6.4, text=side, capital_mm=CAPITAL_MM),
    )
    lines = [
        *stamp(holding, width_mm),
        Laid(height_mm=8.0, words=words),
        paragraph(" ".join(about), width_mm, CAPITAL_MM),
    ]
    blanks = Write(labels=("Day", "By", "Part no.")).laid(width_mm, CAPITAL_MM)
    rule = Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0, width_mm=THICK_MM)
    openings = (openings_table(holding, width_mm),) if is_shared(holding) and not has_list(holding) else ()
    return stacked([*lines, *openings, blanks, Laid(height_mm=2.0, rules=(rule,))], 0.8)


def _overleaf(holding: Holding, width_mm: float, side: str) -> Laid:
    """The head of a further side, marked as the first one is."""
    name = showable(holding.recipe.name)
    text = f"{name}: {DAY}" if holding.verdict.may else f"{MARK}: {name}"
    rule = Rule(x0_mm=0.0, y0_mm=6.0, x1_mm=width_mm, y1_mm=6.0, width_mm=THICK_MM)
    capital, face = fitting(text, 0.8 * width_mm, (3.5, 2.5), (PLAIN, NARROW))
    return Laid(
        height_mm=OVERLEAF_MM,
        words=(
            Word(x_mm=0.0, y_mm=3.8, text=text, capital_mm=capital, face=face),
            Word(x_mm=width_mm - text_width_mm(side, CAPITAL_MM), y_mm=3.8, text=side, capital_mm=CAPITAL_MM),
        ),
        rules=(rule,),
    )


@fixed
class _Flowed:
    """One way to lay out the steps.

    Args:
        steps: as they are told.
        blocks: each as the parts that it is made of.
        whole: no step is broken but between columns that cannot hold it.
        rooms: of the columns of the first side, of each further one, and of a page of lists.
        sides: how many they take.
    """

    steps: tuple[Step, ...]
    blocks: Sequence[Sequence[Laid]]
    whole: bool
    rooms: Sequence[Sequence[Room]]
    sides: int = 0

    def parts(self, *, shown: bool = True) -> list[Any]:
        """The steps for one flow through the columns: whole ones, or their heads with the first thing to do."""
        flowed = ([Part(laid, GAP_MM * (i == 0), shown=shown) for i, laid in enumerate(block)] for block in self.blocks)
        return [part for block in flowed for part in together(block, None if self.whole else 2)]


def _flowed(holding: Holding, size_mm: tuple[float, float]) -> _Flowed:
    """The steps whole where two sides hold them, else broken, then in narrow letters, then briefer."""
    width_mm, height_mm = size_mm
    wide, full = width_mm - 2.0 * MARGIN_MM, height_mm - 2.0 * MARGIN_MM
    column_mm = (wide - BETWEEN_MM) / 2.0
    head_mm = _head(holding, wide).height_mm
    capital = CAPITAL_MM * max((full - head_mm) / USUAL_ROOM_MM, 1.0)
    made: list[_Flowed] = []
    for brief, face in ((0, PLAIN), (0, NARROW), (1, NARROW), (2, NARROW)):
        steps = steps_of(holding, brief)
        strip_mm = strip_height_mm(holding, pictures_of(holding, steps), wide)
        blocks = [_step(i, step, column_mm, capital, face) for i, step in enumerate(steps, start=1)]
        rooms = [_columns(width_mm, column_mm, full - above) for above in (head_mm + strip_mm, OVERLEAF_MM)]
        rooms.append([(MARGIN_MM, MARGIN_MM, wide, full)])
        for whole in (True, False):
            tried = _Flowed(steps=steps, blocks=blocks, whole=whole, rooms=rooms)
            made.append(replace(tried, sides=pages(size_mm, "", rooms, tried.parts(shown=False))[1]))
            if made[-1].sides <= SIDES:
                return made[-1]
    return min(made, key=lambda one: one.sides)


def _columns(width_mm: float, column_mm: float, high_mm: float) -> list[Room]:
    """Both columns of a side, from its lower margin up."""
    return [(x, MARGIN_MM, column_mm, high_mm) for x in (MARGIN_MM, (width_mm + BETWEEN_MM) / 2.0)]


def _step(number: int, step: Step, width_mm: float, capital_mm: float, face: str) -> list[Laid]:
    """A step: a line over it, its cautions, its number and title, things to do; the first two parts stay together."""
    head, beside = 1.3 * capital_mm, NUMBER_MM * capital_mm / CAPITAL_MM
    gap = 0.35 * capital_mm
    title = Laid(
        height_mm=2.05 * head,
        words=(
            Word(x_mm=0.0, y_mm=1.6 * head, text=str(number), capital_mm=1.3 * head),
            Word(x_mm=beside, y_mm=1.6 * head, text=showable(step.title), capital_mm=head),
        ),
    )
    line = Laid(height_mm=1.4, rules=(Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0),))
    top = stacked([line, *(care.laid(width_mm, capital_mm, face) for care in step.cautions), title], 0.0)
    items = [item.laid(width_mm, capital_mm, face) for item in step.items]
    return [replace(part, height_mm=part.height_mm + gap) for part in (top, *items)]
