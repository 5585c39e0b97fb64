"""Stage `curve`: the fair curve through readings, the smoothest that stays as near them as they are good.

In: points in order of travel, from the right to the left end, (n, 2) in mm. Out: the curve between their feet.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from formgen.curve.measured.circle import ON_A_LINE, STRAIGHT, circle
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import FIT_TOLERANCE_MM, Smooth, fit_biarcs

#: What a reading with a tape is rounded to (mm): 1/32 in, the finest mark on most tapes; common practice, no source.
READING_STEP_MM = 25.4 / 32.0

#: Root mean square error of a reading rounded to that step: step/√12.
READING_ERROR_MM = READING_STEP_MM / math.sqrt(12.0)


def fair(points: Array) -> ArcSpline:
    """The smoothest curve that stays as near the points as the readings are good.

    Args:
        points: (n, 2), n at least 5. The root mean square distance from them that readings allow is used up.

    Assumptions:
        The curve is the best circle plus cubic splines in x and y of the chord length through the points; what is kept
        small is the change of their second derivative (third differences of the coefficients). So a circle stays one,
        and curvature runs on evenly past the last reading instead of fading to nothing as in a batten with free ends.

    Reference:
        P. H. C. Eilers and B. D. Marx, Flexible smoothing with B-splines and penalties, Statistical Science
        11 (1996) 89 (from memory); the weight by the discrepancy principle (V. A. Morozov, 1966; from memory).

    Raises:
        CurveError: the points lie on a straight line.
    """
    from scipy.interpolate import BSpline

    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    u = np.concatenate([[0.0], np.cumsum(steps)])
    u /= u[-1]
    count = 2 * len(points) + 3
    inner = np.linspace(0.0, 1.0, count - 2)
    knots = np.concatenate([[0.0] * 3, inner, [1.0] * 3])
    design = BSpline.design_matrix(u, knots, 3).toarray()
    # differences over the coefficients' own places, so that a parabola costs nothing up to the ends
    base, base_slope = _base(points)
    beside = points - base(u)
    places = np.array([knots[i + 1 : i + 4].mean() for i in range(count)])
    rough = _third_differences(places)

    def smoothed(weight: float) -> Array:
        stacked = np.vstack([design, math.sqrt(weight) * rough])
        right = np.vstack([beside, np.zeros((len(rough), 2))])
        return np.asarray(np.linalg.lstsq(stacked, right, rcond=None)[0])

    def rms(coefficients: Array) -> float:
        return float(np.sqrt(np.mean(np.sum((design @ coefficients - beside) ** 2, axis=1))))

    low, high = -24.0, 6.0  # powers of ten: from through the points to a parabola
    for _ in range(50):
        power = (low + high) / 2.0
        low, high = (low, power) if rms(smoothed(10.0**power)) > READING_ERROR_MM else (power, high)
    spline = BSpline(knots, smoothed(10.0**low), 3)
    slope = spline.derivative()
    curve = Smooth(
        point=lambda t: np.asarray(base(t) + spline(t)),
        tangent=lambda t: np.asarray(base_slope(t) + slope(t)),
        begin=0.0,
        end=1.0,
    )
    _refuse_straight(curve.point(np.linspace(0.0, 1.0, 101)))
    return fit_biarcs(curve, FIT_TOLERANCE_MM)


def _base(points: Array) -> tuple[Callable[[Array], Array], Callable[[Array], Array]]:
    """The best circle through the points, or their chord if they are straight, as point and derivative over 0 to 1."""
    try:
        arc = circle(points).along(points)
    except CurveError:
        first, chord = points[0], points[-1] - points[0]
        return lambda t: first + t[:, None] * chord, lambda t: np.tile(chord, (len(t), 1))
    length, curvature = arc.pieces[0]
    begin = np.array([arc.start.x_mm, arc.start.y_mm])

    def point(t: Array) -> Array:
        half_turn = 0.5 * curvature * length * t
        chord, direction = length * t * np.sinc(half_turn / np.pi), arc.start.heading_rad + half_turn
        return np.asarray(begin + chord[:, None] * np.column_stack([np.cos(direction), np.sin(direction)]))

    def slope(t: Array) -> Array:
        heading = arc.start.heading_rad + curvature * length * t
        return length * np.column_stack([np.cos(heading), np.sin(heading)])

    return point, slope


def _third_differences(places: Array) -> Array:
    """Divided third differences over uneven places, scaled to even ones: (n − 3, n)."""
    rows = np.zeros((len(places) - 3, len(places)))
    for i in range(len(places) - 3):
        four = places[i : i + 4]
        for j in range(4):
            rows[i, i + j] = 1.0 / np.prod([four[j] - other for k, other in enumerate(four) if k != j])
    return rows / len(places) ** 3


def _refuse_straight(along: Array) -> None:
    chord = along[-1] - along[0]
    length = float(np.hypot(*chord))
    bow = np.abs((along - along[0]) @ np.array([-chord[1], chord[0]])) / max(length, 1e-12)
    if float(np.max(bow)) < STRAIGHT * length:
        raise CurveError(ON_A_LINE)
