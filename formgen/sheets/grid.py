"""Stage `sheets`: shapes and sheets on a square grid, for finding every place where a shape fits at once.

A shape's lower left corner lies on a corner of the grid. Two masks stand for it: the cells that it touches, and the
cells so near that another shape must not touch them. Both err to the safe side: a shape whose touched cells are free of
the others' masks keeps the gap from them, whatever the curves do between; at the cost of up to two cells, of which one
is the grid's own. Whether any is hit at a place is counted for all places together, as a correlation by
Fourier transform; counts are whole numbers, so rounding cannot change the answer.
How far a cell is from an outline is a bound that no point of it comes nearer than, tight where edges are straight along
the grid, and within 0.42 of a cell else. Nothing is flattened.

Reference: a convex set lies beyond the line through its point nearest to p, square to the way there; so a square
about p with half side h, seen along the unit vector u, is nearer by no more than h (|ux| + |uy|). Segments are convex,
and so is the disc of an arc that is looked at from outside; from inside, a circle is nearest to the square's farthest
corner.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from formgen.geometry.distance import Arcs, Array, Lines, Mask
from formgen.geometry.outline import Edge, Outline
from formgen.sheets.motion import Motion


def cell_distances_mm(outline: Outline, nx: int, ny: int, pad: int, cell_mm: float) -> Array:
    """A lower bound of each cell's distance from the inside of an outline, 0 or less where the cell may touch it.

    Args:
        outline: with its lower left corner at the origin.
        nx: cells along x.
        ny: cells along y.
        pad: further cells on every side.
        cell_mm: side of a cell.

    Returns:
        Shape (nx + 2 pad, ny + 2 pad); `-inf` for cells whose middle lies inside.
    """
    xs, ys, points = cell_middles((-pad, nx + pad), (-pad, ny + pad), cell_mm)
    least = np.full(len(points), np.inf)
    for edge in outline.edges:
        bound = _from_arc(points, edge, cell_mm / 2) if edge.bulge else _from_line(points, edge, cell_mm / 2)
        np.minimum(least, bound, out=least)
    return np.where(inside(outline, xs, ys), -np.inf, least.reshape(len(xs), len(ys)))


def cell_middles(along_x: tuple[int, int], along_y: tuple[int, int], cell_mm: float) -> tuple[Array, Array, Array]:
    """The middles of cells from one number to before another: their x (a,), their y (b,), and as points (a · b, 2)."""
    xs, ys = ((np.arange(*numbers) + 0.5) * cell_mm for numbers in (along_x, along_y))
    points = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    return np.asarray(xs), np.asarray(ys), np.asarray(points)


def inside(outline: Outline, xs: Array, ys: Array) -> Mask:
    """Tell of each point of a grid, (a, b), whether it lies inside an outline."""
    within = np.zeros((len(xs), len(ys)), dtype=bool)
    for j, y in enumerate(ys):
        for begin, end in outline.chords((0.0, float(y)), 1.0, 0.0):
            within[(xs > begin) & (xs < end), j] = True
    return within


def _from_line(points: Array, edge: Edge, half_mm: float) -> Array:
    return _less_square(*Lines(edge.a, edge.b).off(points), half_mm)[:, 0]


def _from_arc(points: Array, edge: Edge, half_mm: float) -> Array:
    arc = Arcs([edge])
    x, y = arc.out(points)
    beyond = _less_square(x, y, half_mm) - edge.radius_mm
    within = edge.radius_mm - np.hypot(np.abs(x) + half_mm, np.abs(y) + half_mm)
    ends = np.min([np.hypot(*(points - end).T) for end in (edge.a, edge.b)], axis=0) - half_mm * math.sqrt(2.0)
    beside = np.where(np.hypot(x, y) >= edge.radius_mm, beyond, within)
    return np.where(arc.face(np.arctan2(y, x)), beside, ends[:, None])[:, 0]


def _less_square(x: Array, y: Array, half_mm: float) -> Array:
    """Lengths of vectors, less the reach along each of a square with that half side."""
    length = np.hypot(x, y)
    reach = half_mm * (np.abs(x) + np.abs(y)) / np.maximum(length, 1e-12)
    return np.asarray(length - reach)


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
        rows = slice(max(x, 0), min(x + shape.kept_off.shape[0], nx))
        columns = slice(max(y, 0), min(y + shape.kept_off.shape[1], ny))
        mask = shape.kept_off[rows.start - x : rows.stop - x, columns.start - y : columns.stop - y]
        self._taken[rows, columns] |= mask
        self._waves, self._empty = None, False
