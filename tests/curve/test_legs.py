"""Legs under an arch that springs plumb, and under one that springs at an angle: what is bent, what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from formgen.curve.stage import make_arch
from formgen.errors import CurveError
from formgen.findings import Severity
from formgen.recipe.model import Recipe

RecipeOf = Callable[..., Recipe]
PLUMB: list[dict[str, Any]] = [
    {"kind": "semicircle", "span": 1000},
    {"kind": "three-centred", "span": 1200, "rise": 400},
    {"kind": "ellipse", "span": 1200, "rise": 400},
    {"kind": "pointed", "span": 1000},
    {"kind": "pointed", "span": 1000, "rise": 1200},
    {"kind": "four-centred", "span": 1200},
    {"kind": "ogee", "span": 1000, "rise": 750},
    {"kind": "quarter", "radius": 600},
    {"kind": "chain", "pieces": [{"length": 100}, {"length": 500 * math.pi, "radius": 500}, {"length": 40}]},
]
#: The issue's own: span 915, rise 152, legs 2000; it leaned 53° from plumb in silence.
FLAT = {"kind": "segmental", "span": 915, "rise": 152}


@pytest.mark.parametrize("arch", PLUMB, ids=lambda arch: str(arch["kind"]))
def test_where_the_arch_springs_plumb_every_way_of_saying_it_means_the_same(
    recipe_of: RecipeOf, arch: dict[str, Any]
) -> None:
    bare = make_arch(recipe_of(arch, legs=120.0))
    for legs in ({"length": 120.0}, {"length": 120.0, "run": "plumb"}, {"length": 120.0, "run": "tangent"}):
        other = make_arch(recipe_of(arch, legs=legs))
        assert (other.measured, other.target, other.springing_mm) == (bare.measured, bare.target, bare.springing_mm)
        assert other.findings == bare.findings
    assert bare.measured.start.heading_rad == pytest.approx(math.pi / 2.0, abs=1e-9)


@pytest.mark.parametrize(
    ("legs", "got", "sizes"),
    [
        (2000.0, "2000 mm", "length: 2000 mm"),
        ({"right": 300.0, "left": 40.5}, "{right: 300 mm, left: 40.5 mm}", "right: 300 mm, left: 40.5 mm"),
        ({"left": 40.0}, "{left: 40 mm}", "left: 40 mm"),
    ],
)
def test_a_bare_length_under_an_arch_that_springs_at_an_angle_is_refused(
    recipe_of: RecipeOf, legs: Any, got: str, sizes: str
) -> None:
    # half the sweep is 2 atan(152/457.5) = 36.76°, so that the curve leans 90 − 36.76 = 53.24° from plumb
    with pytest.raises(CurveError) as caught:
        make_arch(recipe_of(FLAT, legs=legs))
    assert str(caught.value) == (
        f"part.legs = {got}, expected {{{sizes}, run: plumb}} or {{{sizes}, run: tangent}}: "
        "this arch springs 53° from plumb"
    )


def test_tangent_legs_run_on_as_the_curve_ends(recipe_of: RecipeOf) -> None:
    made = make_arch(recipe_of(FLAT, "centre", legs={"length": 2000.0, "run": "tangent"}))
    lean = math.pi / 2.0 - 2.0 * math.atan(152.0 / 457.5)
    assert made.target.start.x_mm == pytest.approx(457.5 + 2000.0 * math.sin(lean))
    assert made.target.start.y_mm == pytest.approx(-2000.0 * math.cos(lean))
    assert made.findings == ()


@pytest.mark.parametrize("legs", [{"length": 2000.0}, {"right": 2000.0, "left": 500.0}, {"right": 2000.0}])
def test_plumb_legs_leave_the_head_a_part_of_its_own(recipe_of: RecipeOf, legs: dict[str, float]) -> None:
    head, plain = make_arch(recipe_of(FLAT, legs={**legs, "run": "plumb"})), make_arch(recipe_of(FLAT))
    assert (head.measured, head.target, head.springing_mm) == (plain.measured, plain.target, plain.springing_mm)
    assert head.mitre_rad == (0.0, 0.0)
    assert head.waste_mm == (25.0, 25.0)  # cut square, with the run-on that part.end_trim gives
    (finding,) = head.findings
    assert (finding.code, finding.severity) == ("curve.plumb-legs", Severity.WARNING)
    assert finding.value == pytest.approx(90.0 - math.degrees(2.0 * math.atan(152.0 / 457.5)))
    ends = "the right end square" if len(legs) == 1 and "right" in legs else "both ends square"
    assert ends in finding.message
    assert "25.0 mm of run-on (part.end_trim)" in finding.message
    assert "not drawn yet" in finding.message


def test_an_arch_plumb_at_one_end_keeps_the_leg_that_plies_can_take(recipe_of: RecipeOf) -> None:
    """A quarter springs plumb at the right; at its level crown a plumb run would be a corner of 90°."""
    quarter = {"kind": "quarter", "radius": 600}
    with pytest.raises(CurveError, match=r"run: tangent\}: this arch springs 90° from plumb$"):
        make_arch(recipe_of(quarter, legs={"right": 100.0, "left": 50.0}))
    made = make_arch(recipe_of(quarter, legs={"right": 100.0, "left": 50.0, "run": "plumb"}))
    assert made.springing_mm == (100.0, pytest.approx(made.target.length_mm))
    assert "the left end square to the curve" in made.findings[0].message
    level = make_arch(recipe_of(quarter, legs={"right": 100.0, "left": 50.0, "run": "tangent"}))
    assert level.springing_mm == (100.0, pytest.approx(level.target.length_mm - 50.0))


def test_no_legs_need_no_run(recipe_of: RecipeOf) -> None:
    for legs in (0.0, {"length": 0.0}, {"right": 0.0, "left": 0.0}, {"run": "plumb"}, {"run": "tangent"}):
        assert make_arch(recipe_of(FLAT, legs=legs)).findings == ()


@given(off=st.floats(-2.0, 2.0), tilt=st.floats(-60.0, 60.0), span=st.floats(300.0, 3000.0))
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_half_a_degree_decides_whichever_way_a_chain_is_turned(
    recipe_of: RecipeOf, off: float, tilt: float, span: float
) -> None:
    """One arc of 180° less twice `off`, read as points on a turned straight edge: the springing line is its own."""
    half = math.pi / 2.0 - math.radians(off)
    if abs(abs(off) - 0.5) < 1e-6:
        return
    radius = span / 2.0
    turned = [half + math.pi / 2.0 - 2.0 * half * k / 8 for k in range(9)]
    points = [(radius * math.cos(a + math.radians(tilt)), radius * math.sin(a + math.radians(tilt))) for a in turned]
    arch = {"kind": "points", "fit": "circle", "xy": points}
    if abs(off) > 0.5:
        with pytest.raises(CurveError, match=r"this arch springs [0-9.]+° from plumb"):
            make_arch(recipe_of(arch, legs=100.0))
    else:
        assert make_arch(recipe_of(arch, legs=100.0)).findings == ()
