"""Stage `reports`: the first page of the tiled template: which page goes where, how to join them, what to measure.

In: a Form, the grid and its pages. Out: ink, mm on paper.
"""

from __future__ import annotations

import math
from itertools import product

from formgen.drafting.field import Field
from formgen.drafting.ink import EDGE, HATCHING, RULES, Anchor, Face, Ink, Stroke, Words, box, line, moved
from formgen.drafting.numbers import said
from formgen.drafting.paper import NARROW, PLAIN
from formgen.drafting.text import broken
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text, is_shared
from formgen.reports.rows.makes_table import openings_table
from formgen.reports.stamp import stamp_height_mm, stamp_inks
from formgen.reports.template.page import BAR_MM, check_bars
from formgen.reports.template.tiles import FOOT_MM, MARGIN_MM, SIDE_MM, Grid, tile_name

TEXT_MM, ROW_MM = 2.5, 5.0
#: Faces of the paper by the names that ink has for them.
_FACES: dict[str, Face] = {PLAIN: "plain", NARROW: "narrow"}


def key_page(subject: Subject, grid: Grid, pages: list[tuple[int, int]]) -> tuple[Ink, ...]:
    """The page's ink."""
    wide, high = grid.paper_mm
    asked = subject.recipe.asked
    left, top = MARGIN_MM + SIDE_MM, high - MARGIN_MM
    head = stamp_height_mm(subject.form, wide - left - MARGIN_MM)
    inks: list[Ink] = [
        *check_bars(asked.units),
        *stamp_inks(subject.form, left, top, wide - left - MARGIN_MM),
        Words(text=asked.name, at=(left, top - head - 7.0), height_mm=5.0),
        Words(
            text=code_text(subject.form), at=(wide - MARGIN_MM - 4.0, top - head - 7.0), height_mm=5.0, anchor="right"
        ),
        Words(text=f"full-size template, {len(pages)} pages", at=(left, top - head - 13.0), height_mm=3.5),
    ]
    y = top - head - 23.0
    for number, text in enumerate(advice(subject, grid), 1):
        for i, part in enumerate(broken(text, wide - left - MARGIN_MM - 10.0, TEXT_MM)):
            if i == 0:
                inks.append(Words(text=str(number), at=(left, y), height_mm=TEXT_MM))
            inks.append(Words(text=part, at=(left + 7.0, y), height_mm=TEXT_MM))
            y -= ROW_MM
    if is_shared(subject.form):
        openings, y = _openings(subject, (left, wide - MARGIN_MM), y)
        inks += openings
    room = (left, MARGIN_MM + FOOT_MM + 8.0, wide - MARGIN_MM, y)
    return (*inks, *_map(subject, grid, pages, room))


def _openings(subject: Subject, sides_mm: tuple[float, float], top_mm: float) -> tuple[list[Ink], float]:
    """Return what comes off the form, a row for each opening, and how far down the paper is then free."""
    laid = openings_table(subject.form, sides_mm[1] - sides_mm[0])
    inks: list[Ink] = [line(RULES, (r.x0_mm, -r.y0_mm), (r.x1_mm, -r.y1_mm)) for r in laid.rules]
    inks += [Words(text=w.text, at=(w.x_mm, -w.y_mm), height_mm=w.capital_mm, face=_FACES[w.face]) for w in laid.words]
    return [moved(ink, sides_mm[0], top_mm) for ink in inks], top_mm - laid.height_mm - ROW_MM


def advice(subject: Subject, grid: Grid) -> list[str]:
    """List what to do, in order."""
    bars = (
        f"Measure both check bars of a page with a steel rule: each is {BAR_MM[subject.units][1]} long. If one is not, "
        "set the printer and print again."
    )
    joining = (
        "Cut each page along the grey line on its right and its upper side. Lay it over its neighbour, cross on cross, "
        "and glue."
    )
    lines = (
        "Thick lines are cut. Dashed lines are cut on some layers only, as their names say. Dash-dot lines are marked."
    )
    found = ["Print at 100 %, with no fitting to the page.", bars, joining, whole_size(subject), lines]
    return found if grid.columns * grid.rows > 1 else [text for text in found if text is not joining]


def whole_size(subject: Subject) -> str:
    """Say what to measure when all is laid out."""
    units = subject.units
    x0, y0, x1, y1 = subject.whole.bounds
    what = "springing lines" if subject.two_legged else "trim lines"
    return (
        f"Measure the whole: {said(x1 - x0, units)} wide and {said(y1 - y0, units)} high over the outermost edges; "
        f"{said(math.dist(*subject.face_ends), units)} straight from face to face at the {what}."
    )


def _map(
    subject: Subject, grid: Grid, pages: list[tuple[int, int]], room: tuple[float, float, float, float]
) -> list[Ink]:
    """The pages as a small map with the form's edge on it."""
    x0, y0, x1, y1 = room
    scale = min((x1 - x0) / (grid.columns * grid.wide_mm), (y1 - y0) / (grid.rows * grid.high_mm), 0.35)
    dx, dy = x0 - grid.x_mm * scale, y1 - (grid.y_mm + grid.rows * grid.high_mm) * scale
    outline = tuple((x * scale + dx, y * scale + dy, b) for x, y, b in subject.whole.vertices)

    def shown(row: int, column: int) -> tuple[float, float, float, float]:
        a0, b0, a1, b1 = grid.cell(row, column)
        return a0 * scale + dx, b0 * scale + dy, a1 * scale + dx, b1 * scale + dy

    cells = product(range(grid.rows), range(grid.columns))
    inks = [box(RULES if cell in pages else HATCHING, *shown(*cell)) for cell in cells]
    field = Field()
    field.put(*inks, Stroke(pen=EDGE, vertices=outline, closed=True))
    for row, column in pages:
        _name(field, tile_name(row, column), shown(row, column))
    return field.inks


def _name(field: Field, name: str, cell: tuple[float, float, float, float]) -> None:
    """A page's name in its cell, in the first corner that the form's edge leaves free."""
    x0, y0, x1, y1 = cell
    for height in (2.5, 1.8):
        high, middle = (y0 + 1.5, (y0 + y1 - height) / 2, y1 - height - 1.2), (x0 + x1) / 2
        places: list[tuple[float, Anchor]] = [(middle, "middle"), (x0 + 1.2, "left"), (x1 - 1.2, "right")]
        choices = [
            (Words(text=name, at=(x, y), height_mm=height, anchor=anchor), ())
            for y in (high[1], high[2], high[0])
            for x, anchor in places
        ]
        if field.put_first_free(choices):
            return
