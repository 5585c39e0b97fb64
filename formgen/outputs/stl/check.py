"""Stage `outputs`: the STL read again and held against the model by the mesh library; mm.

In: a file and a `Form`. Out: one line for each difference.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from operator import itemgetter
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from formgen.form.model import Form
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import Lines, distances_mm
from formgen.geometry.outline import Point
from formgen.outputs.stl.writer import CHORD_MM, HEAD_BYTES, JOINED_STEPS, RECORD, ROUNDING_MM, steps_mm
from formgen.outputs.volumes import chord_volume_mm3, rounding_volume_mm3, stack_volume_mm3


def check_stl(path: Path, form: Form) -> Iterator[str]:
    """Differences of the mesh: closed, one body, its size, its volume, a corner at the crown."""
    from manifold3d import Error, Manifold, Mesh64

    corners = read_stl(path)
    if corners is None:
        yield "cannot be read as binary STL: build again"
        return
    if not len(corners):
        yield "holds no triangles: build again"
        return
    places, index = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    vertices, triangles = places.astype(np.float64), index.reshape(-1, 3)
    body = Manifold(Mesh64(vertices, triangles.astype(np.uint64)))
    if body.status() != Error.NoError:
        yield "the surface has a hole or a triangle turned over, expected a closed body: build again"
    x0, y0, x1, y1 = (f(layer.outline.bounds[i] for layer in form.layers) for i, f in enumerate((min, min, max, max)))
    expected = np.array([[x0, y0, form.layers[0].front_mm], [x1, y1, form.depth_mm]])
    off = float(np.abs(np.array([vertices.min(axis=0), vertices.max(axis=0)]) - expected).max())
    if off > CHORD_MM:
        yield f"its bounding box is {off:.3f} mm off the model's, expected within {CHORD_MM} mm: build again"
    volume = stack_volume_mm3(form.stack)
    limit = chord_volume_mm3(form.stack, CHORD_MM) + rounding_volume_mm3(form.stack, steps_mm(form)[-1])
    excess = body.volume() - volume
    if abs(excess) > limit:
        yield (
            f"its volume is {abs(excess):.0f} mm³ {'larger' if excess > 0 else 'smaller'} than the model's "
            f"{volume:.0f} mm³, expected within {limit:.0f}: cut from another file? build again"
        )
    lost_mm = max(ROUNDING_MM, JOINED_STEPS * steps_mm(form)[-1])
    edges = vertices[triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), :2]
    for face in dict.fromkeys(layer.face for layer in form.layers):
        crown = np.array([crown_mm(face)])
        on_stack = min(distances_mm(crown, layer.outline.edges)[0] for layer in form.layers if layer.face == face)
        off = float(np.min(Lines(edges[:, 0], edges[:, 1]).distances_mm(crown)))
        if on_stack < ROUNDING_MM and off > lost_mm:
            yield f"no edge of the mesh lies at the crown of a face, the nearest is {off:.3f} mm off: build again"


def read_stl(path: Path) -> NDArray[np.float32] | None:
    """Corners of the triangles of a binary STL, (n, 3, 3) in its units; None where the file is none."""
    content = path.read_bytes()
    if len(content) < HEAD_BYTES or len(content) != HEAD_BYTES + RECORD.itemsize * int.from_bytes(
        content[HEAD_BYTES - 4 : HEAD_BYTES], "little"
    ):
        return None
    corners: NDArray[np.float32] = np.frombuffer(content, dtype=RECORD, offset=HEAD_BYTES)["corners"]
    return corners if np.isfinite(corners).all() else None


def crown_mm(face: ArcSpline) -> Point:
    """The highest point of a curve."""
    points: list[Point] = []
    for edge in face.edges:
        points += [edge.a, edge.b]
        if edge.bulge and edge.share_of(math.pi / 2) <= 1.0:
            points.append((edge.centre[0], edge.centre[1] + edge.radius_mm))
    return max(points, key=itemgetter(1, 0))
