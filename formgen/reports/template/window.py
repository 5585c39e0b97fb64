"""Stage `reports`: what one page shows of the template, and the names that it gives to that.

In: the ink of the whole, a grid and a page of it. Out: ink on the page, mm from its lower left corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.field import reach_of
from formgen.drafting.ink import Ink, moved
from formgen.drafting.to_pdf import put
from formgen.reports.template.contents import Contents
from formgen.reports.template.cut import TICK, ticks
from formgen.reports.template.names import Shown, put_names
from formgen.reports.template.page import origin, put_neighbours, register
from formgen.reports.template.tiles import Bounds, Grid, inside, meets

#: White from a joint to the names on a page and to its neighbours' names; from the page's edge to leaders (mm).
ROOM_MM, EDGE_MM, SHOWS_MM = 6.0, 0.6, 0.6


@dataclass(frozen=True)
class Whole:
    """All the ink of a template.

    Args:
        inks: with their bounds.
        ticks: of the wood's side, (n, 4).
    """

    inks: tuple[tuple[Ink, Bounds], ...]
    ticks: NDArray[np.float64]

    @classmethod
    def of(cls, contents: Contents, windows: Sequence[Bounds]) -> Whole:
        """The ink, with ticks for what the pages show."""
        inks = (*contents.cut, *contents.marked)
        return cls(inks=tuple((ink, reach_of([ink])) for ink in inks), ticks=ticks(contents.wood, windows))

    def within(self, window: Bounds) -> Whole:
        """List what of it touches a window."""
        x0, y0, x1, y1 = window
        a, b = np.minimum(self.ticks[:, :2], self.ticks[:, 2:]), np.maximum(self.ticks[:, :2], self.ticks[:, 2:])
        near = (a < (x1, y1)).all(axis=1) & (b > (x0, y0)).all(axis=1)
        return Whole(inks=tuple(each for each in self.inks if meets(each[1], window)), ticks=self.ticks[near])


def draw_window(canvas: Any, whole: Whole, grid: Grid, page: tuple[int, int]) -> Whole:
    """Draw what lies on a page, cut off at the edge of what it shows; return it."""
    x0, y0, x1, y1 = grid.window(*page)
    dx, dy = origin(grid, *page)
    shown = whole.within((x0, y0, x1, y1))
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(x0 + dx, y0 + dy, x1 - x0, y1 - y0)
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.translate(dx, dy)
    put(canvas, [ink for ink, _ in shown.inks])
    canvas.setLineWidth(TICK.width_mm)
    canvas.setStrokeGray(TICK.grey)
    canvas.setDash([])
    canvas.lines(shown.ticks.tolist())
    canvas.restoreState()
    return shown


def shown_on(
    shown: Whole, contents: Contents, grid: Grid, page: tuple[int, int], pages: Sequence[tuple[int, int]]
) -> Shown:
    """The field of a page with what it shows, its register and the names of its neighbours, outside of every hole."""
    dx, dy = origin(grid, *page)
    field = Shown(room=inside(grid.cell(*page), EDGE_MM), shows=inside(grid.window(*page), SHOWS_MM))
    field.put_shown(shown.ticks, *(ink for ink, _ in shown.inks), *(moved(ink, -dx, -dy) for ink in register(grid)))
    field.closed = contents.holes_at
    put_neighbours(field, grid, *page, pages)
    field.closed = ()
    field.room = inside(grid.cell(*page), ROOM_MM)
    return field


def named_on(field: Shown, contents: Contents, grid: Grid, page: tuple[int, int]) -> list[Ink]:
    """List what has been written into a page's field and the names of what it shows, on paper."""
    put_names(field, contents)
    dx, dy = origin(grid, *page)
    return [moved(ink, dx, dy) for ink in field.inks]
