"""The stack under pressure: stiffness, what friction can carry and where it locks, by closed forms."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.form.model import Form
from formgen.holding.off_form.friction import Stack
from formgen.laminate.plies import Laminate
from tests.conftest import shipped_form

Made = Callable[..., Form]


def laminate_of(plies: list[tuple[float, float]]) -> Laminate:
    """A shipped laminate with other plies: (thickness mm, modulus MPa) each."""
    known = shipped_form("porch-door-jamb").pressing.laminate
    made = tuple(replace(known.plies[0], thickness_mm=t, modulus_mpa=e) for t, e in plies)
    return replace(known, plies=made, thickness_mm=sum(t for t, _ in plies))


@given(st.lists(st.tuples(st.floats(0.5, 8.0), st.floats(500.0, 15000.0)), min_size=2, max_size=30))
def test_what_locking_adds_is_what_all_interfaces_add_together(plies: list[tuple[float, float]]) -> None:
    """Σ E t (y − ȳ)², y about the stiffness's own middle (composite beam), however interfaces are classed."""
    stack = Stack.of(laminate_of(plies), 80.0, 0.2)
    t, E = np.array(plies).T
    y = np.cumsum(t) - t / 2.0
    mean = np.sum(E * t * y) / np.sum(E * t)
    assert float(np.sum(stack.joined_n_mm)) == pytest.approx(float(np.sum(E * t * (y - mean) ** 2)), rel=1e-9)
    assert stack.locked_n_mm == pytest.approx(stack.loose_n_mm + float(np.sum(stack.joined_n_mm)), rel=1e-9)
    assert stack.joined_n_mm == pytest.approx(stack.joined_n_mm.T)
    # friction at n − 1 interfaces, each with the distance between the middles of its two plies
    assert float(np.sum(stack.friction_n)) == pytest.approx(0.2 * 0.080 * (np.sum(t) - (t[0] + t[-1]) / 2), rel=1e-9)


@pytest.mark.parametrize("plies", [2, 3, 8, 9, 40])
def test_friction_of_equal_plies_grows_by_the_closed_form(plies: int) -> None:
    """(1 − 1/n) T μ q for each mm; the last interface locks at E t²/(8 R μ q), for odd n × (1 − 1/n²)."""
    t, E, R, mu, q = 3.0, 10900.0, 462.0, 0.3, 0.081
    stack = Stack.of(laminate_of([(t, E)] * plies), 1000 * q, mu)
    assert float(np.sum(stack.friction_n)) == pytest.approx((1 - 1 / plies) * plies * t * mu * q, rel=1e-12)
    odd = 1.0 if plies % 2 == 0 else 1.0 - 1.0 / plies**2
    assert stack.transfer_mm(1 / R) == pytest.approx(E * t**2 / (8 * R * mu * q) * odd, rel=1e-9)
    moment = plies * E * t**3 / 12 / R
    assert stack.moment_n(1 / R) == pytest.approx(moment, rel=1e-12)
    assert stack.transfer_mm(1 / R) == pytest.approx(1.5 * moment / (plies * t * mu * q) * odd, rel=1e-9)


def test_without_pressure_or_curve_nothing_locks_or_all_does(made: Made) -> None:
    laminate = made("porch-door-jamb").pressing.laminate
    assert Stack.of(laminate, 0.0, 0.2).transfer_mm(1 / 462.0) == float("inf")
    assert Stack.of(laminate, 80.0, 0.2).transfer_mm(0.0) == 0.0
