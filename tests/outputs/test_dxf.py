"""DXF: read back by ezdxf's own audit and by GDAL, in three versions and both units, held against closed forms."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.errors import ExportError
from formgen.form.model import Form
from formgen.outputs.dxf.layers import allowed_name, depth_text, in_a_row, layer_names, write_layer, write_stack
from formgen.recipe.shop import Router

ezdxf = pytest.importorskip("ezdxf")

CASES = [(version, units) for version in ("R12", "R2000", "R2018") for units in ("mm", "in")]
Maker = Callable[[str, str, str], Form]


def bulged_area(points: list[tuple[float, float, float]]) -> float:
    """Area of a polyline with bulges: trapezia, and a segment r²(θ − sin θ)/2 for each arc (handbook formulas)."""
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(points, [*points[1:], points[0]], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            sweep = 4 * math.atan(abs(bulge))
            radius = math.hypot(x1 - x0, y1 - y0) / (2 * math.sin(sweep / 2))
            total += math.copysign(radius**2 * (sweep - math.sin(sweep)) / 2, bulge)
    return abs(total)


def closed_areas(path: Path, layer: str) -> list[float]:
    """Areas of closed polylines and circles on a drawing layer, as ezdxf reads them."""
    areas = []
    for e in ezdxf.readfile(path).modelspace().query(f'*[layer=="{layer}"]'):
        if e.dxftype() == "CIRCLE":
            areas.append(math.pi * e.dxf.radius**2)
        elif e.dxftype() == "LWPOLYLINE":
            assert e.closed
            areas.append(bulged_area(list(e.get_points("xyb"))))
        elif e.dxftype() == "POLYLINE":
            assert e.is_closed
            areas.append(bulged_area([(*v.dxf.location.vec2, v.dxf.get("bulge", 0)) for v in e.vertices]))
    return areas


@pytest.mark.parametrize(("version", "units"), CASES)
def test_a_layer_holds_each_purpose_on_its_drawing_layer(
    tmp_path: Path, make_form: Maker, version: str, units: str
) -> None:
    path = tmp_path / "layer.dxf"
    form = make_form("block", version, units)
    write_layer(form, form.layers[0], path)
    document = ezdxf.readfile(path)
    assert document.acad_release == version
    assert not document.audit().has_errors
    names = ["OUTSIDE PROFILE", "INSIDE PROFILE", "DRILLING", "MARKS", "LABELS", "SHEET NOTES"]
    if version == "R12":
        names = [name.replace(" ", "_") for name in names]
    else:
        # ezdxf and the DXF reference: $INSUNITS 1 inches, 4 mm; $MEASUREMENT 0 imperial, 1 metric.
        assert document.header["$INSUNITS"] == {"in": 1, "mm": 4}[units]
        assert document.header["$MEASUREMENT"] == {"in": 0, "mm": 1}[units]
    assert Counter(e.dxf.layer for e in document.modelspace()) == dict(zip(names, (1, 2, 2, 1, 2, 4), strict=True))
    mm = 25.4 if units == "in" else 1.0
    outside, inside, drilling = (sorted(closed_areas(path, name)) for name in names[:3])
    assert outside == pytest.approx([(math.pi * 400**2 / 2 + 800 * 100) / mm**2], rel=1e-12)
    slot, disc = 40 * 50 + math.pi * 50**2 / 4, math.pi * 55**2 / 4
    assert inside == pytest.approx([disc / mm**2, slot / mm**2], rel=1e-12)
    assert drilling == pytest.approx([math.pi * 25 / mm**2] * 2, rel=1e-12)


@pytest.mark.parametrize(("version", "units"), CASES)
def test_gdal_reads_the_same_shapes(tmp_path: Path, make_form: Maker, version: str, units: str) -> None:
    raw = pytest.importorskip("pyogrio.raw")
    shapely = pytest.importorskip("shapely")
    path = tmp_path / "layer.dxf"
    form = make_form("band", version, units)
    write_layer(form, form.layers[1], path)
    _, _, geometry, fields = raw.read(path, columns=["Layer"])
    mm = 25.4 if units == "in" else 1.0
    shapes = [(str(layer), shapely.from_wkb(g)) for layer, g in zip(fields[0], geometry, strict=True)]
    outside = [s for layer, s in shapes if layer.startswith("OUTSIDE")]
    rings = [shapely.Polygon(s.coords) if s.geom_type == "LineString" else s for s in outside]
    assert len(rings) == 2
    # Half a ring 594 to 500 on legs of 100, cut in two; GDAL makes chords of 4 degrees, r²(θ − sin θ)/2 a chord.
    area = (math.pi * (594**2 - 500**2) / 2 + 200 * 94) / mm**2
    assert sum(r.area for r in rings) == pytest.approx(area, rel=3e-3)
    assert not rings[0].intersects(rings[1])
    groove = "GROOVE 6mm" if units == "mm" else "GROOVE 0.236in"
    if version == "R12":
        groove = groove.upper().replace(" ", "_").replace(".", "_")
    boxes = [shapely.Polygon(s.coords) if s.geom_type == "LineString" else s for layer, s in shapes if layer == groove]
    # Run out 10 mm past both edges of a ring 94 wide.
    assert [b.area for b in boxes] == pytest.approx([114 * 8 / mm**2] * 4, rel=1e-9)


def test_pieces_stand_apart(band: Form) -> None:
    shop = band.recipe.shop
    gap_mm = shop.cutter.diameter_mm + shop.cutter.margin_mm
    for layer in band.layers:
        (right, stays), (left, moves) = in_a_row(layer, shop)
        assert stays == 0.0
        reach = [min(b[0] for b in (right.outline.bounds, *(g.outline.bounds for g in right.grooves)))]
        reach.append(max(b[2] for b in (left.outline.bounds, *(g.outline.bounds for g in left.grooves))) + moves)
        assert reach[0] - reach[1] == pytest.approx(gap_mm, abs=1e-9)


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_the_stack_has_a_drawing_layer_for_each_layer(tmp_path: Path, make_form: Maker, version: str) -> None:
    path = tmp_path / "stack.dxf"
    form = make_form("band", version, "mm")
    write_stack(form, path)
    document = ezdxf.readfile(path)
    assert not document.audit().has_errors
    kinds = Counter((e.dxf.layer, e.dxftype()) for e in document.modelspace())
    polyline = "POLYLINE" if version == "R12" else "LWPOLYLINE"
    assert (kinds["L01", polyline], kinds["L02", polyline]) == (1, 5)  # an outline; an outline and four ports
    for name in ("L01", "L02"):
        assert (kinds[name, "CIRCLE"], kinds[name, "LINE"]) == (4, 1)  # dowel holes; the joint, once
    assert closed_areas(path, "L01")[0] == pytest.approx(math.pi * (600**2 - 500**2) / 2 + 200 * 100, rel=1e-12)


def test_labels_carry_their_text_and_are_no_text_entities(tmp_path: Path, block: Form) -> None:
    path = tmp_path / "layer.dxf"
    write_layer(block, block.layers[2], path)
    strokes = ezdxf.readfile(path).modelspace().query('*[layer=="LABELS"]')
    assert [e.dxftype() for e in strokes] == ["LWPOLYLINE", "LWPOLYLINE"]
    assert [tag.value for tag in strokes[0].get_xdata("FORMGEN") if tag.code == 1000] == ["HALL ARCH L03"]


def test_sheet_notes_say_what_it_is(tmp_path: Path, block: Form) -> None:
    path = tmp_path / "layer.dxf"
    write_layer(block, block.layers[2], path)
    text = "\n".join(e.dxf.text for e in ezdxf.readfile(path).modelspace().query("TEXT"))
    for part in ("hall-arch: layer 3 of 4", "18.70 mm = 0.736 in", "drawing units: mm", "this side up"):
        assert part in text


def test_bytes_do_not_follow_the_order_of_a_set(tmp_path: Path, block: Form, monkeypatch: pytest.MonkeyPatch) -> None:
    # The library goes through a set of entity types, whose order depends on the process; here, both ways round.
    from ezdxf.entitydb import EntityDB

    true = EntityDB.dxf_types_in_use
    contents = []
    for backward in (False, True):
        path = tmp_path / f"{backward}.dxf"
        with monkeypatch.context() as patch:
            patch.setattr(EntityDB, "dxf_types_in_use", lambda self, b=backward: sorted(true(self), reverse=b))
            write_layer(block, block.layers[0], path)
        contents.append(path.read_bytes())
    assert contents[0] == contents[1]


@pytest.mark.parametrize("before", [False, True])
def test_options_of_the_library_are_put_back(tmp_path: Path, block: Form, *, before: bool) -> None:
    options = ezdxf.options
    stands = options.write_fixed_meta_data_for_testing
    try:
        options.write_fixed_meta_data_for_testing = before
        write_layer(block, block.layers[0], tmp_path / "layer.dxf")
        assert options.write_fixed_meta_data_for_testing is before
        with pytest.raises(FileNotFoundError):
            write_layer(block, block.layers[0], tmp_path / "no folder" / "layer.dxf")
        assert options.write_fixed_meta_data_for_testing is before
    finally:
        options.write_fixed_meta_data_for_testing = stands


def test_names_that_a_version_does_not_allow() -> None:
    # DXF reference, symbol table names: R12 has letters, digits, $, - and _, 31 of them.
    assert allowed_name("Groove 6.5mm", "R12") == "GROOVE_6_5MM"
    assert allowed_name("x" * 40, "R12") == "X" * 31
    assert allowed_name("cut <1/4>", "R2010") == "cut _1_4_"
    assert depth_text(6.35, "in") == "0.25in"
    assert depth_text(6.0, "mm") == "6mm"


def test_two_purposes_on_one_drawing_layer_are_refused() -> None:
    router = Router.model_validate({"layers": {"marks": "PEN.1", "labels": "pen 1"}, "dxf_version": "R12"})
    with pytest.raises(ExportError, match=r"router\.layers.*'PEN_1' in R12"):
        layer_names(router, "mm", ())
    router = Router.model_validate({"layers": {"groove": "GROOVE"}})
    with pytest.raises(ExportError, match="depth"):
        layer_names(router, "mm", (6.0, 8.0))
