"""The stage's sums on numbers small enough to be done by hand; each expected value is written as its sum.

Sources: parallel curves (geometry), beam on a rigid arc, balance of leak and pump p = Q/S. The same sums against
independent models: `tests/validation`.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.press.drawing_down import lifted_end, lifted_end_mm
from formgen.press.film import film_folds
from formgen.press.vacuum import plan_vacuum
from formgen.recipe.load import load_recipe
from formgen.recipe.shop import Shop

RECIPES = Path(__file__).parents[2] / "recipes"
HALF_CIRCLE = ArcSpline(Pose(500.0, 0.0, math.pi / 2), ((math.pi * 500.0, 1 / 500.0),))


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_recipe(RECIPES / "porch-door-jamb.yaml").shop


def test_sheeting_gathers_in_the_hollow() -> None:
    # both sheets as long as the flat part: the inner one has sweep × (part + sheet) too much, in folds of two more
    male, female = (film_folds(HALF_CIRCLE, 20.0, 0.5, side) for side in ("male", "female"))
    assert male.gathered_mm == pytest.approx(math.pi * 20.5)
    assert male.most_mm == pytest.approx(1.0)
    assert male.covered_share == pytest.approx(math.pi * 20.5 / 2 / (math.pi * 500))
    assert (female.gathered_mm, female.most_mm) == (0.0, 0.0)


def test_a_free_end_stands_off() -> None:
    # M = q ℓ²/2 on a male form; on a female one the tip touches and helps: M = q ℓ²/4
    assert lifted_end_mm(400.0, 0.08, "male") == pytest.approx(math.sqrt(2 * 400 / 0.08))
    assert lifted_end_mm(400.0, 0.08, "female") == pytest.approx(math.sqrt(4 * 400 / 0.08))


def test_an_end_held_by_its_leg_stands_off_about_the_springing() -> None:
    # zone √(2√3 M/q), of which 1/2 + √3/6 lies on the leg of a male form
    lift = lifted_end("right", ((300.0, 0.0), (900.0, 1 / 500.0)), 25.0, "male", 2e5, 0.08)
    zone = math.sqrt(2 * math.sqrt(3) * 2e5 / 500 / 0.08)
    assert lift.on_leg
    assert lift.zone_mm == pytest.approx(zone)
    short = lifted_end("right", ((zone * 0.7, 0.0), (900.0, 1 / 500.0)), 0.0, "male", 2e5, 0.08)
    assert not short.on_leg  # 0.7 of the zone is less than 0.79 of it


def test_the_pump_holds_no_more_than_its_balance_with_the_leak(shop: Shop) -> None:
    flow_m3_per_s = shop.pump.flow_m3_per_h / 3600.0
    few, many = (plan_vacuum(None, shop, 1, litres, 4e5, "mm")[0] for litres in (10.0, 1000.0))
    leak = many.leak_pa_m3_per_s
    assert leak == pytest.approx(1.0 * many.loss_kpa_per_min * 1000.0 / 60.0)
    assert many.held_kpa == pytest.approx(many.atmosphere_kpa - leak / flow_m3_per_s / 1000.0)
    assert few.held_kpa == pytest.approx(min(few.asked_kpa, few.practical_kpa, few.pump_kpa))
    assert many.held_kpa < few.held_kpa
