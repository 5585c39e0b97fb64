"""Stage `reports`: the press-day sheet on paper: head, strip of pictures, steps in two columns, two sides if needed.

In: a Holding. Out: `press-day.pdf`. What stands in the steps is decided in `day.py`; here they are laid out. Letters do
not shrink: capitals are 2.5 mm on the usual papers and larger on larger ones, and what finds no room goes overleaf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from formgen.drafting.paper import HEAD_MM, MARGIN_MM, NAME_MM, SIZES_MM, STEP_MM, TEXT_MM, THICK_MM, text_width_mm
from formgen.drafting.text import fitting, showable
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.reports.press_sheet.band import band, band_of
from formgen.reports.press_sheet.day import heading, steps_of
from formgen.reports.press_sheet.flow import Column, Part, Room, draw, pages, together
from formgen.reports.press_sheet.items import Step, Write
from formgen.reports.press_sheet.laid import Laid, Rule, Word, paragraph, stacked
from formgen.reports.press_sheet.strip import Picture, draw_strip, pictures_of, strip_height_mm
from formgen.reports.rows.makes import code_text, has_list, is_shared
from formgen.reports.rows.makes_table import APART_MM, openings_parts, openings_table
from formgen.reports.stamp import stamp
from formgen.verdict import MARK

#: Between the columns, right of a step's number, and above and below the band and the pictures (mm).
BETWEEN_MM, NUMBER_MM, AIR_MM = 5.0, 8.5, 3.0
#: Height of the room in whose share larger papers have larger letters (mm).
USUAL_ROOM_MM = 245.0
#: White between two steps, and the height of the line at the head of a further side (mm).
GAP_MM, OVERLEAF_MM = 2.6, 8.0
#: What the sheet is.
DAY = "press day"
#: Sides that the sheet may have before pictures go and something is said more briefly, and the share of a column that
#: may be left blank before a step is broken.
SIDES, MOST_BLANK = 2, 0.16


def press_sheet(holding: Holding) -> bytes:
    """The sheet; of a form for many openings their list behind it."""
    size = paper_mm(holding)
    width, height = size
    wide = width - 2.0 * MARGIN_MM
    made = _flowed(holding, size)
    first = _head(holding, wide, made.sides)

    def head(canvas: Any, side: int) -> None:
        if side == 1:
            draw(canvas, first.moved(MARGIN_MM, MARGIN_MM), height)
            draw_strip(canvas, holding, made.shown, (MARGIN_MM, height - MARGIN_MM - first.height_mm), wide)
        else:
            over = _overleaf(holding, wide, f"{side} of {made.sides}")
            draw(canvas, over.moved(MARGIN_MM, MARGIN_MM), height)

    lists = openings_parts(holding, wide) if has_list(holding) else ()
    listed = [Part(part, APART_MM) for part in lists]
    return pages(size, f"{showable(holding.recipe.name)}: {DAY}", made.rooms, made.parts(), listed, head).content


def paper_mm(holding: Holding) -> tuple[float, float]:
    """Width and height of the shop's paper; where it has two sizes, of the smaller."""
    recipe = holding.recipe
    return SIZES_MM[recipe.shop.paper.sizes(recipe.units)[0]]


def _head(holding: Holding, width_mm: float, sides: int = 1) -> Laid:
    """Name, what it is, places for the day, the people and the part's number, and what is read across the bench."""
    title, about = heading(holding)
    name = showable(title)
    capital, face = fitting(name, 0.55 * width_mm, (7.0, NAME_MM, HEAD_MM, TEXT_MM))
    day, side = width_mm - text_width_mm(DAY, NAME_MM), f"1 of {sides}" if sides > 1 else ""
    words = (
        Word(x_mm=0.0, y_mm=7.0, text=name, capital_mm=capital, face=face),
        Word(x_mm=day, y_mm=7.0, text=DAY, capital_mm=NAME_MM),
        Word(x_mm=day - text_width_mm(side, TEXT_MM) - 6.0, y_mm=7.0, text=side, capital_mm=TEXT_MM),
    )
    openings = (openings_table(holding, width_mm),) if is_shared(holding) and not has_list(holding) else ()
    lines = [
        *stamp(holding, width_mm),
        Laid(height_mm=8.6, words=words),
        paragraph(" ".join(about), width_mm, TEXT_MM),
        *openings,
        Write(labels=("Day", "By", "Part no.")).laid(width_mm, TEXT_MM),
        Laid(height_mm=1.0),
        band(band_of(holding), width_mm),
        Laid(height_mm=AIR_MM),
    ]
    return stacked(lines, 0.0)


def _overleaf(holding: Holding, width_mm: float, side: str) -> Laid:
    """The head of a further side, marked as the first one is."""
    name, code = showable(holding.recipe.name), code_text(holding)
    text = f"{name}, {code}: {DAY}" if holding.verdict.may else f"{MARK}: {name}, {code}"
    rule = Rule(x0_mm=0.0, y0_mm=6.0, x1_mm=width_mm, y1_mm=6.0, width_mm=THICK_MM)
    capital, face = fitting(text, 0.85 * width_mm, (HEAD_MM, TEXT_MM))
    return Laid(
        height_mm=OVERLEAF_MM,
        words=(
            Word(x_mm=0.0, y_mm=3.8, text=text, capital_mm=capital, face=face),
            Word(x_mm=width_mm - text_width_mm(side, TEXT_MM), y_mm=3.8, text=side, capital_mm=TEXT_MM),
        ),
        rules=(rule,),
    )


