"""Geometry: how far points lie from lines, arcs, pieces of a curve and outlines, in closed form; mm and rad.

In: points and what they are measured from, many at once. Out: distances, or ways from the nearest point. A piece of a
curve is measured by its pose, since the centre of a shallow arc lies too far off to measure from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from formgen.geometry.edge import Edge
from formgen.geometry.pose import Pose

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
#: The arcs that are asked about: all of them, or one for each point.
Which = slice | NDArray[np.intp]


def distances_mm(points: Array, edges: Sequence[Edge]) -> Array:
    """Distance of each point, (n, 2), from the nearest of edges in a row, as an outline has them: (n,)."""
    return Edges(edges).distances_mm(points)


def distances_between(points: Array, others: Array) -> Array:
    """Distance of each point, (n, 2), from each of others, (m, 2): (n, m)."""
    return np.asarray(np.hypot(*(points[:, None] - others).transpose(2, 0, 1)))


def off_line(x: Array, y: Array, dx: Array, dy: Array) -> tuple[Array, Array]:
    """The way from a line's nearest point to a point, in x and y; any shapes that go together.

    Args:
        x: from the line's begin to the point.
        y: the same in y.
        dx: from the line's begin to its end; a line without length is a point.
        dy: the same in y.
    """
    square = dx * dx + dy * dy
    share = np.minimum(np.maximum((x * dx + y * dy) / np.where(square > 0.0, square, 1.0), 0.0), 1.0)
    return x - share * dx, y - share * dy


class Lines:
    """Straight lines as arrays: where each begins and how far it runs.

    Args:
        begins: (s, 2).
        ends: (s, 2).
    """

    def __init__(self, begins: ArrayLike, ends: ArrayLike) -> None:
        self.x, self.y = np.asarray(begins, dtype=np.float64).reshape(-1, 2).T
        self.dx, self.dy = np.asarray(ends, dtype=np.float64).reshape(-1, 2).T - (self.x, self.y)

    def off(self, points: Array) -> tuple[Array, Array]:
        """The way from each line's nearest point to each point (n, 2), in x and y: two of (n, s)."""
        return off_line(points[:, :1] - self.x, points[:, 1:] - self.y, self.dx, self.dy)

    def distances_mm(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from each line: (n, s)."""
        return np.asarray(np.hypot(*self.off(points)))


class Arcs:
    """Arcs as arrays: centre, radius and the directions between which each runs.

    Args:
        edges: each with a bulge.
    """

    def __init__(self, edges: Sequence[Edge]) -> None:
        self.x, self.y = np.array([e.centre for e in edges]).reshape(-1, 2).T
        self.radius = np.array([e.radius_mm for e in edges])
        self.begin = np.array([e.begin_rad for e in edges])
        sweep = np.array([e.sweep_rad for e in edges])
        self.sweep, self.turns = np.abs(sweep), np.sign(sweep)

    def out(self, points: Array) -> tuple[Array, Array]:
        """The way from each arc's centre to each point (n, 2), in x and y: two of (n, s)."""
        return points[:, :1] - self.x, points[:, 1:] - self.y

    def face(self, angles_rad: Array, which: Which = slice(None)) -> Mask:
        """Tell whether each arc has a point in that direction from its centre."""
        turn = (angles_rad - self.begin[which]) * self.turns[which] % (2.0 * math.pi)
        return np.asarray(turn <= self.sweep[which])


class Edges:
    """Edges in a row as arrays, so that all points meet all edges at once."""

    def __init__(self, edges: Sequence[Edge]) -> None:
        straight = [e for e in edges if not e.bulge]
        self.lines = Lines([e.a for e in straight], [e.b for e in straight])
        self.arcs = Arcs([e for e in edges if e.bulge])
        self.ends = np.array([edges[0].a, *(e.b for e in edges)]).T

    def distances_mm(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from the nearest edge: (n,)."""
        least = np.hypot(points[:, :1] - self.ends[0], points[:, 1:] - self.ends[1]).min(axis=1)
        if len(self.lines.x):
            least = np.minimum(least, self.lines.distances_mm(points).min(axis=1))
        if len(self.arcs.x):
            vx, vy = self.arcs.out(points)
            on_arc = np.abs(np.hypot(vx, vy) - self.arcs.radius)
            point, arc = np.nonzero(on_arc < least[:, None])  # only there it matters whether the arc reaches so far
            reached = self.arcs.face(np.arctan2(vy[point, arc], vx[point, arc]), arc)
            np.minimum.at(least, point[reached], on_arc[point[reached], arc[reached]])
        return np.asarray(least)


def nearest_on_piece(pose: Pose, length: float, curvature: float, x: float, y: float) -> float:
    """Length along one piece of a curve to its point nearest to (x, y), clamped to the piece."""
    dx, dy = x - pose.x_mm, y - pose.y_mm
    ahead = dx * pose.ahead[0] + dy * pose.ahead[1]
    left = dx * pose.left[0] + dy * pose.left[1]
    if abs(curvature * length) < 1e-12:
        return min(max(ahead, 0.0), length)
    # Seen from the centre, the foot lies where the direction to the point crosses the arc.
    turn = math.atan2(ahead * curvature, 1.0 - left * curvature)
    sweep = curvature * length
    turn_forward = turn * math.copysign(1.0, sweep) % (2.0 * math.pi)
    if turn_forward <= abs(sweep):
        return turn_forward / abs(curvature)
    end = pose.onward(length, curvature)
    to_start = math.hypot(dx, dy)
    to_end = math.hypot(x - end.x_mm, y - end.y_mm)
    return 0.0 if to_start <= to_end else length


def off_piece_mm(pose: Pose, length: float, curvature: float, points: Array) -> Array:
    """Distance of each point, (n, 2), from one piece of a curve that turns less than half round: (n,)."""
    d = points - (pose.x_mm, pose.y_mm)
    ahead, left = d @ pose.ahead, d @ pose.left
    if abs(curvature * length) < 1e-12:
        along = np.clip(ahead, 0.0, length)
    else:
        along = np.clip(np.arctan2(ahead * curvature, 1.0 - left * curvature) / curvature, 0.0, length)
    half = 0.5 * curvature * along
    chord = along * np.sinc(half / np.pi)
    return np.asarray(np.hypot(ahead - chord * np.cos(half), left - chord * np.sin(half)))
