"""Stage `reports`: the template as PDF files: tiled over the shop's paper, and in one piece for a plotter.

In: a Form. Out: the bytes of `template.pdf` and `template-roll.pdf`, true to size; printing at 100 % is set in both.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.field import Field, reach_of, segments_of
from formgen.drafting.ink import Ink, Stroke, Words
from formgen.drafting.paper import SIZES_MM, begin_page, new_pdf
from formgen.drafting.to_pdf import put
from formgen.holding.model import Holding
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text
from formgen.reports.stamp import stamp_height_mm, stamp_inks
from formgen.reports.template.contents import contents
from formgen.reports.template.key import key_page, whole_size
from formgen.reports.template.page import check_bars, foot, origin, register
from formgen.reports.template.tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, SIDE_MM, Bounds, Grid, best_grid, grid_over
from formgen.verdict import MARK

#: A page of a PDF is at most 200 in long; a longer template is rolled out in several (mm).
LONGEST_MM = 5000.0
#: Where on the foot of a roll the sizes of the whole stand, and the least width of a roll that has room for them (mm).
SIZES_AT_MM, LEAST_FOR_SIZES_MM = 165.0, 480.0
#: Widest that a mark that the part must not be pressed stands on a roll (mm).
STAMP_WIDE_MM = 400.0


def template(form: Holding) -> tuple[bytes, bytes]:
    """The tiled template and the one for a roll."""
    subject = Subject(form)
    plain = contents(subject).paper
    return tiled(subject, plain), rolled(subject, plain)


def tiled(subject: Subject, plain: Field) -> bytes:
    """A key and the pages that hold ink; its texts stand elsewhere than in one piece, clear of the pages' joints."""
    asked = subject.recipe.asked
    paper = SIZES_MM[subject.recipe.shop.paper.sizes(asked.units)[0]]
    grid = best_grid(_bounds(plain), paper, _segments(plain))
    field = contents(subject, grid.joints()).paper
    pages = grid.pages(_segments(field))
    inks, name = [(ink, reach_of([ink])) for ink in field.inks], _named(subject)
    with new_pdf(*grid.paper_mm, f"{asked.name}: full-size template") as pdf:
        put(pdf.canvas, key_page(subject, grid, pages))
        for row, column in pages:
            pdf.canvas.showPage()
            begin_page(pdf.canvas)
            _window(pdf.canvas, inks, grid, row, column)
            put(pdf.canvas, register(grid))
            put(pdf.canvas, check_bars(asked.units))
            put(pdf.canvas, foot(grid, row, column, name, set(pages)))
    return pdf.content


def _named(subject: Subject) -> str:
    """The form's name and code, with the mark before them where the part must not be pressed."""
    name = f"{subject.recipe.name}, {code_text(subject.form)}"
    return name if subject.form.verdict.may else f"{MARK}: {name}"


def rolled(subject: Subject, field: Field) -> bytes:
    """One page as large as the form, or several where that is longer than a page may be."""
    asked = subject.recipe.asked
    x0, y0, x1, y1 = _bounds(field)
    wide = max(min(x1 - x0 + 2 * MARGIN_MM + SIDE_MM + OVERLAP_MM, LONGEST_MM), 200.0)
    stamp_mm = min(wide - 2 * MARGIN_MM, STAMP_WIDE_MM)
    head = stamp_height_mm(subject.form, stamp_mm)  # above the pages' own height
    high = min(y1 - y0 + 2 * MARGIN_MM + FOOT_MM + OVERLAP_MM, LONGEST_MM - head)
    grid = grid_over((x0, y0, x1, y1), (wide, max(high, 160.0)))
    pages = grid.pages(_segments(field))
    inks = [(ink, reach_of([ink])) for ink in field.inks]
    with new_pdf(wide, grid.paper_mm[1] + head, f"{asked.name}: full-size template in one piece") as pdf:
        for number, (row, column) in enumerate(pages):
            if number:
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
            _window(pdf.canvas, inks, grid, row, column)
            put(pdf.canvas, register(grid) if len(pages) > 1 else ())
            put(pdf.canvas, check_bars(asked.units))
            put(pdf.canvas, foot(grid, row, column, _named(subject), set(pages)))
            put(pdf.canvas, stamp_inks(subject.form, MARGIN_MM, grid.paper_mm[1] + head - MARGIN_MM, stamp_mm))
            if grid.paper_mm[0] >= LEAST_FOR_SIZES_MM:
                put(pdf.canvas, [Words(text=whole_size(subject), at=(SIZES_AT_MM, MARGIN_MM + 3.0), height_mm=2.5)])
    return pdf.content


def _bounds(field: Field) -> Bounds:
    x0, y0, x1, y1 = field.reach
    return x0 - 3.0, y0 - 3.0, x1 + 3.0, y1 + 3.0


def _segments(field: Field) -> NDArray[np.float64]:
    return np.concatenate([segments_of(ink) for ink in field.inks if isinstance(ink, Stroke)])


def _window(canvas: Any, inks: Sequence[tuple[Ink, Bounds]], grid: Grid, row: int, column: int) -> None:
    """Draw what of the ink, each with its bounds, lies on a page, cut off at the edge of what it shows."""
    x0, y0, x1, y1 = grid.window(row, column)
    dx, dy = origin(grid, row, column)
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(x0 + dx, y0 + dy, x1 - x0, y1 - y0)
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.translate(dx, dy)
    put(canvas, [ink for ink, reach in inks if _meets(reach, (x0, y0, x1, y1))])
    canvas.restoreState()


def _meets(a: Bounds, b: Bounds) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]
