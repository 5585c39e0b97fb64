"""Stage `sheets`: the largest rectangles that are left of a cut sheet, worth keeping as offcuts; mm.

In: the outlines on a sheet. Out: rectangles that the cutter's path does not touch, none overlapping another. Sizes are
found on a grid and err to the small side by up to two cells.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from formgen.geometry.distance import Mask, distances_mm
from formgen.geometry.outline import Outline
from formgen.sheets.grid import cell_middles, inside
from formgen.sheets.model import Rest

#: Side of a grid cell (mm).
CELL_MM = 10.0
#: No more rectangles than this are told of one sheet.
MOST_RESTS = 4


def rests_of(
    outlines: Sequence[Outline], length_mm: float, width_mm: float, cutter_mm: float, keep_mm: float
) -> tuple[Rest, ...]:
    """The rectangles left, the largest first.

    Args:
        outlines: what is cut from the sheet.
        length_mm: of the sheet, along x.
        width_mm: of the sheet, along y.
        cutter_mm: width of the cutter's path round every outline.
        keep_mm: shorter side from which a rectangle is worth keeping.
    """
    free = _free(outlines, int(length_mm // CELL_MM), int(width_mm // CELL_MM), cutter_mm)
    found: list[Rest] = []
    while len(found) < MOST_RESTS:
        i, j, nx, ny = _largest(free)
        if min(nx, ny) * CELL_MM < keep_mm:
            break
        found.append(Rest(x_mm=i * CELL_MM, y_mm=j * CELL_MM, length_mm=nx * CELL_MM, width_mm=ny * CELL_MM))
        free[i : i + nx, j : j + ny] = False
    return tuple(found)


def _free(outlines: Sequence[Outline], nx: int, ny: int, cutter_mm: float) -> Mask:
    """Cells of which no point is cut or becomes a piece."""
    free = np.ones((nx, ny), dtype=bool)
    reach = cutter_mm + CELL_MM * math.sqrt(0.5)
    for outline in outlines:
        x0, y0, x1, y1 = outline.bounds
        i0, j0 = (max(0, int((b - reach) // CELL_MM)) for b in (x0, y0))
        i1, j1 = (min(n, int((b + reach) // CELL_MM) + 1) for b, n in ((x1, nx), (y1, ny)))
        xs, ys, points = cell_middles((i0, i1), (j0, j1), CELL_MM)
        near = (distances_mm(points, outline.edges) < reach).reshape(len(xs), len(ys))
        free[i0:i1, j0:j1] &= ~(near | inside(outline, xs, ys))
    return free


def _largest(free: Mask) -> tuple[int, int, int, int]:
    """The largest rectangle of free cells: first cell and numbers of cells along x and y; no cells where none is free.

    For each column the runs of free cells that end there stand side by side as a row of heights; the largest
    rectangle under them is found with a stack, in one pass.
    """
    best, found = 0, (0, 0, 0, 0)
    runs = np.zeros(free.shape[1], dtype=int)
    for i in range(free.shape[0]):
        runs = np.where(free[i], runs + 1, 0)
        stack: list[tuple[int, int]] = []
        for j, height in enumerate([*runs.tolist(), 0]):
            start = j
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall * (j - start) > best:
                    best, found = tall * (j - start), (i - tall + 1, start, tall, j - start)
            stack.append((start, height))
    return found
