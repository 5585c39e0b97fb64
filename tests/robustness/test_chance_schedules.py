"""A share of the schedules made by chance; all of it: `python -m tests.robustness.schedules`."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from tests.robustness.schedules import planned
from tests.robustness.schedules_built import built
from tests.robustness.two_arcs import arcs_apart, legged_apart, radius_and_sweep

FIRST, COUNT, AT_A_TIME = 1001, 15, 5
BUILT = (2,)


@pytest.mark.parametrize("first", range(FIRST, FIRST + COUNT, AT_A_TIME))
def test_schedules_made_by_chance(first: int, tried: Callable[[str], None]) -> None:
    for seed in range(first, first + AT_A_TIME):
        seen = planned(seed)
        assert not seen.faults, f"seed {seed}: {seen.faults}"
        assert seen.counts["schedules"] == 1
        # the fewest radii may ask for it, but not of these
        assert seen.counts["rows made wider that share the rest anew"] == 0
        tried("schedules made by chance")


@pytest.mark.parametrize("seed", BUILT)
def test_small_schedules_built_whole(seed: int, tried: Callable[[str], None]) -> None:
    seen = built(seed)
    assert not seen.faults, f"seed {seed}: {seen.faults}"
    assert seen.counts["built whole"] == 1
    tried("schedules made by chance, built whole")


def test_two_arcs_that_are_known() -> None:
    """Half circles with legs 1 mm apart in radius: legs stand off by the difference, less the lift, half of a tangent.

    Textbook: the lift that evens crown and ends out leaves |R' − R| tan²(sweep/4) to first order; a half circle without
    legs likewise, tan²(45°) = 1. A chord 900, 180 high: R = (450² + 180²)/360 = 652.5, sweep 4 atan(0.4).
    """
    assert radius_and_sweep(900.0, 180.0) == pytest.approx((652.5, 4.0 * math.atan(0.4)))
    assert radius_and_sweep(900.0, None) == pytest.approx((450.0, math.pi))
    for half in (0.3, 0.7):
        radius, gap = 500.0, 0.5
        first_order = gap * math.tan(half / 2.0) ** 2
        assert arcs_apart(radius, radius + gap, 2.0 * half * radius) == pytest.approx(first_order, rel=5e-3)
        assert legged_apart(radius, radius + gap, 2.0 * half, 100.0) == pytest.approx(first_order, rel=5e-3)
    assert arcs_apart(500.0, 500.0, 300.0) == pytest.approx(0.0, abs=1e-9)
