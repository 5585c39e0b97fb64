"""Stage `curve`: the three-centred and the four-centred arch through readings.

In: points in order of travel, from the right to the left end, (n, 2) in mm, heights from the springing line. Out: where
the arch stands, its half span, rise and radii in mm, and its arcs between the feet of the first and the last point.

An arch springs plumb on y = 0, where the straight edge is held; below it the lowest arcs are taken to run on, so that a
reading there has a distance. The arch is alike on both sides of an axis that nobody knows and that is fitted too. Of
the four-centred arch the part is half: where only one side was measured, the point is at the last reading.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from formgen.curve import struck
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array

#: What is fitted, as shares: rise of half the span, springing radius of the lesser of both, flatness of the upper arcs.
_LEAST_SHARE, _MOST_SHARE = 0.02, 0.9999
_MOST_RISE = 4.0
#: When SciPy has found the least, so that two processors find the same arch.
_EXACT = 1e-13
#: What is held fast may move by this share of the width, since nothing may be fitted between two like bounds.
_FAST = 1e-6
#: An end within this share of half the span of the springing line, as the readings lie, springs there.
_AT_SPRINGING = 0.02


class ThreeArcs(NamedTuple):
    """A three-centred arch: its axis, half span, rise and springing radius."""

    x0: float
    a: float
    h: float
    r: float

    def off(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from the arch, positive outside: (n,)."""
        x0, a, h, r = self
        R, lean = struck.crown(a, h, r)
        x, y = np.abs(points[:, 0] - x0), points[:, 1]
        over = np.arctan2(x, y - (h - R)) <= lean  # both centres lie on the line through the joint
        return np.where(over, np.hypot(x, y - (h - R)) - R, np.hypot(x - (a - r), y) - r)

    def along(self, points: Array) -> ArcSpline:
        """The arcs from the foot of the first point to the foot of the last."""
        x0, a, h, r = self
        whole = struck.three_centred(a, r, *struck.crown(a, h, r)).moved(x0, 0.0)
        return _between(whole, points, a)


