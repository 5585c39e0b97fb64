"""How often one bad reading is found, and how often fair readings are doubted: counted on seeded site sets.

The openings are in closed form, of the shapes that are fitted and of none (an arch that has settled); readings are off
by 0.2 to 2.5 mm and rounded to whole millimetres. A slip is 25 mm or 3 to 15 % of the width, either way.
"""

from __future__ import annotations

import numpy as np
import pytest

from formgen.curve.measured.doubt import doubtful
from tests.validation.readings import KINDS, site_set

SETS = 10
COUNTS = (9, 16)


def _points(rng: np.random.Generator, kind: str, count: int) -> np.ndarray:
    spacing, heights = site_set(rng, kind, count)
    return np.column_stack([spacing * np.arange(count), heights])[::-1]


@pytest.mark.parametrize("kind", KINDS)
def test_fair_readings_are_not_doubted(kind: str) -> None:
    # one in 1000 by the bound that the code names: none of 20 here
    doubted = [
        (count, seed)
        for count in COUNTS
        for seed in range(SETS)
        if doubtful(_points(np.random.default_rng([seed, count, len(kind)]), kind, count), 0.8) is not None
    ]
    assert doubted == []


@pytest.mark.parametrize(("kind", "least"), [(kind, 0.6 if kind == "four-centred" else 0.85) for kind in KINDS])
def test_a_slip_is_found_where_it_is(kind: str, least: float) -> None:
    found = wrong = 0
    for count in COUNTS:
        for seed in range(SETS):
            rng = np.random.default_rng([seed, count, len(kind)])
            points = _points(rng, kind, count)
            slip = rng.choice([-1.0, 1.0]) * max(25.0, rng.uniform(0.03, 0.15) * float(np.ptp(points[:, 0])))
            bad = int(rng.integers(1, count - 1))
            points[bad, 1] += slip
            doubt = doubtful(points, 0.8)
            found += doubt is not None and doubt.at == bad
            wrong += doubt is not None and doubt.at != bad
    assert wrong == 0
    assert found >= least * SETS * len(COUNTS)


def test_too_few_readings_speak_against_none() -> None:
    # Five readings of a pointed opening look like a circle with its crown too high: nobody can tell.
    points = np.array([[800.0, 0.0], [600.0, 90.0], [400.0, 160.0], [200.0, 90.0], [0.0, 0.0]])
    assert doubtful(points, 0.8) is None
