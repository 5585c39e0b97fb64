"""Drafting: straight segments, many at a time: which lie near, which meet; mm on paper.

In: arrays of (n, 4): x, y of both ends. Out: fewer of them, or yes and no.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
#: Parallel lines nearer than this lie on each other (mm).
SAME_LINE_MM = 0.3


def joined(held: list[Array]) -> Array:
    """All segments in one array, which the list then holds alone."""
    if len(held) > 1:
        held[:] = [np.concatenate(held)]
    return held[0] if held else np.zeros((0, 4))


def cross(runs: Array, others: Array) -> bool:
    """Tell whether a segment of the one (n, 4) meets one of the other (m, 4), or lies on it."""
    xs, ys = runs[:, (0, 2)], runs[:, (1, 3)]
    others = near(others, (float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max())))
    if not len(others):
        return False
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


def near(segments: Array, reach: tuple[float, float, float, float]) -> Array:
    """Those whose own bounds touch these."""
    x0, y0, x1, y1 = segments.T
    close = (np.minimum(x0, x1) <= reach[2]) & (np.maximum(x0, x1) >= reach[0])
    close &= (np.minimum(y0, y1) <= reach[3]) & (np.maximum(y0, y1) >= reach[1])
    return np.asarray(segments[close])