@fixed
class _Flowed:
    """One way to lay out the steps.

    Args:
        shown: the pictures under the head.
        blocks: each step as the parts that it is made of.
        ruled: which begin with a line; a caution's frame is one already.
        whole: no step is broken but between columns that cannot hold it.
        rooms: of the columns of the first side, of each further one, and of a page of lists.
        sides: how many they take.
        columns: how far each is filled.
    """

    shown: tuple[Picture, ...]
    blocks: Sequence[Sequence[Laid]]
    ruled: Sequence[bool]
    whole: bool
    rooms: Sequence[Sequence[Room]]
    sides: int = 0
    columns: tuple[Column, ...] = ()

    def parts(self, *, shown: bool = True) -> list[Any]:
        """The steps for one flow through the columns: whole ones, or their heads with the first thing to do."""
        flowed = (
            [Part(laid, GAP_MM * (i == 0), shown=shown, ruled=i == 0 and ruled) for i, laid in enumerate(block)]
            for block, ruled in zip(self.blocks, self.ruled, strict=True)
        )
        return [part for block in flowed for part in together(block, None if self.whole else 2)]

    def tried(self, size_mm: tuple[float, float]) -> _Flowed:
        """The same, knowing how far its columns are filled."""
        made = pages(size_mm, "", self.rooms, self.parts(shown=False))
        return replace(self, sides=made.count, columns=made.columns)

    def filled_mm(self, side: int) -> float:
        """Height of all that stands in the columns of a side."""
        return sum(high - blank for number, high, blank in self.columns if number == side)

    @property
    def blank(self) -> float:
        """Share of a column that is left blank, at the most; the very last one does not count."""
        return max((blank / high for _, high, blank in self.columns[:-1]), default=0.0)


def _flowed(holding: Holding, size_mm: tuple[float, float]) -> _Flowed:
    """The steps whole where they fill two sides evenly, else broken, then with fewer pictures, then briefer."""
    width_mm, height_mm = size_mm
    wide, full = width_mm - 2.0 * MARGIN_MM, height_mm - 2.0 * MARGIN_MM
    column_mm = (wide - BETWEEN_MM) / 2.0
    head_mm = _head(holding, wide).height_mm
    capital = TEXT_MM * max((full - head_mm) / USUAL_ROOM_MM, 1.0)
    made: list[_Flowed] = []
    for brief, few in ((False, False), (False, True), (True, True)):
        steps = steps_of(holding, brief=brief)
        shown = pictures_of(holding, steps, few=few)
        strip_mm = strip_height_mm(holding, shown, wide)
        blocks = [_step(i, step, column_mm, capital) for i, step in enumerate(steps, start=1)]
        rooms = [_columns(width_mm, column_mm, full - above) for above in (head_mm + strip_mm, OVERLEAF_MM)]
        rooms.append([(MARGIN_MM, MARGIN_MM, wide, full)])
        for whole in (True, False):
            ruled = [not step.cautions for step in steps]
            tried = _Flowed(shown=shown, blocks=blocks, ruled=ruled, whole=whole, rooms=rooms).tried(size_mm)
            made.append(tried)
            if tried.sides <= SIDES and tried.blank <= MOST_BLANK:
                return _balanced(tried, size_mm)
    return _balanced(min(made, key=lambda one: (one.sides, one.blank)), size_mm)


def _balanced(made: _Flowed, size_mm: tuple[float, float]) -> _Flowed:
    """The same with the columns of each side no longer than what is on them needs; of many sides as it is."""
    for number in range(made.sides if made.sides <= SIDES else 0):
        room, high_mm = made.rooms[number], made.rooms[number][0][3]
        shorter_mm = made.filled_mm(number + 1) / len(room)
        while shorter_mm < high_mm - STEP_MM:
            rooms = list(made.rooms)
            rooms[number] = [(x, y + high_mm - shorter_mm, wide, shorter_mm) for x, y, wide, _ in room]
            tried = replace(made, rooms=rooms).tried(size_mm)
            if tried.sides == made.sides and tried.filled_mm(number + 1) > made.filled_mm(number + 1) - STEP_MM:
                made = tried
                break
            shorter_mm += 2.0 * STEP_MM
    return made


def _columns(width_mm: float, column_mm: float, high_mm: float) -> list[Room]:
    """Both columns of a side, from its lower margin up."""
    return [(x, MARGIN_MM, column_mm, high_mm) for x in (MARGIN_MM, (width_mm + BETWEEN_MM) / 2.0)]


def _step(number: int, step: Step, width_mm: float, capital_mm: float) -> list[Laid]:
    """A step: its cautions, its number and title, things to do; the first two parts stay together."""
    head = HEAD_MM * capital_mm / TEXT_MM
    base = (1.65 if step.cautions else 1.4) * head
    title = Laid(
        height_mm=(1.95 if step.cautions else 1.7) * head,
        words=(
            Word(x_mm=0.0, y_mm=base, text=str(number), capital_mm=1.3 * head),
            Word(x_mm=NUMBER_MM * head / HEAD_MM, y_mm=base, text=showable(step.title), capital_mm=head),
        ),
    )
    top = stacked([*(care.laid(width_mm, capital_mm) for care in step.cautions), title], 0.0)
    items = [item.laid(width_mm, capital_mm) for item in step.items]
    return [replace(part, height_mm=part.height_mm + 0.3 * capital_mm) for part in (top, *items)]
