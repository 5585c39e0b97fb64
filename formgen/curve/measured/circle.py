"""Stage `curve`: the circle through readings.

In: points in order of travel, from the right to the left end, (n, 2) in mm. Out: centre and radius, and the arc from
the foot of the first point to the foot of the last.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.pose import Pose

#: Points whose best circle bows by less than this share of its chord lie on a straight line.
STRAIGHT = 1e-5
ON_A_LINE = "part.arch = points on a straight line, expected a curve; check the readings, a flat part needs no form"


class Round(NamedTuple):
    """A circle: (x, y) of its centre and its radius, mm."""

    centre: Array
    radius_mm: float

    def off(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from the circle, positive outside: (n,)."""
        return np.asarray(np.hypot(*(points - self.centre).T) - self.radius_mm)

    def along(self, points: Array) -> ArcSpline:
        """The arc from the foot of the first point to the foot of the last, the way the points go."""
        centre, radius = self.centre, self.radius_mm
        angles = np.unwrap(np.arctan2(points[:, 1] - centre[1], points[:, 0] - centre[0]))
        sweep = float(angles[-1] - angles[0])
        turn = math.copysign(1.0, sweep)
        begin = float(angles[0])
        start = Pose(
            float(centre[0]) + radius * math.cos(begin),
            float(centre[1]) + radius * math.sin(begin),
            begin + turn * math.pi / 2.0,
        )
        return ArcSpline(start, ((radius * abs(sweep), turn / radius),))


def circle(points: Array, **loss: Any) -> Round:
    """The circle with the least sum of squared distances from the points.

    Args:
        points: (n, 2).
        loss: how SciPy weighs distances, in units of the points' greatest extent, where not by their squares.

    Raises:
        CurveError: the points lie on a straight line.

    Reference:
        Distances by curvature, direction and offset instead of centre and radius, which stay well conditioned for
        shallow arcs: V. Karimäki, Nucl. Instrum. Methods A 305 (1991) 187 (from memory).
    """
    from scipy.optimize import least_squares

    middle = points.mean(axis=0)
    chord = points[-1] - points[0]
    size = float(np.max(np.ptp(points, axis=0)))
    lean = math.atan2(float(chord[1]), float(chord[0])) + math.pi / 2.0
    # in units of the size, so that all three unknowns weigh alike
    q = (points - middle) / size

    def distances(unknown: Array) -> Array:
        direction, offset, curvature = unknown
        n = np.array([math.cos(direction), math.sin(direction)])
        w = q - offset * n
        bow = curvature * np.sum(w * w, axis=1) - 2.0 * (w @ n)
        off: Array = bow / (1.0 + np.sqrt(np.maximum(1.0 + curvature * bow, 0.0)))
        return off

    first = _first_circle(q, lean)
    found = least_squares(distances, first, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac", **loss)
    direction, offset, curvature = (float(v) for v in found.x)
    if abs(curvature) * float(np.hypot(*chord) / size) / 8.0 < STRAIGHT:
        raise CurveError(ON_A_LINE)
    radius = size / curvature  # signed: the centre lies along the direction, at offset + radius
    n = np.array([math.cos(direction), math.sin(direction)])
    return Round(middle + (offset * size + radius) * n, abs(radius))


def _first_circle(q: Array, lean: float) -> Array:
    """Direction, offset and curvature of a circle near the points: a parabola over their chord."""
    n = np.array([math.cos(lean), math.sin(lean)])
    along = q @ np.array([n[1], -n[0]])
    bend, _, offset = np.polyfit(along, q @ n, 2)
    return np.array([lean, offset, 2.0 * bend])
