"""Clamps: flat spots by the circle itself, the order in which they go on and come off."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.errors import PressError
from formgen.form.model import Form
from formgen.geometry.arcspline import same_place
from formgen.holding.clamps import ClampPlan, clamp_plan, outward
from formgen.recipe.schema import Way

Made = Callable[..., Form]
JAW_MM = 45.0


def even(form: Form, count: int) -> list[float]:
    length = form.laminate.pressed.length_mm
    return [length * (i + 0.5) / count for i in range(count)]


def test_flat_under_a_jaw_is_the_sagitta_of_the_face(made: Made) -> None:
    """Against the circle itself, R − √(R² − c²/4), R that of the outside face; on a leg nothing is lost."""
    form = made("porch-door-jamb")
    plan = clamp_plan(form.laminate, even(form, 9), "male", JAW_MM, "part-bagged")
    R = 18.5 * 25.4 * 63 / 64 + 12.7
    crown, leg = plan.places[4], plan.places[0]
    assert crown.on_curve
    assert crown.face_radius_mm == pytest.approx(R, rel=1e-9)
    assert crown.flat_mm == pytest.approx(R - math.sqrt(R * R - JAW_MM**2 / 4), rel=1e-3)
    assert (leg.on_curve, leg.flat_mm, leg.face_radius_mm) == (False, 0.0, math.inf)
    female = clamp_plan(form.laminate, even(form, 9), "female", JAW_MM, "part-bagged")
    assert female.places[4].face_radius_mm == pytest.approx(R - 25.4, rel=1e-9)


@pytest.mark.parametrize(("jaw_mm", "warned"), [(52.0, False), (54.0, True)])
def test_flat_spot_is_a_warning_past_the_tolerance(made: Made, jaw_mm: float, warned: bool) -> None:  # noqa: FBT001
    """The sagitta c²/(8R) is 0.8 mm at R 449.9 mm (18 1/2 in × 63/64 − 1/2 in, inside face) where c ≈ 53.7 mm."""
    form = made("porch-door-jamb")
    assert math.sqrt(8 * (18.5 * 25.4 * 63 / 64 - 12.7) * 0.8) == pytest.approx(53.7, abs=0.1)
    plan = clamp_plan(form.laminate, even(form, 9), "female", jaw_mm, "part-bagged")
    flat = [f for f in plan.findings if f.code == "press.flat-spot"]
    assert bool(flat) == warned
    if warned:
        # clamps 1 and 9 are 122 mm up, on legs of 356 mm; 2 and 8, at 365 mm, are on the curve
        assert flat[0].limit == 0.8
        assert flat[0].value == pytest.approx(max(p.flat_mm for p in plan.places))
        assert "at clamps 2, 3, 4, 5, 6, 7 and 8," in flat[0].message


@pytest.mark.parametrize(
    ("stations", "order"),  # common practice, no source: from the crown outward, the feet last
    [
        ([100.0, 300.0, 500.0, 700.0, 900.0], ((3,), (2, 4), (1, 5))),
        ([200.0, 400.0, 600.0, 800.0], ((2, 3), (1, 4))),
        ([100.0, 250.0, 400.0, 520.0, 900.0], ((4,), (3,), (2,), (1, 5))),
        ([100.0, 200.0, 300.0], ((3,), (2,), (1,))),
        ([], ()),
    ],
)
def test_from_the_crown_outward(stations: list[float], order: tuple[tuple[int, ...], ...]) -> None:
    assert outward(stations, 500.0) == order


def test_from_the_stop_end_to_the_other() -> None:
    assert outward([100.0, 300.0, 500.0], 0.0) == ((1,), (2,), (3,))


@given(st.lists(st.floats(0.0, 1000.0), max_size=15, unique=True), st.sampled_from([0.0, 500.0]))
def test_every_clamp_goes_on_once_and_never_inward(stations: list[float], first: float) -> None:
    """On each side of the first clamp, each that follows stands further out than those before it."""
    order = outward(stations, first)
    ordered = sorted(stations)
    assert sorted(n for step in order for n in step) == list(range(1, len(stations) + 1))
    flat = [n for step in order for n in step]
    for side in (1, -1):
        away = [side * (ordered[n - 1] - first) for n in flat if side * (ordered[n - 1] - first) > 0]
        assert away == sorted(away)
    if first and any(s < 250 for s in stations) and any(s > 750 for s in stations):  # too far out to count as the crown
        assert set(order[-1]) == {1, len(stations)}


def plan_of(form: Form, count: int, way: Way = "part-bagged", staying: set[int] | None = None) -> ClampPlan:
    return clamp_plan(form.laminate, even(form, count), "male", JAW_MM, way, staying)


def test_first_clamp_at_the_crown_or_at_the_stop_end(made: Made) -> None:
    """A jamb is alike at both ends; a half arch with one leg is not, and its plies are stopped at the right end."""
    jamb, half = plan_of(made("porch-door-jamb"), 9), plan_of(made("chapel-window-half"), 5)
    assert jamb.from_crown
    assert jamb.on_order == ((5,), (4, 6), (3, 7), (2, 8), (1, 9))
    assert not half.from_crown
    assert half.on_order == ((1,), (2,), (3,), (4,), (5,))


def test_feet_come_off_first_then_the_pairs_at_the_ends_of_the_arc(made: Made) -> None:
    """Common practice, no source: of nine clamps 1 and 9 stand on the legs; 2 and 8, at the ends of the arc, stay."""
    plan = plan_of(made("porch-door-jamb"), 9, staying={2, 8})
    assert plan.off_at_vacuum == ((5,), (4, 6), (3, 7))
    assert plan.release == ((1, 9), (2, 8))


@pytest.mark.parametrize("way", ["form-bagged", "clamped"])
def test_only_a_bag_round_the_part_alone_lets_clamps_off_under_vacuum(made: Made, way: Way) -> None:
    plan = plan_of(made("porch-door-jamb"), 9, way, staying={2, 8})
    assert plan.off_at_vacuum == ()
    assert plan.release == plan.on_order[::-1] == ((1, 9), (2, 8), (3, 7), (4, 6), (5,))


def test_where_nobody_knows_which_must_stay_all_stay(made: Made) -> None:
    plan = plan_of(made("porch-door-jamb"), 9)
    assert plan.off_at_vacuum == ()
    assert plan.release == plan.on_order[::-1]


def test_reliefs_on_the_face_lie_square_across_on_the_centre_line(shipped: Form) -> None:
    pressing = shipped.pressing
    face, pressed = pressing.face, pressing.laminate.pressed
    stations = [face.length_mm * share for share in (0.0, 0.13, 0.5, 0.77, 1.0)]
    for on_face in stations:
        on_line = same_place(face, pressing.laminate.pressed, on_face)
        a, b = face.pose(on_face), pressed.pose(on_line).beside(pressing.face_offset_mm)
        assert (a.x_mm, a.y_mm) == pytest.approx((b.x_mm, b.y_mm), abs=1e-6)


@pytest.mark.parametrize(("stations", "jaw_mm"), [([-5.0], 45.0), ([1e5], 45.0), ([100.0], 0.0)])
def test_impossible_clamps_are_refused(made: Made, stations: list[float], jaw_mm: float) -> None:
    with pytest.raises(PressError, match="expected"):
        clamp_plan(made("porch-door-jamb").pressing.laminate, stations, "male", jaw_mm, "part-bagged")


def test_no_reliefs_no_plan(made: Made) -> None:
    plan = clamp_plan(made("porch-door-jamb").pressing.laminate, [], "male", JAW_MM, "part-bagged")
    assert (plan.places, plan.on_order, plan.release, plan.findings) == ((), (), (), ())
