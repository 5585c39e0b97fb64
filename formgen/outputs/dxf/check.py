"""Stage `outputs`: a DXF file read again and held against the model, shape by shape.

In: a file, the shapes that it must hold, and the faces that its outlines must follow; mm. Out: one line for each
difference, which says how large it is; none means that the file is good.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np

from formgen.form.model import Form
from formgen.form.stack import Layer
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Edge
from formgen.lengths import Units
from formgen.outputs.dxf.layers import IN_WORDS, LayerNames, drawing_units, in_a_row, names_of, stack_layer
from formgen.outputs.dxf.reader import read_drawing
from formgen.outputs.dxf.shapes import Drawn, layer_drawing, stack_drawing
from formgen.recipe.shop import Router

#: Places and sizes agree within this: numbers in a file have some 16 digits, in inches or mm.
SAME_MM = 1e-6
#: Edges are on one another from this length on (mm).
TWICE_MM = 1e-3
#: The face may be this far from the file's outline.
FACE_MM = 0.01
#: Points on a face that are looked at.
FACE_POINTS = 65


class Face(NamedTuple):
    """The face of a layer of board, which outlines in a drawing must follow.

    Where the layer's outline leaves the face in the model (a bar seat), so may the file.

    Args:
        drawing_layer: where the outlines are.
        layer: whose face it is.
        shifts_mm: shift along x of each outline in the drawing, in the file's order.
    """

    drawing_layer: str
    layer: Layer
    shifts_mm: tuple[float, ...] = (0.0,)


def check_layer(path: Path, form: Form, layer: Layer) -> Iterator[str]:
    """Differences of the drawing of one layer."""
    shop, names = form.recipe.shop, names_of(form, layer)
    face = Face(names.outside_profile, layer, tuple(dx_mm for _, dx_mm in in_a_row(layer, shop)))
    drawn = layer_drawing(form, layer)
    return check_drawing(path, drawn, shop.router, drawing_units(form), names=names, faces=(face,))


def check_stack(path: Path, form: Form) -> Iterator[str]:
    """Differences of the drawing of the whole stack."""
    faces = [Face(stack_layer(layer), layer) for layer in form.layers]
    return check_drawing(path, stack_drawing(form), form.recipe.shop.router, drawing_units(form), faces=faces)


def check_drawing(
    path: Path,
    expected: Sequence[Drawn],
    router: Router,
    units: Units,
    *,
    names: LayerNames | None = None,
    faces: Sequence[Face] = (),
) -> Iterator[str]:
    """Differences of one DXF file, each without the file's name.

    Args:
        path: the file.
        expected: what it must hold.
        router: says the DXF version.
        units: of the drawing.
        names: of its drawing layers; lines may lie on one another among labels and marks, none of which cuts.
        faces: what its outlines must follow.
    """
    in_inches, written = units == "in", {names.labels.upper(), names.marks.upper()} if names else set()
    try:
        found, version, says_inches = read_drawing(path, in_inches=in_inches)
    except ValueError as err:
        yield f"cannot be read as DXF ({' '.join(str(err).split()) or 'no reason given'}): build again"
        return
    if version != router.dxf_version:
        yield f"is DXF {version}, expected {router.dxf_version}: build again"
    if router.dxf_version != "R12" and says_inches != in_inches:
        yield f"does not say that its units are {IN_WORDS[units]}: build again"
    yield from drawn_twice(d for d in found if d.layer not in written)
    wanted, held = _by_layer(expected), _by_layer(found)
    for key in sorted(wanted.keys() | held.keys()):
        yield from differences(key[0], wanted.get(key, []), held.get(key, []))
    for face in faces:
        yield from _off_the_face(found, face)


def _by_layer(drawn: Sequence[Drawn]) -> dict[tuple[str, str], list[Drawn]]:
    groups: dict[tuple[str, str], list[Drawn]] = defaultdict(list)
    for d in drawn:
        groups[d.layer, d.kind].append(d)
    return groups


def _off_the_face(found: Sequence[Drawn], face: Face) -> Iterator[str]:
    """A line if the outlines of the file leave the face where the model's outline keeps to it."""
    curve = face.layer.face
    points = curve.points(np.linspace(0.0, curve.length_mm, FACE_POINTS))
    points = points[distances_mm(points, face.layer.outline.edges) < FACE_MM / 100]
    outlines = [d.outline for d in found if d.layer == face.drawing_layer.upper() and d.kind == "closed outline"]
    off = np.full(len(points), np.inf)
    for outline, dx_mm in zip(outlines, face.shifts_mm, strict=False):
        if outline is not None:
            np.minimum(off, distances_mm(points + np.array([dx_mm, 0.0]), outline.edges), out=off)
    if len(points) and off.max() > FACE_MM:
        yield (
            f"drawing layer {face.drawing_layer}: the outline is {off.max():.3f} mm off the form face, "
            f"expected within {FACE_MM} mm: build again"
        )


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


def drawn_twice(found: Iterable[Drawn]) -> Iterator[str]:
    """One line for each drawing layer on which a stretch is drawn twice."""
    tracks: dict[tuple[object, ...], list[tuple[float, float]]] = defaultdict(list)
    for drawn in found:
        for edge in _edges(drawn):
            key, stretches = _track(edge)
            tracks[(drawn.layer, *key)] += stretches
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


def _track(edge: Edge) -> tuple[tuple[object, ...], list[tuple[float, float]]]:
    """List what an edge runs along (a line or a circle), and its stretches there in mm."""
    if not edge.bulge:
        angle = math.atan2(edge.b[1] - edge.a[1], edge.b[0] - edge.a[0]) % math.pi
        angle = 0.0 if math.pi - angle < 1e-9 else angle
        ux, uy = math.cos(angle), math.sin(angle)
        off = edge.a[1] * ux - edge.a[0] * uy
        low, high = sorted((edge.a[0] * ux + edge.a[1] * uy, edge.b[0] * ux + edge.b[1] * uy))
        return ("line", round(angle, 6), round(off, 4)), [(low, high)]
    (cx, cy), r, full = edge.centre, edge.radius_mm, 2 * math.pi
    low = min(edge.begin_rad, edge.begin_rad + edge.sweep_rad) % full
    high = low + abs(edge.sweep_rad)
    stretches = [(low, high)] if high <= full else [(low, full), (0.0, high - full)]
    return ("arc", round(cx, 4), round(cy, 4), round(r, 4)), [(a * r, b * r) for a, b in stretches]


def _overlap_mm(stretches: list[tuple[float, float]]) -> float:
    """Length that more than one stretch covers."""
    total, reach = 0.0, -math.inf
    for a, b in sorted(stretches):
        total += max(0.0, min(b, reach) - a)
        reach = max(reach, b)
    return total if total > TWICE_MM else 0.0
