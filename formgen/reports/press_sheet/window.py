"""Stage `reports`: what of a chain of lines lies inside an upright rectangle: for pictures that show a part of a thing.

In: points and a rectangle (x least, y least, x greatest, y greatest). Out: points; units as they come.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

Point = tuple[float, float]
Box = tuple[float, float, float, float]


def cut_ring(ring: Sequence[Point], window: Box) -> list[Point]:
    """The part of a closed shape that lies inside; empty where none does.

    Reference:
        Cutting by one edge after another (Sutherland and Hodgman 1974, from memory).
    """
    points = list(ring)
    for axis, bound, sign in ((0, window[0], 1.0), (1, window[1], 1.0), (0, window[2], -1.0), (1, window[3], -1.0)):
        points = _cut_by(points, lambda p, axis=axis, bound=bound, sign=sign: sign * (p[axis] - bound))  # type: ignore[misc]
    return points


def cut_chain(chain: Sequence[Point], window: Box) -> list[list[Point]]:
    """The runs of an open chain that lie inside."""
    runs: list[list[Point]] = []
    for a, b in pairwise(chain):
        span = _inside_span(a, b, window)
        if span is None:
            continue
        p, q = (_between(a, b, t) for t in span)
        if runs and runs[-1][-1] == p:
            runs[-1].append(q)
        else:
            runs.append([p, q])
    return runs


def _cut_by(points: Sequence[Point], depth: Callable[[Point], float]) -> list[Point]:
    """List what of a closed shape has a depth of 0 or more."""
    kept: list[Point] = []
    for a, b in zip(points, [*points[1:], *points[:1]], strict=True):
        da, db = depth(a), depth(b)
        if da >= 0.0:
            kept.append(a)
        if (da >= 0.0) != (db >= 0.0):
            kept.append(_between(a, b, da / (da - db)))
    return kept


def _inside_span(a: Point, b: Point, window: Box) -> tuple[float, float] | None:
    """Shares of a straight line between which it lies inside."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step = b[axis] - a[axis]
        for bound, sign in ((window[axis], 1.0), (window[axis + 2], -1.0)):
            depth, change = sign * (a[axis] - bound), sign * step
            if change == 0.0:
                if depth < 0.0:
                    return None
            elif change > 0.0:
                low = max(low, -depth / change)
            else:
                high = min(high, -depth / change)
    return (low, high) if low < high else None


def _between(a: Point, b: Point, share: float) -> Point:
    if share in (0.0, 1.0):
        return b if share else a
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
