"""Stage `curve`: the half-ellipse through readings.

In: points in order of travel, from the right to the left end, (n, 2) in mm, heights from the springing line. Out: where
its centre lies and its half axes, and the curve between the feet of the first and the last point, in arcs.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from formgen.curve.measured.circle import STRAIGHT
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import FIT_TOLERANCE_MM, ellipse_curve, fit_biarcs, mirrored


class Oval(NamedTuple):
    """An ellipse with its centre at (x0, 0): half its width and its height over the springing line, mm."""

    x0: float
    a: float
    b: float

    def off(self, points: Array, feet: Array | None = None) -> Array:
        """Distance of each point, (n, 2), from the ellipse, positive outside: (n,). Its feet, where they are known."""
        x0, a, b = self
        feet = self.feet(points) if feet is None else feet
        off = points - np.column_stack([x0 + a * np.cos(feet), b * np.sin(feet)])
        return np.asarray(np.sum(off * self._outward(feet), axis=1))

    def slopes(self, feet: Array) -> Array:
        """Change of the distances of points with these feet with centre, half width and height: (n, 3)."""
        out = self._outward(feet)
        return -np.column_stack([out[:, 0], out[:, 0] * np.cos(feet), out[:, 1] * np.sin(feet)])

    def _outward(self, feet: Array) -> Array:
        outward = np.column_stack([np.cos(feet) / self.a, np.sin(feet) / self.b])
        return np.asarray(outward / np.linalg.norm(outward, axis=1)[:, None])

    def feet(self, points: Array) -> Array:
        """Parameter, −π to π, of the point of the ellipse nearest to each point: (n,)."""
        x0, a, b = self
        x, y = np.abs(points[:, 0] - x0), np.abs(points[:, 1])
        # In the first quadrant the foot solves (a² − b²) sin u cos u = a x sin u − b y cos u; bisection cannot fail.
        low, high = np.zeros(len(points)), np.full(len(points), math.pi / 2.0)
        for _ in range(60):
            u = (low + high) / 2.0
            past = a * x * np.sin(u) - b * y * np.cos(u) - (a * a - b * b) * np.sin(u) * np.cos(u) > 0.0
            low, high = np.where(past, low, u), np.where(past, u, high)
        u = (low + high) / 2.0
        u = np.where(points[:, 0] < x0, math.pi - u, u)
        return np.asarray(np.where(points[:, 1] < 0.0, -u, u))

    def along(self, points: Array) -> ArcSpline:
        """The curve from the foot of the first point to the foot of the last."""
        x0, a, b = self
        begin, end = (float(v) for v in self.feet(points[[0, -1]]))
        end += 2.0 * math.pi if end < begin else 0.0  # the left end lies below the springing line
        if abs(begin) < 1e-9 and abs(end - math.pi) < 1e-9:
            return mirrored(fit_biarcs(ellipse_curve(a, b, 0.0, math.pi / 2.0, x0), FIT_TOLERANCE_MM))
        return fit_biarcs(ellipse_curve(a, b, begin, end, x0), FIT_TOLERANCE_MM)


def ellipse(points: Array, **loss: Any) -> Oval:
    """The half-ellipse, or as much of it as was measured, with the least sum of squared distances from the points.

    Args:
        points: (n, 2).
        loss: how SciPy weighs distances, in mm, where not by their squares.

    Assumptions:
        The axes are parallel to x and y, and the centre lies on y = 0: the straight edge is held on the springing line.

    Raises:
        CurveError: the points lie on a straight line or below the springing line, or no ellipse comes near them.
    """
    from scipy.optimize import least_squares

    size = float(np.ptp(points[:, 0]))
    if float(np.max(points[:, 1])) < STRAIGHT * size:
        raise CurveError(
            "part.arch = points on a straight line, expected heights above the springing line; check the readings"
        )

    feet_on = lru_cache(maxsize=2)(lambda oval: oval.feet(points))  # the feet are what takes the time

    def distances(unknown: Array) -> Array:
        oval = Oval(*(unknown * size))
        return oval.off(points, feet_on(oval))

    def slopes(unknown: Array) -> Array:
        oval = Oval(*(unknown * size))
        return oval.slopes(feet_on(oval)) * size

    first = np.array([(points[0, 0] + points[-1, 0]) / 2.0, 0.51 * size, float(np.max(points[:, 1]))]) / size
    bounds = ([-np.inf, 0.05, 0.001], [np.inf, 20.0, 20.0])
    found = least_squares(
        distances, np.clip(first, *bounds), jac=slopes, bounds=bounds, xtol=1e-14, ftol=1e-14, gtol=1e-14, **loss
    )  # fmt: skip
    x0, a, b = (float(v) * size for v in found.x)
    if found.active_mask.any():
        raise CurveError(
            f"part.arch = points near no half-ellipse on the springing line (the nearest is {2 * a:.0f} × {b:.0f} "
            "mm), expected y = 0 at the springing line; measure from there, or fit a circle or a fair curve"
        )
    return Oval(x0, a, b)
