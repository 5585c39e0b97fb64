"""Stage `reports`: the press-day sheet on paper: head, strip of pictures, steps in two columns, two sides if needed.

In: a Holding. Out: `press-day.pdf`. What stands in the steps is decided in `day.py`; here they are laid out. Letters do
not shrink: capitals are 2.5 mm on the usual papers and larger on larger ones, and what finds no room goes overleaf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from formgen.drafting.paper import NARROW, PLAIN, SIZES_MM, THICK_MM, begin_page, face_size, new_pdf, text_width_mm
from formgen.drafting.text import fitting, showable
from formgen.holding.model import Holding
from formgen.reports.press_sheet.day import heading, steps_of
from formgen.reports.press_sheet.items import Write
from formgen.reports.press_sheet.laid import Laid, Rule, Word, paragraph, stacked
from formgen.reports.press_sheet.step import Step
from formgen.reports.press_sheet.strip import draw_strip, pictures_of, strip_height_mm
from formgen.reports.rows.makes import has_list, is_shared
from formgen.reports.rows.makes_table import openings_pages, openings_table
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


@dataclass(frozen=True, kw_only=True)
class Column:
    """Things one below the other in one column."""

    parts: tuple[Laid, ...]


def press_sheet(holding: Holding) -> bytes:
    """The sheet; of a form for many openings their list behind it."""
    width, height = paper_mm(holding)
    wide = width - 2.0 * MARGIN_MM
    sides, steps = _sides(holding, width, height, _head(holding, wide).height_mm)
    name = showable(holding.recipe.name)
    with new_pdf(width, height, f"{name}: press day") as pdf:
        for number, columns in enumerate(sides, start=1):
            if number == 1:
                head = _head(holding, wide, len(sides))
                draw(pdf.canvas, head.moved(MARGIN_MM, MARGIN_MM), height)
                shown = pictures_of(holding, steps)
                draw_strip(pdf.canvas, holding, shown, (MARGIN_MM, height - MARGIN_MM - head.height_mm), wide)
                top = MARGIN_MM + head.height_mm + strip_height_mm(holding, shown, wide)
            else:
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
                over = _overleaf(holding, wide, f"{number} of {len(sides)}")
                draw(pdf.canvas, over.moved(MARGIN_MM, MARGIN_MM), height)
                top = MARGIN_MM + OVERLEAF_MM
            for x, column in zip((MARGIN_MM, (width + BETWEEN_MM) / 2.0), columns, strict=False):
                draw(pdf.canvas, stacked(column.parts, 0.0).moved(x, top), height)
        for listed in openings_pages(holding, wide, height - 2.0 * MARGIN_MM) if has_list(holding) else ():
            pdf.canvas.showPage()
            begin_page(pdf.canvas)
            draw(pdf.canvas, listed.moved(MARGIN_MM, MARGIN_MM), height)
    return pdf.content


def paper_mm(holding: Holding) -> tuple[float, float]:
    """Width and height of the shop's paper; where it has two sizes, of the smaller."""
    recipe = holding.recipe
    return SIZES_MM[recipe.shop.paper.sizes(recipe.units)[0]]


def draw(canvas: Any, laid: Laid, page_mm: float) -> None:
    """Put it on the page, whose height turns down into up."""
    for rule in laid.rules:
        canvas.setLineWidth(rule.width_mm)
        canvas.line(rule.x0_mm, page_mm - rule.y0_mm, rule.x1_mm, page_mm - rule.y1_mm)
    for word in laid.words:
        canvas.setFont(word.face, face_size(word.capital_mm))
        canvas.drawString(word.x_mm, page_mm - word.y_mm, word.text)


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


def _sides(
    holding: Holding, width_mm: float, height_mm: float, head_mm: float
) -> tuple[list[list[Column]], tuple[Step, ...]]:
    """Columns of each side and their steps: whole where two sides hold them, else broken, then narrow, briefer."""
    column_mm = (width_mm - 2.0 * MARGIN_MM - BETWEEN_MM) / 2.0
    full = height_mm - 2.0 * MARGIN_MM
    capital = CAPITAL_MM * max((full - head_mm) / USUAL_ROOM_MM, 1.0)
    made: list[tuple[list[list[Column]], tuple[Step, ...]]] = []
    for brief, face in ((0, PLAIN), (0, NARROW), (1, NARROW), (2, NARROW)):
        steps = steps_of(holding, brief)
        strip = strip_height_mm(holding, pictures_of(holding, steps), width_mm - 2.0 * MARGIN_MM)
        rooms = (full - head_mm - strip, full - OVERLEAF_MM)
        blocks = [_step(i, step, column_mm, capital, face) for i, step in enumerate(steps, start=1)]
        for whole in (True, False):
            columns = _flowed(blocks, rooms, whole=whole)
            made.append(([columns[i : i + 2] for i in range(0, len(columns), 2)], steps))
            if len(made[-1][0]) <= SIDES:
                return made[-1]
    return min(made, key=lambda one: len(one[0]))


def _flowed(blocks: Sequence[Sequence[Laid]], rooms_mm: tuple[float, float], *, whole: bool) -> list[Column]:
    """Blocks into columns, two on each side; a block that is kept whole begins a new column where it finds no room."""
    columns: list[list[Laid]] = [[]]
    used = 0.0

    def room() -> float:
        return rooms_mm[0] if len(columns) <= 2 else rooms_mm[1]

    for block in blocks:
        first, rest = (list(block), []) if whole else (list(block[:2]), list(block[2:]))
        chunks = [first, *([part] for part in rest)]
        for i, chunk in enumerate(chunks):
            gap = GAP_MM if i == 0 and columns[-1] else 0.0
            need = sum(part.height_mm for part in chunk)
            while columns[-1] and used + gap + need > room():
                columns.append([])
                used = gap = 0.0
            if gap:
                columns[-1].append(Laid(height_mm=gap))
            columns[-1] += chunk
            used += gap + need
    return [Column(parts=tuple(column)) for column in columns]


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
