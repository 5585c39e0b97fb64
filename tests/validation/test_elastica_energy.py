"""The part off the form against the least bending energy of a chain of links, found by `scipy.optimize` alone.

Source: the independent minimisation below. Its links are straight and stiff, with springs at the joints, where the
program's elements are arcs; it knows nothing of forces, derivatives of shape or closed forms. Computed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize
from shapely import LineString, Point

from formgen.form.model import Form
from formgen.holding.off_form.hanging import hang
from formgen.holding.spreader_bar import BarSetting, bar_setting
from formgen.laminate.plies import Laminate

Made = Callable[..., Form]
Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Links:
    """A chain of equal links with springs at its n − 1 joints, between pins on arms square to its end links.

    Args:
        length: of the whole chain.
        pins: (x, y) from the near pin to the far one.
        arm: how far to the left of the end links the pins sit.
        turns: (n − 1,) turn at each joint without load; stiff: (n − 1,) stiffness there, EI.
    """

    length: float
    pins: Array
    arm: float
    turns: Array
    stiff: Array

    def least(self, headings: Array) -> tuple[Array, float]:
        """Joints (n + 1, 2) from the near pin, and energy, where the energy is least near the headings (n,)."""
        n, arm = len(headings), self.arm
        h = self.length / n
        spring = self.stiff / h
        unit = float(np.max(self.stiff)) / self.length

        def energy(theta: Array) -> tuple[float, Array]:
            bent = np.diff(theta) - self.turns
            slope = np.zeros(n)
            slope[:-1] -= spring * bent
            slope[1:] += spring * bent
            return float(np.sum(spring * bent**2)) / 2.0 / unit, slope / unit

        def gap(theta: Array) -> Array:
            reach = h * np.array([np.sum(np.cos(theta)), np.sum(np.sin(theta))])
            a, b = theta[0], theta[-1]
            reach += arm * np.array([math.sin(a) - math.sin(b), math.cos(b) - math.cos(a)])
            return np.asarray((reach - self.pins) / self.length)

        def gap_slope(theta: Array) -> Array:
            out = h * np.array([-np.sin(theta), np.cos(theta)])
            out[:, 0] += arm * np.array([math.cos(theta[0]), math.sin(theta[0])])
            out[:, -1] -= arm * np.array([math.cos(theta[-1]), math.sin(theta[-1])])
            return np.asarray(out / self.length)

        exact: dict[str, Any] = {"constraints": {"type": "eq", "fun": gap, "jac": gap_slope}, "jac": True}
        found = minimize(energy, headings, method="SLSQP", options={"maxiter": 1000, "ftol": 1e-15}, **exact)
        assert np.max(np.abs(gap(found.x))) < 1e-9
        start = -arm * np.array([-math.sin(found.x[0]), math.cos(found.x[0])])
        steps = h * np.column_stack([np.cos(found.x), np.sin(found.x)])
        return np.vstack([start, start + np.cumsum(steps, axis=0)]), float(found.fun) * unit


def links_of(bar: BarSetting, laminate: Laminate, count: int) -> tuple[Links, Array, Array]:
    """Straight loose links between the two places that the bar holds, the headings to begin with, and the near pin.

    Stiffness Σ E t³/12 of the loose plies, for each mm of depth, from the thickness and modulus of each.
    """
    right, left = bar.stations_mm
    pressed, arm = laminate.pressed, -laminate.thickness_mm / 2.0
    near, far = (pressed.pose(s).beside(arm) for s in (right, left))
    middles = right + (left - right) * (np.arange(count) + 0.5) / count
    stiff = sum(p.modulus_mpa * p.thickness_mm**3 / 12.0 for p in laminate.plies)
    links = Links(
        length=left - right,
        pins=np.array([far.x_mm - near.x_mm, far.y_mm - near.y_mm]),
        arm=arm,
        turns=np.zeros(count - 1),
        stiff=np.full(count - 1, stiff),
    )
    headings = np.array([pressed.pose(float(s)).heading_rad for s in middles])
    return links, headings, np.array([near.x_mm, near.y_mm])


def sagitta_of(bar: BarSetting, laminate: Laminate, count: int) -> float:
    """A link is a chord of the bow, within h²/(8R) of it, which bounds how far the chain's joints are off."""
    link = (bar.stations_mm[1] - bar.stations_mm[0]) / count
    return link**2 / 8.0 / laminate.pressed.tightest_radius_mm


@pytest.mark.parametrize(("recipe", "height_mm"), [("porch-door-jamb", None), ("clock-surround", 60.0)])
def test_loose_part_in_its_bar_is_the_chain_of_least_energy(made: Made, recipe: str, height_mm: float | None) -> None:
    form, count = made(recipe), 80
    laminate = form.laminate
    height = form.bar.touch.height_mm if height_mm is None and form.bar else height_mm
    assert height is not None
    bar = bar_setting(form.pressing, "outside", height)
    loose = hang(laminate, 80.0, 0.0, bar)
    links, headings, near = links_of(bar, laminate, count)
    chain = links.least(headings)[0] + near
    right, left = bar.stations_mm
    shape = loose.shape.points(np.linspace(right, left, count + 1))
    sagitta = sagitta_of(bar, laminate, count)
    assert np.max(np.hypot(*(shape - chain).T)) < sagitta
    pressed = laminate.pressed
    line = LineString(pressed.extended(50.0, 50.0).sampled(1e-4))
    # Past the bar the plies are free and straight: the end links run on.
    tails = [a + (a - b) / np.hypot(*(a - b)) * past for a, b, past in
             ((chain[0], chain[1], right), (chain[-1], chain[-2], pressed.length_mm - left))]  # fmt: skip
    away = [line.distance(Point(p)) for p in (*chain, *tails)]
    assert abs(loose.in_bag.departure_mm) == pytest.approx(max(away), abs=sagitta)
    # An end link lies as the bow does half a link in from the bar, where the bow has turned by less than over a link.
    lies = np.unwrap(np.arctan2(*np.diff(chain, axis=0).T[::-1]))
    bound = max(abs(lies[1] - lies[0]), abs(lies[-1] - lies[-2]))
    # Below the bar nothing bends: the loose plies end straight, while what was pressed there may be curved.
    ends = ((lies[0], loose.shape.start), (lies[-1], loose.shape.end))
    assert max(abs(math.remainder(h - pose.heading_rad, math.tau)) for h, pose in ends) < bound
    turned = [h - pose.heading_rad for h, pose in ((lies[0], pressed.start), (lies[-1], pressed.end))]
    turn = max(abs(math.remainder(t, math.tau)) for t in turned)
    assert loose.in_bag.leg_turn_rad == pytest.approx(turn, abs=bound)
    assert turn > 3.0 * bound


def test_the_bars_pull_is_what_the_chain_gives_up_as_it_opens(made: Made) -> None:
    """P = −dE/dc: least energies of the chain with the pins 0.5 mm nearer and further apart."""
    form = made("porch-door-jamb")
    laminate = form.laminate
    assert form.bar is not None
    bar = bar_setting(form.pressing, "outside", form.bar.touch.height_mm)
    links, headings, _ = links_of(bar, laminate, 80)
    along = links.pins / np.hypot(*links.pins)
    energies = [replace(links, pins=links.pins + by * along).least(headings)[1] for by in (-0.5, 0.5)]
    loose = hang(laminate, 80.0, 0.0, bar)
    assert loose.force_n_per_mm == pytest.approx(energies[0] - energies[1], rel=2e-3)
