"""Geometry: one edge of a shape, a line or an arc given by its ends and its bulge, and edges in a row; mm.

Closed forms only: length, centre, points, extents, and where an edge passes a line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

Point = tuple[float, float]
Vertex = tuple[float, float, float]


@dataclass(frozen=True)
class Edge:
    """A line (bulge 0) or an arc from a to b; bulge = tan(sweep/4), positive to the left (anticlockwise)."""

    a: Point
    b: Point
    bulge: float

    @cached_property
    def sweep_rad(self) -> float:
        """Turning along the edge."""
        return 4.0 * math.atan(self.bulge)

    @property
    def chord_mm(self) -> float:
        """Straight distance between the ends."""
        return math.dist(self.a, self.b)

    @property
    def length_mm(self) -> float:
        """Length along the edge."""
        half = self.sweep_rad / 2.0
        return self.chord_mm if abs(half) < 1e-12 else self.chord_mm * half / math.sin(half)

    @cached_property
    def radius_mm(self) -> float:
        """Radius, positive; infinite for a line."""
        return self.chord_mm * (1 + self.bulge**2) / (4 * abs(self.bulge)) if self.bulge else math.inf

    @cached_property
    def centre(self) -> Point:
        """Centre of the arc; of no use for a line."""
        mx, my = (self.a[0] + self.b[0]) / 2, (self.a[1] + self.b[1]) / 2
        k = (1 - self.bulge**2) / (4 * self.bulge)  # distance to the centre over the chord, to the left
        return mx - k * (self.b[1] - self.a[1]), my + k * (self.b[0] - self.a[0])

    def at(self, t: float) -> Point:
        """The point at a share t, 0 to 1, of the length."""
        if not self.bulge:
            return self.a[0] + t * (self.b[0] - self.a[0]), self.a[1] + t * (self.b[1] - self.a[1])
        # from the chord, not from the centre, which lies far off where the arc is shallow
        half = self.sweep_rad / 2.0
        share = math.sin(t * half) / math.sin(half)
        c, s = share * math.cos((t - 1.0) * half), share * math.sin((t - 1.0) * half)
        dx, dy = self.b[0] - self.a[0], self.b[1] - self.a[1]
        return self.a[0] + c * dx - s * dy, self.a[1] + s * dx + c * dy

    def between(self, t0: float, t1: float) -> Edge:
        """The stretch between two shares of the length."""
        a = self.a if t0 <= 0 else self.at(t0)
        b = self.b if t1 >= 1 else self.at(t1)
        return Edge(a, b, math.tan((t1 - t0) * self.sweep_rad / 4.0))

    @cached_property
    def begin_rad(self) -> float:
        """Direction of the arc's begin from its centre."""
        return math.atan2(self.a[1] - self.centre[1], self.a[0] - self.centre[0])

    def share_of(self, angle_rad: float) -> float:
        """Share of the length at which the arc has that direction from its centre; above 1 if it never has."""
        turn = (angle_rad - self.begin_rad) * math.copysign(1.0, self.bulge) % (2 * math.pi)
        return turn / abs(self.sweep_rad)

    def farthest(self, ux: float, uy: float) -> float:
        """Greatest x·u over the edge, u a unit vector."""
        best = max(self.a[0] * ux + self.a[1] * uy, self.b[0] * ux + self.b[1] * uy)
        if self.bulge and self.share_of(math.atan2(uy, ux)) <= 1.0:
            cx, cy = self.centre
            best = max(best, cx * ux + cy * uy + self.radius_mm)
        return best

    def crossings(self, p: Point, ux: float, uy: float) -> list[float]:
        """Shares at which the edge changes sides of the line through p along unit vector u.

        A point on the line counts as left of it, so that two edges that meet on it never both count, nor neither.
        """

        def to_left(q: Point) -> float:
            return (q[0] - p[0]) * -uy + (q[1] - p[1]) * ux

        da, db = to_left(self.a), to_left(self.b)
        if not self.bulge:
            return [da / (da - db)] if (da < 0) != (db < 0) else []
        height = abs(self.bulge) * self.chord_mm / 2.0 + 1e-6  # no point of an arc lies farther from its chord
        if min(da, db) > height or max(da, db) < -height:
            return []
        left, passed = da >= 0, []
        for t0, t1 in pairwise([0.0, *self._meets(p, ux, uy), 1.0]):
            off = to_left(self.at((t0 + t1) / 2))
            if t1 - t0 > 1e-12 and abs(off) > 1e-9 and (off > 0) != left:
                passed.append(t0)
                left = off > 0
        return passed if (db >= 0) == left else [*passed, 1.0]

    def _meets(self, p: Point, ux: float, uy: float) -> list[float]:
        """Shares, rising, at which the arc's circle meets the line; one at an end of the arc may be missing."""
        cx, cy = self.centre
        off = (cx - p[0]) * -uy + (cy - p[1]) * ux  # centre to the left of the line
        if abs(off) >= self.radius_mm:
            return []
        base = math.atan2(ux, -uy)  # direction of the line's left normal
        swing = math.acos(-off / self.radius_mm)
        return sorted(t for t in (self.share_of(base + swing), self.share_of(base - swing)) if t < 1.0)


def edges_between(vertices: Sequence[Vertex]) -> tuple[Edge, ...]:
    """The lines and arcs from each vertex (x mm, y mm, bulge of the edge that follows) to the next."""
    return tuple(Edge(p[:2], q[:2], p[2]) for p, q in pairwise(vertices))


def extent(edges: Sequence[Edge], ux: float, uy: float) -> tuple[float, float]:
    """Least and greatest x·u over edges, u a unit vector."""
    return -max(e.farthest(-ux, -uy) for e in edges), max(e.farthest(ux, uy) for e in edges)


def bounds(edges: Sequence[Edge]) -> tuple[float, float, float, float]:
    """(x least, y least, x greatest, y greatest) of edges."""
    (x0, x1), (y0, y1) = extent(edges, 1, 0), extent(edges, 0, 1)
    return x0, y0, x1, y1
