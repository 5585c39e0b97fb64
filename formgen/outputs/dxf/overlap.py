"""Stage `outputs`: lines and arcs that lie on one another in a drawing, which a router would cut twice; mm."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import pairwise

from formgen.geometry.outline import Edge
from formgen.outputs.dxf.shapes import Drawn

#: Edges are on one another from this length on (mm).
TWICE_MM = 1e-3


def drawn_twice(found: Iterable[Drawn]) -> Iterator[str]:
    """One line for each drawing layer on which a stretch is drawn twice."""
    tracks: dict[tuple[object, ...], list[tuple[float, float]]] = defaultdict(list)
    for drawn in found:
        for edge in _edges(drawn):
            key, stretches, scale_mm = _track(edge)
            tracks[(drawn.layer, *key)] += [(a * scale_mm, b * scale_mm) for a, b in stretches]
        if drawn.kind == "circle":
            x, y, _ = drawn.vertices[0]
            r = drawn.size_mm / 2
            tracks[(drawn.layer, "arc", round(x, 4), round(y, 4), round(r, 4))].append((0.0, 2 * math.pi * r))
    twice: dict[str, float] = defaultdict(float)
    for key, stretches in tracks.items():
        twice[str(key[0])] += _overlap_mm(stretches)
    for layer, length_mm in sorted(twice.items()):
        if length_mm > TWICE_MM:
            yield f"drawing layer {layer}: {length_mm:.3f} mm are drawn twice: build again"


def _edges(drawn: Drawn) -> Iterator[Edge]:
    if drawn.kind not in ("closed outline", "open line"):
        return
    ring = [*drawn.vertices, drawn.vertices[0]] if drawn.kind == "closed outline" else list(drawn.vertices)
    for a, b in pairwise(ring):
        if math.dist(a[:2], b[:2]) > TWICE_MM:
            yield Edge(a[:2], b[:2], a[2])


def _track(edge: Edge) -> tuple[tuple[object, ...], list[tuple[float, float]], float]:
    """List what an edge runs along (a line or a circle), its stretches there, and mm for each unit of a stretch."""
    if not edge.bulge:
        angle = math.atan2(edge.b[1] - edge.a[1], edge.b[0] - edge.a[0]) % math.pi
        angle = 0.0 if math.pi - angle < 1e-9 else angle
        ux, uy = math.cos(angle), math.sin(angle)
        off = edge.a[1] * ux - edge.a[0] * uy
        ends = sorted((edge.a[0] * ux + edge.a[1] * uy, edge.b[0] * ux + edge.b[1] * uy))
        return ("line", round(angle, 6), round(off, 4)), [(ends[0], ends[1])], 1.0
    cx, cy = edge.centre
    low = min(edge.begin_rad, edge.begin_rad + edge.sweep_rad) % (2 * math.pi)
    high = low + abs(edge.sweep_rad)
    full = 2 * math.pi
    stretches = [(low, high)] if high <= full else [(low, full), (0.0, high - full)]
    return ("arc", round(cx, 4), round(cy, 4), round(edge.radius_mm, 4)), stretches, edge.radius_mm


def _overlap_mm(stretches: list[tuple[float, float]]) -> float:
    """Length that more than one stretch covers."""
    total, reach = 0.0, -math.inf
    for a, b in sorted(stretches):
        total += max(0.0, min(b, reach) - a)
        reach = max(reach, b)
    return total if total > TWICE_MM else 0.0
