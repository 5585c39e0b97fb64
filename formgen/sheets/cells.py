"""Stage `sheets`: how far each cell of a square grid is from an outline, at the least; mm.

In: an outline and a grid. Out: a bound for each cell that no point of the cell comes nearer than, tight where edges are
straight along the grid, and within 0.42 of a cell else. Nothing is flattened.

Reference: a convex set lies beyond the line through its point nearest to p, square to the way there; so a square
about p with half side h, seen along the unit vector u, is nearer by no more than h (|ux| + |uy|). Segments are convex,
and so is the disc of an arc that is looked at from outside; from inside, a circle is nearest to the square's farthest
corner.
"""

from __future__ import annotations

import math

import numpy as np

from formgen.geometry.distance import Arcs, Array, Lines
from formgen.geometry.outline import Edge, Outline


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
    xs = (np.arange(-pad, nx + pad) + 0.5) * cell_mm
    ys = (np.arange(-pad, ny + pad) + 0.5) * cell_mm
    points = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    least = np.full(len(points), np.inf)
    for edge in outline.edges:
        bound = _from_arc(points, edge, cell_mm / 2) if edge.bulge else _from_line(points, edge, cell_mm / 2)
        np.minimum(least, bound, out=least)
    grid = least.reshape(len(xs), len(ys))
    for j, y in enumerate(ys):
        for begin, end in outline.chords((0.0, float(y)), 1.0, 0.0):
            grid[(xs > begin) & (xs < end), j] = -np.inf
    return grid


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
