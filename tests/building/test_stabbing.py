"""The fewest points that stab all intervals: held against every way of grouping them, one after another."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formgen.building.sharing.intervals import covered, fairest, stabbed
from tests.building.partitions import partitions


def fewest(intervals: list[tuple[float, float]]) -> int:
    """By brute force: the partition with the fewest groups, each with a point in common."""
    return min(
        len(groups)
        for groups in partitions(list(range(len(intervals))))
        if all(max(intervals[i][0] for i in g) <= min(intervals[i][1] for i in g) for g in groups)
    )


def test_there_are_as_many_partitions_as_bell_says() -> None:
    """Bell numbers 1, 1, 2, 5, 15, 52, 203, 877 (OEIS A000110)."""
    assert [sum(1 for _ in partitions(list(range(n)))) for n in range(8)] == [1, 1, 2, 5, 15, 52, 203, 877]


# whole numbers, so that ends often coincide
INTERVALS = st.lists(
    st.tuples(st.integers(0, 12), st.integers(0, 6)).map(lambda p: (float(p[0]), float(p[0] + p[1]))), max_size=7
)


@given(INTERVALS)
@settings(max_examples=150)
def test_no_grouping_has_fewer(intervals: list[tuple[float, float]]) -> None:
    groups = stabbed(intervals)
    assert sorted(i for group in groups for i in group) == list(range(len(intervals)))
    for group in groups:
        assert max(intervals[i][0] for i in group) <= min(intervals[i][1] for i in group)
    assert len(groups) == (fewest(intervals) if intervals else 0)


@pytest.mark.parametrize("seed", range(10))
def test_no_grouping_has_fewer_of_eight_real_intervals(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 -- trial data
    intervals = [(x, x + rng.expovariate(0.5)) for x in (rng.uniform(0, 10) for _ in range(8))]
    assert len(stabbed(intervals)) == fewest(intervals)


def test_the_fairest_point_gives_each_the_same_share() -> None:
    """Two that accept 10 ± 2 and 15 ± 8 times the share: equal shares where 10 + 2 s = 15 − 8 s, s = 1/2, at 11."""
    accepts = [lambda s: (10 - 2 * s, 10 + 2 * s), lambda s: (15 - 8 * s, 15 + 8 * s)]
    assert fairest(accepts) == pytest.approx(11.0, abs=1e-12)
    assert fairest([lambda s: (7.0, 7.0 + s)] * 3) == 7.0


def test_cover_takes_all_and_only_what_fits() -> None:
    """The textbook case in which taking the most first needs three where two do: few, not the fewest."""
    fits = [[j == i or (j == 4 and i in (0, 1, 2, 3)) for i in range(6)] for j in range(6)]
    assert covered(fits) == [(4, [0, 1, 2, 3, 4]), (5, [5])]
