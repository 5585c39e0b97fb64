"""Findings that no shipped recipe calls forth: each is made where it is found, with the values that its words need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from formgen.errors import FormError
from formgen.findings import Severity
from formgen.form.bar import plan_bar
from formgen.form.channel import plan_channel
from formgen.form.model import Form
from formgen.form.weight import weight_findings


def test_a_stack_without_an_inner_layer_has_no_channel(made: Callable[[str], Form]) -> None:
    form = made("clock-surround")
    (found,) = plan_channel(form.pressing, form.body, 2).findings
    assert (found.code, found.value, found.limit) == ("form.no-channel", 2, 3)
    assert "a stack of 2 layers has no inner layer" in found.message


@pytest.mark.parametrize(("body", "most"), [("block", r"19\d\.\d"), ("band", r"118\.0")])
def test_a_channel_is_no_deeper_than_curve_and_body(changed: Callable[..., Form], body: str, most: str) -> None:
    """An ellipse of half axes a and b has radius b²/a = 200 mm at its springing; a body keeps 12 mm behind it."""
    backing = {"band": 130, "block": 400}[body]
    deep = (("body: band", f"body: {body}"), ("backing: 130", f"backing: {backing}\n  channel: {{depth: 250}}"))
    with pytest.raises(FormError, match=rf"form\.channel\.depth = 250\.0 mm, .* expected at most {most} mm:"):
        changed("clock-surround", *deep)


def test_a_part_too_heavy_for_one_person(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    found = weight_findings(replace(form.weights, form_kg=1.0, part_kg=30.0), form.recipe)
    assert [(f.code, f.value) for f in found] == [("form.part-heavy", 30.0)]
    assert "weighs 66 lb" in found[0].message


def test_two_layers_leave_the_bar_off_the_middle(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    plan = plan_bar(form.pressing, 2, 20.0, form.layers[0].outline)
    found = {f.code: f for f in plan.findings}
    half = form.recipe.shop.bar.width_mm / 2 + form.recipe.shop.bar.play_mm
    assert found["form.bar-off-middle"].value == pytest.approx(20.0 + half)
    assert found["form.bar-off-middle"].limit == 20.0


def test_a_bar_high_on_the_legs_takes_their_face(changed: Callable[..., Form]) -> None:
    """The legs are 14 in; a bar at their middle leaves less than half of the face below the seat."""
    form = changed("porch-door-jamb", ("backing: 6", "backing: 6\n  spreader_bar: {height: -4}"))
    (found,) = [f for f in form.findings if f.code == "form.bar-face"]
    assert found.severity is Severity.WARNING
    assert found.value > found.limit == 0.5
    assert f"in layers {form.bar.layers[0]} to {form.bar.layers[-1]}" in found.message
