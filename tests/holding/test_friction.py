"""Friction along the stack: on one arc the carried moment and the sliding length are known exactly."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from formgen.holding.off_form.friction import Stack, carried_moments, sliding_shares


@example(0.03, [2.0, *[0.5] * 29])  # ℓ ends within half the first element
@example(0.03, [*[0.5] * 29, 2.0])
@given(st.floats(0.02, 0.48), st.lists(st.floats(0.5, 2.0), min_size=30, max_size=60))
def test_on_one_arc_plies_slide_over_the_transfer_length_from_each_end(share: float, cuts: list[float]) -> None:
    """m = M min(1, s/ℓ, (L − s)/ℓ), so that 2ℓ slides in all, wherever the elements are cut. Computed."""
    lengths = np.array(cuts) / sum(cuts)
    s = np.cumsum(lengths) - lengths / 2.0
    moment = 3.0
    stack = Stack(loose_n_mm=1.0, locked_n_mm=36.0, carried_per_mm=moment / share)
    asked = np.full(len(lengths), moment)
    carried = carried_moments(stack, lengths, asked)
    assert carried == pytest.approx(moment * np.minimum(1.0, np.minimum(s, 1.0 - s) / share), abs=1e-6)
    assert float(np.sum(sliding_shares(stack, lengths, asked, carried) * lengths)) == pytest.approx(2 * share, abs=1e-6)


def test_at_a_jump_of_curvature_half_of_it_is_carried_on_either_side() -> None:
    """From a long leg into a long curve: M/2 at the springing, sliding from ℓ/2 before it to ℓ/2 after. Computed."""
    lengths = np.full(400, 0.01)
    s = np.cumsum(lengths) - 0.005
    stack = Stack(loose_n_mm=1.0, locked_n_mm=36.0, carried_per_mm=2.0)
    asked = np.where(s < 2.0, 0.0, 1.0)
    carried = carried_moments(stack, lengths, asked)
    near = np.abs(s - 2.0) < 0.5
    assert carried[near] == pytest.approx(np.clip(0.5 + 2.0 * (s[near] - 2.0), 0.0, 1.0), abs=1e-6)


def test_without_friction_nothing_is_carried_and_all_slides() -> None:
    lengths, asked = np.full(10, 1.0), np.full(10, 2.0)
    stack = Stack(loose_n_mm=1.0, locked_n_mm=4.0, carried_per_mm=0.0)
    carried = carried_moments(stack, lengths, asked)
    assert carried == pytest.approx(np.zeros(10), abs=1e-6)
    assert np.all(sliding_shares(stack, lengths, asked, carried) == 1.0)
