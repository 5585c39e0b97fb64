"""Stage `curve`: how far a part ends up from its own curve where its form was made for a slightly different one.

In: curves or radii in mm, as the part is after release. Out: the greatest distance between the curve that is made and
the curve that was asked for, laid on each other as well as they go. That is what a part's tolerance is held against: a
profile tolerance without a datum (ISO 1101, from memory), of which each side gets the half.

Assumptions:
    Lengths are kept: the part is cut to its own length, whatever it is pressed on. Where the made curve ends past the
    asked one, the asked one is taken to run on as it ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from formgen.geometry.arcspline import ArcSpline, Array

#: Stations at which curves that are no plain arcs are compared, beside their knots.
STATIONS = 256
#: A radius this many times that asked for counts as straight: no form is made so flat for a curved part.
FLATTEST = 1e3
_HALVINGS = 200
_ROUNDS, _REWEIGHTINGS = 3, 40


def arc_deviation_mm(asked_mm: float, made_mm: float, length_mm: float) -> float:
    """Greatest deviation of an arc made at radius R′ from the arc of radius R that was asked for, both of length A.

    With half the made sweep h = A/2R′ and its sagitta f = R′(1 − cos h), the arcs lie best where crown and ends stand
    off by the same, to opposite sides: e = |R′ − R| f/(2R − f). To first order e = |R′ − R| tan²(h/2).

    Reference:
        Distance from the asked centre to a point of the made circle, centres a distance c apart on the axis, at the
        angle ψ from the crown: √(R′² + c² + 2R′c cos ψ); it grows or falls all the way from crown to end, so that the
        greatest deviation is least where |R′ + c − R| is the same at both: c = 2R(R − R′)/(2R − f).
    """
    sagitta = made_mm * (1.0 - math.cos(min(length_mm / (2.0 * made_mm), math.pi)))
    left = 2.0 * asked_mm - sagitta
    return abs(made_mm - asked_mm) * sagitta / left if left > 0.0 else math.inf


def legged_deviation_mm(asked_mm: float, made_mm: float, sweep_rad: float) -> float:
    """The same for an arc with straight legs, both of one sweep 2h: the legs stay parallel to those asked for.

    The made curve is parallel to the asked one at Δ = R′ − R; moved along the axis by c = −2Δ/(1 + cos h) its crown
    stands off by Δ + c and its legs by Δ + c cos h, which are the same to opposite sides: |Δ| tan²(h/2). What the end
    of the arc stands off beyond that, of second order, is added.
    """
    apart, half = made_mm - asked_mm, sweep_rad / 2.0
    shift = -2.0 * apart / (1.0 + math.cos(half))
    end = math.sqrt(made_mm**2 + shift**2 + 2.0 * made_mm * shift * math.cos(half)) - asked_mm
    return max(abs(apart + shift), abs(apart + shift * math.cos(half)), abs(end))


def accepted_radii_mm(asked_mm: float, tolerance_mm: float, deviation: Callable[[float], float]) -> tuple[float, float]:
    """Least and greatest radius after release at which a part still is within a tolerance; infinite where straight is.

    Args:
        asked_mm: the radius asked for.
        tolerance_mm: the greatest deviation allowed, 0 or more.
        deviation: deviation in mm by made radius in mm, which grows to both sides of the radius asked for.
    """
    if tolerance_mm <= 0.0:
        return asked_mm, asked_mm
    flattest = asked_mm * FLATTEST
    high = math.inf if deviation(flattest) <= tolerance_mm else _edge(asked_mm, flattest, tolerance_mm, deviation)
    return _edge(asked_mm, asked_mm / 2.0, tolerance_mm, deviation), high


def _edge(inside: float, outside: float, limit: float, deviation: Callable[[float], float]) -> float:
    """The last radius within the limit, by halving; the radius that is returned always is within it."""
    if deviation(outside) <= limit:
        return outside
    for _ in range(_HALVINGS):
        middle = 0.5 * (inside + outside)
        if middle in (inside, outside):
            break
        if deviation(middle) <= limit:
            inside = middle
        else:
            outside = middle
    return inside


def fitted_deviation_mm(asked: ArcSpline, made: ArcSpline) -> float:
    """Greatest deviation of a made curve from the asked one, at points of it, after the best rigid fit.

    The fit makes the greatest distance least (Lawson's reweighted least squares on distances square to the asked
    curve); the distance is then measured where the curve lies, so that a fit short of the best only overstates it.

    Args:
        asked: the curve that the part must have.
        made: the curve that it gets, of the same length.

    Reference:
        C. L. Lawson, Contributions to the theory of linear least maximum approximation, thesis, UCLA 1961 (from
        memory).
    """
    stations = np.unique(np.concatenate([np.linspace(0.0, made.length_mm, STATIONS + 1), made.stations_mm]))
    points = made.points(stations)
    margin = 0.02 * asked.length_mm
    ahead = asked.extended(margin, margin)
    feet = np.minimum(stations + margin, ahead.length_mm)
    points = _turned_onto(points, ahead.points(feet))
    for _ in range(_ROUNDS):
        feet, normal, _gap = _feet(ahead, points, feet)
        points = _closer(points, ahead.points(feet), normal)
    return float(np.abs(_feet(ahead, points, feet)[2]).max())


def _turned_onto(points: Array, onto: Array) -> Array:
    """Points moved bodily onto as many others, least squares."""
    here, there = points.mean(axis=0), onto.mean(axis=0)
    a, b = points - here, onto - there
    turn = math.atan2(float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])), float(np.sum(a * b)))
    return np.asarray(_moved(a, turn) + there)


def _moved(points: Array, turn_rad: float) -> Array:
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def _feet(curve: ArcSpline, points: Array, feet: Array) -> tuple[Array, Array, Array]:
    """Stations of the nearest points, unit vectors to the left there, and distances (positive to the left)."""
    for _ in range(4):
        heading, curvature = _heading(curve, feet)
        along = np.column_stack([np.cos(heading), np.sin(heading)])
        normal = np.column_stack([-along[:, 1], along[:, 0]])
        off = points - curve.points(feet)
        gap = np.sum(off * normal, axis=1)
        feet = np.clip(feet + np.sum(off * along, axis=1) / (1.0 - curvature * gap), 0.0, curve.length_mm)
    return feet, normal, gap


def _heading(curve: ArcSpline, stations: Array) -> tuple[Array, Array]:
    """Headings and curvatures at stations."""
    i = np.clip(np.searchsorted(curve.stations_mm, stations, side="right") - 1, 0, len(curve.pieces) - 1)
    curvature = np.array([k for _, k in curve.pieces])[i]
    heading = np.array([pose.heading_rad for pose in curve.knots])[i]
    return heading + curvature * (stations - curve.stations_mm[i]), curvature


def _closer(points: Array, feet: Array, normal: Array) -> Array:
    """Points moved bodily so that the greatest distance along the normals is as small as it gets."""
    middle = points.mean(axis=0)
    arm = points - middle
    size = float(np.abs(arm).max())
    turning = (arm[:, 0] * normal[:, 1] - arm[:, 1] * normal[:, 0]) / size
    rows = np.column_stack([normal, turning])
    gap = np.sum((points - feet) * normal, axis=1)
    weights = np.full(len(gap), 1.0 / len(gap))
    best, move = float(np.abs(gap).max()), np.zeros(3)
    for _ in range(_REWEIGHTINGS):
        root = np.sqrt(weights)[:, None]
        step = np.linalg.lstsq(rows * root, -gap * root[:, 0], rcond=None)[0]
        left = np.abs(gap + rows @ step)
        if float(left.max()) < best:
            best, move = float(left.max()), step
        weights = weights * left
        total = float(weights.sum())
        if total <= 0.0:
            break
        weights = weights / total
    return np.asarray(_moved(arm, float(move[2]) / size) + middle + move[:2])
