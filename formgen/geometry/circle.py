"""Geometry: outlines that are whole circles, which every format has a shorter word for; mm."""

from __future__ import annotations

import math

from formgen.geometry.outline import Outline, Point


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
