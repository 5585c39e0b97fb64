"""Stage `holding`: how far a curve stands from the one that it should be: departure, span, feet, turn of the legs.

In: two curves laid on each other, and the face that is measured. Out: mm and rad, outside positive. It decides nothing.
"""

from __future__ import annotations

import math

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import Array, off_line
from formgen.geometry.pose import Pose

#: Points along the wanted curve from which departures are first measured.
COMPARED = 400
#: Departures this near to the greatest count as equal to it.
TIED = 1.0 - 1e-6
#: The wanted curve runs on past its ends by this share of its length: an end that lies further on departs nowhere.
RUN_ON = 0.05


@fixed
class Standing:
    """The stand of a part against the curve that it should have.

    Args:
        departure_mm: greatest distance from that curve, positive outside.
        station_mm, height_mm: where that is: station, and y on the wanted curve.
        outside_mm, inside_mm: greatest distance outside it and inside it, each 0 or more.
        span_mm: across the springing points (the ends of a part without legs), on the face that was measured.
        span_change_mm: that less what it should be.
        feet_mm: across the two ends, on the same face.
        feet_change_mm: that less what it should be.
        leg_turn_rad: greatest turn of an end against where it should point.
    """

    departure_mm: float
    station_mm: float
    height_mm: float
    outside_mm: float
    inside_mm: float
    span_mm: float
    span_change_mm: float
    feet_mm: float
    feet_change_mm: float
    leg_turn_rad: float


def standing(shape: ArcSpline, wanted: ArcSpline, springing_mm: tuple[float, float], face_offset_mm: float) -> Standing:
    """Return how a shape stands against the curve that it should have, both of one length and laid on each other.

    Args:
        shape: the middle line as it is.
        wanted: as it should be; the inside lies to its left.
        springing_mm: stations of the springing points on both.
        face_offset_mm: from the middle line to the face that is measured, positive to the left.
    """
    joints = np.array([(p.x_mm, p.y_mm) for p in shape.knots])
    run_on = RUN_ON * wanted.length_mm
    longer = wanted.extended(run_on, run_on)
    away = _outside_of(joints, longer.points(np.linspace(0.0, longer.length_mm, COMPARED)))
    (outside, out_at), (inside, in_at) = (_furthest(joints, sign * away, longer) for sign in (1.0, -1.0))
    departure, at = (outside, out_at) if outside >= TIED * inside else (-inside, in_at)
    station, ends = min(max(at - run_on, 0.0), wanted.length_mm), (0.0, wanted.length_mm)
    span, feet = (across_mm(shape, places, face_offset_mm) for places in (springing_mm, ends))
    return Standing(
        departure_mm=departure,
        station_mm=station,
        height_mm=wanted.pose(station).y_mm,
        outside_mm=outside,
        inside_mm=inside,
        span_mm=span,
        span_change_mm=span - across_mm(wanted, springing_mm, face_offset_mm),
        feet_mm=feet,
        feet_change_mm=feet - across_mm(wanted, ends, face_offset_mm),
        leg_turn_rad=max(
            abs(a.heading_rad - b.heading_rad) for a, b in ((shape.start, wanted.start), (shape.end, wanted.end))
        ),
    )


def across_mm(curve: ArcSpline, stations_mm: tuple[float, float], offset_mm: float) -> float:
    """Distance between two points set off to the left of a curve."""
    a, b = (curve.pose(s).beside(offset_mm) for s in stations_mm)
    return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)


def laid_on(curve: ArcSpline, wanted: ArcSpline, stations_mm: tuple[float, float]) -> ArcSpline:
    """The curve moved so that the middle and the direction of the line between two stations are those of another's."""
    (a, b), (c, d) = ([line.pose(s) for s in stations_mm] for line in (curve, wanted))
    turn = math.atan2(d.y_mm - c.y_mm, d.x_mm - c.x_mm) - math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)
    turn = math.remainder(turn, math.tau)
    turned = curve.moved(0.0, 0.0, turn)
    a, b = (turned.pose(s) for s in stations_mm)
    return turned.moved((c.x_mm + d.x_mm - a.x_mm - b.x_mm) / 2.0, (c.y_mm + d.y_mm - a.y_mm - b.y_mm) / 2.0)


def through(lengths_mm: Array, curvatures_per_mm: Array, joint: int, pose: Pose) -> ArcSpline:
    """Arcs end to end, laid so that one of their joints has a pose."""
    pieces = tuple(zip(lengths_mm.tolist(), curvatures_per_mm.tolist(), strict=True))
    start = pose
    for length, curvature in reversed(pieces[:joint]):
        start = start.onward(-length, curvature)
    return ArcSpline(start, pieces)


def _furthest(joints: Array, away: Array, wanted: ArcSpline) -> tuple[float, float]:
    """Distance of the joint that lies furthest away, exactly, and its station; of several alike the first.

    On parts that mirror two are equally far, and rounding must not choose.
    """
    most = float(np.max(away))
    if most <= 0.0:
        return 0.0, 0.0
    x, y = joints[int(np.argmax(away >= TIED * most))]
    station, distance = wanted.nearest(float(x), float(y))
    return abs(distance), station


def _outside_of(points: Array, chain: Array) -> Array:
    """Distances (n,) of points (n, 2) from a chain (m, 2), positive to the right of it.

    To each point the nearer of the two chords that meet at the chain's nearest joint.
    """
    squares = np.sum(chain**2, axis=1) - 2.0 * points @ chain.T
    joint = np.argmin(squares, axis=1)
    away = np.full(len(points), np.inf)
    for first in (np.maximum(joint - 1, 0), np.minimum(joint, len(chain) - 2)):
        d, gap = chain[first + 1] - chain[first], points - chain[first]
        side = np.sign(gap[:, 0] * d[:, 1] - gap[:, 1] * d[:, 0])
        far = side * np.hypot(*off_line(*gap.T, *d.T))
        away = np.where(np.abs(far) < np.abs(away), far, away)
    return away
