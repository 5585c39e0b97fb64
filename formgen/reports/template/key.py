"""Stage `reports`: the first page of the tiled template: which page goes where, how to join them, what to measure.

In: what the template shows, the grid and its pages. Out: ink, mm on paper; a second page where the list of openings
leaves no room for the map of the pages.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.field import segments_of
from formgen.drafting.ink import EDGE, HATCHING, RULES, Face, Ink, Stroke, Words, box, line, moved
from formgen.drafting.numbers import said
from formgen.drafting.paper import HEAD_MM, NAME_MM, NARROW, PLAIN, STEP_MM, TEXT_MM
from formgen.drafting.text import broken, wide
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text, is_shared
from formgen.reports.rows.makes_table import openings_table
from formgen.reports.stamp import stamp_height_mm, stamp_inks
from formgen.reports.template.contents import Contents
from formgen.reports.template.fewest import along
from formgen.reports.template.legend import legend
from formgen.reports.template.page import BAR_MM, check_bars
from formgen.reports.template.tiles import FOOT_MM, MARGIN_MM, SIDE_MM, Bounds, Grid, tile_name

Array = NDArray[np.float64]

#: From line to line of the instructions, and how far they stand behind their numbers (mm).
ROW_MM, NUMBERED_MM = 4.6, 7.0
#: Width of the lines' samples with what they mean (mm).
LEGEND_MM = 64.0
#: A map lower than this goes on a page of its own; white round it (mm).
LEAST_MAP_MM, WHITE_MM = 60.0, 1.2
#: Heights of the pages' names in the map, and where in a cell they are tried, in shares, from the middle on.
NAMES_MM = (NAME_MM, HEAD_MM, TEXT_MM)
_SHARES = np.linspace(0.0, 1.0, 7)
PLACES = np.array(sorted(product(_SHARES, _SHARES), key=lambda at: abs(at[0] - 0.5) + abs(at[1] - 0.5)))
#: Faces of the paper by the names that ink has for them.
_FACES: dict[str, Face] = {PLAIN: "plain", NARROW: "narrow"}


def key_pages(contents: Contents, grid: Grid, pages: Sequence[tuple[int, int]]) -> list[tuple[Ink, ...]]:
    """The ink of the key: one page, or the map on a second."""
    subject = contents.subject
    paper_wide, high = grid.paper_mm
    bars = check_bars(subject.recipe.asked.units)
    left, right = MARGIN_MM + SIDE_MM, paper_wide - MARGIN_MM
    inks, top = _head(subject, (left, right), high - MARGIN_MM, len(pages))
    told, low = _instructions(advice(subject, grid), (left, right - LEGEND_MM - 2 * STEP_MM), top)
    lines, y = legend(contents, right - LEGEND_MM, top, LEGEND_MM)
    inks += [*told, *lines]
    y = min(low, y)
    if is_shared(subject.form):
        more, y = _openings(subject, (left, right), y)
        inks += more
    floor = MARGIN_MM + FOOT_MM
    if y - floor >= LEAST_MAP_MM:
        return [(*bars, *inks, *page_map(subject, grid, pages, (left, floor, right, y)))]
    return [(*bars, *inks), (*bars, *page_map(subject, grid, pages, (left, floor, right, high - MARGIN_MM)))]


def _head(subject: Subject, sides_mm: tuple[float, float], top_mm: float, count: int) -> tuple[list[Ink], float]:
    """The mark that the part must not be pressed, where it must not; name, code and number of pages."""
    left, right = sides_mm
    y = top_mm - stamp_height_mm(subject.form, right - left) - 2 * STEP_MM
    name = Words(text=subject.recipe.asked.name, at=(left, y), height_mm=NAME_MM)
    code = Words(text=code_text(subject.form), at=(right, y), height_mm=NAME_MM, anchor="right")
    pages = Words(text=f"full-size template, {count} pages", at=(left, y - 7.0), height_mm=HEAD_MM)
    rule, low = line(RULES, (left, y - 10.0), (right, y - 10.0)), y - 10.0 - STEP_MM - TEXT_MM
    return [*stamp_inks(subject.form, left, top_mm, right - left), name, code, pages, rule], low


def _instructions(texts: Sequence[str], sides_mm: tuple[float, float], top_mm: float) -> tuple[list[Ink], float]:
    """Numbered lines, and how far down the paper is then free."""
    left, y = sides_mm[0], top_mm
    inks: list[Ink] = []
    for number, text in enumerate(texts, 1):
        inks.append(Words(text=str(number), at=(left, y), height_mm=TEXT_MM))
        for part in broken(text, sides_mm[1] - left - NUMBERED_MM, TEXT_MM):
            inks.append(Words(text=part, at=(left + NUMBERED_MM, y), height_mm=TEXT_MM))
            y -= ROW_MM
        y -= 1.0
    return inks, y


def _openings(subject: Subject, sides_mm: tuple[float, float], top_mm: float) -> tuple[list[Ink], float]:
    """Return what comes off the form, a row for each opening, and how far down the paper is then free."""
    laid = openings_table(subject.form, sides_mm[1] - sides_mm[0])
    inks: list[Ink] = [line(RULES, (r.x0_mm, -r.y0_mm), (r.x1_mm, -r.y1_mm)) for r in laid.rules]
    inks += [Words(text=w.text, at=(w.x_mm, -w.y_mm), height_mm=w.capital_mm, face=_FACES[w.face]) for w in laid.words]
    return [moved(ink, sides_mm[0], top_mm) for ink in inks], top_mm - laid.height_mm - STEP_MM


def advice(subject: Subject, grid: Grid) -> list[str]:
    """List what to do, in order."""
    bars = (
        f"Measure both check bars of a page with a steel rule: each is {BAR_MM[subject.units][1]} long. If one is not, "
        "set the printer and print again."
    )
    joining = (
        "The names at a page's edges are its neighbours'. Cut it along the grey line on its right and its upper side, "
        "lay it over the neighbour, cross on cross, and glue."
    )
    found = ["Print at 100 %, with no fitting to the page.", bars, joining, whole_size(subject)]
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


def page_map(subject: Subject, grid: Grid, pages: Sequence[tuple[int, int]], room: Bounds) -> tuple[Ink, ...]:
    """The pages with the form's edge on them, as large as the room allows, each with its name in its cell."""
    x0, y0, x1, y1 = room
    across, up = grid.columns * grid.wide_mm, grid.rows * grid.high_mm
    scale = min((x1 - x0) / across, (y1 - y0) / up)
    dx, dy = (x0 + x1 - across * scale) / 2 - grid.x_mm * scale, y1 - (grid.y_mm + up) * scale
    outline = tuple((x * scale + dx, y * scale + dy, b) for x, y, b in subject.whole.vertices)

    def shown(row: int, column: int) -> Bounds:
        a0, b0, a1, b1 = grid.cell(row, column)
        return a0 * scale + dx, b0 * scale + dy, a1 * scale + dx, b1 * scale + dy

    edge = Stroke(pen=EDGE, vertices=outline, closed=True)
    on_edge = along(segments_of(edge), WHITE_MM)
    named = [(tile_name(*cell), shown(*cell)) for cell in pages]
    for high in NAMES_MM:
        names = [_in_cell(*each, high, on_edge) for each in named]
        if all(names):
            break
    cells = product(range(grid.rows), range(grid.columns))
    empty = [box(HATCHING, *shown(*cell)) for cell in cells if cell not in pages]
    return (*empty, *(box(RULES, *shown(*cell)) for cell in pages), edge, *(name for name in names if name))


def _in_cell(name: str, cell: Bounds, height_mm: float, on_edge: Array) -> Words | None:
    """A page's name in its cell, clear of the form's edge, as near to the middle as it can stand."""
    x0, y0, x1, y1 = cell
    half, up = wide(name, height_mm) / 2 + WHITE_MM, height_mm / 2 + WHITE_MM
    if x1 - x0 < 2 * half or y1 - y0 < 2 * up:
        return None
    middles = PLACES * (x1 - x0 - 2 * half, y1 - y0 - 2 * up) + (x0 + half, y0 + up)
    held = on_edge[((on_edge > (x0, y0)) & (on_edge < (x1, y1))).all(axis=1)]
    off = np.abs(held[None] - middles[:, None])
    touched = (off < (half, up)).all(axis=2)
    clear = np.flatnonzero(np.count_nonzero(touched, axis=1) == 0)
    if not len(clear):
        return None
    x, y = middles[clear[0]].tolist()
    return Words(text=name, at=(x, y - height_mm / 2), height_mm=height_mm, anchor="middle")
