"""Geometry: arcs for a smooth curve that is not made of arcs: an ellipse, a spline, a fair line.

In: the curve as two functions of a parameter, in mm. Out: an `ArcSpline` within a stated distance of it
everywhere, made of biarcs: pairs of arcs that meet the curve's points and tangents at both ends. It fits
smooth curves only; a corner must be split by the caller. An ellipse stands here as such a curve, and the other half of
a half that is alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.distance import off_piece_mm
from formgen.geometry.pose import Pose

#: How far the arcs may stand off the curve unless the caller says otherwise (mm).
FIT_TOLERANCE_MM = 0.005

#: No curve of a part takes more: half an ellipse takes about 50.
MOST_ARCS = 500

#: Points at which one biarc is compared with the curve, each way.
_PROBES = 33

#: A radius of fewer tolerances than this is a corner that the tolerance has rounded.
_CORNER_RADII = 100.0

#: A biarc spans no more turning than this between its end tangents (rad).
_MOST_TURN_RAD = math.radians(100.0)


@fixed
class Smooth:
    """A smooth curve over a parameter u from `begin` to `end` (begin below end).

    Args:
        point: (n,) parameters to (n, 2) points in mm.
        tangent: (n,) parameters to (n, 2) derivatives by u, any length above 0, in the direction of travel.
        begin: parameter of the first point.
        end: parameter of the last point.
    """

    point: Callable[[Array], Array]
    tangent: Callable[[Array], Array]
    begin: float
    end: float

    def pose(self, u: float) -> Pose:
        """Point and heading at a parameter."""
        (x, y), (tx, ty) = self.point(np.array([u]))[0], self.tangent(np.array([u]))[0]
        if math.hypot(tx, ty) == 0.0 or not math.isfinite(x + y + tx + ty):
            raise CurveError(
                f"a curve stands still at ({x:.3f}, {y:.3f}) mm: it has no direction there to bend a ply along"
            )
        return Pose(float(x), float(y), math.atan2(ty, tx))


def fit_biarcs(curve: Smooth, tolerance_mm: float = FIT_TOLERANCE_MM) -> ArcSpline:
    """Tangent-continuous arcs within `tolerance_mm` of a smooth curve, both ways, ends and end tangents exact.

    Every biarc is made as long as the tolerance lets it be, so that there are few.

    Args:
        curve: the exact curve.
        tolerance_mm: greatest distance allowed, from the curve to the arcs and from the arcs to the curve; above 0.

    Raises:
        CurveError: the curve has a corner, stands still where it has no direction, or takes too many arcs.

    Reference:
        K. M. Bolton, Biarc curves, Computer-Aided Design 7(2), 1975 (from memory). A biarc over a length h of
        curve stands off by |dκ/ds| h³/324, which is what makes the number of arcs grow with tolerance^(-1/3).
    """
    pieces: list[tuple[float, float]] = []
    here, step = curve.begin, (curve.end - curve.begin) / 8.0
    start = curve.pose(here)
    while here < curve.end:
        there, found = _longest(curve, here, step, 0.998 * tolerance_mm)  # probes may just miss the crest
        pieces.extend(found)
        if len(pieces) > MOST_ARCS:
            raise CurveError(
                f"a curve takes more than {MOST_ARCS} arcs to meet within {tolerance_mm} mm, expected a smooth one; "
                "draw it plainer"
            )
        step = 1.5 * (there - here)
        here = there
    fitted = ArcSpline.of(start, pieces)
    station = 0.0
    for length, curvature in fitted.pieces:
        if abs(curvature) * _CORNER_RADII * tolerance_mm > 1.0:
            x, y = fitted.points([station])[0]
            raise CurveError(
                f"a curve turns with a radius of {1.0 / abs(curvature):.4f} mm at ({x:.3f}, {y:.3f}) mm, which is a "
                "corner; expected a smooth curve, split it at the corner"
            )
        station += length
    return fitted


def _longest(curve: Smooth, here: float, step: float, tolerance_mm: float) -> tuple[float, list[tuple[float, float]]]:
    """The farthest parameter that one biarc reaches from `here` within the tolerance, and its two arcs."""
    rest = curve.end - here
    good, bad, kept = 0.0, math.inf, None
    while True:
        step = min(step, rest)
        off, arcs = _stands_off(curve, here, curve.end if step == rest else here + step)
        if off <= tolerance_mm:
            good, kept = step, arcs
            if step == rest or off > 0.94 * tolerance_mm:
                break
        else:
            bad = step
        if bad < 1e-9 * (curve.end - curve.begin):
            pose = curve.pose(here)
            raise CurveError(
                f"no arcs fit a curve within {tolerance_mm} mm at ({pose.x_mm:.3f}, {pose.y_mm:.3f}) mm: it has a "
                "corner or a knot there; expected a smooth curve, split it at the corner"
            )
        if bad - good < 0.01 * bad:
            break
        # The distance grows with the cube of the length, which guesses well; halving is the way out when it does not.
        guess = step * min(max((0.97 * tolerance_mm / max(off, 1e-12)) ** (1.0 / 3.0), 0.25), 3.0)
        step = guess if good < guess < bad else (good + bad) / 2.0
    if kept is None:
        raise CurveError("a curve has no length to fit arcs to")
    return (curve.end if good == rest else here + good), kept


def biarc(begin: Pose, end: Pose) -> list[tuple[float, float]]:
    """Two (length, curvature) arcs from one pose to the other, tangent at both and where they meet.

    Of all such pairs the one with equal tangent lengths, which is symmetric where the ends are.

    Raises:
        CurveError: both poses are at one point.
    """
    t0, t1 = np.array(begin.ahead), np.array(end.ahead)
    v = np.array([end.x_mm - begin.x_mm, end.y_mm - begin.y_mm])
    vv, vt, bend = float(v @ v), float(v @ (t0 + t1)), float((t0 - t1) @ (t0 - t1))
    under = vt + math.sqrt(vt * vt + bend * vv)
    if vv == 0.0 or under <= 0.0:
        raise CurveError(f"no two arcs join ({begin.x_mm:.3f}, {begin.y_mm:.3f}) mm to itself or straight back")
    d = vv / under
    first = (v + d * (t0 - t1)) / 2.0
    second = v - first
    return [_arc(t0, first), _arc(second, t1, chord=second)]


def _arc(one: Array, other: Array, chord: Array | None = None) -> tuple[float, float]:
    """Length and curvature of an arc: `one` turns to `other` by half its sweep; the chord is `other` unless given."""
    c = other if chord is None else chord
    length = math.hypot(float(c[0]), float(c[1]))
    half = math.atan2(float(one[0] * other[1] - one[1] * other[0]), float(one[0] * other[0] + one[1] * other[1]))
    arc_length = length / float(np.sinc(half / math.pi)) if length else 0.0
    return arc_length, (2.0 * half / arc_length if arc_length else 0.0)


def _stands_off(curve: Smooth, begin: float, end: float) -> tuple[float, list[tuple[float, float]]]:
    """Return how far the biarc over a stretch of the curve stands off it (infinite if there is none), and its arcs."""
    u = np.linspace(begin, end, _PROBES)
    points, tangents = curve.point(u), curve.tangent(u)
    turns = np.unwrap(np.arctan2(tangents[:, 1], tangents[:, 0]))
    if np.ptp(turns) > _MOST_TURN_RAD:
        return math.inf, []
    start = curve.pose(begin)
    try:
        arcs = biarc(start, curve.pose(end))
    except CurveError:
        return math.inf, []
    if any(abs(length * curvature) > 2.0 * _MOST_TURN_RAD for length, curvature in arcs):
        return math.inf, []
    fitted = ArcSpline.of(start, arcs)
    stations = np.linspace(0.0, fitted.length_mm, _PROBES)[1:-1]
    back = _off_curve(curve, fitted.points(stations), u, points)
    return max(float(np.max(_off_arcs(fitted, points[1:-1]))), float(np.max(back))), arcs


def _off_arcs(fitted: ArcSpline, points: Array) -> Array:
    """Distance of points (n, 2) from a short chain of arcs, each turning less than half a circle: (n,)."""
    pieces = zip(fitted.knots, fitted.pieces, strict=False)
    return np.asarray(np.min([off_piece_mm(pose, *piece, points) for pose, piece in pieces], axis=0))


def _off_curve(curve: Smooth, points: Array, u: Array, on_curve: Array) -> Array:
    """Distance of points (n, 2) that lie close to the curve from it: (n,). `on_curve` are its points at u."""
    nearest = np.argmin(np.sum((points[:, None, :] - on_curve[None, :, :]) ** 2, axis=2), axis=1)
    at = u[nearest]
    for _ in range(4):  # the foot by Newton's rule; what it leaves out is the curvature times the small distance
        tangents = curve.tangent(at)
        slip = np.sum((points - curve.point(at)) * tangents, axis=1) / np.sum(tangents**2, axis=1)
        at = np.clip(at + slip, u[0], u[-1])
    off: Array = np.linalg.norm(points - curve.point(at), axis=1)
    return off


def ellipse_curve(a_mm: float, b_mm: float, begin_rad: float, end_rad: float, centre_x_mm: float = 0.0) -> Smooth:
    """A stretch of the ellipse (x₀ + a cos u, b sin u) over its parameter u, anticlockwise."""

    def point(u: Array) -> Array:
        return np.column_stack([centre_x_mm + a_mm * np.cos(u), b_mm * np.sin(u)])

    def tangent(u: Array) -> Array:
        return np.column_stack([-a_mm * np.sin(u), b_mm * np.cos(u)])

    return Smooth(point=point, tangent=tangent, begin=begin_rad, end=end_rad)


def mirrored(right_half: ArcSpline) -> ArcSpline:
    """A curve that ends level at its crown, and the same pieces again down to the left."""
    *rest, (length, curvature) = right_half.pieces
    back = tuple(reversed(rest))
    return ArcSpline(right_half.start, (*rest, (2.0 * length, curvature), *back))
