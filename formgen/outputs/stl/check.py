"""Stage `outputs`: the STL read again by another library and held against the model; mm.

In: a file and a `Form`. Out: one line for each difference.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from formgen.form.model import Form
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Edge, Point
from formgen.outputs.stl.writer import CHORD_MM, ROUNDING_MM
from formgen.outputs.volumes import chord_volume_mm3, stack_volume_mm3


def check_stl(path: Path, form: Form) -> Iterator[str]:
    """Differences of the mesh: closed, one body, its size, its volume, a corner at the crown."""
    import trimesh

    try:
        mesh = trimesh.load_mesh(path, file_type="stl")
    except Exception as err:  # the reader raises whatever comes up on a broken file
        yield f"cannot be read as STL ({type(err).__name__}): build again"
        return
    if not len(mesh.faces):
        yield "holds no triangles: build again"
        return
    if not mesh.is_watertight or not mesh.is_winding_consistent:
        yield "the surface has a hole or a triangle turned over, expected a closed body: build again"
    x0, y0, x1, y1 = (f(layer.outline.bounds[i] for layer in form.layers) for i, f in enumerate((min, min, max, max)))
    expected = np.array([[x0, y0, form.layers[0].front_mm], [x1, y1, form.depth_mm]])
    off = float(np.abs(mesh.bounds - expected).max())
    if off > CHORD_MM:
        yield f"its bounding box is {off:.3f} mm off the model's, expected within {CHORD_MM} mm: build again"
    volume, limit = stack_volume_mm3(form), chord_volume_mm3(form, CHORD_MM)
    excess = float(mesh.volume) - volume
    if abs(excess) > limit:
        yield (
            f"its volume is {abs(excess):.0f} mm³ {'larger' if excess > 0 else 'smaller'} than the model's "
            f"{volume:.0f} mm³, expected within {limit:.0f}: cut from another file? build again"
        )
    edges = np.asarray(mesh.vertices)[np.asarray(mesh.edges_unique), :2]
    for face in dict.fromkeys(layer.face for layer in form.layers):
        crown = np.array([crown_mm(face)])
        on_stack = min(distances_mm(crown, layer.outline)[0] for layer in form.layers if layer.face == face)
        off = float(np.min(_apart_mm(edges, crown[0])))
        if on_stack < ROUNDING_MM < off:
            yield f"no edge of the mesh lies at the crown of a face, the nearest is {off:.3f} mm off: build again"


def _apart_mm(edges: NDArray[np.float64], point: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distances (n,) in plan from a point (2,) to edges (n, 2, 2)."""
    a, run = edges[:, 0], edges[:, 1] - edges[:, 0]
    square = np.sum(run * run, axis=1)
    along = np.clip(np.sum((point - a) * run, axis=1) / np.where(square > 0.0, square, 1.0), 0.0, 1.0)
    return np.asarray(np.hypot(*(a + along[:, None] * run - point).T))


def crown_mm(face: ArcSpline) -> Point:
    """The highest point of a curve."""
    best = (-math.inf, (0.0, 0.0))
    for a, b in pairwise(face.vertices()):
        edge = Edge(a[:2], b[:2], a[2])
        points = [edge.a, edge.b]
        if edge.bulge and edge.share_of(math.pi / 2) <= 1.0:
            points.append((edge.centre[0], edge.centre[1] + edge.radius_mm))
        best = max(best, *((p[1], p) for p in points))
    return best[1]
