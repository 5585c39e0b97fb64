"""Stage `reports`: the template in one piece for a plotter, with what it is in letters to read from afar.

In: what the template shows. Out: the bytes of a PDF of one page as large as the form, or of several where that is
longer than a page may be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.field import box_of
from formgen.drafting.ink import Words, moved
from formgen.drafting.numbers import said
from formgen.drafting.paper import begin_page, new_pdf
from formgen.drafting.text import broken, wide
from formgen.drafting.to_pdf import put
from formgen.geometry.outline import Point
from formgen.reports.drawing.shapes import around
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text
from formgen.reports.stamp import stamp_height_mm, stamp_inks
from formgen.reports.template.contents import Contents
from formgen.reports.template.fewest import along
from formgen.reports.template.names import Shown, put_names
from formgen.reports.template.page import check_bars, foot, origin, register
from formgen.reports.template.tiles import FOOT_MM, OVERLAP_MM, SIDE_MM, Bounds, Grid, grid_over, inside, tile_name
from formgen.reports.template.window import Whole, draw_window, named_on, shown_on

#: A page of a PDF is at most 200 in long; a longer template is rolled out in several (mm).
LONGEST_MM = 5000.0
#: A plotter trims what lies nearer to the edge of the paper than this (mm).
MARGIN_MM = 20.0
#: Widest that a mark that the part must not be pressed stands on a roll, and the least page (mm).
STAMP_WIDE_MM, LEAST_MM = 400.0, (260.0, 170.0)
#: Height of the large letters, from line to line, and the longest line that a name is set in (mm).
LARGE_MM, PITCH_MM, NAME_WIDE_MM = 15.0, 26.0, 420.0
#: White round the large letters, the most that can be had first; beyond the ink where there is no room in it (mm).
WHITES_MM, BEYOND_MM = (80.0, 40.0, 20.0, 8.0), 20.0
#: The raster in which their place is looked for (mm).
RASTER_MM = 10.0
#: More radii than this are said by the least and the greatest.
MOST_RADII = 3


def rolled(contents: Contents, name: str) -> bytes:
    """The template's pages.

    Args:
        contents: what it shows.
        name: of the form, for the foot.
    """
    subject = contents.subject
    whole = Whole.of(contents, [])
    field = Shown()
    field.put_shown(whole.ticks, *(ink for ink, _ in whole.inks))
    put_names(field, contents)
    reach = _around(field, whole)
    _put_large(field, large_lines(subject), reach)
    grid, head_mm = _grid(subject, _around(field, whole))
    pages = grid.pages(contents.segments)
    stamp_mm = min(grid.paper_mm[0] - 2 * MARGIN_MM, STAMP_WIDE_MM)
    title = f"{subject.recipe.asked.name}: full-size template in one piece"
    with new_pdf(grid.paper_mm[0], grid.paper_mm[1] + head_mm, title) as pdf:
        for number, page in enumerate(pages, 1):
            if number > 1:
                pdf.canvas.showPage()
                begin_page(pdf.canvas)
            shown = draw_window(pdf.canvas, whole, grid, page)
            if len(pages) == 1:
                put(pdf.canvas, [moved(ink, *origin(grid, *page)) for ink in field.inks])
                put(pdf.canvas, foot(grid, name))
            else:
                part = shown_on(shown, contents, grid, page, pages)
                _put_large(part, large_lines(subject), part.room, beyond=False)
                put(pdf.canvas, (*named_on(part, contents, grid, page), *register(grid)))
                put(pdf.canvas, foot(grid, name, tile_name(*page), f"{number} of {len(pages)}"))
            put(pdf.canvas, check_bars(subject.recipe.asked.units, MARGIN_MM))
            put(pdf.canvas, stamp_inks(subject.form, MARGIN_MM, grid.paper_mm[1] + head_mm - MARGIN_MM, stamp_mm))
    return pdf.content


def _around(field: Shown, whole: Whole) -> Bounds:
    """Bounds of all ink and names, with a little white."""
    return inside(around([field.reach, *(reach for _, reach in whole.inks)]), -3.0)


def _grid(subject: Subject, reach: Bounds) -> tuple[Grid, float]:
    """The grid of one page or of several, and the height of what stands above it at the head."""
    x0, y0, x1, y1 = reach
    wide_mm = min(x1 - x0 + 2 * MARGIN_MM + SIDE_MM + OVERLAP_MM, LONGEST_MM)
    wide_mm = max(wide_mm, LEAST_MM[0])
    head = stamp_height_mm(subject.form, min(wide_mm - 2 * MARGIN_MM, STAMP_WIDE_MM))
    high_mm = min(y1 - y0 + 2 * MARGIN_MM + FOOT_MM + OVERLAP_MM, LONGEST_MM - head)
    return grid_over(reach, (wide_mm, max(high_mm, LEAST_MM[1])), MARGIN_MM), head


def large_lines(subject: Subject) -> list[str]:
    """Say what the roll is, which side of it is up, and what to measure on it."""
    units = subject.units
    x0, y0, x1, y1 = subject.whole.bounds
    return [
        *broken(subject.recipe.name, NAME_WIDE_MM, LARGE_MM),
        code_text(subject.form),
        "this side up",
        *radii(subject),
        f"width {said(x1 - x0, units)}",
        f"height {said(y1 - y0, units)}",
    ]


def radii(subject: Subject) -> list[str]:
    """Say the radii of the face, from its right end; of many the least and the greatest."""
    found = sorted({round(1.0 / abs(k), 6) for _, k in subject.pressing.face.merged().pieces if abs(k) > 1e-9})
    if len(found) > MOST_RADII:
        return [f"face R {said(found[0], subject.units)}", f"to R {said(found[-1], subject.units)}"]
    return [f"face R {text}" for text in dict.fromkeys(said(mm, subject.units) for mm in found)]


def _put_large(field: Shown, lines: Sequence[str], bounds: Bounds, *, beyond: bool = True) -> None:
    """Write lines in large letters where the ink leaves most room about the middle; beyond it where it leaves none."""
    wide_mm, high_mm = max(wide(text, LARGE_MM) for text in lines), PITCH_MM * len(lines)
    at = next((at for white in WHITES_MM for at in _places(field, (wide_mm, high_mm), white, bounds)), None)
    if at is None:
        if not beyond:
            return
        at = (bounds[0] + bounds[2]) / 2, bounds[3] + BEYOND_MM + high_mm / 2
    top = at[1] + high_mm / 2 - LARGE_MM
    for i, text in enumerate(lines):
        field.put(Words(text=text, at=(at[0], top - i * PITCH_MM), height_mm=LARGE_MM, anchor="middle"))


def _places(field: Shown, size_mm: tuple[float, float], white_mm: float, bounds: Bounds) -> Iterator[Point]:
    """The middle of the empty rectangle of a size that lies nearest to the middle of all, if there is one."""
    taken = _taken(field, bounds)
    nx, ny = (int(np.ceil((mm + 2 * white_mm) / RASTER_MM)) + 1 for mm in size_mm)
    if nx > taken.shape[0] or ny > taken.shape[1]:
        return
    sums = np.zeros((taken.shape[0] + 1, taken.shape[1] + 1))
    sums[1:, 1:] = taken.cumsum(axis=0).cumsum(axis=1)
    free = np.argwhere(sums[nx:, ny:] - sums[:-nx, ny:] - sums[nx:, :-ny] + sums[:-nx, :-ny] == 0)
    if len(free):
        middles = (free + np.array((nx, ny)) / 2) * RASTER_MM + bounds[:2]
        off = np.hypot(*(middles - ((bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2)).T)
        x, y = middles[int(np.argmin(np.round(off, 3)))].tolist()
        yield x, y


def _taken(field: Shown, bounds: Bounds) -> NDArray[np.bool_]:
    """Squares of a raster over the bounds that hold ink or text."""
    x0, y0, x1, y1 = bounds
    taken = np.zeros((int((x1 - x0) // RASTER_MM) + 1, int((y1 - y0) // RASTER_MM) + 1), dtype=bool)
    cells = np.floor((along(field.chords, RASTER_MM / 2) - (x0, y0)) / RASTER_MM).astype(int)
    on = (cells >= 0).all(axis=1) & (cells < taken.shape).all(axis=1)
    taken[cells[on, 0], cells[on, 1]] = True
    for ink in field.inks:
        if isinstance(ink, Words):
            a, b, c, d = (int(v // RASTER_MM) for v in _off(box_of(ink).bounds, (x0, y0)))
            taken[max(a, 0) : c + 1, max(b, 0) : d + 1] = True
    return taken


def _off(bounds: Bounds, origin: Point) -> Bounds:
    return bounds[0] - origin[0], bounds[1] - origin[1], bounds[2] - origin[0], bounds[3] - origin[1]
