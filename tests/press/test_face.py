"""The form face: inside radius, thickness and layers between add up on both sides, whichever face was measured."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from formgen.form.model import Form

SPRING_BACK = 1 / 36  # six equal plies
THICKNESS = 0.75 * 25.4


@pytest.mark.parametrize("measured_on", ["inside", "outside", "centre"])
@pytest.mark.parametrize("side", ["male", "female"])
@pytest.mark.parametrize("between", ["[]", "[film, {name: felt, thickness: 5 mm}]"])
def test_face_radius_adds_up(changed: Callable[..., Form], measured_on: str, side: str, between: str) -> None:
    pressing = changed(
        "reading-room-head",
        ("measured_on: inside", f"measured_on: {measured_on}"),
        ("side: male", f"side: {side}\n  between: {between}"),
    ).pressing
    measured = (48**2 / 4 + 9.5**2) / (2 * 9.5) * 25.4
    to_centre = {"inside": THICKNESS / 2, "outside": -THICKNESS / 2, "centre": 0.0}[measured_on]
    pressed_centre = (measured + to_centre) * (1 - SPRING_BACK)
    gap = sum(mm for _, mm in pressing.between)
    assert gap == (0.0 if between == "[]" else pytest.approx(5.0 + dict(pressing.between)["film"]))
    away = THICKNESS / 2 + gap
    expected = pressed_centre - away if side == "male" else pressed_centre + away
    assert pressing.face.tightest_radius_mm == pytest.approx(expected, abs=1e-9)


def test_more_than_half_a_turn_is_told(made: Callable[[str], Form]) -> None:
    found = {f.code: f for f in made("porch-door-jamb").pressing.findings}
    assert found["press.wraps-form"].value == pytest.approx(180 / (1 - 1 / 64))
