"""Stage `outputs`: shapes of a drawing held against the shapes expected there, one by one; mm.

In: two lists of `Drawn` shapes of one kind on one drawing layer. Out: one line for each difference, which says how
large it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

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
