"""One line of an architect's drawing: by layer, by a point, inner or outer, in blocks; what is passed over."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from ezdxf.math import Matrix44

from formgen.curve.drawn.file import opened
from formgen.curve.drawn.paper import Paper
from formgen.curve.drawn.path import read_drawing, units_for
from formgen.errors import CurveError
from formgen.findings import Finding
from formgen.geometry.arcspline import ArcSpline
from formgen.recipe.arch_kinds import Drawing
from tests.curve.architects import INNER_MM, LEG_MM, MM, OUTER_MM, band, furniture, new

INNER_LONG = 2 * LEG_MM + math.pi * INNER_MM
OUTER_LONG = 2 * LEG_MM + math.pi * OUTER_MM


def read(document: Any, folder: Path, face: Any = None, **ask: Any) -> tuple[ArcSpline, dict[str, Finding]]:
    document.saveas(folder / "head.dxf")
    curve, _, findings = read_drawing(Drawing(kind="drawing", file="head.dxf", **ask), folder, "mm", face)
    return curve, {finding.code: finding for finding in findings}


def shown(entity: Any) -> tuple[list[tuple[float, float]], float]:
    """Points of an entity as the library shows it, and its length along them."""
    pieces = entity.virtual_entities() if entity.dxftype() in {"LWPOLYLINE", "POLYLINE"} else [entity]
    points, long = [], 0.0
    for piece in pieces:
        line = piece.dxftype() == "LINE"
        run = [(p.x, p.y) for p in ((piece.dxf.start, piece.dxf.end) if line else piece.flattening(1e-4))]
        points.extend(run)
        long += sum(map(math.dist, run, run[1:]))
    return points, long


def refused(document: Any, folder: Path, **ask: Any) -> str:
    with pytest.raises(CurveError) as caught:
        read(document, folder, **ask)
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.fixture
def elevation() -> Any:
    document, space = new()
    band(space, 1.0)
    furniture(document, 1.0)
    return document


@pytest.mark.parametrize("units", ["in", "ft", "mm", "cm", "m"])
@pytest.mark.parametrize(("line", "long"), [("inner", INNER_LONG), ("outer", OUTER_LONG)])
def test_either_face_of_a_band_in_any_unit(tmp_path: Path, units: str, line: str, long: float) -> None:
    document, space = new(units)
    band(space, 1.0 / MM[units])
    furniture(document, 1.0 / MM[units])
    curve, found = read(document, tmp_path, layer="A-ARCH", line=line)
    assert curve.length_mm == pytest.approx(long, abs=1e-6)
    assert found["curve.drawing-taken"].value == pytest.approx(OUTER_MM - INNER_MM)
    assert f"Of 2 lines that bend in head.dxf, the {line} one was taken" in found["curve.drawing-taken"].message


def test_the_innermost_of_three_and_of_an_arch_that_hangs(tmp_path: Path) -> None:
    document, space = new()
    for radius in (500, 460, 540):
        space.add_arc((0, 0), radius, 190, 350)
    for line, radius in (("inner", 460), ("outer", 540)):
        curve, _ = read(document, tmp_path, line=line)
        assert curve.tightest_radius_mm == pytest.approx(radius)


@pytest.mark.parametrize(
    ("near", "long"), [((0, 457), INNER_LONG), ((455, -300), INNER_LONG), ((-505, -10), OUTER_LONG)]
)
def test_a_point_near_a_line_takes_it(elevation: Any, tmp_path: Path, near: Any, long: float) -> None:
    curve, found = read(elevation, tmp_path, near=near)
    assert curve.length_mm == pytest.approx(long, abs=1e-6)
    passed = found["curve.drawing-passed-over"].message
    assert passed == "head.dxf: 3 dimensions, 2 texts, 1 block, 1 hatch, 1 point passed over."


def test_a_point_is_in_the_drawings_own_unit(tmp_path: Path) -> None:
    document, space = new("in")
    band(space, 1.0 / 25.4)
    curve, _ = read(document, tmp_path, near=(0, 18))
    assert curve.length_mm == pytest.approx(INNER_LONG)


def test_what_is_no_line_is_passed_over_with_a_note(tmp_path: Path) -> None:
    document, space = new()
    space.add_arc((0, 0), 500, 10, 170)
    space.add_arc((0, 0), 500, 10, 170)  # drawn twice
    furniture(document, 1.0)
    for entity in list(space.query("LINE ARC[layer=='A-DOOR']")):
        entity.dxf.layer = "ELSEWHERE"
    for entity in space.query("INSERT TEXT MTEXT HATCH POINT DIMENSION LWPOLYLINE"):
        entity.dxf.layer = "0"
    curve, found = read(document, tmp_path, layer="0")
    assert curve.length_mm == pytest.approx(500 * math.radians(160))
    assert set(found) == {"curve.drawing-passed-over"}
    assert found["curve.drawing-passed-over"].message == (
        "head.dxf: 3 dimensions, 2 texts, 1 block, 1 hatch, 1 point, 1 closed shape, 1 line drawn twice passed over."
    )


def test_a_segment_of_a_closed_outline_is_taken_by_a_point(tmp_path: Path) -> None:
    # a band drawn as one closed polyline, as programs draw it: 90 deg on radii 1000 and 1100
    document, space = new()
    c, b = math.sqrt(0.5), math.tan(math.pi / 8)
    outline = [(1000 * c, 1000 * c, b), (-1000 * c, 1000 * c, 0), (-1100 * c, 1100 * c, -b), (1100 * c, 1100 * c, 0)]
    space.add_lwpolyline(outline, format="xyb", close=True)
    for ask, radius in (({"line": "inner"}, 1000), ({"near": (0, 1099)}, 1100)):
        curve, _ = read(document, tmp_path, **ask)
        assert curve.length_mm == pytest.approx(radius * math.pi / 2)
    assert "the drawing has a closed LWPOLYLINE on layer '0'" in refused(document, tmp_path)


@pytest.mark.parametrize("scale", [(1, 1), (-1, 1), (2, 2), (1, 0.5)])
def test_an_arch_in_a_block(tmp_path: Path, scale: tuple[float, float]) -> None:
    document, space = new()
    inner = document.blocks.new("ARC-LINE")
    inner.add_arc((0, 0), 400, 20, 150)
    outer = document.blocks.new("WINDOW-7")
    outer.add_blockref("ARC-LINE", (100, 50))
    outer.add_text("W7")
    kept = {"xscale": scale[0], "yscale": scale[1], "rotation": 10.0}
    space.add_blockref("WINDOW-7", (3000, 200), dxfattribs={"layer": "A-GLAZ", **kept})
    space.add_text("W7", dxfattribs={"layer": "A-TEXT"})
    (held,) = [
        e for window in space.query("INSERT") for line in window.virtual_entities() if line.dxftype() == "INSERT"
        for e in line.virtual_entities()
    ]  # fmt: skip
    points, long = shown(held)
    for ask in ({}, {"layer": "a-glaz"}, {"near": points[len(points) // 2]}):
        curve, found = read(document, tmp_path, **ask)
        assert curve.length_mm == pytest.approx(long, abs=0.05)
        assert max(abs(curve.nearest(*p)[1]) for p in points) < 0.01
        assert "on layer A-GLAZ, in block WINDOW-7" in found["curve.drawing-taken"].message or "near" not in ask
        assert "in block WINDOW-7" in found["curve.drawing-taken"].message


def test_lines_outside_blocks_go_before_those_inside(elevation: Any, tmp_path: Path) -> None:
    block = elevation.blocks.new("OTHER")
    block.add_arc((0, 0), 300, 0, 180, dxfattribs={"layer": "A-ARCH"})
    elevation.modelspace().add_blockref("OTHER", (0, 0), dxfattribs={"layer": "A-ARCH"})
    curve, _ = read(elevation, tmp_path, layer="A-ARCH", line="inner")
    assert curve.length_mm == pytest.approx(INNER_LONG)
    curve, _ = read(elevation, tmp_path, layer="A-ARCH", near=(0, 300))
    assert curve.length_mm == pytest.approx(math.pi * 300)


@pytest.mark.parametrize("kind", ["missing", "itself", "a million"])
def test_blocks_that_nobody_can_open_hold_nothing(tmp_path: Path, kind: str) -> None:
    document, space = new()
    if kind == "missing":
        space.add_blockref("NOWHERE", (0, 0))
    else:
        block = document.blocks.new("B")
        block.add_blockref("B" if kind == "itself" else "A", (1, 0))
        for _ in range(9):
            block.add_blockref("B", (0, 0))
        document.blocks.new("A").add_text("x")
        space.add_blockref("B", (0, 0), dxfattribs={"row_count": 1000, "column_count": 1000})
    assert "has no line, only 1 block" in refused(document, tmp_path)
    space.add_arc((0, 0), 500, 10, 170)
    curve, _ = read(document, tmp_path, near=(0, 500))
    assert curve.length_mm == pytest.approx(500 * math.radians(160))


def test_what_the_drawer_hid_is_taken_only_by_its_layer(tmp_path: Path) -> None:
    document, space = new()
    document.layers.add("OLD").off()
    space.add_arc((0, 0), 500, 10, 170)
    space.add_arc((0, 0), 600, 10, 170, dxfattribs={"layer": "OLD"})
    space.add_arc((0, 0), 700, 10, 170, dxfattribs={"invisible": 1})
    assert read(document, tmp_path)[0].tightest_radius_mm == pytest.approx(500)
    assert read(document, tmp_path, layer="OLD")[0].tightest_radius_mm == pytest.approx(600)


def test_legs_stay_on_where_a_springing_line_meets_them(tmp_path: Path) -> None:
    document, space = new()
    for side in (-500, 500):
        space.add_line((side, -300), (side, 0))
    space.add_arc((0, 0), 500, 0, 180)
    space.add_line((-500, 0), (500, 0))
    curve, found = read(document, tmp_path, near=(0, 500))
    assert curve.length_mm == pytest.approx(600 + 500 * math.pi)
    assert "curve.drawing-goes-on" not in found
    assert "3 ends meet at x" in refused(document, tmp_path)
    assert "take one line by a point near it, such as near: [0, 500]" in refused(document, tmp_path)


@pytest.mark.parametrize(
    ("gap", "turn_deg", "says"),
    [
        (0.4, 0.0, "another line goes on 0.40 mm from there"),
        (0.0, 0.5, "at a corner of 0.500°"),
        (0.0, 20.0, None),
        (20.0, 0.0, None),
    ],
)
def test_a_line_that_goes_on_past_the_path_is_named(tmp_path: Path, gap: float, turn_deg: float, says: Any) -> None:
    document, space = new()
    space.add_arc((0, 0), 500, 0, 180)
    turn = math.radians(turn_deg)
    space.add_line((500 + gap, 0), (500 + gap + 300 * math.sin(turn), -300 * math.cos(turn)))
    curve, found = read(document, tmp_path, near=(0, 500))
    assert curve.length_mm == pytest.approx(500 * math.pi)
    if says is None:
        assert "curve.drawing-goes-on" not in found
    else:
        assert says in found["curve.drawing-goes-on"].message
        assert "x 500.0 mm, y 0.0 mm of head.dxf" in found["curve.drawing-goes-on"].message
    if gap:  # without a choice everything on the layer is the path: a gap is refused
        assert f"stand {gap:.2f} mm" in refused(document, tmp_path)


def test_lines_that_nearly_meet_are_joined_within_a_hundredth(tmp_path: Path) -> None:
    document, space = new()
    space.add_line((500.006, -300), (500.006, 0))
    space.add_arc((0, 0), 500, 0, 180)
    furniture(document, 1.0)
    curve, found = read(document, tmp_path, near=(0, 500))
    assert curve.length_mm == pytest.approx(300 + 500 * math.pi, abs=0.01)
    assert "1 joint in head.dxf" in found["curve.drawing-healed"].message


def test_a_fork_is_named(tmp_path: Path) -> None:
    document, space = new()
    space.add_arc((0, 0), 500, 0, 180)
    for long in (200, 300):
        space.add_line((500, 0), (500, -long))
    _, found = read(document, tmp_path, near=(0, 500))
    assert "where several lines go on" in found["curve.drawing-goes-on"].message


@pytest.mark.parametrize(
    ("line", "face", "warned"),
    [("inner", "outside", True), ("outer", "inside", True), ("inner", "inside", False), ("inner", "centre", False)],
)
def test_the_line_of_one_face_measured_on_the_other_warns(
    elevation: Any, tmp_path: Path, line: str, face: str, *, warned: bool
) -> None:
    _, found = read(elevation, tmp_path, face, layer="A-ARCH", line=line)
    assert ("curve.drawing-face" in found) is warned


def test_units_of_the_recipe_go_before_the_drawings(tmp_path: Path) -> None:
    document, space = new("m")
    space.add_arc((0, 0), 500, 0, 180)
    curve, found = read(document, tmp_path, units="mm")
    assert curve.tightest_radius_mm == pytest.approx(500)
    assert "says that it is in m; it was read in mm" in found["curve.drawing-units"].message


def test_a_unit_that_nobody_builds_in_may_be_said_otherwise(tmp_path: Path) -> None:
    document, space = new()
    document.header["$INSUNITS"] = 10  # yards
    space.add_arc((0, 0), 18, 0, 180)
    said = refused(document, tmp_path)
    assert "is drawn in unit number 10 ($INSUNITS); what is drawn is 36 wide and 18 high: 36 in or 36 mm?" in said
    assert read(document, tmp_path, units="in")[0].tightest_radius_mm == pytest.approx(457.2)


@pytest.mark.parametrize(
    ("number", "units"),
    [(20, ("in", "mm")), (914.4, ("in", "mm")), (1.22, ("in", "mm", "m", "ft")), (3.2, ("in", "mm", "m", "ft"))],
)
def test_other_units_are_offered_where_neither_is_likely(number: float, units: tuple[str, ...]) -> None:
    assert units_for(number) == units


def test_the_unit_is_asked_for_before_the_line_is(tmp_path: Path) -> None:
    document, space = new("none")
    band(space, 1.0)
    said = refused(document, tmp_path, layer="A-ARCH")
    assert "what is drawn is 1002.4 wide and 1101.2 high: 1101.2 in or 1101.2 mm?" in said
    assert read(document, tmp_path, layer="A-ARCH", line="inner", units="mm")[0].length_mm == pytest.approx(INNER_LONG)


LAYERS = "there is something on: A-ARCH (6 lines, 2 arcs), A-DOOR (1 arc), A-GRID (1 point, 1 line) and 1 more"
REFUSED: list[tuple[dict[str, Any], str]] = [
    ({}, "separate open paths and one or more closed ones, expected one: "),
    ({"layer": "A-ARCH"}, "or take one of two lines by line: inner or line: outer under part.arch"),
    ({"line": "inner"}, "expected lines one inside the other and these 3 are not"),
    ({"layer": "A-DOOR", "line": "outer"}, "expected two lines or more to choose from and there is one"),
    ({"layer": "A-TEXT"}, f"has no line on layer 'A-TEXT', only 2 texts, expected one open path; {LAYERS}"),
    ({"layer": "A-DIMS", "near": (0, 457)}, "has no line on layer 'A-DIMS', only 3 dimensions"),
    ({"layer": "A-GRID", "line": "inner"}, "has only straight lines and closed shapes on layer 'A-GRID'"),
    ({"layer": "A-TITLE"}, "a closed LWPOLYLINE on layer 'A-TITLE'"),
    ({"layer": "NONE"}, "has nothing in its model space on layer 'NONE'"),
    ({"near": (0, 480)}, "[0, 480] lies between two paths, 21.20 mm"),
    ({"near": (0, 480)}, "such as [0, 501] or [0, 457]"),
]


@pytest.mark.parametrize(("ask", "says"), REFUSED)
def test_a_choice_that_settles_nothing_is_refused_with_what_to_type(
    elevation: Any, tmp_path: Path, ask: dict[str, Any], says: str
) -> None:
    assert says in refused(elevation, tmp_path, **ask)


def test_a_broken_line_elsewhere_does_not_stop_one_that_is_chosen(elevation: Any, tmp_path: Path) -> None:
    space = elevation.modelspace()
    space.add_polyline3d([(0, 0, 0), (9, 0, 0), (9, 9, 9)], dxfattribs={"layer": "SITE"})
    space.add_arc((0, 0), 50, 0, 90, dxfattribs={"layer": "SITE", "extrusion": (0, 1, 0)})
    space.add_line((0, 0, 0), (100, 0, 900), dxfattribs={"layer": "SITE"})
    curve, _ = read(elevation, tmp_path, near=(0, 457))
    assert curve.length_mm == pytest.approx(INNER_LONG)
    assert "3D POLYLINE" in refused(elevation, tmp_path, layer="SITE")


def test_many_splines_are_not_made_arcs_of_unasked(elevation: Any, tmp_path: Path) -> None:
    space = elevation.modelspace()
    for i in range(70):
        space.add_ellipse((i, 0), (50, 0), 0.5, 0.1, 2.0, dxfattribs={"layer": "TREES"})
    assert "70 ellipses and splines to look at, expected at most 60; name the layer" in refused(
        elevation, tmp_path, near=(0, 457)
    )
    assert read(elevation, tmp_path, layer="A-ARCH", near=(0, 457))[0].length_mm == pytest.approx(INNER_LONG)


@pytest.mark.parametrize("kind", ["line", "arc", "lwpolyline", "polyline", "ellipse", "spline"])
@pytest.mark.parametrize("how", ["from behind", "mirrored block"])
def test_mirrored_lines_lie_where_the_library_shows_them(tmp_path: Path, kind: str, how: str) -> None:
    """Drawn, then mirrored by ezdxf in the plane, or seen from behind: every point against its own flattening."""
    document, space = new()
    corners = [(300, 0, 0.4), (100, 200, 0), (-50, 250, -0.3), (-200, 220, 0)]
    into = document.blocks.new("HALF") if how == "mirrored block" else space
    entity = {
        "line": lambda: into.add_line((300, 20), (-100, 90)),
        "arc": lambda: into.add_arc((70, 30), 300, 20, 110),
        "lwpolyline": lambda: into.add_lwpolyline(corners, format="xyb"),
        "polyline": lambda: into.add_polyline2d(corners, format="xyb"),
        "ellipse": lambda: into.add_ellipse((70, 30), (300, 40), 0.6, 0.3, 1.9),
        "spline": lambda: into.add_open_spline([(300, 0, 0), (250, 150, 0), (0, 260, 0), (-200, 100, 0)]),
    }[kind]()
    if how == "from behind":
        entity.transform(Matrix44.x_rotate(math.pi))  # over, and back upright: the extrusion is 0, 0, -1
        entity.transform(Matrix44.scale(1, -1, 1))
    else:
        space.add_blockref("HALF", (40, 60), dxfattribs={"xscale": -1, "rotation": 25})
        (entity,) = [e for insert in space.query("INSERT") for e in insert.virtual_entities()]
    points, long = shown(entity)
    document.saveas(tmp_path / "head.dxf")
    lines = Paper(opened(tmp_path / "head.dxf", "head.dxf"), 1.0).lines(None, inside=True)
    for point in points:
        assert min(abs(s.nearest(*point)[1]) for s in lines.stretches) < 0.01
    assert sum(s.length_mm for s in lines.stretches) == pytest.approx(long, abs=0.05)
