"""Stage `reports`: where the grid of pages lies over the form: upright or lying pages, shifted until few are needed.

In: the chords of all that is cut, and a paper. Out: a Grid. Of grids that need as many pages the one is taken that has
the least ink along its joints: it cuts fewer holes apart and leaves no page with a mere corner. The same ink gives the
same grid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from formgen.reports.template.tiles import OVERLAP_MM, Bounds, Grid, cell_size

Array = NDArray[np.float64]

#: Shifts that are tried each way, over the width and over the height of a cell.
SHIFTS = 16
#: White between a joint and what is outermost, where the grid is laid along it (mm).
WHITE_MM = 1.0
#: Between the points that stand for the ink (mm): of ink that lies closer together one point is looked at.
APART_MM = 10.0


def fewest_pages(paper_mm: tuple[float, float], segments: Array) -> tuple[Grid, list[tuple[int, int]]]:
    """The grid with the fewest pages, and their rows and columns.

    Args:
        paper_mm: upright page, width and height.
        segments: chords of the ink, (n, 4).
    """
    xs, ys = segments[:, ::2], segments[:, 1::2]
    reach = (float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))
    points = _points(segments)
    papers = (paper_mm, paper_mm[::-1])
    tried = sorted(
        found for lying, paper in enumerate(papers) for found in _shifted(reach, cell_size(paper), points, lying)
    )
    best: tuple[Grid, list[tuple[int, int]]] | None = None
    for least, _, lying, x, y in tried:
        if best is not None and least >= len(best[1]):
            break
        grid = _over(reach, papers[lying], (x, y))
        pages = grid.pages(segments)
        if best is None or len(pages) < len(best[1]):
            best = grid, pages
    if best is None:
        raise ValueError("no ink")
    return best


def along(segments: Array, step_mm: float) -> Array:
    """Points along chords, (n, 2), no farther apart than a step: the first end of each chord and on."""
    counts = np.maximum(np.ceil(np.hypot(*(segments[:, 2:] - segments[:, :2]).T) / step_mm).astype(int), 1)
    each = np.repeat(np.arange(len(segments)), counts)
    share = (np.arange(len(each)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[each]
    return np.asarray(segments[each, :2] + share[:, None] * (segments[each, 2:] - segments[each, :2]))


def _points(segments: Array) -> Array:
    """Points on the ink, one in each square of a raster that it passes through."""
    points = along(segments, APART_MM)
    _, first = np.unique(np.floor(points / APART_MM).astype(int) @ (100_003, 1), return_index=True)
    return points[np.sort(first)]


def _shifted(
    reach: Bounds, cell_mm: tuple[float, float], points: Array, lying: int
) -> Iterator[tuple[int, int, int, float, float]]:
    """For each shift the least number of pages, the ink along the joints, how the page lies, a cell's corner."""
    cells, off, starts = [], [], []
    for axis, size in enumerate(cell_mm):
        last = (size - WHITE_MM - reach[axis + 2] + reach[axis]) / size % 1.0  # what is uppermost or rightmost
        shares = np.array([WHITE_MM / size, last, *(np.arange(SHIFTS) + 0.5) / SHIFTS])[:, None]
        starts.append(reach[axis] - shares[:, 0] * size)
        place = (points[:, axis] - reach[axis]) / size + shares
        cells.append(np.floor(place).astype(int))
        off.append(np.abs(place - np.round(place)) * size < OVERLAP_MM / 2)
    rows = int(cells[1].max()) + 1
    each = np.arange(len(shares))[:, None]
    for i in range(len(shares)):
        seen = np.zeros((len(shares), (int(cells[0].max()) + 1) * rows), dtype=bool)
        seen[each, cells[0][i] * rows + cells[1]] = True
        torn = np.count_nonzero(off[0][i] | off[1], axis=1)
        for j, (least, cut) in enumerate(zip(np.count_nonzero(seen, axis=1).tolist(), torn.tolist(), strict=True)):
            yield least, cut, lying, float(starts[0][i]), float(starts[1][j])


def _over(reach: Bounds, paper_mm: tuple[float, float], at_mm: tuple[float, float]) -> Grid:
    """The grid with a corner of a cell at a place, as many cells as the ink needs."""
    wide, high = cell_size(paper_mm)
    left, right = math.floor((reach[0] - at_mm[0]) / wide), math.ceil((reach[2] - at_mm[0]) / wide)
    low, top = math.floor((reach[1] - at_mm[1]) / high), math.ceil((reach[3] - at_mm[1]) / high)
    return Grid(
        x_mm=at_mm[0] + left * wide, y_mm=at_mm[1] + low * high, wide_mm=wide, high_mm=high,
        columns=right - left, rows=top - low, paper_mm=paper_mm,
    )  # fmt: skip
