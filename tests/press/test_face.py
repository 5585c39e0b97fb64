"""The form face: inside radius, thickness and layers between add up on both sides, whichever face was measured."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from formgen.errors import RecipeError
from formgen.form.model import Form

SPRING_BACK = 1 / 36  # six equal plies
THICKNESS = 0.75 * 25.4


@pytest.mark.parametrize("measured_on", ["inside", "outside", "centre"])
@pytest.mark.parametrize("side", ["male", "female"])
@pytest.mark.parametrize("way", ["part-bagged", "form-bagged", "clamped"])
@pytest.mark.parametrize("between", ["[]", "[bag, {name: felt, thickness: 5 mm}]"])
def test_radii_add_up(changed: Callable[..., Form], *, measured_on: str, side: str, between: str, way: str) -> None:
    """From the form outward: face, what lies between, part, what lies over; whichever face was measured."""
    own = "{name: caul, thickness: 3.2 mm}"
    pressing = changed(
        "reading-room-head",
        ("measured_on: inside", f"measured_on: {measured_on}"),
        (
            "side: male",
            f"side: {side}\n  way: {way}\n  between: {between}\n  over: [{own}, breather]",
        ),
    ).pressing
    measured = (48**2 / 4 + 9.5**2) / (2 * 9.5) * 25.4
    to_centre = {"inside": THICKNESS / 2, "outside": -THICKNESS / 2, "centre": 0.0}[measured_on]
    pressed_centre = (measured + to_centre) * (1 - SPRING_BACK)
    gap = sum(mm for _, mm in pressing.between)
    assert gap == (0.0 if between == "[]" else pytest.approx(5.0 + dict(pressing.between)["vinyl bag"]))
    away = THICKNESS / 2 + gap
    expected = pressed_centre - away if side == "male" else pressed_centre + away
    assert pressing.face.tightest_radius_mm == pytest.approx(expected, abs=1e-9)
    over = THICKNESS / 2 + 3.2 + dict(pressing.over)["breather"]
    outermost = pressed_centre + over if side == "male" else pressed_centre - over
    assert pressing.laminate.pressed.parallel(pressing.over_offset_mm).tightest_radius_mm == pytest.approx(outermost)


def test_more_than_half_a_turn_is_told(made: Callable[[str], Form]) -> None:
    found = {f.code: f for f in made("porch-door-jamb").pressing.findings}
    assert found["press.wraps-form"].value == pytest.approx(180 / (1 - 1 / 64))


@pytest.mark.parametrize("side", ["male", "female"])
@pytest.mark.parametrize("way", ["part-bagged", "form-bagged", "clamped"])
def test_without_a_word_the_usual_layers_lie_there(changed: Callable[..., Form], *, side: str, way: str) -> None:
    """Common practice, no source: the part's own bag on the form, breather and bag over it; waxed cauls without one."""
    pressing = changed("reading-room-head", ("side: male", f"side: {side}\n  way: {way}")).pressing
    near, far = {
        "part-bagged": (["vinyl bag"], ["breather", "vinyl bag"]),
        "form-bagged": (["release"], ["release", "breather", "vinyl bag"]),
        "clamped": (["release"], ["release", "stiff caul"]),
    }[way]
    assert [name for name, _ in pressing.between] == near
    assert [name for name, _ in pressing.over] == far


def test_a_layer_that_nobody_knows_is_refused_at_its_place(changed: Callable[..., Form]) -> None:
    with pytest.raises(RecipeError, match=r"press\.over.*did you mean breather"):
        changed("reading-room-head", ("side: male", "side: male\n  over: [breathr]"))
