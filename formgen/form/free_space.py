"""Stage `form`: where there is room: distances from many points to edges and to features already placed.

In: outlines and capsules (a segment with a radius: a hole, a slot, a joint, a port). Out: for each point the
free distance in mm, or whether a circle fits there. All points are measured together, because placing asks for
thousands; what one test refuses the next does not look at.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from formgen.geometry.outline import Outline, Point
from formgen.recipe.schema import WALL_MM

__all__ = ["WALL_MM", "Capsule", "Room"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Capsule:
    """A segment from a to b, thick by `radius_mm` all round: the ground that a feature takes."""

    a: Point
    b: Point
    radius_mm: float


@dataclass(frozen=True, kw_only=True)
class Room:
    """The ground inside every one of the outlines (everywhere, if there are none) and outside every capsule."""

    outlines: tuple[Outline, ...]
    taken: tuple[Capsule, ...] = ()

    def less(self, capsules: Sequence[Capsule]) -> Room:
        """The room that is left when these are taken too."""
        return replace(self, taken=(*self.taken, *capsules))

    def free(self, points: Array) -> Array:
        """From each point, (n, 2), to the nearest edge or capsule, (n,): the largest circle that fits there.

        Negative inside a capsule; minus infinity outside an outline.
        """
        free = np.full(len(points), -np.inf)
        inside = np.flatnonzero(self.inside(points))
        free[inside] = np.inf
        for distance in self._distances:
            free[inside] = np.minimum(free[inside], distance(points[inside]))
        return free

    def inside(self, points: Array) -> Mask:
        """Whether each point, (n, 2), lies inside every outline, (n,)."""
        return _all_good(points, [edges.inside for edges in self._edges])

    def fits(self, points: Array, radius_mm: float) -> Mask:
        """Whether a circle fits at each point, (n, 2): `free` is no less than its radius, (n,)."""

        def far_enough(distance: Callable[[Array], Array]) -> Callable[[Array], Mask]:
            return lambda left: distance(left) >= radius_mm

        extents = (partial(edges.within, radius_mm=radius_mm) for edges in self._edges)
        inside = (edges.inside for edges in self._edges)
        return _all_good(points, [*extents, *inside, *map(far_enough, self._distances)])

    def fits_along(self, a: Point, b: Point, radius_mm: float, samples: int = 9) -> bool:
        """Whether a circle fits everywhere on a segment."""
        t = np.linspace(0.0, 1.0, samples)[:, None]
        return bool(np.all(self.fits(np.asarray(a) * (1 - t) + np.asarray(b) * t, radius_mm)))

    @property
    def _distances(self) -> tuple[Callable[[Array], Array], ...]:
        """What measures to capsules and to edges, the quickest first."""
        edges = tuple(e.distance for e in self._edges)
        return (self._to_capsules, *edges) if self.taken else edges

    @cached_property
    def _edges(self) -> tuple[_Edges, ...]:
        return tuple(_edges_of(outline) for outline in dict.fromkeys(self.outlines))

    @cached_property
    def _capsules(self) -> tuple[_Segments, Array]:
        return _Segments([(c.a, c.b) for c in self.taken]), np.array([c.radius_mm for c in self.taken])

    def _to_capsules(self, points: Array) -> Array:
        segments, radius = self._capsules
        x, y, t = segments.seen_from(points)
        return np.asarray((np.hypot(x - t * segments.dx, y - t * segments.dy) - radius).min(axis=1))


class _Segments:
    """Straight stretches as arrays: where each begins and how far it runs."""

    def __init__(self, ends: Sequence[tuple[Point, Point]]) -> None:
        self.x, self.y = _xy([a for a, _ in ends])
        bx, by = _xy([b for _, b in ends])
        self.dx, self.dy = bx - self.x, by - self.y
        square = self.dx * self.dx + self.dy * self.dy
        self.square = np.where(square > 0, square, 1.0)

    def seen_from(self, points: Array) -> tuple[Array, Array, Array]:
        """How far points (p, 2) lie past each begin in x and y, and the nearest share of each run: three of (p, s)."""
        x, y = points[:, :1] - self.x, points[:, 1:] - self.y
        return x, y, np.minimum(np.maximum((x * self.dx + y * self.dy) / self.square, 0.0), 1.0)


class _Edges:
    """The edges of one outline as arrays, so that all points meet all edges at once."""

    def __init__(self, outline: Outline) -> None:
        self.low, self.high = np.array(outline.bounds).reshape(2, 2)
        self.all = _Segments([(e.a, e.b) for e in outline.edges])
        self.following = np.roll(np.arange(len(outline.edges)), -1)
        self.lines = _Segments([(e.a, e.b) for e in outline.edges if not e.bulge])
        arcs = [e for e in outline.edges if e.bulge]
        self.arcs = _Segments([(e.a, e.b) for e in arcs])
        self.x, self.y = _xy([e.centre for e in arcs])
        self.radius = np.array([e.radius_mm for e in arcs])
        sweep = np.array([e.sweep_rad for e in arcs])
        self.sweep, self.turns = np.abs(sweep), np.sign(sweep)
        self.begin = np.arctan2(self.arcs.y - self.y, self.arcs.x - self.x)

    def distance(self, points: Array) -> Array:
        """Least distance from each point to the edges, not signed."""
        x, y = points[:, :1], points[:, 1:]
        least = np.hypot(x - self.all.x, y - self.all.y).min(axis=1)
        if len(self.lines.x):
            lines = self.lines
            _, _, t = lines.seen_from(points)
            away = np.hypot(x - (lines.x + t * lines.dx), y - (lines.y + t * lines.dy))
            least = np.minimum(least, away.min(axis=1))
        if len(self.x):
            vx, vy = x - self.x, y - self.y
            on_arc = np.abs(np.hypot(vx, vy) - self.radius)
            point, arc = np.nonzero(on_arc < least[:, None])  # only there it matters whether the arc reaches so far
            turn = (np.arctan2(vy[point, arc], vx[point, arc]) - self.begin[arc]) * self.turns[arc] % (2 * np.pi)
            reached = turn <= self.sweep[arc]
            np.minimum.at(least, point[reached], on_arc[point[reached], arc[reached]])
        return np.asarray(least)

    def within(self, points: Array, radius_mm: float) -> Mask:
        """Whether a circle at each point may lie inside, as far as the outline's extents tell."""
        reach = radius_mm - 1e-6
        return np.asarray(((points - reach >= self.low) & (points + reach <= self.high)).all(axis=1))

    def inside(self, points: Array) -> Mask:
        """Whether each point lies inside: the winding of the vertices, mended by each arc's own segment."""
        edges, arcs, (x, y) = self.all, self.arcs, points.T
        below = edges.y <= points[:, 1:]
        point, edge = np.nonzero(below != below[:, self.following])
        crossing = edges.x[edge] + (y[point] - edges.y[edge]) * edges.dx[edge] / edges.dy[edge]
        passed = np.bincount(point[crossing > x[point]], minlength=len(points))
        if len(self.x):
            vx, vy = points[:, :1] - self.x, points[:, 1:] - self.y
            point, arc = np.nonzero(vx * vx + vy * vy < self.radius**2)
            cross = arcs.dx[arc] * (y[point] - arcs.y[arc]) - arcs.dy[arc] * (x[point] - arcs.x[arc])
            passed += np.bincount(point[(cross < 0) == (self.turns[arc] > 0)], minlength=len(points))
        return np.asarray(passed % 2 == 1)


@lru_cache(maxsize=64)
def _edges_of(outline: Outline) -> _Edges:
    """A form asks for the room in a few outlines, over and over."""
    return _Edges(outline)


def _all_good(points: Array, tests: Sequence[Callable[[Array], Mask]]) -> Mask:
    """Which points pass every test, (n,): each test sees only what those before it left."""
    left = np.arange(len(points))
    for test in tests:
        if len(left):
            left = left[test(points[left])]
    good = np.zeros(len(points), dtype=bool)
    good[left] = True
    return good


def _xy(points: Sequence[Point]) -> tuple[Array, Array]:
    return np.array([x for x, _ in points]), np.array([y for _, y in points])