class FourArcs(NamedTuple):
    """A four-centred arch: its axis, half span, rise, springing and crown radius (where alike: a pointed arch)."""

    x0: float
    a: float
    h: float
    r: float
    R: float

    def off(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from the arch, positive outside: (n,)."""
        x0, a, h, r, R = self
        cx, cy = struck.upper_centre(a, h, r, R)
        x, y = np.abs(points[:, 0] - x0), points[:, 1]
        from_lower = np.arctan2(y, x - (a - r))
        below = (from_lower <= math.atan2(-cy, a - r - cx)) & (from_lower > -math.pi / 2.0)
        upper = np.hypot(x - cx, y - cy) - R
        past = np.arctan2(y - cy, x - cx) > math.atan2(h - cy, -cx)  # the point of the arch is nearest
        at_point = np.copysign(np.hypot(x, y - h), upper)
        return np.where(below, np.hypot(x - (a - r), y) - r, np.where(past, at_point, upper))

    def along(self, points: Array) -> ArcSpline:
        """The right half, from the lowest foot on either side to the point."""
        x0, a, h, r, R = self
        half = struck.four_centred(a, r, R, struck.upper_centre(a, h, r, R))
        right = np.column_stack([np.abs(points[:, 0] - x0), points[:, 1]])
        lowest = right[[0, -1]][np.argmin(right[[0, -1], 1])]
        return _between(half, np.array([lowest, [0.0, h]]), a).moved(x0, 0.0)


Arcs = ThreeArcs | FourArcs


def three_centred(points: Array, **loss: Any) -> ThreeArcs:
    """The three-centred arch with the least sum of squared distances from the points.

    Args:
        points: (n, 2).
        loss: how SciPy weighs distances, in mm, where not by their squares.

    Raises:
        CurveError: no such arch comes near the points: they do not spring plumb from y = 0, or rise half the span.
    """
    size, x0 = _extent(points)

    def arch(unknown: Array) -> ThreeArcs:
        wide, rise, small, shift = unknown
        a = wide * size
        return ThreeArcs(x0 + shift * size, a, rise * a, small * rise * a)

    low, high = [0.3, _LEAST_SHARE, _LEAST_SHARE, -1.0], [2.0, _MOST_SHARE, _MOST_SHARE, 1.0]
    starts = [[0.501, min(_rise(points, size), 0.95), small, 0.0] for small in (0.4, 0.8)]
    found = _least(points, arch, starts, (low, high), loss)
    if found.active_mask.any():
        raise _none("three-centred")
    return arch(found.x)


def four_centred(points: Array, **loss: Any) -> FourArcs:
    """The four-centred arch with the least sum of squared distances from the points.

    Args:
        points: (n, 2), from both sides, or from one springing to the point.
        loss: how SciPy weighs distances, in mm, where not by their squares.

    Raises:
        CurveError: no such arch comes near the points: they do not spring plumb from y = 0, or make no point.
    """
    size, x0 = _extent(points)
    low, high = [0.3, _LEAST_SHARE, -1.0], [2.0, _MOST_RISE, 1.0]
    side = one_sided(points)
    if side:
        size, x0 = 2.0 * size, float(points[-1 if side > 0 else 0, 0])
        low[2], high[2] = -_FAST, _FAST

    def pointed(unknown: Array) -> FourArcs:
        wide, rise, shift = unknown
        a, h = wide * size, rise * wide * size
        R = (a * a + h * h) / (2.0 * a)
        return FourArcs(x0 + shift * size, a, h, R, R)

    def arch(unknown: Array) -> FourArcs:
        (a, h), (small, flat) = (unknown[0] * size, unknown[1] * unknown[0] * size), unknown[3:]
        r = small * min(a, h)
        return FourArcs(x0 + unknown[2] * size, a, h, r, struck.least_crown_radius_mm(a, h, r) / flat)

    first = [0.501, min(_rise(points, size), 0.95 * _MOST_RISE), 0.0]
    bounds = ([*low, _LEAST_SHARE, 1e-3], [*high, 0.98, _MOST_SHARE])
    found = _least(points, arch, [[*first, small, flat] for small, flat in ((0.3, 0.3), (0.6, 0.7))], bounds, loss)
    if not np.delete(found.active_mask, 2).any():
        return arch(found.x)
    if found.x[1] > 1.0:  # its lower arcs have run out: a pointed arch
        low[1] = 1.0
        found = _least(points, pointed, [first], (low, high), loss)
        if not found.active_mask[:2].any():
            return pointed(found.x)
    raise _none("four-centred")


def one_sided(points: Array) -> int:
    """Tell which side of an arch with a point was read: 1 the right one alone, −1 the left one alone, 0 both.

    A side alone climbs, or stays level, from each reading to the next up to the point.
    """
    steps = np.diff(points[:, 1])
    if points[:, 1].max() <= max(points[0, 1], points[-1, 1]):
        return 1 if steps.sum() > 0.0 else -1
    return 0


def _extent(points: Array) -> tuple[float, float]:
    """The width of what was read, and its middle."""
    return float(np.ptp(points[:, 0])), float(points[0, 0] + points[-1, 0]) / 2.0


def _rise(points: Array, size: float) -> float:
    """The highest reading over half the width."""
    return float(np.max(points[:, 1])) / (0.5 * size)


def _least(
    points: Array, arch: Callable[[Array], Arcs], starts: Sequence[Sequence[float]], bounds: Any, loss: Any
) -> Any:
    """SciPy's result with the least sum of squared distances, from the best of several starts."""
    from scipy.optimize import least_squares

    inside = (np.array(bounds[0]) + _FAST / 2.0, np.array(bounds[1]) - _FAST / 2.0)

    def distances(unknown: Array) -> Array:
        return arch(unknown).off(points)

    def least(start: Any, exact: float = 1e-8) -> Any:
        return least_squares(distances, start, bounds=bounds, x_scale="jac", xtol=exact, ftol=exact, gtol=exact, **loss)

    best = min((least(np.clip(start, *inside)) for start in starts), key=lambda found: float(found.cost))
    return best if loss or best.active_mask.any() else least(best.x, _EXACT)


def _none(kind: str) -> CurveError:
    return CurveError(
        f"part.arch = points near no {kind} arch on the springing line, expected one that springs plumb at y = 0; "
        "measure from the springing line, or fit a circle or a fair curve"
    )


def _between(curve: ArcSpline, points: Array, a: float) -> ArcSpline:
    """The curve from the foot of the first point to the foot of the last; from the springing where that lies near."""
    begin, end = (curve.nearest(float(x), float(y))[0] for x, y in points[[0, -1]])
    near = _AT_SPRINGING * a
    begin = 0.0 if begin < near else begin
    end = curve.length_mm if curve.length_mm - end < near else end
    return curve.part(begin, end)
