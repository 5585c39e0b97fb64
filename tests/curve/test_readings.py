"""The list of readings, for parts whose sizes are known by hand: what, where, on which face, when, in which order."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from formgen.curve.ordinates import ordinates
from formgen.curve.readings import measured_rise_mm, readings
from formgen.curve.stage import make_arch
from formgen.recipe.model import Recipe

TWICE, ONCE = ("at release", "next day"), ("next day",)


def rows(recipe: Recipe) -> list[tuple[Any, ...]]:
    found = readings(ordinates(make_arch(recipe)))
    return [
        (r.name, r.face, r.place, r.height_mm, r.from_a_mm, pytest.approx(r.wanted_mm, abs=1e-4), r.when) for r in found
    ]


def test_a_jamb_is_read_from_the_feet_up(recipe_of: Callable[..., Recipe]) -> None:
    """Semicircle, span 900 inside, 20 thick, on legs of 300: 900 and 940 all the way up, a rise of 450."""
    first = rows(recipe_of({"kind": "semicircle", "span": 900}, legs=300))
    assert first[:5] == [
        ("span", "inside", "feet", pytest.approx(-300.0), None, 900.0, TWICE),
        ("span", "outside", "feet", pytest.approx(-300.0), None, 940.0, TWICE),
        ("span", "inside", "springing line", 0.0, None, 900.0, TWICE),
        ("span", "outside", "springing line", 0.0, None, 940.0, TWICE),
        ("rise", "inside", "middle", None, pytest.approx(450.0), 450.0, TWICE),
    ]
    stations = first[5:]
    assert {(name, when) for name, *_, when in stations} == {("ordinate", ONCE)}
    assert [row[4] for row in stations] == sorted(row[4] for row in stations)
    # circle by Pythagoras at every station inside the opening
    for _, face, _, _, x, wanted, _ in stations:
        radius = 450.0 if face == "inside" else 470.0
        assert wanted == math.sqrt(max(radius**2 - (x - 450.0) ** 2, 0.0))


def test_without_legs_the_feet_are_the_springing_points(recipe_of: Callable[..., Recipe]) -> None:
    found = rows(recipe_of({"kind": "segmental", "span": 900, "rise": 180}, on="outside"))
    assert [row[:4] for row in found[:3]] == [
        ("span", "inside", "feet", 0.0),
        ("span", "outside", "feet", 0.0),
        ("rise", "outside", "middle", None),
    ]
    assert (found[1][5], found[2][5]) == (900.0, 180.0)


def test_a_quarter_is_read_over_its_chord(recipe_of: Callable[..., Recipe]) -> None:
    """Radius 600 on the inside face: a chord of 600 √2, at the middle 600 (1 − √½) high."""
    recipe = recipe_of({"kind": "quarter", "radius": 600})
    found = rows(recipe)
    assert found[0][:3] == ("span", "inside", "ends")
    assert found[0][5] == 600.0 * math.sqrt(2.0)
    assert found[2][0] == "rise"
    assert measured_rise_mm(ordinates(make_arch(recipe))) == pytest.approx(600.0 * (1.0 - math.sqrt(0.5)))


@pytest.mark.parametrize("on", ["inside", "centre", "outside"])
def test_the_rise_as_measured_is_the_one_asked_for(recipe_of: Callable[..., Recipe], on: str) -> None:
    arch = make_arch(recipe_of({"kind": "segmental", "span": 900, "rise": 180}, on=on))
    assert measured_rise_mm(ordinates(arch)) == pytest.approx(180.0)
    assert ordinates(arch).span_mm == pytest.approx(900.0)


def test_a_tolerance_that_is_used_up_leaves_nothing() -> None:
    """A tolerance that sharing has used up leaves nothing, and does not turn into the part's own."""
    from tests.conftest import shipped_form

    arch = shipped_form("stair-corner").pressing.arch
    assert {r.within_mm for r in readings(ordinates(arch, 0.0)) if math.isfinite(r.within_mm)} == {0.0}
