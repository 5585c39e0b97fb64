"""Geometry: closed shapes of lines and arcs, with corners: what a cutter runs around.

In: vertices with bulges, as a DXF polyline has them. Out: area, length, extents, inside or outside,
crossings with a line, and the parts left when a line cuts the shape; mm.
Outlines run anticlockwise; a whole circle is one too.
Closed forms throughout: arcs are never flattened here, except by `flattened`, and where a curve or an outline is asked
whether it crosses itself: there it is looked at as chords, and a touch within twice their tolerance may go unseen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np

from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.edge import Edge, Point, Vertex, bounds, edges_between

__all__ = ["Edge", "Outline", "Point", "Vertex"]

#: Chords held against all others at once: bounds the memory that takes.
_ROWS = 256
#: Chords of an outline stay this close to it (mm): legs that run through each other do so by far more.
OUTLINE_MM = 0.1


@dataclass(frozen=True)
class Outline:
    """A closed chain of lines and arcs, anticlockwise.

    Args:
        vertices: (x mm, y mm, bulge of the edge that follows), the last joined to the first.
    """

    vertices: tuple[Vertex, ...]

    @classmethod
    def of(cls, *runs: ArcSpline | Point) -> Outline:
        """An outline from curves and corner points in order, joined by straight lines; turned anticlockwise."""
        vertices: list[Vertex] = []
        for run in runs:
            vertices.extend(run.vertices() if isinstance(run, ArcSpline) else [(*run, 0.0)])
        return cls.tidy(vertices)

    @classmethod
    def tidy(cls, vertices: Iterable[Vertex]) -> Outline:
        """An outline without repeated points, turned anticlockwise.

        Raises:
            CurveError: fewer than two vertices are left, or the area is nil.
        """
        kept: list[Vertex] = []
        for v in _with_true_arcs(vertices):
            if kept and math.dist(v[:2], kept[-1][:2]) < 1e-7:
                kept[-1] = v
            else:
                kept.append(v)
        if len(kept) > 1 and math.dist(kept[0][:2], kept[-1][:2]) < 1e-7:
            kept.pop()
        if len(kept) < 2:
            raise CurveError("a closed outline needs at least two points")
        outline = cls(tuple(kept))
        if abs(outline.signed_area_mm2) < 1e-6:
            raise CurveError("a closed outline without area")
        return outline if outline.signed_area_mm2 > 0 else outline.turned_round()

    @classmethod
    def box(cls, centre: Point, along: Point, length_mm: float, width_mm: float) -> Outline:
        """A rectangle about a centre, its length along a unit vector."""
        return cls._about(centre, along, length_mm / 2, width_mm / 2, 0.0)

    @classmethod
    def obround(cls, centre: Point, along: Point, length_mm: float, width_mm: float) -> Outline:
        """A slot with round ends, `length_mm` over all along a unit vector; a circle where length = width."""
        return cls._about(centre, along, length_mm / 2 - width_mm / 2, width_mm / 2, 1.0)

    @classmethod
    def _about(cls, centre: Point, along: Point, ahead_mm: float, beside_mm: float, end: float) -> Outline:
        """Four corners about a centre, so far ahead and back and so far to both sides; `end` bulges both ends."""
        (x, y), (ux, uy) = centre, along
        corners = ((-1, -1, 0.0), (1, -1, end), (1, 1, 0.0), (-1, 1, end))
        return cls.tidy(
            (x + a * ahead_mm * ux - b * beside_mm * uy, y + a * ahead_mm * uy + b * beside_mm * ux, bulge)
            for a, b, bulge in corners
        )

    def turned_round(self) -> Outline:
        """The same shape travelled the other way."""
        v = self.vertices
        n = len(v)
        return Outline(tuple((v[-i - 1][0], v[-i - 1][1], -v[-i - 2 if i + 2 <= n else n - 1][2]) for i in range(n)))

    def moved(self, dx_mm: float, dy_mm: float) -> Outline:
        """The outline shifted."""
        return Outline(tuple((x + dx_mm, y + dy_mm, b) for x, y, b in self.vertices))

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """The lines and arcs in order."""
        return edges_between((*self.vertices, self.vertices[0]))

    @cached_property
    def signed_area_mm2(self) -> float:
        """Area, positive when anticlockwise: the polygon of the vertices plus each arc's segment."""
        area = 0.0
        x0, y0 = self.vertices[0][:2]
        for e in self.edges:
            area += ((e.a[0] - x0) * (e.b[1] - y0) - (e.b[0] - x0) * (e.a[1] - y0)) / 2
            if e.bulge:
                area += math.copysign(e.radius_mm**2, e.bulge) / 2 * (abs(e.sweep_rad) - math.sin(abs(e.sweep_rad)))
        return area

    @property
    def area_mm2(self) -> float:
        """Area."""
        return abs(self.signed_area_mm2)

    @cached_property
    def length_mm(self) -> float:
        """Length all the way round."""
        return math.fsum(e.length_mm for e in self.edges)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x greatest, y greatest)."""
        return bounds(self.edges)

    def contains(self, p: Point) -> bool:
        """Tell whether the point lies inside (points on the edge may go either way)."""
        inside = False
        for e in self.edges:
            for t in e.crossings(p, 1.0, 0.0):
                inside ^= e.at(t)[0] > p[0]
        return inside

    def chords(self, p: Point, ux: float, uy: float) -> list[tuple[float, float]]:
        """Stretches of the line p + t·u inside the outline, as (t in, t out), rising."""
        ts = sorted(
            (x - p[0]) * ux + (y - p[1]) * uy for e in self.edges for x, y in (e.at(t) for t in e.crossings(p, ux, uy))
        )
        return [(a, b) for a, b in zip(ts[::2], ts[1::2], strict=False) if b - a > 1e-9]

    def cut(self, p: Point, ux: float, uy: float) -> list[Outline]:
        """List what lies left of the line through p along unit vector u: a shape or several, or none."""
        runs: list[list[Vertex]] = []  # open runs of kept vertices, in order round the outline
        run: list[Vertex] | None = None
        for e in self.edges:
            stops = [0.0, *e.crossings(p, ux, uy), 1.0]
            for t0, t1 in pairwise(stops):
                if t1 - t0 < 1e-12:
                    continue
                mx, my = e.at((t0 + t1) / 2)
                if (mx - p[0]) * -uy + (my - p[1]) * ux <= 0:
                    run = None
                    continue
                stretch = e.between(t0, t1)
                if run is None:
                    run = []
                    runs.append(run)
                else:
                    run.pop()
                run.extend([(*stretch.a, stretch.bulge), (*stretch.b, 0.0)])
        if not runs:
            return []
        if run is not None and len(runs) > 1 and math.dist(runs[0][0][:2], run[-1][:2]) < 1e-7:
            runs[0] = [*run[:-1], *runs[0]]  # the outline began in the middle of a kept run
            runs.pop()
        return _joined(runs, p, ux, uy)

    def flattened(self, tolerance_mm: float) -> list[Point]:
        """Corner points of a polygon whose sides stay within `tolerance_mm` of the outline."""
        return list(_flattened(self, tolerance_mm))


@lru_cache(maxsize=256)
def _flattened(outline: Outline, tolerance_mm: float) -> tuple[Point, ...]:
    """The layers of a form have few outlines, and each of its files and pages asks for them all."""
    points: list[Point] = []
    for e in outline.edges:
        count = 1
        if e.bulge:
            step = 4 * math.asin(min(math.sqrt(tolerance_mm / e.radius_mm / 2), math.sqrt(0.5)))
            count = max(1, math.ceil(abs(e.sweep_rad) / step))
        points.extend(e.at(j / count) for j in range(count))
    return tuple(points)


def _with_true_arcs(vertices: Iterable[Vertex]) -> list[Vertex]:
    """The closed chain with arcs of over 10 km radius made straight: they bow by under 0.00002 mm in 1 m."""
    ring = list(vertices)
    return [
        (x, y, b if abs(b) * 4e10 > math.dist((x, y), q[:2]) else 0.0)
        for (x, y, b), q in zip(ring, [*ring[1:], *ring[:1]], strict=True)
    ]


def _joined(runs: Sequence[list[Vertex]], p: Point, ux: float, uy: float) -> list[Outline]:
    """Closed outlines from the runs left of a cutting line, joined along it."""

    def along(v: Vertex) -> float:
        return (v[0] - p[0]) * ux + (v[1] - p[1]) * uy

    # Left of the line an anticlockwise outline leaves at one crossing and comes back at the next one ahead.
    begins = sorted(range(len(runs)), key=lambda i: along(runs[i][0]))
    outlines = []
    free = set(begins)
    while free:
        first = min(free)
        ring: list[Vertex] = []
        at = first
        while at in free:
            free.discard(at)
            ring.extend(runs[at])
            here = along(runs[at][-1])
            at = next((i for i in begins if along(runs[i][0]) > here - 1e-9), first)
        outlines.append(Outline.tidy(ring))
    return outlines


def whole_circle(outline: Outline) -> tuple[Point, float] | None:
    """Centre and radius where every edge is an arc about one centre and together they go once round, else None."""
    edges = outline.edges
    if not all(e.bulge for e in edges):
        return None
    (cx, cy), radius = edges[0].centre, edges[0].radius_mm
    for e in edges[1:]:
        if math.dist(e.centre, (cx, cy)) > 1e-6 or abs(e.radius_mm - radius) > 1e-6:
            return None
    turn = math.fsum(e.sweep_rad for e in edges)
    return ((cx, cy), radius) if abs(turn - 2 * math.pi) < 1e-6 else None


def circle_outline(centre: Point, radius_mm: float) -> Outline:
    """A circle as an outline of two half arcs, anticlockwise."""
    x, y = centre
    return Outline(((x - radius_mm, y, 1.0), (x + radius_mm, y, 1.0)))


def crossing(curve: ArcSpline, tolerance_mm: float = 0.02) -> tuple[float, float] | None:
    """A point where the curve crosses itself, None where it does not.

    Args:
        curve: any curve.
        tolerance_mm: how close to it the chords are.
    """
    if math.fsum(length * abs(curvature) for length, curvature in curve.pieces) < math.pi:
        return None  # a curve comes back to itself only by turning more than half round
    for (length, curvature), pose in zip(curve.pieces, curve.knots, strict=False):
        if length * abs(curvature) >= 2.0 * math.pi:  # comes back to where it began
            return pose.x_mm, pose.y_mm
    return _first_crossing(curve.sampled(tolerance_mm), closed=False)


def outline_crossing(outline: Outline) -> tuple[float, float] | None:
    """A point where a closed outline runs through itself, None where it does not."""
    points = np.array(outline.flattened(OUTLINE_MM))
    return _first_crossing(np.vstack([points, points[:1]]), closed=True)


def strip_crossing(centre: ArcSpline, thickness_mm: float) -> tuple[float, float] | None:
    """A point where a strip of that thickness about a centre line runs through itself, None where it does not."""
    if math.fsum(length * abs(curvature) for length, curvature in centre.pieces) < math.pi:
        return None
    faces = centre.parallel(-thickness_mm / 2.0), centre.parallel(thickness_mm / 2.0)
    return outline_crossing(Outline.of(faces[0], faces[1].reversed()))


def _first_crossing(points: Array, *, closed: bool) -> tuple[float, float] | None:
    """The first point in which two chords meet that are no neighbours; points (n, 2)."""
    a, d = points[:-1], np.diff(points, axis=0)
    count = len(d)
    for begin in range(0, count, _ROWS):
        rows = slice(begin, begin + _ROWS)
        across = d[rows, None, 0] * d[None, :, 1] - d[rows, None, 1] * d[None, :, 0]
        gap = a[None, :, :] - a[rows, None, :]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (gap[..., 0] * d[None, :, 1] - gap[..., 1] * d[None, :, 0]) / across
            u = (gap[..., 0] * d[rows, None, 1] - gap[..., 1] * d[rows, None, 0]) / across
        apart = np.arange(count)[None, :] - np.arange(count)[rows, None]
        looked_at = (apart > 1) & ((apart < count - 1) | (not closed))
        hits = np.argwhere(looked_at & (t >= 0.0) & (t <= 1.0) & (u >= 0.0) & (u <= 1.0))
        if len(hits):
            i, j = hits[0]
            x, y = a[begin + i] + t[i, j] * d[begin + i]
            return float(x), float(y)
    return None
