"""Stage `reports`: shapes that the views draw, from curves that the stages made: the part's strip, its ends, its plies.

In: a Form. Out: outlines and curves, mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.edge import Edge
from formgen.geometry.outline import Outline, Point
from formgen.geometry.pose import Pose
from formgen.laminate.plies import Laminate

Bounds = tuple[float, float, float, float]
#: A line is looked at so far to both its sides, since it may run along an edge; and runs inside from so much on (mm).
BESIDE_MM, WITHIN_MM = 0.02, 1.0


def strip(centre: ArcSpline, thickness_mm: float) -> Outline:
    """The part's thickness along a centre line."""
    return Outline.of(centre.parallel(-thickness_mm / 2), centre.parallel(thickness_mm / 2).reversed())


def cut_line(pose: Pose, lean_rad: float, left_mm: float, right_mm: float) -> tuple[Point, Point]:
    """A saw cut across a part: through its centre line, so far to its left and right, turned by the lean."""
    nx, ny = pose.left
    c, s = math.cos(lean_rad), math.sin(lean_rad)
    dx, dy = c * nx - s * ny, s * nx + c * ny
    a, b = left_mm / c, -right_mm / c
    return (pose.x_mm + a * dx, pose.y_mm + a * dy), (pose.x_mm + b * dx, pose.y_mm + b * dy)


def leans(laminate: Laminate) -> tuple[float, float]:
    """Find how far the cuts at the right and the left end are turned from the curve's left normal."""
    right, left = laminate.arch.mitre_rad
    return -right, left


def ply_lines(curve: ArcSpline, laminate: Laminate) -> Iterator[ArcSpline]:
    """The glue lines, parallel to a centre line."""
    for ply in laminate.plies[:-1]:
        yield curve.parallel(ply.offset_mm - ply.thickness_mm / 2)


def arcs(curve: ArcSpline) -> list[tuple[Point, float, float, float]]:
    """Its round stretches: centre, radius, direction from the centre at the begin, turning (rad, left positive)."""
    merged = curve.merged()
    found = []
    for pose, (length, k) in zip(merged.knots, merged.pieces, strict=False):
        if abs(k) > 1e-9:
            nx, ny = pose.left
            centre = (pose.x_mm + nx / k, pose.y_mm + ny / k)
            begin = math.atan2(pose.y_mm - centre[1], pose.x_mm - centre[0])
            found.append((centre, 1.0 / abs(k), begin, length * k))
    return found


def passing_x(curve: ArcSpline, x_mm: float) -> list[Point]:
    """List where the curve passes an x."""
    turned = curve.moved(0.0, 0.0, math.pi / 2)  # y of the turned curve is x of this one
    poses = [curve.pose(s) for s in turned.at_height(x_mm)]
    return [(p.x_mm, p.y_mm) for p in poses]


def around(boxes: Iterable[Bounds]) -> Bounds:
    """Bounds of all that lies within some bounds."""
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def bounds(curve: ArcSpline) -> Bounds:
    """(x least, y least, x greatest, y greatest) of a curve, exact."""
    edges = [Edge(a[:2], b[:2], a[2]) for a, b in pairwise(curve.vertices())]
    x0, x1 = -max(e.farthest(-1, 0) for e in edges), max(e.farthest(1, 0) for e in edges)
    y0, y1 = -max(e.farthest(0, -1) for e in edges), max(e.farthest(0, 1) for e in edges)
    return x0, y0, x1, y1


def farthest(edges: Sequence[Edge], ux: float, uy: float) -> Point:
    """The point that lies farthest in a direction of length 1; of several the leftmost, then the lowest."""
    most = max(e.farthest(ux, uy) for e in edges)
    found = []
    for e in edges:
        if e.farthest(ux, uy) < most - 1e-6:
            continue
        ends = [p for p in (e.a, e.b) if p[0] * ux + p[1] * uy > most - 1e-6]
        found += ends or [(e.centre[0] + e.radius_mm * ux, e.centre[1] + e.radius_mm * uy)]
    return min(found)


def way_out(outlines: Iterable[Outline], p: Point, ux: float, uy: float) -> tuple[Point, bool]:
    """Find where a line in a direction of length 1 has left all outlines, and whether it runs inside one before."""
    held = tuple(outlines)
    beside = [(p[0] - shift * uy, p[1] + shift * ux) for shift in (-BESIDE_MM, BESIDE_MM)]
    runs = [[(max(a, 0.0), b) for o in held for a, b in o.chords(q, ux, uy) if b > BESIDE_MM] for q in beside]
    far = max((b for on_side in runs for _, b in on_side), default=0.0)
    inside = all(any(b - a > WITHIN_MM for a, b in on_side) for on_side in runs)
    return (p[0] + far * ux, p[1] + far * uy), inside
