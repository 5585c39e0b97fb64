"""Stage `sheets`: how far two closed shapes of lines and arcs are apart, in closed form; mm.

The nearest points of two edges are an end of one and a point of the other, or two inner points at which the line
between them is square to both edges; and edges that cross are 0 apart. Each candidate is a pair of points that lie on
the two edges, so no result is too small, and together they hold the nearest pair, so none is too large, but for the
rounding of the machine: some 1e-9 mm on a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from formgen.geometry.outline import Edge, Outline, Point

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class _Track:
    """An edge with what its bulge implies, computed once."""

    edge: Edge
    box: Box
    centre: Point
    radius: float
    begin: float
    sweep: float

    @classmethod
    def of(cls, e: Edge) -> _Track:
        box = (-e.farthest(-1, 0), -e.farthest(0, -1), e.farthest(1, 0), e.farthest(0, 1))
        if not e.bulge:
            return cls(e, box, e.a, math.inf, 0.0, 0.0)
        (cx, cy), sweep = e.centre, e.sweep_rad
        return cls(e, box, (cx, cy), e.radius_mm, math.atan2(e.a[1] - cy, e.a[0] - cx), sweep)

    def faces(self, ux: float, uy: float) -> bool:
        """Whether the arc has a point in this direction from its centre."""
        turn = (math.atan2(uy, ux) - self.begin) * math.copysign(1.0, self.sweep) % (2 * math.pi)
        return turn <= abs(self.sweep)

    def distance(self, p: Point) -> float:
        """From a point to the edge."""
        if self.sweep:
            dx, dy = p[0] - self.centre[0], p[1] - self.centre[1]
            if self.faces(dx, dy):
                return abs(math.hypot(dx, dy) - self.radius)
            return min(math.dist(p, self.edge.a), math.dist(p, self.edge.b))
        return self.edge.distance(p)


def gap_mm(a: Outline, b: Outline, beyond_mm: float = math.inf) -> float:
    """Distance between two closed shapes, 0 where they overlap or touch.

    Args:
        a: a shape.
        b: another.
        beyond_mm: distances above this need not be told apart: it, or more, is returned for them.
    """
    if _clear_mm(a.bounds, b.bounds) > beyond_mm:
        return beyond_mm
    if a.contains(b.vertices[0][:2]) or b.contains(a.vertices[0][:2]):
        return 0.0
    least = beyond_mm
    first, second = [_Track.of(e) for e in a.edges], [_Track.of(e) for e in b.edges]
    near = [t for t in second if _clear_mm(t.box, a.bounds) <= least]
    for t in first:
        if _clear_mm(t.box, b.bounds) <= least:
            for u in near:
                if _clear_mm(t.box, u.box) < least:
                    least = min(least, _edges_mm(t, u))
    return least


def _clear_mm(a: Box, b: Box) -> float:
    """Distance between two boxes."""
    return math.hypot(max(a[0] - b[2], b[0] - a[2], 0.0), max(a[1] - b[3], b[1] - a[3], 0.0))


def _edges_mm(t: _Track, u: _Track) -> float:
    """Distance between two edges."""
    if _cross(t, u):
        return 0.0
    ends = (t.distance(u.edge.a), t.distance(u.edge.b), u.distance(t.edge.a), u.distance(t.edge.b))
    return min(*ends, *_square_mm(t, u))


def _square_mm(t: _Track, u: _Track) -> Iterator[float]:
    """Distances between inner points at which the line between them is square to both edges."""
    if t.sweep and u.sweep:
        dx, dy = u.centre[0] - t.centre[0], u.centre[1] - t.centre[1]
        apart = math.hypot(dx, dy)
        if apart < 1e-12:  # about one centre: an end of the one lies across from the other, if they face at all
            return
        for i, j in product((1.0, -1.0), repeat=2):
            if t.faces(i * dx, i * dy) and u.faces(j * dx, j * dy):
                yield abs(apart - i * t.radius + j * u.radius)
    elif t.sweep or u.sweep:
        arc, line = (t, u) if t.sweep else (u, t)
        share, (fx, fy) = _foot(line.edge, arc.centre)
        dx, dy = fx - arc.centre[0], fy - arc.centre[1]
        off = math.hypot(dx, dy)
        if 0.0 <= share <= 1.0 and off > 1e-12:
            for i in (1.0, -1.0):
                if arc.faces(i * dx, i * dy):
                    yield abs(off - i * arc.radius)


def _cross(t: _Track, u: _Track) -> bool:
    """Whether two edges meet in a point inside both."""
    if t.sweep and u.sweep:
        return any(t.faces(*_from(t, p)) and u.faces(*_from(u, p)) for p in _circles_meet(t, u))
    if t.sweep or u.sweep:
        arc, line = (t, u) if t.sweep else (u, t)
        return any(arc.faces(*_from(arc, p)) for p in _line_meets(line.edge, arc))
    (a, b), (c, d) = (t.edge.a, t.edge.b), (u.edge.a, u.edge.b)
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _from(t: _Track, p: Point) -> Point:
    return p[0] - t.centre[0], p[1] - t.centre[1]


def _foot(line: Edge, p: Point) -> tuple[float, Point]:
    """Share along a line at which it passes nearest to a point, and that point of it."""
    dx, dy = line.b[0] - line.a[0], line.b[1] - line.a[1]
    share = ((p[0] - line.a[0]) * dx + (p[1] - line.a[1]) * dy) / (dx * dx + dy * dy)
    return share, (line.a[0] + share * dx, line.a[1] + share * dy)


def _line_meets(line: Edge, arc: _Track) -> list[Point]:
    """Points of a line on the whole circle of an arc."""
    share, (fx, fy) = _foot(line, arc.centre)
    off2 = arc.radius**2 - math.dist((fx, fy), arc.centre) ** 2
    if off2 < 0.0:
        return []
    step = math.sqrt(off2) / line.chord_mm
    return [line.at(s) for s in (share - step, share + step) if 0.0 <= s <= 1.0]


def _circles_meet(t: _Track, u: _Track) -> list[Point]:
    """Points that the whole circles of two arcs share; none where they are one circle."""
    (x, y), dx, dy = t.centre, u.centre[0] - t.centre[0], u.centre[1] - t.centre[1]
    apart = math.hypot(dx, dy)
    if apart < 1e-12 or apart > t.radius + u.radius or apart < abs(t.radius - u.radius):
        return []
    along = (apart**2 + t.radius**2 - u.radius**2) / (2 * apart)
    aside = math.sqrt(max(t.radius**2 - along**2, 0.0))
    ux, uy = dx / apart, dy / apart
    return [(x + along * ux - k * aside * uy, y + along * uy + k * aside * ux) for k in (1.0, -1.0)]
