"""The two small solvers under the lift, each against a general convex solver and against what makes an answer right."""

from __future__ import annotations

import cvxpy as cp
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formgen.holding.on_form import contact
from formgen.holding.on_form.contact import least_energy
from formgen.holding.on_form.friction import held_by_friction


def beam(size: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A beam of even runs on a rough bed, pushed up and down at random, held at two joints."""
    rng = np.random.default_rng(seed)
    bend = np.diff(np.eye(size), 2, axis=0)
    held = np.zeros(size, dtype=bool)
    held[[size // 5, size - 3]] = True
    return bend.T @ bend + 1e-3 * np.eye(size), rng.normal(size=size) - 0.2, held


@given(st.integers(12, 60), st.integers(0, 10_000))
def test_lifts_and_pushes_exclude_each_other(size: int, seed: int) -> None:
    Q, f, held = beam(size, seed)
    w = least_energy(Q, f, held, np.zeros(size))
    push = Q @ w - f
    scale = float(np.max(np.abs(f)))
    assert np.all(w >= 0.0)
    assert np.all(w[held] == 0.0)
    assert np.all(push[~held] > -1e-3 * scale)
    assert float(np.abs(w @ np.where(held, 0.0, push))) < 1e-3 * (1.0 + float(np.abs(f @ w)))


@pytest.mark.parametrize("seed", range(6))
def test_both_ways_give_the_same(seed: int) -> None:
    Q, f, held = beam(40, seed)
    inside = contact._from_inside(Q, f, held)
    pivoted = least_energy(Q, f, held, inside)
    assert inside == pytest.approx(pivoted, rel=1e-4, abs=1e-4 * float(np.max(pivoted)))


@settings(max_examples=25)
@given(st.integers(3, 12), st.integers(0, 10_000))
def test_friction_holds_the_nearest_forces_that_it_can(size: int, seed: int) -> None:
    """Against a general solver."""
    rng = np.random.default_rng(seed)
    weights, wanted = rng.uniform(0.5, 2.0, size), rng.normal(0.0, 2.0, size)
    bounds = rng.uniform(0.05, 2.0, size + 1)
    x = cp.Variable(size)
    steps = cp.diff(cp.hstack([0.0, x, 0.0]))
    cp.Problem(cp.Minimize(cp.sum_squares(cp.multiply(np.sqrt(weights), x - wanted))), [cp.abs(steps) <= bounds]).solve(
        solver=cp.CLARABEL
    )
    found = held_by_friction(weights, wanted, bounds)
    assert found.forces == pytest.approx(x.value, abs=1e-4)


def test_what_slips_to_a_free_end_no_longer_changes() -> None:
    found = held_by_friction(np.ones(4), np.array([5.0, 5.0, 5.0, 5.0]), np.array([1.0, 9.0, 1.0, 9.0, 0.5]))
    assert found.forces.tolist() == pytest.approx([1.0, 5.0, 5.0, 0.5])
    assert found.groups.tolist() == [-1, 0, 1, -1]


def test_what_slips_together_changes_as_one() -> None:
    """Between the second and the third place friction gives way: both change by the mean of what is asked of them."""
    found = held_by_friction(np.ones(4), np.array([0.0, 4.0, -4.0, 0.0]), np.array([9.0, 9.0, 2.0, 9.0, 9.0]))
    assert found.forces.tolist() == pytest.approx([0.0, 1.0, -1.0, 0.0])
    assert found.groups.tolist() == [0, 1, 1, 2]


def test_forces_that_never_bind_are_held_as_wanted() -> None:
    wanted = np.array([1.0, -2.0, 3.0])
    found = held_by_friction(np.ones(3), wanted, np.full(4, np.inf))
    assert found.forces == pytest.approx(wanted)
    assert found.groups.tolist() == [0, 1, 2]


@pytest.mark.parametrize("seed", range(20))
def test_a_long_beam_is_settled_by_pivoting(seed: int) -> None:
    """Loads that change slowly along it: let go or caught all at once, the joints go round in circles."""
    Q, _, held = beam(120, seed)
    rng = np.random.default_rng(seed)
    f = np.interp(np.arange(120), np.linspace(0.0, 120.0, 9), 1e-3 * rng.normal(size=9))
    found = contact._pivoted(Q, f, held, (rng.random(120) > 0.5) & ~held)
    assert found is not None
    push = Q @ found - f
    assert np.all(found >= 0.0)
    assert np.all(push[~held & (found == 0.0)] >= -contact.PULL_EPS_N)
    assert push[found > 0.0] == pytest.approx(0.0, abs=1e-8)
