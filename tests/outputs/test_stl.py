"""STL: read back by trimesh, held against closed forms."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from formgen.errors import ExportError
from formgen.form.model import Form
from formgen.form.stack import Layer, Piece, Stack
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline
from formgen.geometry.pose import Pose
from formgen.outputs.stl import writer as stl
from formgen.outputs.stl.writer import stack_triangles, write_stl
from formgen.outputs.volumes import rounding_volume_mm3

trimesh = pytest.importorskip("trimesh")


@pytest.fixture(scope="module")
def mesh(tmp_path_factory: pytest.TempPathFactory, form: Form) -> Any:
    path = tmp_path_factory.mktemp("stl") / "form.stl"
    write_stl(form, path)
    return trimesh.load_mesh(path)


def test_one_closed_body(mesh: Any, form: Form) -> None:
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.body_count == 1
    # Euler: 2 − 2 × tunnels. Block: two dowel holes, two reliefs. Band: four dowel holes, and the four ports of
    # layer 2; those of layer 4 lie open at the top.
    assert mesh.euler_number == 2 - 2 * (4 if form.body == "block" else 4 + 4)


def test_volume_is_the_closed_form_within_the_chords(mesh: Any, form: Form) -> None:
    if form.body == "block":
        area = math.pi * 400**2 / 2 + 800 * 100
        area -= math.pi * 55**2 / 4 + 40 * 50 + math.pi * 50**2 / 4 + math.pi * 10**2 / 2
        volume, arcs = 4 * 18.7 * area, 4 * 18.7 * math.pi * (400 + 55 + 50 + 20)
    else:

        def under(radius: float) -> float:
            return 4.0 * math.sqrt(radius**2 - 16.0) + radius**2 * math.asin(4.0 / radius)

        def layer(radius: float) -> float:
            return math.pi * (radius**2 - 500**2) / 2 + 200 * (radius - 500) - math.pi * 100

        volume = 2 * 18.7 * (layer(600.0) + layer(594.0)) - 8 * 6.0 * (under(594.0) - under(500.0))
        arcs = 2 * 18.7 * math.pi * (600 + 594 + 2 * 500 + 2 * 40)
    # A chord takes two thirds of its height times its length from a strip beside the arc.
    assert mesh.volume == pytest.approx(volume, abs=arcs * 0.02 * 2 / 3)


def test_walls_keep_to_the_true_face(mesh: Any, form: Form) -> None:
    radii = (400.0,) if form.body == "block" else (600.0, 594.0)
    for radius in radii:
        at = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
        on_face = (np.abs(at - radius) < 1.0) & (mesh.vertices[:, 1] > 0.0)
        assert np.abs(at[on_face] - radius).max() < 1e-4  # vertices on the arc, to a 24-bit number
        middles = mesh.vertices[mesh.edges_unique].mean(axis=1)
        both = on_face[mesh.edges_unique].all(axis=1)
        assert radius - np.hypot(middles[both, 0], middles[both, 1]).min() <= 0.02  # chords within the tolerance
        crown = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1] - radius)
        assert crown.min() < 1e-4


def crossings(mesh: Any, point: tuple[float, float, float]) -> list[float]:
    """Heights z at which a line parallel to z through a point meets the surface (own ray cast)."""
    (ax, ay, _), (bx, by, _), (cx, cy, _) = (mesh.triangles[:, i].T for i in range(3))
    x, y, _ = point
    area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    hit = np.abs(area) > 1e-12
    u = np.divide((x - ax) * (cy - ay) - (cx - ax) * (y - ay), area, out=np.full_like(area, -1.0), where=hit)
    v = np.divide((bx - ax) * (y - ay) - (x - ax) * (by - ay), area, out=np.full_like(area, -1.0), where=hit)
    inside = (u > 0) & (v > 0) & (u + v < 1)
    az, bz, cz = (mesh.triangles[inside, i, 2] for i in range(3))
    return sorted((az + u[inside] * (bz - az) + v[inside] * (cz - az)).tolist())


def test_ports_are_open_from_face_to_back(tmp_path: Path, band: Form) -> None:
    write_stl(band, tmp_path / "band.stl")
    mesh = trimesh.load_mesh(tmp_path / "band.stl")
    # Through the middle of a port: board, then 6 mm of air below the upper face of layers 2 and 4, then board. The
    # first and the last point are within the height of a chord of the two edges, where a film would close the port.
    for angle in (0.4, 1.1, 2.0, 2.7):
        for radius in (500.015, 502.0, 550.0, 593.97):
            heights = crossings(mesh, (radius * math.cos(angle), radius * math.sin(angle), 0.0))
            # The port of layer 4 lies open at the top of the stack.
            assert heights == pytest.approx([0.0, 2 * 18.7 - 6.0, 2 * 18.7, 4 * 18.7 - 6.0], abs=1e-4), (angle, radius)


def test_header_and_size(tmp_path: Path, block: Form) -> None:
    path = tmp_path / "form.stl"
    write_stl(block, path)
    content = path.read_bytes()
    # Binary STL: 80 bytes, a count, 50 bytes for each triangle; the header must not begin with `solid`.
    count = int.from_bytes(content[80:84], "little")
    assert len(content) == 84 + 50 * count
    assert not content.startswith(b"solid")
    again = tmp_path / "again.stl"
    write_stl(block, again)
    assert again.read_bytes() == content


def test_a_mesh_that_does_not_close_is_refused(block: Form, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = stl._rounded
    monkeypatch.setattr(stl, "_rounded", lambda body: whole(body)[1:])
    with pytest.raises(ExportError, match="does not close"):
        stack_triangles(block)


@pytest.mark.parametrize("shift", [(20.0, 10.0), (0.0, 5.0), (13.7, -3.1), (55.0, 0.0), (1e-5, 0.0)])
def test_layers_of_unlike_outline_make_one_body(block: Form, shift: tuple[float, float]) -> None:
    # The reliefs of one layer are moved: edges cross, or nearly touch, where the layers meet.
    layers = list(block.layers)
    piece = layers[1].pieces[0]
    moved = tuple(replace(o, outline=o.outline.moved(*shift)) for o in piece.openings)
    layers[1] = replace(layers[1], pieces=(replace(piece, openings=moved),))
    bodies = []
    for form in (block, replace(block, layers=tuple(layers))):
        corners = stack_triangles(form).astype(float).reshape(-1, 3)
        bodies.append(trimesh.Trimesh(corners, np.arange(len(corners)).reshape(-1, 3)))
    assert bodies[1].is_watertight
    # Moving a hole keeps the volume; its chords, on a grid of directions, stay the same.
    assert bodies[1].volume == pytest.approx(bodies[0].volume, rel=1e-6)


def test_what_rounding_may_take_from_a_volume_is_counted_by_hand() -> None:
    """Boards of 100 × 50 and 60 × 50, 18 thick: half a step for floor, top and the ledge between, one for the walls."""
    layers = []
    for i, long in enumerate((100.0, 60.0)):
        outline, face = Outline.box((0.0, 0.0), (1.0, 0.0), long, 50.0), ArcSpline(Pose(0.0, 0.0, 0.0), ((long, 0.0),))
        piece = Piece(name=f"L0{i + 1}", outline=outline, openings=(), holes=(), grooves=(), marks=(), labels=())
        layers.append(
            Layer(
                number=i + 1, front_mm=18.0 * i, thickness_mm=18.0, outline=outline, face=face, channel=False,
                bar_seat=False, joints=(), pieces=(piece,),
            )
        )  # fmt: skip
    flat, walls = 5000.0 + 2000.0 + 3000.0, (300.0 + 220.0) * 18.0
    stack = Stack(name="two", layers=tuple(layers))
    assert rounding_volume_mm3(stack, 0.01) == pytest.approx((flat / 2 + walls) * 0.01)
