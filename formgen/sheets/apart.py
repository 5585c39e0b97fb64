"""Stage `sheets`: how far two closed shapes of lines and arcs are apart, in closed form; mm.

The nearest points of two edges are an end of one and a point of the other, or two inner points at which the line
between them is square to both edges; and edges that cross are 0 apart. Each candidate is a pair of points that lie on
the two edges, so no result is too small, and together they hold the nearest pair, so none is too large, but for the
rounding of the machine: some 1e-9 mm on a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product

import numpy as np

from formgen.geometry.distance import distances_mm
from formgen.geometry.edge import bounds
from formgen.geometry.outline import Edge, Outline, Point

Box = tuple[float, float, float, float]


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
    ends = [np.array(outline.vertices)[:, :2] for outline in (a, b)]
    least = min(beyond_mm, float(distances_mm(ends[0], b.edges).min()), float(distances_mm(ends[1], a.edges).min()))
    near = [(e, box) for e, box in ((e, bounds([e])) for e in b.edges) if _clear_mm(box, a.bounds) <= least]
    for t in a.edges:
        box = bounds([t])
        for u, other in near:
            if _clear_mm(box, other) < least:
                least = min(least, 0.0 if _cross(t, u) else min(_square_mm(t, u), default=least))
    return least


def _faces(arc: Edge, ux: float, uy: float) -> bool:
    """Tell whether the arc has a point in this direction from its centre."""
    return arc.share_of(math.atan2(uy, ux)) <= 1.0


def _clear_mm(a: Box, b: Box) -> float:
    """Distance between two boxes."""
    return math.hypot(max(a[0] - b[2], b[0] - a[2], 0.0), max(a[1] - b[3], b[1] - a[3], 0.0))


def _square_mm(t: Edge, u: Edge) -> Iterator[float]:
    """Distances between inner points at which the line between them is square to both edges."""
    if t.bulge and u.bulge:
        dx, dy = u.centre[0] - t.centre[0], u.centre[1] - t.centre[1]
        apart = math.hypot(dx, dy)
        if apart < 1e-12:  # about one centre: an end of the one lies across from the other, if they face at all
            return
        for i, j in product((1.0, -1.0), repeat=2):
            if _faces(t, i * dx, i * dy) and _faces(u, j * dx, j * dy):
                yield abs(apart - i * t.radius_mm + j * u.radius_mm)
    elif t.bulge or u.bulge:
        arc, line = (t, u) if t.bulge else (u, t)
        share, (fx, fy) = _foot(line, arc.centre)
        dx, dy = fx - arc.centre[0], fy - arc.centre[1]
        off = math.hypot(dx, dy)
        if 0.0 <= share <= 1.0 and off > 1e-12:
            for i in (1.0, -1.0):
                if _faces(arc, i * dx, i * dy):
                    yield abs(off - i * arc.radius_mm)


def _cross(t: Edge, u: Edge) -> bool:
    """Tell whether two edges meet in a point inside both."""
    if t.bulge and u.bulge:
        return any(_faces(t, *_from(t, p)) and _faces(u, *_from(u, p)) for p in _circles_meet(t, u))
    if t.bulge or u.bulge:
        arc, line = (t, u) if t.bulge else (u, t)
        return any(_faces(arc, *_from(arc, p)) for p in _line_meets(line, arc))
    (a, b), (c, d) = (t.a, t.b), (u.a, u.b)
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _from(t: Edge, p: Point) -> Point:
    return p[0] - t.centre[0], p[1] - t.centre[1]


def _foot(line: Edge, p: Point) -> tuple[float, Point]:
    """Share along a line at which it passes nearest to a point, and that point of it."""
    dx, dy = line.b[0] - line.a[0], line.b[1] - line.a[1]
    share = ((p[0] - line.a[0]) * dx + (p[1] - line.a[1]) * dy) / (dx * dx + dy * dy)
    return share, (line.a[0] + share * dx, line.a[1] + share * dy)


def _line_meets(line: Edge, arc: Edge) -> list[Point]:
    """Points of a line on the whole circle of an arc."""
    share, (fx, fy) = _foot(line, arc.centre)
    off2 = arc.radius_mm**2 - math.dist((fx, fy), arc.centre) ** 2
    if off2 < 0.0:
        return []
    step = math.sqrt(off2) / line.chord_mm
    return [line.at(s) for s in (share - step, share + step) if 0.0 <= s <= 1.0]


def _circles_meet(t: Edge, u: Edge) -> list[Point]:
    """Points that the whole circles of two arcs share; none where they are one circle."""
    (x, y), dx, dy = t.centre, u.centre[0] - t.centre[0], u.centre[1] - t.centre[1]
    apart = math.hypot(dx, dy)
    if apart < 1e-12 or apart > t.radius_mm + u.radius_mm or apart < abs(t.radius_mm - u.radius_mm):
        return []
    along = (apart**2 + t.radius_mm**2 - u.radius_mm**2) / (2 * apart)
    aside = math.sqrt(max(t.radius_mm**2 - along**2, 0.0))
    ux, uy = dx / apart, dy / apart
    return [(x + along * ux - k * aside * uy, y + along * uy + k * aside * ux) for k in (1.0, -1.0)]
