"""Drafting: straight segments, many at a time: which lie near, which meet; mm on paper.

In: arrays of (n, 4): x, y of both ends. Out: fewer of them, or yes and no.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from formgen.geometry.outline import Point

Array = NDArray[np.float64]
#: Parallel lines nearer than this lie on each other (mm).
SAME_LINE_MM = 0.3


class Lines:
    """Segments that grow in number and are asked which of them lie near."""

    def __init__(self) -> None:
        self._new: list[Array] = []
        self._runs: Array = np.zeros((0, 4))
        self._bounds: tuple[Array, Array, Array, Array] = (np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0))

    def add(self, runs: Array) -> None:
        """Take in segments (n, 4)."""
        self._new.append(runs)

    def near(self, reach: tuple[float, float, float, float]) -> Array:
        """Those whose own bounds touch these."""
        if self._new:
            self._runs = np.concatenate([self._runs, *self._new])
            self._new.clear()
            x0, y0, x1, y1 = self._runs.T
            self._bounds = (np.minimum(x0, x1), np.minimum(y0, y1), np.maximum(x0, x1), np.maximum(y0, y1))
        left, low, right, high = self._bounds
        close = (left <= reach[2]) & (right >= reach[0]) & (low <= reach[3]) & (high >= reach[1])
        return np.asarray(self._runs[close])

    def met_by(self, runs: Array) -> bool:
        """Tell whether one of them meets one of other segments (n, 4), or lies on it."""
        xs, ys = runs[:, (0, 2)], runs[:, (1, 3)]
        others = self.near((float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max())))
        return len(others) > 0 and _cross(runs, others)


def _cross(runs: Array, others: Array) -> bool:
    """Tell whether a segment of the one (n, 4) meets one of the other (m, 4), or lies on it."""
    p, r = runs[:, None, :2], (runs[:, 2:] - runs[:, :2])[:, None]
    q, s = others[None, :, :2], (others[:, 2:] - others[:, :2])[None]
    across = r[..., 0] * s[..., 1] - r[..., 1] * s[..., 0]
    gap = q - p
    safe = np.where(np.abs(across) < 1e-12, np.inf, across)
    t = (gap[..., 0] * s[..., 1] - gap[..., 1] * s[..., 0]) / safe
    u = (gap[..., 0] * r[..., 1] - gap[..., 1] * r[..., 0]) / safe
    if ((t >= 0) & (t <= 1) & (u >= 0) & (u <= 1) & np.isfinite(safe)).any():
        return True
    long = np.maximum(np.hypot(r[..., 0], r[..., 1]), 1e-12)
    on_line = np.isinf(safe) & (np.abs(gap[..., 0] * r[..., 1] - gap[..., 1] * r[..., 0]) / long < SAME_LINE_MM)
    ends = [(v[..., 0] * r[..., 0] + v[..., 1] * r[..., 1]) / long for v in (gap, gap + s)]
    return bool((on_line & (np.maximum(*ends) > 0) & (np.minimum(*ends) < long)).any())


def past_start(points: Sequence[Point], skip_mm: float) -> Array:
    """The segments between points, without so much next to the first of them."""
    (ax, ay), (bx, by) = points[:2]
    share = min(0.9, skip_mm / max(math.hypot(bx - ax, by - ay), 1e-9))
    begin = (ax + share * (bx - ax), ay + share * (by - ay))
    return np.array([(*p, *q) for p, q in pairwise([begin, *points[1:]])])


def passes(run: Array, bounds: tuple[float, float, float, float]) -> bool:
    """Tell whether a segment passes through an upright rectangle, touching not counted."""
    enter, leave, ends = 0.0, 1.0, run.tolist()
    for i in (0, 1):
        start, step, low, high = ends[i], ends[i + 2] - ends[i], bounds[i], bounds[i + 2]
        if abs(step) < 1e-12:
            if not low + 1e-9 < start < high - 1e-9:
                return False
            continue
        a, b = (low - start) / step, (high - start) / step
        enter, leave = max(enter, min(a, b)), min(leave, max(a, b))
    return leave - enter > 1e-9
