"""Stage `sheets`: shapes and sheets on a square grid, for finding every place where a shape fits at once.

A shape's lower left corner lies on a corner of the grid. Two masks stand for it: the cells that it touches, and the
cells so near that another shape must not touch them. Both err to the safe side: a shape whose touched cells are free of
the others' masks keeps the gap from them, whatever the curves do between; at the cost of up to two cells, of which one
is the grid's own. Whether any is hit at a place is counted for all places together, as a correlation by
Fourier transform; counts are whole numbers, so rounding cannot change the answer.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formgen.geometry.outline import Outline
from formgen.sheets.cells import cell_distances_mm
from formgen.sheets.motion import Motion

Mask = NDArray[np.bool_]

#: Rounding of the machine: cells that touch a shape in a corner or along an edge only are free of it (mm).
FUZZ_MM = 1e-9


class Shape:
    """One kind in one rotation, on the grid.

    Args:
        outline: as it lies in the stack.
        angle_deg: rotation.
        cell_mm: side of a cell.
        gap_mm: least distance between outlines.

    Attributes:
        length_mm, width_mm: of its bounding box.
        touched: mask of the cells that it touches, from its lower left corner.
        kept_off: mask of the cells that no other shape may touch, `pad` cells more on every side.
        mass_mm: middle of the touched cells.
    """

    def __init__(self, outline: Outline, angle_deg: float, cell_mm: float, gap_mm: float) -> None:
        turned = Motion(angle_deg).outline(outline)
        x0, y0, x1, y1 = turned.bounds
        self.angle_deg, self.corner_mm = angle_deg, (x0, y0)
        self.length_mm, self.width_mm = x1 - x0, y1 - y0
        self.pad = math.ceil(gap_mm / cell_mm) + 2
        nx = max(1, math.ceil(self.length_mm / cell_mm - 1e-9))
        ny = max(1, math.ceil(self.width_mm / cell_mm - 1e-9))
        away = cell_distances_mm(turned.moved(-x0, -y0), nx, ny, self.pad, cell_mm)
        self.kept_off: Mask = away < gap_mm - FUZZ_MM
        self.touched: Mask = away[self.pad : self.pad + nx, self.pad : self.pad + ny] <= FUZZ_MM
        at = np.argwhere(self.touched).mean(axis=0) + 0.5
        self.mass_mm = (round(float(at[0]) * cell_mm, 3), round(float(at[1]) * cell_mm, 3))
        self._waves: dict[tuple[int, int], NDArray[np.complexfloating[Any, Any]]] = {}

    def waves(self, size: tuple[int, int]) -> NDArray[np.complexfloating[Any, Any]]:
        """Transform of the touched cells, for a sheet of that many cells."""
        from scipy import fft

        if size not in self._waves:
            cut = self.touched[: size[0], : size[1]].astype(np.float32)
            self._waves[size] = np.conj(fft.rfft2(cut, size))
        return self._waves[size]


class Ground:
    """A sheet on the grid, and which of its cells no further shape may touch."""

    def __init__(self, length_mm: float, width_mm: float, cell_mm: float) -> None:
        from scipy import fft

        self.length_mm, self.width_mm, self.cell_mm = length_mm, width_mm, cell_mm
        cells = (int(length_mm // cell_mm) + 2, int(width_mm // cell_mm) + 2)
        self._size = (fft.next_fast_len(cells[0], real=True), fft.next_fast_len(cells[1], real=True))
        self._taken: Mask = np.zeros(cells, dtype=bool)
        self._waves: NDArray[np.complexfloating[Any, Any]] | None = None
        self._empty = True

    def free(self, shape: Shape) -> Mask:
        """Return where the shape's lower left corner may go, in cells; empty where it is larger than the sheet."""
        from scipy import fft

        nx = math.floor((self.length_mm - shape.length_mm + 1e-9) / self.cell_mm) + 1
        ny = math.floor((self.width_mm - shape.width_mm + 1e-9) / self.cell_mm) + 1
        if nx < 1 or ny < 1:
            return np.zeros((0, 0), dtype=bool)
        if self._empty:
            return np.ones((nx, ny), dtype=bool)
        waves = self._waves
        if waves is None:
            waves = self._waves = fft.rfft2(self._taken.astype(np.float32), self._size)
        hits = fft.irfft2(waves * shape.waves(self._size), self._size)
        free: Mask = hits[:nx, :ny] < 0.5
        return free

    def put(self, shape: Shape, ix: int, iy: int) -> None:
        """Lay the shape down."""
        x, y = ix - shape.pad, iy - shape.pad
        nx, ny = self._taken.shape
        rows, columns = (
            slice(max(x, 0), min(x + shape.kept_off.shape[0], nx)),
            slice(max(y, 0), min(y + shape.kept_off.shape[1], ny)),
        )
        mask = shape.kept_off[rows.start - x : rows.stop - x, columns.start - y : columns.stop - y]
        self._taken[rows, columns] |= mask
        self._waves, self._empty = None, False
