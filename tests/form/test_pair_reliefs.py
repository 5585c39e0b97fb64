"""Reliefs stand where the pair at the ends of the curve must stay, whatever the spacing asks for."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.form.curve_ends import Stand, end_jump, jumps, stands
from formgen.form.model import Form
from formgen.form.reliefs import _even
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose


def test_a_relief_stands_at_each_end_of_the_curve(shipped: Form) -> None:
    """On a leg 20 to 40 mm beyond the spring line (male), on the curve as far before it (female), at the trim line."""
    if not shipped.relief_stations_mm or shipped.pressing.way != "part-bagged":
        return
    pressing = shipped.pressing
    part = pressing.recipe.part
    for stand in stands(pressing.laminate.pressed, pressing.side, part.tolerance_mm, 30.0)[:2]:
        near = min(shipped.relief_stations_mm, key=lambda s: abs(s - stand.station_mm))
        assert stand.least_mm - 0.1 <= near <= stand.greatest_mm + 0.1


def test_the_spacing_is_kept(shipped: Form) -> None:
    """A clamp for every `spacing` of the face, as wide as the recipe asks, 200 mm where it says nothing."""
    stations = shipped.relief_stations_mm
    ask = shipped.recipe.asked.form.clamp_reliefs
    if not stations or not isinstance(ask, bool | None):
        return
    assert max(b - a for a, b in pairwise(stations)) < 200.0 * 1.06


def test_without_room_it_says_to_clamp_from_the_back(changed: Callable[..., Form]) -> None:
    form = changed("porch-door-jamb", ("backing: 6", "backing: 2 1/2"))
    finding = next(f for f in form.findings if f.code == "form.relief-pair")
    assert "Clamp there from the back of the form" in finding.message
    assert "both ends" in finding.message


def test_where_all_clamps_stay_they_stand_evenly(changed: Callable[..., Form]) -> None:
    """No bag: the glue lines get their pressure from clamps alone."""
    form = changed("porch-door-jamb", ("side: male", "side: male\n  way: clamped"))
    steps = sorted(b - a for a, b in pairwise(form.relief_stations_mm))
    assert len(steps) > 5
    assert steps[-1] < 1.1 * steps[len(steps) // 2]  # a few may have moved along, for their walls


def curve(leg: float, radius: float) -> ArcSpline:
    return ArcSpline.of(Pose(0.0, 0.0, 0.0), [(leg, 0.0), (math.pi * radius, 1.0 / radius), (leg, 0.0)])


@pytest.mark.parametrize(
    ("leg", "radius", "tolerance", "side", "at"),
    [
        (340.0, 462.0, 0.8, "male", 310.0),  # the usual 30 mm
        (340.0, 462.0, 0.8, "female", 370.0),
        (
            340.0,
            462.0,
            0.02,
            "male",
            340.0 - math.sqrt(32.0 * 462.0 * 0.02),
        ),  # 17.2: no further than the tolerance asks
        (24.0, 462.0, 0.8, "male", 0.0),  # a leg of 24 mm: at its end
        (12.0, 462.0, 0.8, "male", 0.0),  # too short for a clamp: the trim line
    ],
)
def test_where_the_pair_stands(leg: float, radius: float, tolerance: float, side: str, at: float) -> None:
    """30 mm (common practice, no source), but never beyond √(32 R tol) (closed form)."""
    stand = stands(curve(leg, radius), "male" if side == "male" else "female", tolerance, 30.0)[0]
    assert stand.station_mm == pytest.approx(at, abs=0.01)
    assert stand.least_mm <= stand.station_mm <= stand.greatest_mm


def test_a_smooth_run_out_has_no_jump() -> None:
    pieces = [(10.0, i / 40.0 / 800.0) for i in range(41)]
    easement = ArcSpline.of(Pose(0.0, 0.0, 0.0), [(300.0, 0.0), *pieces, (500.0, 1.0 / 800.0)])
    assert jumps(easement, "male", 0.8) == ()
    assert end_jump((), easement, "right") is None


@given(st.floats(20.0, 500.0), st.lists(st.floats(0.0, 3000.0), max_size=4), st.floats(100.0, 3000.0))
def test_even_steps_leave_no_gap_wider_than_the_spacing(spacing: float, fixed: list[float], length: float) -> None:
    fixed = sorted(s for s in fixed if s <= length)
    stations = sorted([*fixed, *(wish.station_mm for wish in _even((0.0, length), spacing, fixed))])
    assert stations
    assert stations[0] <= spacing / 2.0 + 1e-6
    assert length - stations[-1] <= spacing / 2.0 + 1e-6
    assert all(b - a <= spacing + 1e-6 for a, b in pairwise(stations))


def test_a_wish_moves_no_further_than_it_may() -> None:
    for wish in _even((0.0, 1000.0), 200.0, [30.0]):
        assert isinstance(wish, Stand)
        assert wish.least_mm <= wish.station_mm <= wish.greatest_mm
        assert wish.greatest_mm - wish.least_mm <= 200.0 + 1e-6
