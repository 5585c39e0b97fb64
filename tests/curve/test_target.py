"""From a recipe to the arch: faces and centre line, legs, springing points, halves that meet at a point."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from formgen.curve.stage import make_arch
from formgen.errors import CurveError
from formgen.recipe.model import Recipe

RecipeOf = Callable[..., Recipe]
SEGMENTAL = {"kind": "segmental", "span": 1200, "rise": 200}
NAMED = [
    ({"kind": "semicircle", "span": 1000}, True, 1),
    (SEGMENTAL, True, 1),
    ({"kind": "three-centred", "span": 1200, "rise": 400}, True, 1),
    ({"kind": "ellipse", "span": 1200, "rise": 400}, True, 1),
    ({"kind": "pointed", "span": 1000}, False, 2),
    ({"kind": "four-centred", "span": 1200}, False, 2),
    ({"kind": "quarter", "radius": 600}, False, 1),
    ({"kind": "serpentine", "span": 1000, "offset": 200}, False, 1),
]


@pytest.mark.parametrize(("arch", "two_legged", "copies"), NAMED)
@pytest.mark.parametrize(("on", "outward"), [("inside", 10.0), ("centre", 0.0), ("outside", -10.0)])
def test_the_centre_line_stands_half_the_thickness_off_the_measured_face(
    recipe_of: RecipeOf,
    arch: dict[str, Any],
    two_legged: bool,  # noqa: FBT001
    copies: int,
    on: str,
    outward: float,
) -> None:
    made = make_arch(recipe_of(arch, on, thickness=20.0, legs={"length": 150.0, "run": "tangent"}))
    assert (made.two_legged, made.copies, made.thickness_mm) == (two_legged, copies, 20.0)
    # the outside lies to the right of travel, where nearest() counts distances as negative
    for share in (0.0, 0.3, 0.5, 0.7):
        p = made.target.pose(share * made.target.length_mm)
        assert made.measured.nearest(p.x_mm, p.y_mm)[1] == pytest.approx(-outward, abs=1e-6)
    right = made.target.pose(made.springing_mm[0])
    assert made.springing_mm[0] == 150.0
    if arch["kind"] != "serpentine":
        legs_below = made.target.start
        assert math.dist((right.x_mm, right.y_mm), (legs_below.x_mm, legs_below.y_mm)) == pytest.approx(150.0)
    assert made.fit is None


@pytest.mark.parametrize(
    "arch",
    [
        {"kind": "pointed", "span": 1000},
        {"kind": "pointed", "span": 900, "rise": 700},
        {"kind": "four-centred", "span": 1200},
    ],
)
@pytest.mark.parametrize("on", ["inside", "centre", "outside"])
def test_a_half_ends_on_midspan_and_its_mitre_lies_in_that_plane(
    recipe_of: RecipeOf, arch: dict[str, Any], on: str
) -> None:
    made = make_arch(recipe_of(arch, on, legs=100.0))
    end = made.target.end
    assert end.x_mm == pytest.approx(0.0, abs=1e-9)
    assert made.mitre_rad[0] == 0.0
    assert made.springing_mm == (100.0, made.target.length_mm)
    # turned by the mitre from its own left normal, the cut runs straight down the plane x = 0
    nx, ny = end.left
    c, s = math.cos(-made.mitre_rad[1]), math.sin(-made.mitre_rad[1])
    assert abs(c * nx - s * ny) < 1e-12 or abs(c * nx + s * ny) < 1e-12
    assert 0.0 < made.mitre_rad[1] < math.pi / 4.0


def test_the_mitre_of_an_equilateral_arch_measured_on_its_centre_is_30_degrees(recipe_of: RecipeOf) -> None:
    # Each half turns 60° from upright (Euclid I.1), so that the section leans 30° from the upright plane.
    made = make_arch(recipe_of({"kind": "pointed", "span": 1000}, "centre"))
    assert math.degrees(made.mitre_rad[1]) == pytest.approx(30.0)
    assert made.target.end.y_mm == pytest.approx(500.0 * math.sqrt(3.0))


@pytest.mark.parametrize(
    ("on", "code"),
    [("inside", "curve.square-point"), ("centre", "curve.square-point"), ("outside", "curve.mitre-trim")],
)
def test_an_ogee_says_how_its_halves_meet(recipe_of: RecipeOf, on: str, code: str) -> None:
    made = make_arch(recipe_of({"kind": "ogee", "span": 1000, "rise": 750}, on))
    assert [f.code for f in made.findings] == [code]
    assert (made.mitre_rad[1] > 0.0) == (on == "outside")


def test_legs_that_differ(recipe_of: RecipeOf) -> None:
    made = make_arch(recipe_of(SEGMENTAL, legs={"right": 300.0, "left": 40.0, "run": "tangent"}))
    assert made.springing_mm == (300.0, pytest.approx(made.target.length_mm - 40.0))
    with pytest.raises(CurveError, match=r"part.legs = 300.00 mm .* make two recipes"):
        make_arch(recipe_of({"kind": "pointed", "span": 1000}, legs={"right": 300.0, "left": 40.0}))


@pytest.mark.parametrize(
    ("arch", "on", "thickness"),
    [
        ({"kind": "semicircle", "span": 100}, "outside", 50.0),
        ({"kind": "semicircle", "span": 100}, "centre", 100.0),
        ({"kind": "serpentine", "span": 400, "offset": 200}, "inside", 250.0),
    ],
)
def test_a_part_whose_other_face_turns_inside_out_is_refused(
    recipe_of: RecipeOf, arch: dict[str, Any], on: str, thickness: float
) -> None:
    with pytest.raises(CurveError, match=r"turns inside out; make the part thinner"):
        make_arch(recipe_of(arch, on, thickness=thickness))
    make_arch(recipe_of(arch, on, thickness=thickness * 0.99))


def test_thickness_is_the_sum_of_the_ply_groups(recipe_of: RecipeOf) -> None:
    recipe = recipe_of(SEGMENTAL)
    group = type(recipe.asked.laminate).model_validate(
        {"wood": "white ash", "plies": [{"count": 2, "thickness": 3}, {"thickness": 6.5}]}
    )
    asked = recipe.asked.model_copy(update={"laminate": group})
    made = make_arch(
        type(recipe)(asked=asked, shop=recipe.shop, folder=recipe.folder, sheet_name="panel", sheet=recipe.sheet)
    )
    assert made.thickness_mm == 12.5


@given(legs=st.floats(1.0, 400.0), radius=st.floats(200.0, 900.0), turn=st.floats(0.5, 3.0))
@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_chain_with_two_legs_is_an_arch_on_its_springing_line(
    recipe_of: RecipeOf, legs: float, radius: float, turn: float
) -> None:
    pieces = [{"length": legs}, {"length": radius * turn, "radius": radius}, {"length": legs}]
    made = make_arch(recipe_of({"kind": "chain", "pieces": pieces}))
    assert made.two_legged
    assert made.springing_mm[0] == legs
    right, left = (made.measured.pose(s) for s in (legs, legs + radius * turn))
    chord = 2.0 * radius * math.sin(turn / 2.0)
    assert (right.x_mm, right.y_mm) == pytest.approx((chord / 2.0, 0.0), abs=1e-8)
    assert (left.x_mm, left.y_mm) == pytest.approx((-chord / 2.0, 0.0), abs=1e-8)


@pytest.mark.parametrize(
    ("pieces", "says"),
    [
        ([{"length": 500}], "is straight"),
        (
            [{"length": 500, "radius": 300}, {"length": 100}, {"length": 1800, "radius": 300}, {"length": 900}],
            "crosses itself",
        ),
    ],
)
def test_chains_that_are_no_part_are_refused(recipe_of: RecipeOf, pieces: Any, says: str) -> None:
    with pytest.raises(CurveError, match=says):
        make_arch(recipe_of({"kind": "chain", "pieces": pieces}))


def test_readings_come_out_on_the_axes_of_the_arch(recipe_of: RecipeOf) -> None:
    xy = [[700.0 + 600.0 * x / 6.0, math.sqrt(1000.0**2 - (100.0 * x) ** 2) - 750.0] for x in range(-6, 7)]
    xy[4][1] += 3.0
    made = make_arch(recipe_of({"kind": "points", "fit": "circle", "xy": xy}, "outside"))
    assert made.two_legged
    assert made.measured.start.x_mm == pytest.approx(-made.measured.end.x_mm)
    assert made.measured.start.y_mm == pytest.approx(0.0, abs=1e-9)
    assert made.fit is not None
    x, y = made.fit.at_mm
    assert abs(made.measured.nearest(x, y)[1]) == pytest.approx(made.fit.worst_mm)
    assert x == pytest.approx(-200.0, abs=3.0)
    assert [f.code for f in made.findings] == ["curve.bad-reading"]


def test_readings_under_a_point_make_two_halves(recipe_of: RecipeOf) -> None:
    # Pointed: R = (s²/4 + h²)/s, 360/240 → 250; readings count from the left springing.
    xy = [[x + 500.0, math.sqrt(250.0**2 - (abs(x) + 70.0) ** 2)] for x in range(-180, 181, 30)]
    read = make_arch(recipe_of({"kind": "points", "fit": "four-centred", "xy": xy}, legs=50.0))
    named = make_arch(recipe_of({"kind": "pointed", "span": 360, "rise": 240}, legs=50.0))
    assert (read.copies, read.two_legged) == (named.copies, named.two_legged) == (2, False)
    assert read.mitre_rad == pytest.approx(named.mitre_rad, abs=1e-5)
    assert read.target.length_mm == pytest.approx(named.target.length_mm, abs=1e-3)
    assert read.target.end.x_mm == pytest.approx(0.0, abs=1e-9)
    assert read.fit is not None


def test_a_refusal_that_a_slip_may_have_caused_says_so(recipe_of: RecipeOf) -> None:
    xy = [[100.0 * x, math.sqrt(1000.0**2 - (100.0 * (x - 6)) ** 2) - 750.0] for x in range(13)]
    xy[6][1] += 500.0
    with pytest.raises(CurveError, match=r"likely cause: Point 7 \(x 600.0 mm, y 750.0 mm\)"):
        make_arch(recipe_of({"kind": "points", "fit": "circle", "xy": xy}, "outside", thickness=700.0))


def test_readings_on_a_slope_are_not_two_legged(recipe_of: RecipeOf) -> None:
    xy = [[x, 0.1 * x + 0.0002 * x * (1000 - x)] for x in range(0, 1001, 100)]
    assert not make_arch(
        recipe_of({"kind": "points", "fit": "fair", "xy": [[float(x), float(y)] for x, y in xy]})
    ).two_legged


def test_legs_in_a_drawing_are_legs(recipe_of: RecipeOf, tmp_path: Path) -> None:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    document.modelspace().add_lwpolyline([(1000, 0, 0), (1000, 300, 1), (0, 300, 0), (0, 100, 0)], format="xyb")
    document.saveas(tmp_path / "door.dxf")
    made = make_arch(recipe_of({"kind": "drawing", "file": "door.dxf"}, folder=tmp_path, legs=50.0))
    assert made.two_legged
    assert made.springing_mm == (pytest.approx(350.0), pytest.approx(made.target.length_mm - 250.0))
    assert made.measured.start.y_mm == pytest.approx(-350.0)
    assert made.measured.pose(350.0).x_mm == pytest.approx(500.0)
