"""Stage `reports`: a large drawing cut into pages that are glued together again: the grid, the pages that hold ink.

In: bounds of the ink and a paper. Out: a Grid of cells, rows lettered from the top, columns numbered from the left.
Each page shows its cell and half the overlap beyond it, so that neighbours print the same register crosses.
"""

from __future__ import annotations

import math
from itertools import product

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.field import Box
from formgen.fixed import fixed

#: What a printer leaves white round the page, the strip at the foot for name and check bar, the strip at the left for
#: the upright bar, and how far neighbours overlap (mm).
MARGIN_MM, FOOT_MM, SIDE_MM, OVERLAP_MM = 7.0, 15.0, 7.0, 12.0

Bounds = tuple[float, float, float, float]


@fixed
class Grid:
    """Cells side by side over the ink.

    Args:
        x_mm, y_mm: lower left corner of all cells.
        wide_mm, high_mm: of a cell.
        columns, rows: how many.
        paper_mm: width and height of a page.
    """

    x_mm: float
    y_mm: float
    wide_mm: float
    high_mm: float
    columns: int
    rows: int
    paper_mm: tuple[float, float]

    def cell(self, row: int, column: int) -> Bounds:
        """A cell's bounds; row 0 is the uppermost."""
        x = self.x_mm + column * self.wide_mm
        y = self.y_mm + (self.rows - 1 - row) * self.high_mm
        return x, y, x + self.wide_mm, y + self.high_mm

    def window(self, row: int, column: int) -> Bounds:
        """Return what its page shows."""
        x0, y0, x1, y1 = self.cell(row, column)
        half = OVERLAP_MM / 2
        return x0 - half, y0 - half, x1 + half, y1 + half

    def joints(self) -> tuple[Box, ...]:
        """The strips in which neighbours overlap."""
        w, h = self.columns * self.wide_mm, self.rows * self.high_mm
        half = OVERLAP_MM / 2
        upright = [
            _upright(self.x_mm + i * self.wide_mm - half, self.y_mm - half, OVERLAP_MM, h + OVERLAP_MM)
            for i in range(self.columns + 1)
        ]
        level = [
            _upright(self.x_mm - half, self.y_mm + i * self.high_mm - half, w + OVERLAP_MM, OVERLAP_MM)
            for i in range(self.rows + 1)
        ]
        return (*upright, *level)

    def pages(self, segments: NDArray[np.float64]) -> list[tuple[int, int]]:
        """Rows and columns of the cells that ink passes through, (n, 4) chords."""
        found = []
        for row, column in product(range(self.rows), range(self.columns)):
            x0, y0, x1, y1 = self.cell(row, column)
            if _upright(x0, y0, x1 - x0, y1 - y0).crossed_by(segments).any():
                found.append((row, column))
        return found


def _upright(x_mm: float, y_mm: float, wide_mm: float, high_mm: float) -> Box:
    return Box(corner=(x_mm, y_mm), angle_rad=0.0, length_mm=wide_mm, height_mm=high_mm)


def tile_name(row: int, column: int) -> str:
    """`A1` is the upper left page."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{column + 1}"


def grid_over(reach: Bounds, paper_mm: tuple[float, float]) -> Grid:
    """The fewest cells over the ink, the ink in their middle."""
    wide = paper_mm[0] - 2 * MARGIN_MM - SIDE_MM - OVERLAP_MM
    high = paper_mm[1] - 2 * MARGIN_MM - FOOT_MM - OVERLAP_MM
    x0, y0, x1, y1 = reach
    columns, rows = math.ceil((x1 - x0) / wide - 1e-9), math.ceil((y1 - y0) / high - 1e-9)
    return Grid(
        x_mm=(x0 + x1 - columns * wide) / 2,
        y_mm=(y0 + y1 - rows * high) / 2,
        wide_mm=wide,
        high_mm=high,
        columns=columns,
        rows=rows,
        paper_mm=paper_mm,
    )


def best_grid(reach: Bounds, paper_mm: tuple[float, float], segments: NDArray[np.float64]) -> Grid:
    """Upright or lying pages, whichever takes fewer."""
    upright, lying = grid_over(reach, paper_mm), grid_over(reach, (paper_mm[1], paper_mm[0]))
    return min((upright, lying), key=lambda grid: len(grid.pages(segments)))
