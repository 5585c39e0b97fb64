"""Stage `curve`: closed shapes of lines and arcs, with corners: what a cutter runs around.

In: vertices with bulges, as a DXF polyline has them. Out: area, length, extents, inside or outside,
distance to the edge, crossings with a line, and the parts left when a line cuts the shape; mm.
Outlines run anticlockwise. Closed forms throughout: arcs are never flattened here, except by `flattened`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from formgen.curve.arcspline import ArcSpline
from formgen.errors import CurveError

Point = tuple[float, float]
Vertex = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Edge:
    """A line (bulge 0) or an arc from a to b; bulge = tan(sweep/4), positive to the left (anticlockwise)."""

    a: Point
    b: Point
    bulge: float

    @property
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

    @property
    def radius_mm(self) -> float:
        """Radius, positive; infinite for a line."""
        return self.chord_mm * (1 + self.bulge**2) / (4 * abs(self.bulge)) if self.bulge else math.inf

    @property
    def centre(self) -> Point:
        """Centre of the arc; of no use for a line."""
        mx, my = (self.a[0] + self.b[0]) / 2, (self.a[1] + self.b[1]) / 2
        k = (1 - self.bulge**2) / (4 * self.bulge)  # distance to the centre over the chord, to the left
        return mx - k * (self.b[1] - self.a[1]), my + k * (self.b[0] - self.a[0])

    def at(self, t: float) -> Point:
        """The point at a share t, 0 to 1, of the length."""
        if not self.bulge:
            return self.a[0] + t * (self.b[0] - self.a[0]), self.a[1] + t * (self.b[1] - self.a[1])
        cx, cy = self.centre
        c, s = math.cos(t * self.sweep_rad), math.sin(t * self.sweep_rad)
        dx, dy = self.a[0] - cx, self.a[1] - cy
        return cx + c * dx - s * dy, cy + s * dx + c * dy

    def between(self, t0: float, t1: float) -> Edge:
        """The stretch between two shares of the length."""
        a = self.a if t0 <= 0 else self.at(t0)
        b = self.b if t1 >= 1 else self.at(t1)
        return Edge(a, b, math.tan((t1 - t0) * self.sweep_rad / 4.0))

    def share_of(self, angle_rad: float) -> float:
        """Share of the length at which the arc has that direction from its centre; above 1 if it never has."""
        begin = math.atan2(self.a[1] - self.centre[1], self.a[0] - self.centre[0])
        turn = (angle_rad - begin) * math.copysign(1.0, self.bulge) % (2 * math.pi)
        return turn / abs(self.sweep_rad)

    def farthest(self, ux: float, uy: float) -> float:
        """Greatest x·u over the edge, u a unit vector."""
        best = max(self.a[0] * ux + self.a[1] * uy, self.b[0] * ux + self.b[1] * uy)
        if self.bulge and self.share_of(math.atan2(uy, ux)) <= 1.0:
            cx, cy = self.centre
            best = max(best, cx * ux + cy * uy + self.radius_mm)
        return best

    def distance(self, p: Point) -> float:
        """Distance from a point to the edge."""
        if not self.bulge:
            dx, dy = self.b[0] - self.a[0], self.b[1] - self.a[1]
            t = ((p[0] - self.a[0]) * dx + (p[1] - self.a[1]) * dy) / (dx * dx + dy * dy)
            return math.dist(p, self.at(min(max(t, 0.0), 1.0)))
        cx, cy = self.centre
        if self.share_of(math.atan2(p[1] - cy, p[0] - cx)) <= 1.0:
            return abs(math.dist(p, (cx, cy)) - self.radius_mm)
        return min(math.dist(p, self.a), math.dist(p, self.b))

    def crossings(self, p: Point, ux: float, uy: float) -> list[float]:
        """Shares at which the edge meets the line through p along unit vector u (touching counts twice or never)."""
        da = (self.a[0] - p[0]) * -uy + (self.a[1] - p[1]) * ux
        db = (self.b[0] - p[0]) * -uy + (self.b[1] - p[1]) * ux
        if not self.bulge:
            return [da / (da - db)] if (da < 0) != (db < 0) else []
        cx, cy = self.centre
        off = (cx - p[0]) * -uy + (cy - p[1]) * ux  # centre to the left of the line
        if abs(off) >= self.radius_mm:
            return []
        base = math.atan2(ux, -uy)  # direction of the line's left normal
        swing = math.acos(-off / self.radius_mm)
        shares = (self.share_of(base + swing), self.share_of(base - swing))
        return sorted(t for t in shares if t < 1.0)


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
        for v in vertices:
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
        (ux, uy), hl, hw = along, length_mm / 2, width_mm / 2
        return cls.tidy([
            (centre[0] + a * hl * ux - b * hw * uy, centre[1] + a * hl * uy + b * hw * ux, 0.0)
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ])

    @classmethod
    def obround(cls, centre: Point, along: Point, length_mm: float, width_mm: float) -> Outline:
        """A slot with round ends, `length_mm` over all along a unit vector; a circle where length = width."""
        (ux, uy), r = along, width_mm / 2
        h = length_mm / 2 - r
        corners = [
            (centre[0] + a * h * ux - b * r * uy, centre[1] + a * h * uy + b * r * ux, bulge)
            for a, b, bulge in ((-1, -1, 0.0), (1, -1, 1.0), (1, 1, 0.0), (-1, 1, 1.0))
        ]
        return cls.tidy(corners)

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
        ring = (*self.vertices, self.vertices[0])
        return tuple(Edge(p[:2], q[:2], p[2]) for p, q in pairwise(ring))

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

    def extent(self, ux: float, uy: float) -> tuple[float, float]:
        """Least and greatest x·u over the outline, u a unit vector."""
        return -max(e.farthest(-ux, -uy) for e in self.edges), max(e.farthest(ux, uy) for e in self.edges)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x greatest, y greatest)."""
        (x0, x1), (y0, y1) = self.extent(1, 0), self.extent(0, 1)
        return x0, y0, x1, y1

    def contains(self, p: Point) -> bool:
        """Whether the point lies inside (points on the edge may go either way)."""
        inside = False
        for e in self.edges:
            for t in e.crossings(p, 1.0, 0.0):
                inside ^= e.at(t)[0] > p[0]
        return inside

    def distance(self, p: Point) -> float:
        """Distance from a point, inside or out, to the nearest edge."""
        return min(e.distance(p) for e in self.edges)

    def chords(self, p: Point, ux: float, uy: float) -> list[tuple[float, float]]:
        """Stretches of the line p + t·u inside the outline, as (t in, t out), rising."""
        ts = sorted(
            (x - p[0]) * ux + (y - p[1]) * uy
            for e in self.edges
            for x, y in (e.at(t) for t in e.crossings(p, ux, uy))
        )
        return [(a, b) for a, b in zip(ts[::2], ts[1::2], strict=False) if b - a > 1e-9]

    def cut(self, p: Point, ux: float, uy: float) -> list[Outline]:
        """What is left to the left of the line through p along unit vector u, a shape or several; none if nothing is."""
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
        points: list[Point] = []
        for e in self.edges:
            count = 1
            if e.bulge:
                step = 2 * math.acos(max(1 - tolerance_mm / e.radius_mm, 0.0))
                count = max(1, math.ceil(abs(e.sweep_rad) / step))
            points.extend(e.at(j / count) for j in range(count))
        return points


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
