"""Stage `form`: where there is room: distances from many points to edges and to features already placed.

In: outlines and capsules (a segment with a radius: a hole, a slot, a joint, a port). Out: for each point the
free distance in mm, negative outside. All points are measured together, because placing asks for thousands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from formgen.curve.outline import Edge, Outline, Point
from formgen.recipe.schema import WALL_MM

__all__ = ["WALL_MM", "Capsule", "Room"]

Array = NDArray[np.float64]


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
        """From each point, (n, 2), to the nearest edge or capsule, (n,): the largest circle that fits there."""
        free = self._inside(points)
        if self.taken:
            a, b, radius = self._capsules
            d = b - a
            square = np.einsum("cj,cj->c", d, d)
            t = np.einsum("pcj,cj->pc", points[:, None] - a, d) / np.where(square > 0, square, 1.0)
            gaps = points[:, None] - a - np.clip(t, 0.0, 1.0)[..., None] * d
            free = np.minimum(free, np.min(np.hypot(gaps[..., 0], gaps[..., 1]) - radius, axis=1))
        return free

    def along(self, a: Point, b: Point, samples: int = 9) -> float:
        """Least free distance on a segment."""
        t = np.linspace(0.0, 1.0, samples)[:, None]
        return float(np.min(self.free(np.asarray(a) * (1 - t) + np.asarray(b) * t)))

    @cached_property
    def _capsules(self) -> tuple[Array, Array, Array]:
        a, b = np.array([c.a for c in self.taken]), np.array([c.b for c in self.taken])
        return a, b, np.array([c.radius_mm for c in self.taken])

    @cached_property
    def _edges(self) -> tuple[_Edges, ...]:
        return tuple(_Edges(outline.edges) for outline in dict.fromkeys(self.outlines))

    def _inside(self, points: Array) -> Array:
        if not self.outlines:
            return np.full(len(points), np.inf)
        signed = [edges.distance(points) * edges.side(points) for edges in self._edges]
        return np.asarray(np.min(np.array(signed), axis=0))


class _Edges:
    """The edges of one outline as arrays, so that all points meet all edges at once."""

    def __init__(self, edges: Sequence[Edge]) -> None:
        self.a = np.array([e.a for e in edges])
        self.b = np.array([e.b for e in edges])
        self.arc = np.array([e.bulge != 0.0 for e in edges])
        arcs = [e for e in edges if e.bulge]
        self.centre = np.array([e.centre for e in arcs]).reshape(-1, 2)
        self.radius = np.array([e.radius_mm for e in arcs])
        self.sweep = np.array([e.sweep_rad for e in arcs])
        start = self.a[self.arc] - self.centre
        self.begin = np.arctan2(start[:, 1], start[:, 0])

    def distance(self, points: Array) -> Array:
        """Least distance from each point to the edges, not signed."""
        away = [np.full(len(points), np.inf)]
        a, b = self.a[~self.arc], self.b[~self.arc]
        if len(a):
            d = b - a
            t = np.einsum("pej,ej->pe", points[:, None] - a, d) / np.einsum("ej,ej->e", d, d)
            feet = a + np.clip(t, 0.0, 1.0)[..., None] * d
            gaps = points[:, None] - feet
            away.append(np.min(np.hypot(gaps[..., 0], gaps[..., 1]), axis=1))
        if len(self.radius):
            v = points[:, None] - self.centre
            turn = (np.arctan2(v[..., 1], v[..., 0]) - self.begin) * np.sign(self.sweep) % (2 * np.pi)
            on_arc = np.abs(np.hypot(v[..., 0], v[..., 1]) - self.radius)
            away.append(np.min(np.where(turn <= np.abs(self.sweep), on_arc, np.inf), axis=1))
        ends = points[:, None] - self.a
        away.append(np.min(np.hypot(ends[..., 0], ends[..., 1]), axis=1))
        return np.asarray(np.min(np.array(away), axis=0))

    def side(self, points: Array) -> Array:
        """+1 inside, −1 outside: the winding of the vertices, mended by each arc's own segment."""
        x, y = points[:, :1], points[:, 1:]
        (ax, ay), (bx, by) = self.a.T, self.b.T
        spans = (ay <= y) != (by <= y)
        with np.errstate(divide="ignore", invalid="ignore"):
            crossing = ax + (y - ay) * (bx - ax) / (by - ay)
        inside = np.sum(spans & (crossing > x), axis=1) % 2 == 1
        if len(self.radius):
            v = points[:, None] - self.centre
            in_disc = np.hypot(v[..., 0], v[..., 1]) < self.radius
            a, b = self.a[self.arc], self.b[self.arc]
            cross = (b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (b[:, 1] - a[:, 1]) * (x - a[:, 0])
            in_segment = in_disc & ((cross < 0) == (self.sweep > 0))
            inside ^= np.sum(in_segment, axis=1) % 2 == 1
        return np.where(inside, 1.0, -1.0)
