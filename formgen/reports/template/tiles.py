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
        margin_mm: white round each page.
    """

    x_mm: float
    y_mm: float
    wide_mm: float
    high_mm: float
    columns: int
    rows: int
    paper_mm: tuple[float, float]
    margin_mm: float = MARGIN_MM

    @property
    def corner_mm(self) -> tuple[float, float]:
        """Lower left corner, on the paper, of what a page shows."""
        return self.margin_mm + SIDE_MM, self.margin_mm + FOOT_MM

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

    def pages(self, segments: NDArray[np.float64]) -> list[tuple[int, int]]:
        """Rows and columns of the cells that ink passes through, (n, 4) chords."""
        ends = (segments.reshape(-1, 2, 2) - (self.x_mm, self.y_mm)) / (self.wide_mm, self.high_mm)
        cells = np.floor(ends).astype(int)
        within = (cells[:, 0] == cells[:, 1]).all(axis=1) & (ends > cells).all(axis=(1, 2))
        found = {(self.rows - 1 - y, x) for x, y in set(map(tuple, cells[within, 0].tolist()))}
        asked: dict[tuple[int, int], list[int]] = {}
        low, high = cells.min(axis=1).tolist(), cells.max(axis=1).tolist()
        for i in np.flatnonzero(~within).tolist():
            for x, y in product(range(low[i][0], high[i][0] + 1), range(low[i][1], high[i][1] + 1)):
                asked.setdefault((self.rows - 1 - y, x), []).append(i)
        for cell in asked.keys() - found:
            x0, y0, x1, y1 = self.cell(*cell)
            if _upright(x0, y0, x1 - x0, y1 - y0).crossed_by(segments[asked[cell]]).any():
                found.add(cell)
        return sorted(found)


def inside(bounds: Bounds, by_mm: float) -> Bounds:
    """Bounds drawn in by so much all round."""
    x0, y0, x1, y1 = bounds
    return x0 + by_mm, y0 + by_mm, x1 - by_mm, y1 - by_mm


def bounds_of(points: NDArray[np.float64]) -> Bounds:
    """Bounds of points, (n, 2)."""
    x, y = points.T
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def meets(a: Bounds, b: Bounds) -> bool:
    """Tell whether bounds touch."""
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


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


def cell_size(paper_mm: tuple[float, float], margin_mm: float = MARGIN_MM) -> tuple[float, float]:
    """Width and height of a cell on a paper (mm)."""
    return (
        paper_mm[0] - 2 * margin_mm - SIDE_MM - OVERLAP_MM,
        paper_mm[1] - 2 * margin_mm - FOOT_MM - OVERLAP_MM,
    )


def grid_over(reach: Bounds, paper_mm: tuple[float, float], margin_mm: float = MARGIN_MM) -> Grid:
    """The fewest cells over the ink, the ink in their middle."""
    wide, high = cell_size(paper_mm, margin_mm)
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
        margin_mm=margin_mm,
    )
