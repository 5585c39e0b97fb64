"""Stage `outputs`: the whole stack as one watertight body in a binary STL, made from the outlines.

In: a `Form`. Out: one file in mm. Layers are joined to one body, pieces are not kept apart; marks and labels
are left out. No solid kernel is needed: each slab of the stack is a flat shape that is extruded, and the
slabs are united.

Arcs become chords whose ends lie on the arc. The ends stand on a grid of directions from the arc's centre that
depends on its radius only and holds the four quarter points, so the same arc in two layers gets the same
vertices and the crown of a face is one of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import cache, partial
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from formgen.errors import ExportError
from formgen.form.model import Form
from formgen.form.stack import Layer
from formgen.geometry.outline import Edge, Outline, Point, circle_outline

if TYPE_CHECKING:
    from manifold3d import CrossSection, Manifold

#: Greatest distance of a chord from its arc in the file, and the part of it kept for rounding (mm).
CHORD_MM = 0.02
ROUNDING_MM = 0.001
#: Corners that leave the surface by no more than so many steps of rounding are joined to their neighbours.
JOINED_STEPS = 8

_HEADER = b"formgen stack, mm"
#: Bytes before the first triangle, and what one takes.
HEAD_BYTES = 84
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def write_stl(form: Form, path: Path) -> None:
    """Write the stack as one body.

    Raises:
        ExportError: the mesh did not close.
    """
    corners = stack_triangles(form)
    records = np.zeros(len(corners), dtype=RECORD)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normals, axis=1, keepdims=True)
    records["normal"] = np.where(size > 0, normals / np.where(size > 0, size, 1.0), 0.0)
    records["corners"] = corners
    path.write_bytes(_HEADER.ljust(HEAD_BYTES - 4, b" ") + np.uint32(len(records)).tobytes() + records.tobytes())


def stack_triangles(form: Form) -> NDArray[np.float32]:
    """The surface of the stack: corners of its triangles, anticlockwise seen from outside, (n, 3, 3) in mm.

    Raises:
        ExportError: the mesh did not close.
    """
    for step_mm in steps_mm(form):  # where edges cross by a hair, the next one parts them
        # Corners so close that rounding would throw them together are joined before.
        corners = _rounded(_body(form, step_mm).simplify(JOINED_STEPS * step_mm))
        if _closes(corners):
            return corners
    raise ExportError(
        "STL: the surface of the stack does not close; expected every edge to bound two triangles: "
        "please report the recipe"
    )


def _body(form: Form, grid_mm: float) -> Manifold:
    """The stack as one body, corners on a grid.

    The shadow of all slabs is extruded once, less what each slab lacks of it: three times as quick as a union of the
    slabs, with half the triangles.
    """
    from manifold3d import CrossSection, Manifold, OpType

    slabs = list(_slabs(form, grid_mm))
    sections = list(dict.fromkeys(section for section, _, _ in slabs))
    shadow = _snapped(CrossSection.batch_boolean(sections, OpType.Add), grid_mm)
    lacking = {section: _snapped(shadow - section, grid_mm) for section in sections}
    bottom, top = slabs[0][1], slabs[-1][2]
    bodies: list[Manifold] = [Manifold.extrude(shadow, top - bottom).translate((0.0, 0.0, bottom))]
    for section, z0, z1 in slabs:
        if not lacking[section].is_empty():
            bodies.append(Manifold.extrude(lacking[section], z1 - z0).translate((0.0, 0.0, z0)))
    return Manifold.batch_boolean(bodies, OpType.Subtract)


def _slabs(form: Form, grid_mm: float) -> Iterator[tuple[CrossSection, float, float]]:
    """Flat shape, lower z and upper z of every stretch of the stack through which the shape stays the same."""
    section = cache(partial(_section, knots=_knots(form.layers), grid_mm=grid_mm))  # most layers are alike
    for layer in form.layers:
        thickness = layer.thickness_mm
        floors = sorted({thickness - g.depth_mm for piece in layer.pieces for g in piece.grooves})
        for low, high in pairwise([0.0, *floors, thickness]):
            # Rounded alike, the top of one slab and the bottom of the next are the same number.
            z0, z1 = (round((layer.front_mm + h) / grid_mm) * grid_mm for h in (low, high))
            yield section(layer.outline, tuple(_gone(layer, thickness - high))), z0, z1


def _gone(layer: Layer, below_mm: float) -> Iterator[Outline]:
    """Openings, holes and grooves that a layer has just under a depth below its upper face."""
    for piece in layer.pieces:
        yield from (o.outline for o in piece.openings)
        yield from (circle_outline(h.centre, h.diameter_mm / 2) for h in piece.holes)
        yield from (g.cleared for g in piece.grooves if g.depth_mm > below_mm)


def _section(
    outline: Outline, gone: tuple[Outline, ...], *, knots: NDArray[np.float64], grid_mm: float
) -> CrossSection:
    """The flat shape inside an outline, less what is cut out of it."""
    from manifold3d import CrossSection, FillRule

    def ring(of: Outline) -> NDArray[np.float64]:
        return _on_grid(np.array(chords(of, knots)), grid_mm)

    whole = CrossSection([ring(outline)], FillRule.Positive)
    return _snapped(whole - CrossSection([ring(o) for o in gone], FillRule.Positive), grid_mm) if gone else whole


def _snapped(section: CrossSection, grid_mm: float) -> CrossSection:
    """The flat shape with corners that came of crossing edges on the grid too.

    The same crossing is computed in several shapes; on the grid it is the same point in all of them. Else walls
    would stand beside one another at a distance that vanishes in the file.
    """
    from manifold3d import CrossSection, FillRule

    rings = [_on_grid(np.asarray(ring), grid_mm) for ring in section.to_polygons()]
    return CrossSection([ring for ring in rings if abs(_area_mm2(ring)) > grid_mm], FillRule.Positive)


def _on_grid(points: NDArray[np.float64], grid_mm: float) -> NDArray[np.float64]:
    return np.round(points / grid_mm) * grid_mm


def _area_mm2(ring: NDArray[np.float64]) -> float:
    x, y = (ring - ring[0]).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def chords(outline: Outline, knots: NDArray[np.float64]) -> list[Point]:
    """Corners of the polygon that stands for an outline.

    Args:
        outline: lines and arcs.
        knots: further points, (n, 2) in mm; those that lie on an edge become corners.
    """
    corners: list[Point] = []
    for edge in outline.edges:
        corners.append(edge.a)
        on_edge = _knots_on(edge, knots)
        shares = sorted({*(_grid_shares(edge) if edge.bulge else ()), *on_edge})
        last, length_mm = 0.0, edge.length_mm
        for t in shares:
            if (t - last) * length_mm > 1e-5 and (1.0 - t) * length_mm > 1e-5:
                corners.append(edge.at(t))
                last = t
    return corners


def _grid_shares(edge: Edge) -> Iterable[float]:
    """Shares of an arc at which its radius crosses the grid of directions."""
    # A radius that is off in its last digit gets another number of chords only where that falls on a whole number;
    # radii rounded before would part wherever one lies half way, as those of recipes in inches do.
    flat = 1.0 - (CHORD_MM - ROUNDING_MM) / edge.radius_mm
    per_quarter = max(1, math.ceil(math.pi / 4 / math.acos(max(flat, 0.0))))
    step = math.pi / 2 / per_quarter
    begin = edge.begin_rad
    low, high = sorted((begin, begin + edge.sweep_rad))
    for i in range(math.ceil(low / step), math.floor(high / step) + 1):
        yield (i * step - begin) / edge.sweep_rad


def _knots_on(edge: Edge, knots: NDArray[np.float64]) -> list[float]:
    """Shares at which given points lie on an edge."""
    a, chord = np.array(edge.a), np.subtract(edge.b, edge.a)
    if not edge.bulge:
        across = (knots - a) @ np.array([-chord[1], chord[0]]) / edge.chord_mm
        near = knots[np.abs(across) < 1e-6]
        shares = (near - a) @ chord / edge.chord_mm**2
        return [float(t) for t in shares if 0.0 < t < 1.0]
    off = np.hypot(*(knots - np.array(edge.centre)).T) - edge.radius_mm
    near = knots[np.abs(off) < 1e-6]
    cx, cy = edge.centre
    shares = np.array([edge.share_of(math.atan2(y - cy, x - cx)) for x, y in near])
    return [float(t) for t in shares if 0.0 < t < 1.0]


def _knots(layers: Iterable[Layer]) -> NDArray[np.float64]:
    """Corner points of all layers and grooves, each once."""
    points = {v[:2] for layer in layers for v in layer.outline.vertices}
    points |= {v[:2] for layer in layers for piece in layer.pieces for g in piece.grooves for v in g.cleared.vertices}
    return np.array(sorted(points))


def steps_mm(form: Form) -> tuple[float, ...]:
    """Steps to which corners are rounded, finest first: powers of two, exact in the file's 24-bit numbers."""
    largest = max(abs(v) for layer in form.layers for v in layer.outline.bounds)
    finest = float(2.0 ** (math.ceil(math.log2(max(largest, 1.0))) - 24))
    return finest, 2 * finest, 4 * finest


