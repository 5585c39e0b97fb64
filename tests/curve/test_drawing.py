"""Paths read from drawings that ezdxf writes: shuffled, reversed, seen from behind, damaged."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.math import Matrix44
from scipy.special import ellipe

from formgen.curve.drawn.path import read_drawing
from formgen.errors import CurveError
from formgen.findings import Finding
from formgen.geometry.arcspline import ArcSpline
from formgen.recipe.arch_kinds import Drawing

FRONT, BEHIND = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)


def drawing(units: int = 4) -> Any:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = units
    return document, document.modelspace()


def read(
    document: Any, folder: Path, layer: str | None = None, units: Any = "mm"
) -> tuple[ArcSpline, Any, tuple[Finding, ...]]:
    document.saveas(folder / "porch.dxf")
    return read_drawing(Drawing(kind="drawing", file="porch.dxf", layer=layer), folder, units)


def draw_jamb(space: Any, order: int, gap: float = 0.0) -> None:
    """Two legs of 300 and a half circle of radius 500, in some order and direction."""
    shuffle = random.Random(order)  # noqa: S311 - only an order of drawing
    strokes = [
        lambda: space.add_line(*shuffle.sample([(500, -300), (500 + gap, 0)], 2)),
        lambda: space.add_arc((0, 0), 500, 0, 180),
        lambda: space.add_line(*shuffle.sample([(-500, 0), (-500, -300)], 2)),
    ]
    shuffle.shuffle(strokes)
    for stroke in strokes:
        stroke()


@pytest.mark.parametrize("order", range(6))
def test_lines_and_arcs_in_any_order_and_direction(tmp_path: Path, order: int) -> None:
    document, space = drawing()
    draw_jamb(space, order)
    curve, fit, findings = read(document, tmp_path)
    assert [n for n, _ in curve.pieces] == pytest.approx([300.0, 500.0 * math.pi, 300.0])
    assert (curve.start.x_mm, curve.start.y_mm) == pytest.approx((500.0, -300.0))
    assert curve.pieces[1][1] == pytest.approx(0.002)
    assert (fit.what, fit.count, findings) == ("drawing", 3, ())
    assert fit.worst_mm < 1e-9


@pytest.mark.parametrize(("units", "mm"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0)])
def test_units_are_those_of_the_drawing(tmp_path: Path, units: int, mm: float) -> None:
    document, space = drawing(units)
    space.add_arc((0, 0), 2, 10, 170)
    curve, _, findings = read(document, tmp_path)
    assert curve.tightest_radius_mm == pytest.approx(2.0 * mm)
    assert findings == ()


def test_a_drawing_without_units_asks_for_them_with_the_size_in_each(tmp_path: Path) -> None:
    document, space = drawing(0)
    space.add_arc((0, 0), 10, 0, 180)
    with pytest.raises(CurveError, match=r"20 wide and 10 high: 20 in or 20 mm.* write units: in or units: mm under"):
        read(document, tmp_path, units="in")
    curve, _, findings = read_drawing(Drawing(kind="drawing", file="porch.dxf", units="in"), tmp_path, "mm")
    assert curve.tightest_radius_mm == pytest.approx(254.0)
    assert findings == ()


@pytest.mark.parametrize("face", [FRONT, BEHIND])
def test_polylines_with_bulges(tmp_path: Path, face: Any) -> None:
    document, space = drawing()
    side = face[2]
    points = [(500 * side, -300, 0), (500 * side, 0, 1.0 * side), (-500 * side, 0, 0), (-500 * side, -300, 0)]
    space.add_lwpolyline(points, format="xyb", dxfattribs={"extrusion": face, "layer": "JAMB"})
    space.add_polyline2d(
        [(x + 0, y, b) for x, y, b in points], format="xyb", dxfattribs={"layer": "OTHER", "extrusion": face}
    )
    for layer in ("jamb", "OTHER"):
        curve, _, _ = read(document, tmp_path, layer=layer)
        assert [n for n, _ in curve.pieces] == pytest.approx([300.0, 500.0 * math.pi, 300.0])
        assert (curve.start.x_mm, curve.start.y_mm) == pytest.approx((500.0, -300.0))
        assert curve.pose(curve.length_mm / 2.0).y_mm == pytest.approx(500.0)


@pytest.mark.parametrize("kind", ["arc", "ellipse"])
def test_what_is_seen_from_behind_reads_as_it_shows(tmp_path: Path, kind: str) -> None:
    # ezdxf mirrors the entity itself: it then stores it with the extrusion turned round.
    document, space = drawing()
    if kind == "arc":
        entity = space.add_arc((100, 0), 500, 20, 100)
    else:
        entity = space.add_ellipse((100, 0), (600, 0), 0.5, 0.3, 1.7)
    inside, _, _ = read(document, tmp_path)
    entity.transform(Matrix44.scale(-1, 1, 1))
    mirrored, _, _ = read(document, tmp_path)
    assert mirrored.length_mm == pytest.approx(inside.length_mm, abs=1e-6)
    assert (mirrored.start.x_mm, mirrored.start.y_mm) == pytest.approx((-inside.end.x_mm, inside.end.y_mm))
    assert (mirrored.end.x_mm, mirrored.end.y_mm) == pytest.approx((-inside.start.x_mm, inside.start.y_mm))


def test_an_ellipse_has_the_length_of_its_integral(tmp_path: Path) -> None:
    document, space = drawing()
    space.add_ellipse((0, 0), (600, 0), 400 / 600, 0, math.pi)
    curve, fit, _ = read(document, tmp_path)
    assert curve.length_mm == pytest.approx(2 * 600 * ellipe(1 - (400 / 600) ** 2), abs=0.002)  # scipy
    assert fit.worst_mm <= 0.005


def test_a_spline_with_legs(tmp_path: Path) -> None:
    document, space = drawing()
    points = [(500, 0), (500, 250), (350, 450), (0, 500), (-350, 450), (-500, 250), (-500, 0)]
    spline = space.add_open_spline([(*p, 0) for p in points], degree=3)
    space.add_line((500, -200), (500, 0))
    space.add_line((-500, 0), (-500, -200))
    curve, fit, _ = read(document, tmp_path)
    tool = spline.construction_tool()
    worst = max(abs(curve.nearest(p.x, p.y)[1]) for p in tool.approximate(200))
    assert worst <= 0.0051
    assert fit.worst_mm <= 0.0051
    assert curve.pieces[0] == (pytest.approx(200.0), 0.0)


def test_small_misfits_are_healed_and_reported(tmp_path: Path) -> None:
    document, space = drawing()
    turn = math.radians(0.08)
    space.add_line((500 + 300 * math.sin(turn), -300 * math.cos(turn)), (500.004, 0))
    space.add_arc((0, 0), 500, 0, 180)
    curve, fit, (finding,) = read(document, tmp_path)
    assert finding.code == "curve.drawing-healed"
    assert "1 joint" in finding.message
    assert 0.0 < fit.worst_mm <= 0.01
    assert finding.value == fit.worst_mm
    assert curve.length_mm == pytest.approx(300.0 + 500.0 * math.pi, abs=0.01)
    assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((-500.0, 0.0), abs=1e-6)


def line(space: Any) -> None:
    space.add_line((0, 0), (100, 0))


def nothing(space: Any) -> None:
    assert len(space) == 0


def two_paths(space: Any) -> None:
    draw_jamb(space, 1)
    space.add_line((900, 0), (900, 200))


def corner(space: Any) -> None:
    space.add_line((0, 0), (100, 0))
    space.add_line((100, 0), (200, 0.3))


def spline_corner(space: Any) -> None:
    space.add_open_spline([(0, 0, 0), (100, 0, 0), (200, 80, 0)], degree=1)


def crossed(space: Any) -> None:
    space.add_lwpolyline(
        [(0, -300, 0), (0, 0, math.tan(math.radians(270) / 4)), (-100, -100, 0), (200, -100, 0)], format="xyb"
    )


REFUSED = [
    (nothing, "has nothing in its model space, expected one open path"),
    (two_paths, "2 separate open paths, expected one: the nearest two ends stand"),
    (lambda s: draw_jamb(s, 2, gap=0.4), r"stand 0.40 mm .* apart at x 500.20 mm .*, y 0.00 mm .*; close the gap"),
    (lambda s: s.add_circle((0, 0), 5), "a closed CIRCLE"),
    (lambda s: s.add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True), "a closed LWPOLYLINE"),
    (lambda s: s.add_ellipse((0, 0), (5, 0), 0.5), "a closed ELLIPSE"),
    (lambda s: [s.add_arc((0, 0), 5, 0, 180), s.add_arc((0, 0), 5, 180, 360)], "path is closed"),
    (corner, r"a corner of 0.17 deg at x 100.00 mm .*, expected at most 0.1 deg: .* make two recipes"),
    (spline_corner, r"a corner of 38.66 deg at x 100.00 mm"),
    (crossed, r"crosses itself at x 0.00 mm"),
    (lambda s: s.add_text("jamb"), "has no line, only 1 text, expected one open path"),
    (lambda s: s.add_line((0, 0, 0), (100, 0, 30)), "not flat: heights z from 0.000 to 30.000"),
    (lambda s: s.add_polyline3d([(0, 0, 0), (9, 0, 0), (9, 9, 9)]), "3D POLYLINE"),
    (lambda s: s.add_arc((0, 0), 5, 0, 90, dxfattribs={"extrusion": (0, 1, 0)}), "tilted out of the plane"),
    (lambda s: [line(s), s.add_line((100, 0), (200, 0)), s.add_line((100, 0), (100, 50))], "3 ends meet at x 100.00"),
]


@pytest.mark.parametrize(("draw", "says"), REFUSED)
def test_what_is_no_path_is_refused_in_one_line(tmp_path: Path, draw: Any, says: str) -> None:
    document, space = drawing()
    draw(space)
    with pytest.raises(CurveError, match=says) as caught:
        read(document, tmp_path)
    assert "\n" not in str(caught.value)


def test_an_empty_layer_names_those_that_are_not(tmp_path: Path) -> None:
    document, space = drawing()
    space.add_line((0, 0), (1, 0), dxfattribs={"layer": "JAMB"})
    with pytest.raises(CurveError, match=r"on layer 'ARCH', expected one open path; there is something on: JAMB"):
        read(document, tmp_path, layer="ARCH")


@pytest.mark.parametrize(
    "file", ["../porch.dxf", "/etc/porch.dxf", "a/../../porch.dxf", "C:\\porch.dxf", "..\\porch.dxf"]
)
def test_a_file_outside_the_recipes_folder_is_refused(tmp_path: Path, file: str) -> None:
    (tmp_path / "in").mkdir()
    document, space = drawing()
    line(space)
    document.saveas(tmp_path / "porch.dxf")
    # the schema refuses these too: whoever builds a model without it must not get out either
    with pytest.raises(CurveError, match="leads out of the recipe's folder"):
        read_drawing(Drawing.model_construct(kind="drawing", file=file, layer=None), tmp_path / "in", "mm")


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "porch.dxf").write_text("0\nEOF\n")
    (tmp_path / "in" / "porch.dxf").symlink_to(tmp_path / "porch.dxf")
    with pytest.raises(CurveError, match="leads out of the recipe's folder"):
        read_drawing(Drawing(kind="drawing", file="porch.dxf"), tmp_path / "in", "mm")


def test_a_missing_file_and_one_that_is_no_drawing(tmp_path: Path) -> None:
    ask = Drawing(kind="drawing", file="porch.dxf")
    with pytest.raises(CurveError, match="is not in the recipe's folder"):
        read_drawing(ask, tmp_path, "mm")
    (tmp_path / "porch.dxf").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    with pytest.raises(CurveError, match="cannot be read as a DXF"):
        read_drawing(ask, tmp_path, "mm")
    (tmp_path / "porch.dxf").write_text("")
    with pytest.raises(CurveError):
        read_drawing(ask, tmp_path, "mm")


@pytest.mark.parametrize("more", ["", "0 LINE 8 OTHER 10 0 20 0 11 100 21 0 "])
def test_an_old_polyline_without_a_vertex(tmp_path: Path, more: str) -> None:
    """One word a line, as the oldest programs wrote."""
    words = f"0 SECTION 2 ENTITIES {more}0 POLYLINE 8 PATH 66 1 70 0 0 SEQEND 0 ENDSEC 0 EOF"
    (tmp_path / "porch.dxf").write_text("\n".join(words.split()) + "\n", encoding="utf-8")
    with pytest.raises(CurveError, match="has polylines without a point, expected one open path; draw it again"):
        read_drawing(Drawing(kind="drawing", file="porch.dxf", layer="PATH"), tmp_path, "mm")
    if more:  # a file without a header says no units either
        with pytest.raises(CurveError, match=r"does not say its units.* 100 in or 100 mm"):
            read_drawing(Drawing(kind="drawing", file="porch.dxf"), tmp_path, "mm")
        asked: tuple[tuple[Any, float], ...] = (("mm", 100.0), ("in", 2540.0))
        for unit, mm in asked:
            curve, _, findings = read_drawing(Drawing(kind="drawing", file="porch.dxf", units=unit), tmp_path, "mm")
            assert (curve.length_mm, findings) == (pytest.approx(mm), ())
        with pytest.raises(CurveError, match="100 m long, expected at most 30 m; look at the units"):
            read_drawing(Drawing(kind="drawing", file="porch.dxf", units="m"), tmp_path, "mm")
