"""Stage `form`: where there is room: distances from many points to edges and to features already placed.

In: outlines and capsules (a segment with a radius: a hole, a slot, a joint, a port). Out: for each point the
free distance in mm, or whether a circle fits there. All points are measured together, because placing asks for
thousands; what one test refuses the next does not look at.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache, partial

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.distance import Array, Edges, Lines, Mask
from formgen.geometry.outline import Outline, Point
from formgen.recipe.schema import WALL_MM

__all__ = ["WALL_MM", "Capsule", "Room", "grid_over", "size_text", "steps_about"]

#: A feature that clashes is tried this much further along, again and again (mm).
STEP_MM = 5.0


@fixed
class Capsule:
    """A segment from a to b, thick by `radius_mm` all round: the ground that a feature takes."""

    a: Point
    b: Point
    radius_mm: float


@fixed
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
        """Tell whether each point, (n, 2), lies inside every outline, (n,)."""
        return _all_good(points, [edges.inside for edges in self._edges])

    def fits(self, points: Array, radius_mm: float) -> Mask:
        """Tell whether a circle fits at each point, (n, 2): `free` is no less than its radius, (n,)."""

        def far_enough(distance: Callable[[Array], Array]) -> Callable[[Array], Mask]:
            return lambda left: distance(left) >= radius_mm

        extents = (partial(edges.within, radius_mm=radius_mm) for edges in self._edges)
        inside = (edges.inside for edges in self._edges)
        return _all_good(points, [*extents, *inside, *map(far_enough, self._distances)])

    def fits_along(self, a: Point, b: Point, radius_mm: float, samples: int = 9) -> bool:
        """Tell whether a circle fits everywhere on a segment."""
        t = np.linspace(0.0, 1.0, samples)[:, None]
        return bool(np.all(self.fits(np.asarray(a) * (1 - t) + np.asarray(b) * t, radius_mm)))

    @property
    def _distances(self) -> tuple[Callable[[Array], Array], ...]:
        """Measures of the way to capsules and to edges, the quickest first."""
        edges = tuple(e.distances_mm for e in self._edges)
        return (self._to_capsules, *edges) if self.taken else edges

    @cached_property
    def _edges(self) -> tuple[_Edges, ...]:
        return tuple(_edges_of(outline) for outline in dict.fromkeys(self.outlines))

    @cached_property
    def _capsules(self) -> tuple[Lines, Array]:
        return Lines([c.a for c in self.taken], [c.b for c in self.taken]), np.array([c.radius_mm for c in self.taken])

    def _to_capsules(self, points: Array) -> Array:
        lines, radius = self._capsules
        return np.asarray((lines.distances_mm(points) - radius).min(axis=1))


class _Edges(Edges):
    """The edges of an outline, and what lies inside them."""

    def __init__(self, outline: Outline) -> None:
        super().__init__(outline.edges)
        self.low, self.high = np.array(outline.bounds).reshape(2, 2)
        self.all = Lines([e.a for e in outline.edges], [e.b for e in outline.edges])
        self.following = np.roll(np.arange(len(outline.edges)), -1)
        arcs = [e for e in outline.edges if e.bulge]
        self.chords = Lines([e.a for e in arcs], [e.b for e in arcs])

    def within(self, points: Array, radius_mm: float) -> Mask:
        """Tell whether a circle at each point may lie inside, as far as the outline's extents tell."""
        reach = radius_mm - 1e-6
        return np.asarray(((points - reach >= self.low) & (points + reach <= self.high)).all(axis=1))

    def inside(self, points: Array) -> Mask:
        """Tell whether each point lies inside: the winding of the vertices, mended by each arc's own segment."""
        edges, chords, (x, y) = self.all, self.chords, points.T
        below = edges.y <= points[:, 1:]
        point, edge = np.nonzero(below != below[:, self.following])
        crossing = edges.x[edge] + (y[point] - edges.y[edge]) * edges.dx[edge] / edges.dy[edge]
        passed = np.bincount(point[crossing > x[point]], minlength=len(points))
        if len(chords.x):
            vx, vy = self.arcs.out(points)
            point, arc = np.nonzero(vx * vx + vy * vy < self.arcs.radius**2)
            cross = chords.dx[arc] * (y[point] - chords.y[arc]) - chords.dy[arc] * (x[point] - chords.x[arc])
            passed += np.bincount(point[(cross < 0) == (self.arcs.turns[arc] > 0)], minlength=len(points))
        return np.asarray(passed % 2 == 1)


@lru_cache(maxsize=64)
def _edges_of(outline: Outline) -> _Edges:
    """A form asks for the room in a few outlines, over and over."""
    return _Edges(outline)


def grid_over(outline: Outline, step_mm: float) -> Array:
    """Points of a grid over an outline's extents, (n, 2), the first half a step inside the lower left corner."""
    x0, y0, x1, y1 = outline.bounds
    grid = np.stack(np.meshgrid(np.arange(x0, x1, step_mm), np.arange(y0, y1, step_mm)), axis=-1)
    return np.asarray(grid.reshape(-1, 2) + step_mm / 2)


def steps_about(station_mm: float, count: int) -> Iterator[float]:
    """A station, and so many steps of 5 mm to either side of it in turn: where a feature that clashes is tried."""
    yield station_mm
    for i in range(1, count + 1):
        yield station_mm + i * STEP_MM
        yield station_mm - i * STEP_MM


def size_text(outline: Outline) -> str:
    """An outline's extents, `320 × 180 mm`."""
    x0, y0, x1, y1 = outline.bounds
    return f"{x1 - x0:.0f} × {y1 - y0:.0f} mm"


def _all_good(points: Array, tests: Sequence[Callable[[Array], Mask]]) -> Mask:
    """Return which points pass every test, (n,): each test sees only what those before it left."""
    left = np.arange(len(points))
    for test in tests:
        if len(left):
            left = left[test(points[left])]
    good = np.zeros(len(points), dtype=bool)
    good[left] = True
    return good