def _rounded(body: Manifold) -> NDArray[np.float32]:
    """Triangles of a body in the file's numbers, without slivers that vanish there, in an order of their place only."""
    mesh = body.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3].astype(np.float32) + np.float32(0.0)  # -0.0 + 0.0 = 0.0
    corners: NDArray[np.float32] = vertices[np.asarray(mesh.tri_verts)]
    p, q, r = corners[:, 0], corners[:, 1], corners[:, 2]
    thin = (p == q).all(axis=1) | (q == r).all(axis=1) | (r == p).all(axis=1)
    kept = corners[~thin]
    # Each triangle begins with its lowest corner (by z, then y, then x), and the triangles are sorted.
    x, y, z = (kept[:, :, axis] for axis in range(3))
    lowest = z == z.min(axis=1, keepdims=True)
    for of in (y, x):
        lowest &= of == np.where(lowest, of, np.inf).min(axis=1, keepdims=True)
    first = lowest.argmax(axis=1)
    turned: NDArray[np.float32] = kept[np.arange(len(kept))[:, None], (first[:, None] + np.arange(3)) % 3]
    order = np.lexsort(turned.reshape(len(turned), 9).T[::-1])
    return turned[order]


def _closes(corners: NDArray[np.float32]) -> bool:
    """Tell whether each side of a triangle is, the other way round, the side of just one other triangle."""
    _, index = np.unique(np.ascontiguousarray(corners.reshape(-1, 3)).view("V12"), return_inverse=True)
    tri = index.reshape(-1, 3).astype(np.int64)
    count = int(tri.max()) + 1
    sides = np.concatenate([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]])
    there, back = np.sort(sides[:, 0] * count + sides[:, 1]), np.sort(sides[:, 1] * count + sides[:, 0])
    return bool(np.array_equal(there, back) and len(np.unique(there)) == len(there))
