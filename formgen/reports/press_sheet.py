"""Stage `reports`: the press-day sheet as a page: steps in two columns, as large as one page allows.

In: a Form. Out: `press-day.pdf`. What stands in the steps is decided in `press_sheet_steps.py`; here they are laid out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from formgen.holding.model import Holding
from formgen.reports.makes_rows import has_list, is_shared
from formgen.reports.makes_table import openings_pages, openings_table
from formgen.reports.page_text import fitting, showable
from formgen.reports.paper import NARROW, PLAIN, SIZES_MM, THICK_MM, begin_page, face_size, new_pdf, text_width_mm
from formgen.reports.press_sheet_items import Care, Write
from formgen.reports.press_sheet_laid import Laid, Rule, Word, stacked
from formgen.reports.press_sheet_steps import Step, heading, steps_of
from formgen.reports.stamp import stamp

#: Paper left free at the edges, between the columns, and right of a step's number (mm).
MARGIN_MM, BETWEEN_MM, NUMBER_MM = 11.0, 8.0, 8.0
#: The latter over the height of capitals, where they are large.
NUMBER_SHARE = 3.5
#: Height of capitals that is tried first, what it shrinks by, and the least at which nothing is left out yet (mm).
CAPITAL_MM, SHRINK, LEAST_WHOLE_MM = 2.5, 0.96, 1.75
#: Height for the steps on the usual papers; on larger ones letters begin larger by as much (mm).
USUAL_ROOM_MM = 245.0
#: Most white between two steps (mm).
MOST_GAP_MM = 7.0
#: How much is left out, in turn, before letters grow smaller than is read well.
BRIEFER = (0, 1, 2)


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Steps of a left and a right column, laid out."""

    left: tuple[Laid, ...]
    right: tuple[Laid, ...]
    gap_mm: float


def press_sheet(form: Holding) -> bytes:
    """The page; of a form for many openings their list behind it."""
    width, height = paper_mm(form)
    head = _head(form, width - 2.0 * MARGIN_MM)
    room = height - 2.0 * MARGIN_MM - head.height_mm
    columns = _columns(form, (width - 2.0 * MARGIN_MM - BETWEEN_MM) / 2.0, room)
    name = form.pressing.laminate.arch.recipe.asked.name
    with new_pdf(width, height, showable(f"{name}: press day")) as pdf:
        draw(pdf.canvas, head.moved(MARGIN_MM, MARGIN_MM), height)
        for x, column in zip((MARGIN_MM, (width + BETWEEN_MM) / 2.0), (columns.left, columns.right), strict=True):
            body = stacked(column, columns.gap_mm)
            draw(pdf.canvas, body.moved(x, MARGIN_MM + head.height_mm), height)
        if has_list(form):
            for page in openings_pages(form, width - 2.0 * MARGIN_MM, height - 2.0 * MARGIN_MM):
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
                draw(pdf.canvas, page.moved(MARGIN_MM, MARGIN_MM), height)
    return pdf.content


def paper_mm(form: Holding) -> tuple[float, float]:
    """Width and height of the shop's paper; where it has two sizes, of the smaller."""
    recipe = form.pressing.laminate.arch.recipe
    return SIZES_MM[recipe.shop.paper.sizes(recipe.asked.units)[0]]


def draw(canvas: Any, laid: Laid, page_mm: float) -> None:
    """Put it on the page, whose height turns down into up."""
    for rule in laid.rules:
        canvas.setLineWidth(rule.width_mm)
        canvas.line(rule.x0_mm, page_mm - rule.y0_mm, rule.x1_mm, page_mm - rule.y1_mm)
    for word in laid.words:
        canvas.setFont(word.face, face_size(word.capital_mm))
        canvas.drawString(word.x_mm, page_mm - word.y_mm, word.text)


