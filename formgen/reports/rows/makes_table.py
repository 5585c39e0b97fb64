"""Stage `reports`: the parts that come off a form as tables for the press-day sheet and the gauge page.

In: a Form and the width of the paper between its margins. Out: words and lines placed from the upper left corner, mm;
and what the tape should find at release and again on the next day, with blanks for what it does find, in the order of
`curve/readings.py`. The full check is the gauge page.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.curve.readings import Reading
from formgen.drafting.paper import NARROW, PLAIN, THIN_MM
from formgen.drafting.text import showable, wide
from formgen.form.model import Form
from formgen.reports.press_sheet.items import Table
from formgen.reports.press_sheet.laid import LEAST_MM, Laid, Rule, Word, paragraph, stacked
from formgen.reports.press_sheet.words import checked
from formgen.reports.rows.makes import (
    first_readings,
    is_shared,
    makes_columns,
    reading_text,
    span_text,
    trim_text,
    within_text,
)

#: Height of the capitals that is tried first, what it shrinks by, and the least (mm).
CAPITAL_MM, SHRINK, LEAST_CAPITAL_MM = 2.5, 0.95, 1.2
#: Height of a row, and white between columns, in heights of a capital.
ROW, GUTTER = 2.1, 1.1
#: White between the list and the tables of a page (mm).
APART_MM = 3.0


def openings_table(form: Form, width_mm: float) -> Laid:
    """Return what comes off the form, a row for each opening, and from where the trims are measured."""
    units = form.recipe.units
    said = (
        f"Off this form come the parts below. Sizes in {'inches' if units == 'in' else 'mm'}: {span_text(form)}. "
        f"{trim_text(form)}"
    )
    return stacked([paragraph(said, width_mm, LEAST_MM), _table(form, width_mm)], 0.6)


def openings_pages(form: Form, width_mm: float, height_mm: float) -> list[Laid]:
    """The list, and for each opening what is read at release, on as many pages as that takes."""
    pages: list[list[Laid]] = [[]]
    for item in openings_parts(form, width_mm):
        if pages[-1] and sum(held.height_mm + APART_MM for held in (*pages[-1], item)) > height_mm:
            pages.append([])
        pages[-1].append(item)
    return [stacked(held, APART_MM) for held in pages]


def openings_parts(form: Form, width_mm: float) -> tuple[Laid, ...]:
    """The list, and for each opening what is read at release, one below the other."""
    said = "What is read on each part as soon as it is released; all else stands on the opening's own gauge page."
    read = (table.laid(width_mm, 2.5) for table in measured_tables(form))
    return openings_table(form, width_mm), paragraph(said, width_mm, 2.2), *read


def _table(form: Form, width_mm: float) -> Laid:
    heads, rows = makes_columns(form)
    cells = [[showable(text) for text in row] for row in (heads, *rows)]
    capital, face, widths = _fitting(cells, width_mm)
    spare = (width_mm - sum(widths)) / len(widths)
    edges = [sum(widths[:i]) + i * spare for i in range(len(widths))]
    high = ROW * capital
    words, rules = [], []
    for number, row in enumerate(cells):
        base, below = number * high + 0.72 * high, (number + 1) * high
        words += [
            Word(x_mm=x + 0.3, y_mm=base, text=text, capital_mm=capital, face=face)
            for x, text in zip(edges, row, strict=True)
            if text
        ]
        rules.append(Rule(x0_mm=0.0, y0_mm=below, x1_mm=width_mm, y1_mm=below, width_mm=THIN_MM))
    return Laid(height_mm=len(cells) * high + 0.6, words=tuple(words), rules=tuple(rules))


def _fitting(cells: Sequence[Sequence[str]], width_mm: float) -> tuple[float, str, list[float]]:
    """The largest letters in which the columns lie side by side, and the columns' widths."""
    capital = CAPITAL_MM
    while True:
        for face in (PLAIN, NARROW):
            gap = GUTTER * capital
            widths = [max(wide(row[i], capital, face) for row in cells) + gap for i in range(len(cells[0]))]
            if sum(widths) <= width_mm or (capital <= LEAST_CAPITAL_MM and face == NARROW):
                return capital, face, widths
        capital *= SHRINK


def measured_tables(form: Form, *, brief: bool = False) -> tuple[Table, ...]:
    """Spans and rise, right after release and a day later: a table for each opening.

    Args:
        form: the form.
        brief: leaves out all spans but those at the feet.
    """
    units = form.recipe.units
    tables = []
    for part in form.makes:
        shown = first_readings(part, one_face=is_shared(form))
        if brief:
            shown = tuple(r for r in shown if r.name != "span" or r.place == shown[0].place)
        within = f"within {within_text(part.gauge.tolerance_mm, units)}"
        head = f"{part.mark}, {within}" if is_shared(form) else within
        placed = [_place(r) for r in shown]
        begun = [place not in placed[:i] for i, place in enumerate(placed)]
        rows = tuple(
            (f"{place}, {r.face}" if first else r.face, checked(r.wanted_mm, units))
            for place, first, r in zip(placed, begun, shown, strict=True)
        )
        tables.append(Table(head=(head, "wanted", "at release", "next day"), rows=rows))
    return tuple(tables)


def spacer_mm(form: Form) -> float:
    """Between the inside faces of the finished part at its feet or ends, where a spacer stands."""
    return next(r.wanted_mm for r in form.makes[0].readings if r.name == "span" and r.face == "inside")


def _place(reading: Reading) -> str:
    """Say what is read; a station is one of the gauge page."""
    return reading_text(reading) + " (gauge.pdf)" * reading.place.startswith("station")
