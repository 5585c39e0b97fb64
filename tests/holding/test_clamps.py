"""Clamps: forces by hand sums, flat spots by the circle itself, the order in which they come off."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.errors import PressError
from formgen.form.model import Form
from formgen.holding.clamps import clamp_plan, on_centre_line, release_order

Made = Callable[..., Form]
JAW_MM = 45.0


def even(form: Form, count: int) -> list[float]:
    length = form.pressing.laminate.pressed.length_mm
    return [length * (i + 0.5) / count for i in range(count)]


def test_force_on_a_leg_by_hand(made: Made) -> None:
    """M / leg: 8 plies of 1/8 in yellow-poplar (10 900 MPa, Wood Handbook), R 18 1/2 in × 63/64.

    Legs of 14 in, 5 1/4 in deep.
    """
    form = made("porch-door-jamb")
    plan = clamp_plan(form.pressing.laminate, even(form, 12), "male", JAW_MM)
    moment = 8 * 10900 * (25.4 / 8) ** 3 / 12 / (18.5 * 25.4 * 63 / 64) * 5.25 * 25.4
    for leg in plan.legs:
        assert leg.force_n == pytest.approx(moment / (14 * 25.4), rel=1e-9)
        assert leg.lever_mm == pytest.approx(14 * 25.4)
        assert (leg.has_leg, leg.bears) == (True, "end of the leg")
        assert leg.clamps == 2  # 12 clamps on 2187 mm: at 91 and 273 mm, the leg being 356 mm
    (finding,) = [f for f in plan.findings if f.code == "press.leg-force"]
    assert finding.value == pytest.approx(moment / (14 * 25.4), rel=1e-9)
    assert moment / (14 * 25.4) / 4.4482216152605 == pytest.approx(42.4, abs=0.05)  # 1 lbf, by definition
    assert finding.message.startswith("With up to 42 lbf at")
    assert "computed" in finding.source


def test_on_a_female_form_the_plies_stand_off_at_the_springing(made: Made) -> None:
    form = made("reference-alcove")
    plan = clamp_plan(form.pressing.laminate, even(form, 10), "female", JAW_MM)
    assert {leg.bears for leg in plan.legs} == {"springing"}
    assert "press on the form by themselves" in plan.findings[0].message


def test_a_curve_to_the_very_end_is_held_by_its_last_two_clamps(made: Made) -> None:
    form = made("bench-back-rail")
    plan = clamp_plan(form.pressing.laminate, even(form, 8), "male", JAW_MM)
    step = form.pressing.laminate.pressed.length_mm / 8
    assert [leg.lever_mm for leg in plan.legs] == pytest.approx([step, step])
    # a serpentine bends both ways: one end lifts off the form, the other presses on it
    assert sorted(leg.bears for leg in plan.legs) == ["end", "second clamp"]


def test_flat_under_a_jaw_is_the_sagitta_of_the_face(made: Made) -> None:
    """Against the circle itself, R − √(R² − c²/4), R that of the outside face; on a leg nothing is lost."""
    form = made("porch-door-jamb")
    plan = clamp_plan(form.pressing.laminate, even(form, 9), "male", JAW_MM)
    R = 18.5 * 25.4 * 63 / 64 + 12.7
    crown, leg = plan.places[4], plan.places[0]
    assert crown.on_curve
    assert crown.face_radius_mm == pytest.approx(R, rel=1e-9)
    assert crown.flat_mm == pytest.approx(R - math.sqrt(R * R - JAW_MM**2 / 4), rel=1e-3)
    assert (leg.on_curve, leg.flat_mm, leg.face_radius_mm) == (False, 0.0, math.inf)
    female = clamp_plan(form.pressing.laminate, even(form, 9), "female", JAW_MM)
    assert female.places[4].face_radius_mm == pytest.approx(R - 25.4, rel=1e-9)


@pytest.mark.parametrize(("jaw_mm", "warned"), [(52.0, False), (54.0, True)])
def test_flat_spot_is_a_warning_past_the_tolerance(made: Made, jaw_mm: float, warned: bool) -> None:  # noqa: FBT001
    """The sagitta c²/(8R) is 0.8 mm at R 449.9 mm (18 1/2 in × 63/64 − 1/2 in, inside face) where c ≈ 53.7 mm."""
    form = made("porch-door-jamb")
    assert math.sqrt(8 * (18.5 * 25.4 * 63 / 64 - 12.7) * 0.8) == pytest.approx(53.7, abs=0.1)
    plan = clamp_plan(form.pressing.laminate, even(form, 9), "female", jaw_mm)
    flat = [f for f in plan.findings if f.code == "press.flat-spot"]
    assert bool(flat) == warned
    if warned:
        # clamps 1 and 9 are 122 mm up, on legs of 356 mm; 2 and 8, at 365 mm, are on the curve
        assert flat[0].limit == 0.8
        assert flat[0].value == pytest.approx(max(p.flat_mm for p in plan.places))
        assert "clamp 2, 3, 4, 5, 6, 7, 8:" in flat[0].message


def test_a_leg_without_a_clamp_is_a_warning(made: Made) -> None:
    form = made("porch-door-jamb")
    middle = form.pressing.laminate.pressed.length_mm / 2
    plan = clamp_plan(form.pressing.laminate, [middle - 200, middle, middle + 200], "male", JAW_MM)
    (warning,) = [f for f in plan.findings if f.code == "press.leg-no-clamp"]
    assert "right and the left leg" in warning.message


@pytest.mark.parametrize(
    ("stations", "order"),  # common practice, no source: crown first, bottom pair last
    [
        ([100.0, 300.0, 500.0, 700.0, 900.0], ((3,), (2, 4), (1, 5))),
        ([200.0, 400.0, 600.0, 800.0], ((2, 3), (1, 4))),
        ([100.0, 250.0, 400.0, 520.0, 900.0], ((4,), (3,), (2,), (1, 5))),
        ([100.0, 200.0, 300.0], ((3,), (2,), (1,))),
        ([], ()),
    ],
)
def test_release_order(stations: list[float], order: tuple[tuple[int, ...], ...]) -> None:
    assert release_order(stations, 500.0) == order


@given(st.lists(st.floats(0.0, 1000.0), max_size=15, unique=True))
def test_every_clamp_comes_off_once_and_the_outermost_last(stations: list[float]) -> None:
    order = release_order(stations, 500.0)
    assert sorted(n for step in order for n in step) == list(range(1, len(stations) + 1))
    if any(s < 250 for s in stations) and any(s > 750 for s in stations):  # too far out to count as the crown
        assert set(order[-1]) == {1, len(stations)}


def test_reliefs_on_the_face_lie_square_across_on_the_centre_line(shipped: Form) -> None:
    pressing = shipped.pressing
    face, pressed = pressing.face, pressing.laminate.pressed
    stations = [face.length_mm * share for share in (0.0, 0.13, 0.5, 0.77, 1.0)]
    for on_face, on_line in zip(stations, on_centre_line(pressing.laminate, face, stations), strict=True):
        a, b = face.pose(on_face), pressed.pose(on_line).beside(pressing.face_offset_mm)
        assert (a.x_mm, a.y_mm) == pytest.approx((b.x_mm, b.y_mm), abs=1e-6)


@pytest.mark.parametrize(("stations", "jaw_mm"), [([-5.0], 45.0), ([1e5], 45.0), ([100.0], 0.0)])
def test_impossible_clamps_are_refused(made: Made, stations: list[float], jaw_mm: float) -> None:
    with pytest.raises(PressError, match="expected"):
        clamp_plan(made("porch-door-jamb").pressing.laminate, stations, "male", jaw_mm)


def test_no_reliefs_no_plan(made: Made) -> None:
    plan = clamp_plan(made("porch-door-jamb").pressing.laminate, [], "male", JAW_MM)
    assert (plan.places, plan.legs, plan.release, plan.findings) == ((), (), (), ())