def _head(form: Holding, width_mm: float) -> Laid:
    """Name, what it is, and places for the day, the people and the part's number."""
    title, about = heading(form)
    name = showable(title)
    capital, face = fitting(name, 0.6 * width_mm, (5.0, 4.2, 3.5, 2.5, 1.8))
    words = [Word(x_mm=0.0, y_mm=5.0, text=name, capital_mm=capital, face=face)]
    day = "press day"
    words.append(Word(x_mm=width_mm - text_width_mm(day, 5.0), y_mm=5.0, text=day, capital_mm=5.0))
    lines = [*stamp(form, width_mm), Laid(height_mm=6.2, words=tuple(words))]
    lines += [Laid(height_mm=4.4, words=(_line(text, width_mm),)) for text in about]
    blanks = Write(labels=("Day", "By", "Part no.")).laid(width_mm, 2.5)
    rule = Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0, width_mm=THICK_MM)
    openings = (openings_table(form, width_mm),) if is_shared(form) and not has_list(form) else ()
    return stacked([*lines, *openings, blanks, Laid(height_mm=3.0, rules=(rule,))], 1.0)


def _line(text: str, width_mm: float) -> Word:
    shown = showable(text)
    capital, face = fitting(shown, width_mm, (2.5, 2.2, 2.0, 1.8, 1.5, 1.2, 1.0), (PLAIN, NARROW))
    return Word(x_mm=0.0, y_mm=3.4, text=shown, capital_mm=capital, face=face)


def _columns(form: Holding, width_mm: float, room_mm: float) -> Columns:
    """The steps as large as they fit; first whole, then briefer, then smaller than is read well."""
    sizes = [CAPITAL_MM * max(room_mm / USUAL_ROOM_MM, 1.0)]
    while sizes[-1] * SHRINK >= LEAST_WHOLE_MM:
        sizes.append(sizes[-1] * SHRINK)
    for brief in BRIEFER:
        steps = steps_of(form, brief)
        fitting_least = _fitted(steps, sizes[-1], width_mm, room_mm)
        if fitting_least is not None:
            return _largest(steps, sizes, fitting_least, width_mm, room_mm)
    capital = sizes[-1]
    while True:  # all that is left out is left out: only size remains
        capital *= SHRINK
        columns = _fitted(steps, capital, width_mm, room_mm)
        if columns is not None:
            return columns


def _largest(
    steps: Sequence[Step], sizes_mm: Sequence[float], least: Columns, width_mm: float, room_mm: float
) -> Columns:
    """The steps at the largest of falling sizes at which they fit, found by halving; they fit at the last."""
    low, high, best = 0, len(sizes_mm) - 1, least
    while low < high:
        middle = (low + high) // 2
        columns = _fitted(steps, sizes_mm[middle], width_mm, room_mm)
        if columns is None:
            low = middle + 1
        else:
            high, best = middle, columns
    return best


def _fitted(steps: Sequence[Step], capital_mm: float, width_mm: float, room_mm: float) -> Columns | None:
    """Two columns of about one height; None where they are higher than the room."""
    laid = [_step(i, step, width_mm, capital_mm) for i, step in enumerate(steps, start=1)]
    heights, gap = [each.height_mm for each in laid], 1.2 * capital_mm
    split = min(range(1, len(laid)), key=lambda n: max(_needed(heights[:n], gap), _needed(heights[n:], gap)))
    sides = (heights[:split], heights[split:])
    if any(_needed(side, gap) > room_mm for side in sides):
        return None
    gaps = [(room_mm - sum(side)) / max(len(side) - 1, 1) for side in sides]
    return Columns(left=tuple(laid[:split]), right=tuple(laid[split:]), gap_mm=min(*gaps, MOST_GAP_MM))


def _needed(heights_mm: Sequence[float], gap_mm: float) -> float:
    return sum(heights_mm) + gap_mm * max(len(heights_mm) - 1, 0)


def _step(number: int, step: Step, width_mm: float, capital_mm: float) -> Laid:
    """A step: a line over it, its number, title and things to do."""
    capital, beside = 1.3 * capital_mm, max(NUMBER_MM, NUMBER_SHARE * capital_mm)
    title = Laid(
        height_mm=2.3 * capital,
        words=(
            Word(x_mm=0.0, y_mm=1.8 * capital, text=str(number), capital_mm=1.3 * capital),
            Word(x_mm=beside, y_mm=1.8 * capital, text=showable(step.title), capital_mm=capital),
        ),
        rules=(Rule(x0_mm=0.0, y0_mm=0.0, x1_mm=width_mm, y1_mm=0.0),),
    )
    body = [item.laid(width_mm - beside, capital_mm).moved(beside, 0.0) for item in step.items]
    body += [Care(text=t).laid(width_mm - beside, capital_mm).moved(beside, 0.0) for t in step.cautions]
    return stacked([title, *body], 0.35 * capital_mm)
