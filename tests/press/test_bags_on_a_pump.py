"""Several bags on one pump: times against the balance of their air, integrated step by step.

Reference: V dp/dt = Q − S p, solved numerically by scipy, not by the closed forms that the program uses. All bags
hang on one hose: their volumes and their leaks add up.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from scipy.integrate import solve_ivp

from formgen.press.vacuum import plan_vacuum
from formgen.recipe.load import load_recipe
from formgen.recipe.shop import Shop

AIR_L = 12.0
RECIPES = Path(__file__).parents[2] / "recipes"


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_recipe(RECIPES / "porch-door-jamb.yaml").shop


def seconds(slope: Callable[[float], float], from_kpa: float, to_kpa: float) -> float:
    """Until the pressure has come from one value to the other, its slope in kPa/s given by the pressure."""

    def there(_: float, p: list[float]) -> float:
        return p[0] - to_kpa

    there.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(lambda _, p: [slope(p[0])], (0.0, 1e5), [from_kpa], events=there, rtol=1e-9, atol=1e-9)
    return float(found.t_events[0][0])


@pytest.mark.parametrize("bags", [1, 2, 4])
def test_times_of_bags_that_hang_on_one_pump(shop: Shop, bags: int) -> None:
    vacuum, _ = plan_vacuum(None, shop, bags, AIR_L, 4e5, "mm")
    litres, litres_per_s = bags * AIR_L, shop.pump.flow_m3_per_h / 3.6
    leak_kpa_l_per_s = bags * AIR_L * vacuum.loss_kpa_per_min / 60.0  # each bag lets in what its own volume loses
    deepest = vacuum.atmosphere_kpa - vacuum.held_kpa
    again = deepest + shop.pump.switch_band_kpa
    assert vacuum.on_s is not None
    assert vacuum.pump_down_s == pytest.approx(
        seconds(lambda p: -litres_per_s * p / litres, vacuum.atmosphere_kpa, deepest), rel=1e-6
    )
    assert vacuum.off_s == pytest.approx(seconds(lambda _: leak_kpa_l_per_s / litres, deepest, again), rel=1e-6)
    assert vacuum.on_s == pytest.approx(
        seconds(lambda p: (leak_kpa_l_per_s - litres_per_s * p) / litres, again, deepest), rel=1e-6
    )
    assert vacuum.duty == pytest.approx(vacuum.on_s / (vacuum.on_s + vacuum.off_s))


def test_more_bags_leak_more_and_take_longer_and_rest_as_long(shop: Shop) -> None:
    one, three = (plan_vacuum(None, shop, bags, AIR_L, 4e5, "mm")[0] for bags in (1, 3))
    assert three.pump_down_s == pytest.approx(3 * one.pump_down_s)
    assert three.leak_pa_m3_per_s == pytest.approx(3 * one.leak_pa_m3_per_s)
    assert three.off_s == pytest.approx(one.off_s)
    assert (three.on_s or 0.0) > 3 * (one.on_s or 0.0)
