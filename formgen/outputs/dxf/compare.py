"""Stage `outputs`: shapes of a drawing held against those expected, one by one, and lines drawn twice; mm.

In: two lists of `Drawn` shapes of one kind on one drawing layer. Out: one line for each difference, which says how
large it is.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from formgen.geometry.outline import Edge
from formgen.outputs.dxf.shapes import Drawn

#: Places and sizes agree within this: numbers in a file have some 16 digits, in inches or mm.
SAME_MM = 1e-6


def differences(layer: str, expected: Sequence[Drawn], found: Sequence[Drawn]) -> Iterator[str]:
    """Differences on one drawing layer: what is missing, what is there beside, what is not the same."""
    left = list(found)
    unmet: list[Drawn] = []
    for wanted in expected:
        same = next((i for i, held in enumerate(left) if gap_mm(wanted, held) <= SAME_MM), None)
        if same is None:
            unmet.append(wanted)
        else:
            left.pop(same)
    for wanted in unmet:
        if not left or wanted.kind == "text":
            yield f"drawing layer {layer}: {wanted.what} is missing{_quoted(wanted)}: build again"
            continue
        nearest = min(left, key=lambda held: _apart_mm(wanted, held))
        left.remove(nearest)
        yield f"drawing layer {layer}: {wanted.what}: {_told(wanted, nearest)}: cut from another file? build again"
    for held in left:
        yield (
            f"drawing layer {layer}: holds {held.what} more than the model{_place(held)}{_quoted(held)}: "
            "drawn by hand? build again"
        )


def gap_mm(wanted: Drawn, held: Drawn) -> float:
    """Greatest distance between corresponding points; infinite for shapes that do not correspond."""
    if wanted.text != held.text:
        return math.inf
    if wanted.kind == "text":
        return 0.0
    if len(wanted.vertices) != len(held.vertices):
        return math.inf
    gap = abs(wanted.size_mm - held.size_mm)
    ring = (*wanted.vertices[1:], wanted.vertices[0])
    for (x, y, bulge), (nx, ny, _), (hx, hy, held_bulge) in zip(wanted.vertices, ring, held.vertices, strict=True):
        # A bulge is the height of an arc over half its chord.
        gap = max(gap, math.hypot(hx - x, hy - y), abs(held_bulge - bulge) * math.hypot(nx - x, ny - y) / 2)
        if gap > SAME_MM:
            return gap
    return gap


def _apart_mm(wanted: Drawn, held: Drawn) -> float:
    return max((abs(a - b) for a, b in zip(wanted.bounds_mm, held.bounds_mm, strict=True)), default=math.inf)


def _told(wanted: Drawn, held: Drawn) -> str:
    """Say how the two differ, in the numbers that a shop can check."""
    told = []
    if wanted.text != held.text:
        told.append(f"its text is {held.text!r}, expected {wanted.text!r}")
    if wanted.kind == "circle":
        if abs(held.size_mm - wanted.size_mm) > SAME_MM:
            told.append(f"diameter {held.size_mm:.3f} mm, expected {wanted.size_mm:.3f}")
        shift = math.dist(wanted.vertices[0][:2], held.vertices[0][:2])
        if shift > SAME_MM:
            told.append(f"its centre is {shift:.3f} mm off")
        return ", ".join(told)
    a, b = wanted.outline, held.outline
    if a is not None and b is not None:
        area, length = b.area_mm2 - a.area_mm2, b.length_mm - a.length_mm
        if abs(area) > 1e-3:
            told.append(f"area {abs(area):.3f} mm² {'larger' if area > 0 else 'smaller'} than the model")
        if abs(length) > 1e-4:
            told.append(f"{abs(length):.4f} mm {'longer' if length > 0 else 'shorter'} round")
    elif a is not None:
        told.append("it does not enclose an area")
    if len(wanted.vertices) != len(held.vertices):
        told.append(f"{len(held.vertices)} corners, expected {len(wanted.vertices)}")
    else:
        shift = max(math.dist(p[:2], q[:2]) for p, q in zip(wanted.vertices, held.vertices, strict=True))
        told.append(f"a corner is {shift:.6f} mm off" if shift > SAME_MM else "an arc bends otherwise")
    return ", ".join(told)


def _place(held: Drawn) -> str:
    x, y, _ = held.vertices[0]
    return f" at ({x:.1f}, {y:.1f}) mm" if math.isfinite(x) else ""


def _quoted(drawn: Drawn) -> str:
    return f" ({drawn.text!r})" if drawn.text else ""


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
