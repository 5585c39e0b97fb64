"""Geometry: where a curve or a closed outline crosses itself; mm.

Curves are looked at as chords. A touch within twice their tolerance may go unseen.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline

Array = NDArray[np.float64]

#: Chords held against all others at once: bounds the memory that takes.
_ROWS = 256
#: Chords of an outline stay this close to it (mm): legs that run through each other do so by far more.
OUTLINE_MM = 0.1


def crossing(curve: ArcSpline, tolerance_mm: float = 0.02) -> tuple[float, float] | None:
    """A point where the curve crosses itself, None where it does not.

    Args:
        curve: any curve.
        tolerance_mm: how close to it the chords are.
    """
    if math.fsum(length * abs(curvature) for length, curvature in curve.pieces) < math.pi:
        return None  # a curve comes back to itself only by turning more than half round
    for (length, curvature), pose in zip(curve.pieces, curve.knots, strict=False):
        if length * abs(curvature) >= 2.0 * math.pi:  # comes back to where it began
            return pose.x_mm, pose.y_mm
    return _first_crossing(curve.sampled(tolerance_mm), closed=False)


def outline_crossing(outline: Outline, tolerance_mm: float = OUTLINE_MM) -> tuple[float, float] | None:
    """A point where a closed outline runs through itself, None where it does not."""
    points = np.array(outline.flattened(tolerance_mm))
    return _first_crossing(np.vstack([points, points[:1]]), closed=True)


def strip_crossing(centre: ArcSpline, thickness_mm: float) -> tuple[float, float] | None:
    """A point where a strip of that thickness about a centre line runs through itself, None where it does not."""
    if math.fsum(length * abs(curvature) for length, curvature in centre.pieces) < math.pi:
        return None
    faces = centre.parallel(-thickness_mm / 2.0), centre.parallel(thickness_mm / 2.0)
    return outline_crossing(Outline.of(faces[0], faces[1].reversed()))


def _first_crossing(points: Array, *, closed: bool) -> tuple[float, float] | None:
    """The first point in which two chords meet that are no neighbours; points (n, 2)."""
    a, d = points[:-1], np.diff(points, axis=0)
    count = len(d)
    for begin in range(0, count, _ROWS):
        rows = slice(begin, begin + _ROWS)
        across = d[rows, None, 0] * d[None, :, 1] - d[rows, None, 1] * d[None, :, 0]
        gap = a[None, :, :] - a[rows, None, :]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (gap[..., 0] * d[None, :, 1] - gap[..., 1] * d[None, :, 0]) / across
            u = (gap[..., 0] * d[rows, None, 1] - gap[..., 1] * d[rows, None, 0]) / across
        apart = np.arange(count)[None, :] - np.arange(count)[rows, None]
        looked_at = (apart > 1) & ((apart < count - 1) | (not closed))
        hits = np.argwhere(looked_at & (t >= 0.0) & (t <= 1.0) & (u >= 0.0) & (u <= 1.0))
        if len(hits):
            i, j = hits[0]
            x, y = a[begin + i] + t[i, j] * d[begin + i]
            return float(x), float(y)
    return None
