"""The part off the form against the least bending energy of a chain of links, found by `scipy.optimize` alone.

Source: the independent minimisation below. Its links are straight and stiff, with springs at the joints, where the
program's elements are arcs; it knows nothing of forces, derivatives of shape or closed forms. Computed.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import lsq_linear, minimize
from shapely import LineString, Point

from formgen.form.model import Form
from formgen.press.friction import Stack, carried_moments
from formgen.press.hold import off_the_form

Made = Callable[..., Form]


def least_energy_chain(length: float, pins: np.ndarray, arm: float, headings: np.ndarray) -> np.ndarray:
    """Joints (n + 1, 2) of a chain of n equal links with springs, at least energy between pins on arms.

    The arms stand square to the end links, `arm` to the left. The search begins at the headings (n,).
    """
    n = len(headings)
    h = length / n

    def energy(theta: np.ndarray) -> tuple[float, np.ndarray]:
        turn = np.diff(theta)
        slope = np.zeros(n)
        slope[:-1] -= turn
        slope[1:] += turn
        return float(np.sum(turn**2)) / 2.0, slope

    def gap(theta: np.ndarray) -> np.ndarray:
        reach = h * np.array([np.sum(np.cos(theta)), np.sum(np.sin(theta))])
        reach += arm * np.array([math.sin(theta[0]) - math.sin(theta[-1]), math.cos(theta[-1]) - math.cos(theta[0])])
        return np.asarray((reach - pins) / length)

    def gap_slope(theta: np.ndarray) -> np.ndarray:
        out = h * np.array([-np.sin(theta), np.cos(theta)])
        out[:, 0] += arm * np.array([math.cos(theta[0]), math.sin(theta[0])])
        out[:, -1] -= arm * np.array([math.cos(theta[-1]), math.sin(theta[-1])])
        return np.asarray(out / length)

    found = minimize(
        energy, headings, jac=True, method="SLSQP",
        constraints=[{"type": "eq", "fun": gap, "jac": gap_slope}], options={"maxiter": 500, "ftol": 1e-14},
    )  # fmt: skip
    assert np.max(np.abs(gap(found.x))) < 1e-9
    start = -arm * np.array([-math.sin(found.x[0]), math.cos(found.x[0])])
    steps = h * np.column_stack([np.cos(found.x), np.sin(found.x)])
    return np.vstack([start, start + np.cumsum(steps, axis=0)])


@pytest.mark.parametrize(("recipe", "height_mm"), [("porch-door-jamb", None), ("clock-surround", 60.0)])
def test_loose_part_in_its_bar_is_the_chain_of_least_energy(
    made: Made, recipe: str, height_mm: float | None
) -> None:
    form = made(recipe)
    laminate = form.pressing.laminate
    height = form.bar.height_mm if height_mm is None and form.bar else height_mm
    off = off_the_form(laminate, 80.0, "male", height, 0.2)
    assert off.slips
    assert off.bar is not None
    right, left = off.bar.stations_mm
    pressed, arm = laminate.pressed, -laminate.thickness_mm / 2.0
    near, far = (pressed.pose(s).beside(arm) for s in (right, left))
    links = 80
    middles = right + (left - right) * (np.arange(links) + 0.5) / links
    chain = least_energy_chain(
        left - right,
        np.array([far.x_mm - near.x_mm, far.y_mm - near.y_mm]),
        arm,
        np.array([pressed.pose(float(s)).heading_rad for s in middles]),
    ) + np.array([near.x_mm, near.y_mm])
    stations = np.linspace(right, left, links + 1)
    shape = off.shape.points(stations)
    # A link is a chord of the bow: it lies within its sagitta h²/(8R) of it, which bounds how far joints are off.
    sagitta = ((left - right) / links) ** 2 / 8.0 / pressed.tightest_radius_mm
    assert np.max(np.hypot(*(shape - chain).T)) < sagitta
    line = LineString(pressed.sampled(1e-4))
    # Past the bar the plies are free and straight: the end links run on.
    tails = [a + (a - b) / np.hypot(*(a - b)) * past for a, b, past in
             ((chain[0], chain[1], right), (chain[-1], chain[-2], pressed.length_mm - left))]  # fmt: skip
    away = [line.distance(Point(p)) for p in (*chain, *tails)]
    assert abs(off.departure_mm) == pytest.approx(max(away), abs=sagitta)


def test_moment_carried_by_friction_is_the_bounded_least_squares_of_scipy() -> None:
    """The same fit under bounds on every step, as `lsq_linear` finds it."""
    rng = np.random.default_rng(3)
    lengths = rng.uniform(0.5, 1.5, 90) / 9.0
    s = np.cumsum(lengths) - lengths / 2.0
    asked = np.where((s > 2) & (s < 7), 1.3, 0.0) - np.where(s > 6, 0.9, 0.0)
    stack = Stack(loose_n_mm=1.0, locked_n_mm=64.0, carried_per_mm=0.8)
    found = carried_moments(stack, lengths, asked)
    steps = 0.8 * np.concatenate([[lengths[0] / 2], (lengths[1:] + lengths[:-1]) / 2, [lengths[-1] / 2]])
    weights = np.concatenate([np.sqrt(lengths / np.max(lengths)), [1e4]])
    sums = np.tril(np.ones((91, 91)))
    goal = weights * np.append(asked, 0.0)
    best = lsq_linear(sums * weights[:, None], goal, (-steps, steps), tol=1e-14, max_iter=500)
    assert found == pytest.approx((sums @ best.x)[:-1], abs=1e-6)
