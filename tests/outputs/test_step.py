"""STEP: read back by the kernel and by a Part 21 reader of another project, held against closed forms."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from formgen.errors import FormError
from formgen.form.model import Form
from formgen.form.solid import form_assembly, piece_solid
from formgen.form.stack import Groove, Stack
from formgen.geometry.edge import Edge
from formgen.outputs.step.check import _within_mm, check_step
from formgen.outputs.step.writer import TIME_STAMP, steady, write_step

cq = pytest.importorskip("cadquery")

THICKNESS_MM = 18.7


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory, block: Form, band: Form) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("step")
    for name, form in (("block", block), ("band", band)):
        write_step(form.stack, folder / f"{name}.step")
    return {name: folder / f"{name}.step" for name in ("block", "band")}


def test_block_volume_is_the_closed_form(files: dict[str, Path]) -> None:
    # Half a disc of R 400 on a rectangle 800 x 100; less a disc of 55; less a slot 90 x 50, which is 40 x 50 and a disc
    # of 50; less two discs of 10.
    area = math.pi * 400**2 / 2 + 800 * 100
    area -= math.pi * 55**2 / 4 + 40 * 50 + math.pi * 50**2 / 4 + math.pi * 10**2 / 2
    solids = cq.importers.importStep(str(files["block"])).solids().vals()
    assert len(solids) == 4
    for i, solid in enumerate(solids):
        assert solid.Volume() == pytest.approx(area * THICKNESS_MM, rel=1e-9)
        box = solid.BoundingBox()
        assert (box.zmin, box.zmax) == pytest.approx((i * THICKNESS_MM, (i + 1) * THICKNESS_MM), abs=1e-6)


def test_band_volume_is_the_closed_form(files: dict[str, Path]) -> None:
    # Half a ring R to 500 with legs of 100; four dowel holes of 10 in each layer; four ports 8 wide, 6 deep. A port's
    # area is the integral of sqrt(R² − x²) − sqrt(500² − x²) over its width.
    def under(radius: float) -> float:
        return 4.0 * math.sqrt(radius**2 - 16.0) + radius**2 * math.asin(4.0 / radius)

    def layer(radius: float) -> float:
        return math.pi * (radius**2 - 500**2) / 2 + 2 * 100 * (radius - 500) - 4 * math.pi * 25

    plain, channel = layer(600.0) * THICKNESS_MM, layer(594.0) * THICKNESS_MM - 4 * 6.0 * (under(594.0) - under(500.0))
    solids = cq.importers.importStep(str(files["band"])).solids().vals()
    volumes = [solid.Volume() for solid in solids]
    pairs = [a + b for a, b in zip(volumes[::2], volumes[1::2], strict=True)]
    assert pairs == pytest.approx([plain, channel] * 2, rel=1e-9)


def test_curved_faces_are_cylinders_of_the_arcs_radii(files: dict[str, Path]) -> None:
    for name, radii in (("block", {400.0, 27.5, 25.0, 5.0}), ("band", {600.0, 594.0, 500.0, 5.0})):
        found = set()
        for face in cq.importers.importStep(str(files[name])).faces().vals():
            assert face.geomType() in ("PLANE", "CYLINDER")
            if face.geomType() == "CYLINDER":
                found.add(round(face._geomAdaptor().Cylinder().Radius(), 6))
        assert found == radii


@pytest.mark.parametrize(("bulge", "chord_mm", "share"), [(-3.214e-6, 0.0318, 2e-5), (-0.06, 592.0, 1e-6)])
def test_a_radius_is_held_to_what_three_points_tell(bulge: float, chord_mm: float, share: float) -> None:
    """The first is an arc of 5e-8 mm sagitta: a millionth of its radius is 1e-13 mm there, below the last digit."""
    edge = Edge((-1331.93, 1830.04), (-1331.93, 1830.04 + chord_mm), bulge)
    a, middle, b = (cq.Vector(*point) for point in (edge.a, edge.at(0.5), edge.b))
    off = abs(cq.Edge.makeThreePointArc(a, middle, b).radius() - edge.radius_mm)
    assert off < _within_mm(edge) <= share * edge.radius_mm


def test_every_piece_is_a_named_instance(files: dict[str, Path], form: Form) -> None:
    p21 = pytest.importorskip("steputils.p21")
    path = files["block" if form.body == "block" else "band"]
    step = p21.readfile(str(path))
    instances = step.data[0].instances.values()
    named = [
        i.entity.params[1]
        for i in instances
        if hasattr(i, "entity") and i.entity.name == "NEXT_ASSEMBLY_USAGE_OCCURRENCE"
    ]
    assert named == [piece.name for _, piece in form.pieces]
    read = cq.Assembly.importStep(str(path))
    assert [child.name for child in read.children] == named


def test_pieces_cut_alike_share_one_solid(files: dict[str, Path], band: Form) -> None:
    # Eight pieces of four shapes: one solid model each in the file, and all names of a shape on its product.
    text = files["band"].read_text()
    assert text.count("MANIFOLD_SOLID_BREP") == 4
    for layer in (1, 2):
        for piece in (1, 2):
            assert f"PRODUCT('L0{layer}-{piece} L0{layer + 2}-{piece}'," in text
    solids = {id(child.obj) for child in form_assembly(band.stack).children}
    assert len(solids) == 4


def test_bytes_do_not_change_within_a_process(tmp_path: Path, files: dict[str, Path], band: Form) -> None:
    again = tmp_path / "again.step"
    write_step(band.stack, again)
    assert again.read_bytes() == files["band"].read_bytes()
    assert TIME_STAMP in again.read_text()


@pytest.mark.parametrize(("counted", "end"), [(21, ")"), (100021, "\n  )")])
def test_a_line_is_not_broken_by_how_much_a_process_wrote_before(counted: int, end: str) -> None:
    """The kernel counts all instances that it ever wrote, and breaks a line of more than 72 signs at a comma."""
    statement = f"#7 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('{counted}','L02-10','',#5,#11617,${end}"
    text = f"HEADER;\nFILE_NAME('x');\nENDSEC;\nDATA;\n{statement};\nENDSEC;\nEND-ISO-10303-21;\n"
    assert "#7 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','L02-10','',#5,#11617,$);" in steady(text, "x", {})


def test_layers_with_a_channel_have_a_colour_of_their_own(files: dict[str, Path]) -> None:
    assert files["block"].read_text().count("COLOUR_RGB") == 1
    assert files["band"].read_text().count("COLOUR_RGB") == 2


def test_a_groove_right_through_is_refused(band: Form) -> None:
    from dataclasses import replace

    layer, piece = band.pieces[2]
    deep: tuple[Groove, ...] = tuple(replace(g, depth_mm=30.0) for g in piece.grooves)
    with pytest.raises(FormError, match=r"L02-1.*expected 1"):
        piece_solid(replace(piece, grooves=deep), layer.thickness_mm)


def held(form: Form, **change: float) -> Stack:
    """The stack with one size of its second layer, or of a groove in it, a little off."""
    layers = list(form.stack.layers)
    layer = layers[1]
    if "depth_mm" in change:
        piece = layer.pieces[0]
        groove = replace(piece.grooves[0], depth_mm=piece.grooves[0].depth_mm + change.pop("depth_mm"))
        pieces = (replace(piece, grooves=(groove, *piece.grooves[1:])), *layer.pieces[1:])
        layers[1] = replace(layer, pieces=pieces)
    else:
        layers[1] = replace(layer, front_mm=layer.front_mm + change.pop("front_mm"))
    return replace(form.stack, layers=tuple(layers))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"depth_mm": 0.05}, "volume"),  # 40 mm³ of a piece of 2.8 million
        ({"front_mm": 0.004}, "its bounding box is 0.004 mm off"),
    ],
)
def test_a_piece_that_is_a_hair_off_is_told(
    files: dict[str, Path], band: Form, change: dict[str, float], says: str
) -> None:
    assert list(check_step(files["band"], band.stack)) == []
    assert any(says in line for line in check_step(files["band"], held(band, **change)))
