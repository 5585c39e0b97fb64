"""Press days against rules of scheduling theory.

Sources: R. W. Conway, W. L. Maxwell, L. W. Miller, *Theory of Scheduling* (1967): on equal machines the sum of
completion times is least where the shortest go first, dealt out in turn (from memory). For equal jobs on m machines
⌈n/m⌉ follow each other on the busiest.
"""

from __future__ import annotations

import pytest

from tests.building.test_press_days import glue_ups, means, plan_press_days

LONG = {"day_min": 1440, "worked": (True,) * 7}


@pytest.mark.parametrize("bags", [2, 3])
def test_shortest_first_has_parts_out_earliest(bags: int) -> None:
    """Bags alone in short supply, the shop always open: Σ C of the shortest first, in turn."""
    hours = [2, 2, 3, 4, 5, 6, 7]
    kinds = [glue_ups(f"O{i}", 1, 60, 60 * h - 90, 30) for i, h in enumerate(hours)]
    plan = plan_press_days(kinds, means(bags=bags, teams=9, **LONG))
    ends = [0] * bags
    total = 0
    for i, h in enumerate(sorted(hours)):
        ends[i % bags] += 60 * h
        total += ends[i % bags]
    assert plan.total_min == total
    assert plan.days == -(-60 * sum(hours) // (1440 * bags))


@pytest.mark.parametrize(("count", "bags"), [(5, 1), (5, 2), (7, 3), (6, 6)])
def test_equal_glue_ups_on_equal_bags(count: int, bags: int) -> None:
    """Fifteen hours in the bag: with somebody there in the morning one glue-up to a bag and day, out the next day."""
    kinds = [glue_ups(f"O{i}", 1, 60, 15 * 60, 30) for i in range(count)]
    plan = plan_press_days(kinds, means(bags=bags, teams=bags, day_min=180, worked=(True,) * 7))
    assert plan.days == -(-count // bags) + 1
    assert plan.fewest


@pytest.mark.parametrize("count", [1, 4, 9])
def test_one_form_gives_one_part_after_the_other(count: int) -> None:
    """n × (lay up + press + take out), the shop always open, however many bags there are."""
    plan = plan_press_days([glue_ups("A", count, 60, 240, 60)], means(bags=9, teams=9, **LONG))
    assert max(held.done_min for held in plan.glue_ups) == count * 360
    assert plan.total_min == 360 * count * (count + 1) // 2
    assert plan.fewest


def test_parts_that_come_off_leave_the_form_to_the_next() -> None:
    """One form, bags and bars in plenty: the k-th part is out after k laying-ups, its glue and its taking out."""
    kinds = [glue_ups("A", 4, 60, 240, 30, may_come_off=True, bar_mm=900.0)]
    plan = plan_press_days(kinds, means(bags=9, teams=9, bars=((1000.0, 9),), **LONG))
    assert [held.done_min for held in plan.glue_ups] == [60 * k + 240 + 30 for k in (1, 2, 3, 4)]
