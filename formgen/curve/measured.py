"""Stage `curve`: the arch `points`, measured at the opening by ordinates or by x, y pairs.

In: the recipe's readings, mm, from left to right or from right to left. Out: the curve from the right to the
left in the axes of the readings, and how far it misses them. First the fits, each a circle, a half-ellipse or a fair
curve through points in order of travel (from the right to the left end), (n, 2) in mm; then what reads the recipe.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from formgen.curve.arch import Fit, size, worst_fit
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import FIT_TOLERANCE_MM, Smooth, ellipse_curve, fit_biarcs, mirrored
from formgen.geometry.pose import Pose
from formgen.lengths import Units
from formgen.recipe.arch_kinds import Points

#: Readings closer together than this are one reading written twice (mm).
_SAME_MM = 0.01

#: What a reading with a tape is rounded to (mm): 1/32 in, the finest mark on most tapes; common practice, no source.
READING_STEP_MM = 25.4 / 32.0

#: Root mean square error of a reading rounded to that step: step/√12.
READING_ERROR_MM = READING_STEP_MM / math.sqrt(12.0)

#: Points whose best circle bows by less than this share of its chord lie on a straight line.
_STRAIGHT = 1e-5
_ON_A_LINE = "part.arch = points on a straight line, expected a curve; check the readings, a flat part needs no form"


def circle(points: Array) -> ArcSpline:
    """The arc with the least sum of squared distances from the points.

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

    found = least_squares(distances, _first_circle(q, lean), xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    direction, offset, curvature = (float(v) for v in found.x)
    if abs(curvature) * float(np.hypot(*chord) / size) / 8.0 < _STRAIGHT:
        raise CurveError(_ON_A_LINE)
    radius = size / curvature  # signed: the centre lies along the direction, at offset + radius
    n = np.array([math.cos(direction), math.sin(direction)])
    return _arc_along(points, middle + (offset * size + radius) * n, abs(radius))


def _first_circle(q: Array, lean: float) -> Array:
    """Direction, offset and curvature of a circle near the points: a parabola over their chord."""
    n = np.array([math.cos(lean), math.sin(lean)])
    along = q @ np.array([n[1], -n[0]])
    bend, _, offset = np.polyfit(along, q @ n, 2)
    return np.array([lean, offset, 2.0 * bend])


def _arc_along(points: Array, centre: Array, radius: float) -> ArcSpline:
    """The arc from the foot of the first point to the foot of the last, the way the points go."""
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


def ellipse(points: Array) -> ArcSpline:
    """The half-ellipse, or as much of it as was measured, with the least sum of squared distances from the points.

    Assumptions:
        The axes are parallel to x and y, and the centre lies on y = 0: the straight edge is held on the springing line.

    Raises:
        CurveError: the points lie on a straight line or below the springing line, or no ellipse comes near them.
    """
    from scipy.optimize import least_squares

    size = float(np.ptp(points[:, 0]))
    if float(np.max(points[:, 1])) < _STRAIGHT * size:
        raise CurveError(
            "part.arch = points on a straight line, expected heights above the springing line; check the readings"
        )

    def distances(unknown: Array) -> Array:
        x0, a, b = unknown * size
        feet = _ellipse_feet(points, x0, a, b)
        outward = np.column_stack([np.cos(feet) / a, np.sin(feet) / b])
        off = points - np.column_stack([x0 + a * np.cos(feet), b * np.sin(feet)])
        return np.asarray(np.sum(off * outward, axis=1) / np.linalg.norm(outward, axis=1))

    first = np.array([(points[0, 0] + points[-1, 0]) / 2.0, 0.51 * size, float(np.max(points[:, 1]))]) / size
    found = least_squares(
        distances, first, bounds=([-np.inf, 0.05, 0.001], [np.inf, 20.0, 20.0]), xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    x0, a, b = (float(v) * size for v in found.x)
    if found.active_mask.any():
        raise CurveError(
            f"part.arch = points near no half-ellipse on the springing line (the nearest is {2 * a:.0f} × {b:.0f} "
            "mm), expected y = 0 at the springing line; measure from there, or fit a circle or a fair curve"
        )
    begin, end = (float(v) for v in _ellipse_feet(points[[0, -1]], x0, a, b))
    if abs(begin) < 1e-9 and abs(end - math.pi) < 1e-9:
        return mirrored(fit_biarcs(ellipse_curve(a, b, 0.0, math.pi / 2.0, x0), FIT_TOLERANCE_MM))
    return fit_biarcs(ellipse_curve(a, b, begin, end, x0), FIT_TOLERANCE_MM)


def _ellipse_feet(points: Array, x0: float, a: float, b: float) -> Array:
    """Parameter, −π to π, of the point of the ellipse nearest to each point: (n,)."""
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
        arc = circle(points)
    except CurveError:
        first, chord = points[0], points[-1] - points[0]
        return lambda t: first + t[:, None] * chord, lambda t: np.tile(chord, (len(t), 1))
    length, curvature = arc.pieces[0]

    def slope(t: Array) -> Array:
        heading = arc.start.heading_rad + curvature * length * t
        return length * np.column_stack([np.cos(heading), np.sin(heading)])

    return lambda t: arc.points(length * t), slope


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
    if float(np.max(bow)) < _STRAIGHT * length:
        raise CurveError(_ON_A_LINE)


#: Fitter, name for people and least number of points of every fit.
_FITS = {"circle": (circle, "circle", 3), "ellipse": (ellipse, "ellipse", 4), "fair": (fair, "fair curve", 5)}


def measured_points(ask: Points, tolerance_mm: float, units: Units) -> tuple[ArcSpline, Fit, tuple[Finding, ...]]:
    """The curve fitted to readings, from the foot of the rightmost reading to that of the leftmost.

    Args:
        ask: the readings and the kind of curve.
        tolerance_mm: the part's tolerance; a reading farther off than this is a finding.
        units: how the finding writes lengths.

    Raises:
        CurveError: too few readings, one twice, one out of order, or all on a straight line.
    """
    fit, what, least = _FITS[ask.fit]
    given = _readings(ask)
    if len(given) < least:
        raise CurveError(
            f"part.arch = {len(given)} points, expected at least {least} for a {what}; measure more, evenly spread"
        )
    _refuse_muddle(given)
    rightward = given[-1, 0] > given[0, 0]
    points = given[::-1] if rightward else given
    curve = _between_feet(fit(points), points)
    result, worst = worst_fit(curve, given, len(given), what)
    if result.worst_mm <= tolerance_mm:
        return curve, result, ()
    x, y = result.at_mm
    found = finding(
        "curve.fit-residual", units, value=result.worst_mm, limit=tolerance_mm, number=worst + 1, x=x, y=y, curve=what
    )
    return curve, result, (found,)


def _readings(ask: Points) -> Array:
    """The readings in the order given, (n, 2) in mm."""
    if ask.xy_mm is not None:
        return np.array(ask.xy_mm, dtype=float)
    if ask.ordinates is None:
        raise CurveError("part.arch = points without readings, expected ordinates or x, y pairs")
    heights = np.array(ask.ordinates.heights_mm, dtype=float)
    return np.column_stack([ask.ordinates.spacing_mm * np.arange(len(heights)), heights])


def _refuse_muddle(given: Array) -> None:
    """Refuses a point given twice and points that are not in order along the curve."""
    for i in range(len(given)):
        for j in range(i):
            if math.dist(given[i], given[j]) < _SAME_MM:
                raise CurveError(
                    f"part.arch point {i + 1} = point {j + 1} ({size(given[i, 0])}, {size(given[i, 1])}), "
                    "expected every point once; take one of them out"
                )
    steps = np.diff(given, axis=0)
    for i, (one, other) in enumerate(pairwise(steps)):
        if float(one @ other) <= 0.0:
            raise CurveError(
                f"part.arch point {i + 3} = ({size(given[i + 2, 0])}, {size(given[i + 2, 1])}) doubles back from "
                f"point {i + 2}, expected points in order along the curve; put them in order or check the reading"
            )


def _between_feet(curve: ArcSpline, points: Array) -> ArcSpline:
    """The curve from the foot of the first point to the foot of the last (it may be fitted a little past them)."""
    begin, end = (curve.nearest(float(x), float(y))[0] for x, y in points[[0, -1]])
    whole = begin < 1e-6 and curve.length_mm - end < 1e-6
    return curve if whole else curve.part(begin, end)
