"""Stage `reports`: shapes that the views draw, from curves that the stages made: the part's strip, its ends, its plies.

In: a Form. Out: outlines and curves, mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.edge import Edge
from formgen.geometry.outline import Outline, Point
from formgen.geometry.pose import Pose
from formgen.holding.model import Holding
from formgen.laminate.plies import Laminate


def strip(centre: ArcSpline, thickness_mm: float) -> Outline:
    """The part's thickness along a centre line."""
    return Outline.of(centre.parallel(-thickness_mm / 2), centre.parallel(thickness_mm / 2).reversed())


def blank(form: Holding) -> ArcSpline:
    """The pressed centre line with the waste at both ends."""
    return form.laminate.pressed.extended(*form.arch.waste_mm)


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


def finished(laminate: Laminate) -> Outline:
    """The finished part as it must end up, its ends cut."""
    arch = laminate.arch
    right, left = leans(laminate)
    if not right and not left:
        return strip(arch.target, laminate.thickness_mm)
    shape = strip(arch.target.extended(*arch.waste_mm), laminate.thickness_mm)
    for pose, lean, keep in ((arch.target.start, right, 1.0), (arch.target.end, left, -1.0)):
        a, b = cut_line(pose, lean, keep, 0.0)
        length = math.dist(a, b)
        along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        shape = max(shape.cut(b, *along), key=lambda piece: piece.area_mm2)
    return shape


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


def bounds(curve: ArcSpline) -> tuple[float, float, float, float]:
    """(x least, y least, x greatest, y greatest) of a curve, exact."""
    edges = [Edge(a[:2], b[:2], a[2]) for a, b in pairwise(curve.vertices())]
    x0, x1 = -max(e.farthest(-1, 0) for e in edges), max(e.farthest(1, 0) for e in edges)
    y0, y1 = -max(e.farthest(0, -1) for e in edges), max(e.farthest(0, 1) for e in edges)
    return x0, y0, x1, y1
