"""The spreader bar: where it goes, what it holds and what is cut away for it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from shapely import box

from formgen.errors import FormError
from formgen.form.model import Form
from formgen.geometry.outline import Outline

Made = Callable[[str], Form]


def _leg_gap(form: Form, half_mm: float) -> float:
    """Distance across the pressed legs at the bar's height, from points by trigonometry alone: a semicircle of n
    equal plies turns 180°/(1 − 1/n²), so each leg leans half the rest inward below its springing point."""
    laminate = form.laminate
    s = 1 / len(laminate.plies) ** 2
    radius = 18.5 * 25.4 * (1 - s)
    lean = math.pi / 2 / (1 - s) - math.pi / 2
    springing = radius * math.cos(lean)  # half the pressed span
    assert form.bar is not None
    along = -form.bar_setting.height_mm / math.cos(lean)
    return 2 * (springing - along * math.sin(lean) + half_mm * (math.cos(lean) + math.sin(lean) * math.tan(lean)))


def test_a_male_form_pulls_the_legs_in_over_their_outside_faces(made: Made) -> None:
    form = made("porch-door-jamb")
    assert form.bar is not None
    assert form.bar_setting.action == "pulls in"
    assert form.bar_setting.between_legs_mm == pytest.approx(_leg_gap(form, 12.7), abs=1e-6)


def test_a_female_form_pushes_them_out_from_their_inside_faces(changed: Callable[..., Form]) -> None:
    form = changed("porch-door-jamb", ("side: male", "side: female"))
    assert form.bar is not None
    assert form.bar_setting.action == "pushes out"
    assert form.bar_setting.between_legs_mm == pytest.approx(_leg_gap(form, -12.7), abs=1e-6)


def test_the_bar_lies_free_at_mid_depth_on_a_male_form(made: Made, polygon: Callable[[Outline], object]) -> None:
    form = made("porch-door-jamb")
    bar, section = form.bar, form.recipe.shop.bar
    assert bar is not None
    middle = form.depth_mm / 2
    space = box(
        -5000,
        bar.touch.height_mm - section.height_mm / 2 - section.play_mm,
        5000,
        bar.touch.height_mm + section.height_mm / 2 + section.play_mm,
    )
    for layer in form.layers:
        above = layer.front_mm + layer.thickness_mm > middle - section.width_mm / 2 - section.play_mm
        assert layer.bar_seat == above
        assert (layer.number in bar.layers) == above
        touched = polygon(layer.outline).intersection(space).area  # type: ignore[attr-defined]
        assert (touched < 1e-6) == above
    assert not form.layers[0].bar_seat


def test_a_female_form_is_notched_outside_both_legs(made: Made) -> None:
    form = made("gallery-casing")
    bar, section = form.bar, form.recipe.shop.bar
    assert bar is not None
    half = section.height_mm / 2 + section.play_mm
    plain, seat = form.layers[0], form.layers[bar.layers[0] - 1]
    x0, _, x1, _ = plain.outline.bounds
    depth = section.height_mm / 2
    assert plain.outline.area_mm2 - seat.outline.area_mm2 == pytest.approx(2 * depth * 2 * half)
    for x in (x0 + depth / 2, x1 - depth / 2):
        assert plain.outline.contains((x, bar.touch.height_mm))
        assert not seat.outline.contains((x, bar.touch.height_mm))
        assert seat.outline.contains((x, bar.touch.height_mm + half + 1))
    held = sum(layer.thickness_mm for layer in form.layers if layer.bar_seat)
    assert held >= section.width_mm + 2 * section.play_mm


def test_the_height_that_is_asked_for_is_used(changed: Callable[..., Form]) -> None:
    form = changed("porch-door-jamb", ("body: band", "body: band\n  spreader_bar: {height: -6}"))
    assert form.bar is not None
    assert form.bar_setting.height_mm == pytest.approx(-6 * 25.4)
    lines = [m for _, p in form.pieces for m in p.marks if m.kind == "spreader bar"]
    assert lines
    assert np.allclose([m.start[1] for m in lines], -6 * 25.4)


@pytest.mark.parametrize(
    ("recipe", "change", "reason"),
    [
        ("reading-room-head", ("sheet: mdf-3-4", "sheet: mdf-3-4\n  spreader_bar: true"), "legs run straight"),
        ("chapel-window-half", ("sheet: mdf-3-4", "sheet: mdf-3-4\n  spreader_bar: true"), "no two legs"),
        ("porch-door-jamb", ("body: band", "body: band\n  spreader_bar: {height: 12}"), "lean"),
        ("porch-door-jamb", ("body: band", "body: band\n  spreader_bar: {height: -40}"), "hangs past"),
        ("porch-door-jamb", ("body: band", "body: band\n  spreader_bar: {height: 40}"), "does not reach"),
    ],
)
def test_a_bar_that_cannot_hold_is_refused_when_asked_for(
    changed: Callable[..., Form], recipe: str, change: tuple[str, str], reason: str
) -> None:
    with pytest.raises(FormError, match=reason):
        changed(recipe, change)


def test_without_legs_a_form_has_no_bar_and_says_so(made: Made) -> None:
    form = made("reading-room-head")
    assert form.bar is None
    assert "form.no-bar" in {f.code for f in form.findings}
