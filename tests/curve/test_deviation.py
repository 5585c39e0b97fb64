"""What a part gives up on a form of another radius: closed forms against a general optimiser and against shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from scipy.optimize import minimize
from shapely import LineString

from formgen.curve.deviation import (
    accepted_radii_mm,
    arc_deviation_mm,
    fitted_deviation_mm,
    legged_deviation_mm,
)
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose


def arc(radius: float, length: float, legs: float = 0.0) -> ArcSpline:
    """An arc symmetric about the y axis, its crown at the origin."""
    half = length / (2 * radius)
    start = Pose(radius * math.sin(half), radius * (math.cos(half) - 1), math.pi - half)
    return ArcSpline(start, ((length, 1 / radius),)).with_legs(legs, legs)


def best_by_search(asked: ArcSpline, made: ArcSpline) -> float:
    """Least greatest distance over all rigid motions, by Nelder and Mead again and again, distances by shapely."""
    line = LineString(asked.extended(60, 60).sampled(1e-4))
    shapely.prepare(line)
    points = made.points(np.linspace(0, made.length_mm, 61))
    middle, size = points.mean(axis=0), made.length_mm

    def worst(move: np.ndarray) -> float:
        c, s = math.cos(move[2] / size), math.sin(move[2] / size)
        moved = (points - middle) @ np.array([[c, s], [-s, c]]) + middle + move[:2]
        return float(shapely.distance(line, shapely.points(moved)).max())

    best = np.zeros(3)
    for _ in range(6):  # a simplex stalls in the edges of a greatest distance; a fresh one goes on
        best = minimize(worst, best, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-9, "maxiter": 400}).x
    return worst(best)


@pytest.mark.parametrize(
    ("radius", "sweep_deg", "made"),
    [(900, 60, 904.0), (900, 60, 897.0), (460, 180, 460.6), (300, 120, 301.5), (3500, 25, 3580)],
)
def test_an_arc_gives_up_what_a_search_over_all_placements_finds(radius: float, sweep_deg: float, made: float) -> None:
    length = radius * math.radians(sweep_deg)
    found = arc_deviation_mm(radius, made, length)
    assert found == pytest.approx(best_by_search(arc(radius, length), arc(made, length)), rel=2e-3, abs=2e-4)


@pytest.mark.parametrize(("radius", "sweep_deg", "made"), [(900, 74, 905.0), (460, 180, 460.7), (460, 150, 459.0)])
def test_an_arc_with_legs_never_gives_up_more_than_is_said(radius: float, sweep_deg: float, made: float) -> None:
    """The closed form places the curve in one way; the best way is at least as good, and hardly better."""
    sweep = math.radians(sweep_deg)
    found = legged_deviation_mm(radius, made, sweep)
    best = best_by_search(arc(radius, radius * sweep, 300), arc(made, made * sweep, 300))
    assert best - 2e-4 <= found <= best * 1.01 + 0.006


@pytest.mark.parametrize("half_deg", [10, 30, 45, 60, 90])
def test_to_first_order_it_is_the_half_angle(half_deg: float) -> None:
    """|ΔR| tan²(h/2): the minimax of ΔR(1 − cos φ) + c cos φ over 0 ≤ φ ≤ h; a semicircle gives up all of ΔR."""
    h, change = math.radians(half_deg), 1e-4
    expected = change * math.tan(h / 2) ** 2
    assert arc_deviation_mm(500.0, 500.0 + change, 1000.0 * h) == pytest.approx(expected, rel=1e-3)
    assert legged_deviation_mm(500.0, 500.0 + change, 2 * h) == pytest.approx(expected, rel=1e-3)


def test_accepted_radii_are_the_edges_of_the_tolerance() -> None:
    def deviation(made: float) -> float:
        return arc_deviation_mm(900.0, made, 950.0)

    low, high = accepted_radii_mm(900.0, 0.8, deviation)
    assert deviation(low) <= 0.8 < deviation(low * (1 - 1e-9))
    assert deviation(high) <= 0.8 < deviation(high * (1 + 1e-9))
    assert accepted_radii_mm(900.0, 0.0, deviation) == (900.0, 900.0)


def test_what_is_nearly_straight_may_be_made_straight() -> None:
    """Sagitta of 100 mm at R 10 m: 0.125 mm; a straight one lies within half of that."""
    assert accepted_radii_mm(10_000.0, 0.1, lambda made: arc_deviation_mm(10_000.0, made, 100.0))[1] == math.inf


def test_any_two_curves_are_laid_on_each_other_as_a_search_does() -> None:
    asked = ArcSpline(Pose(400, 0, math.pi / 2), ((300, 1 / 250), (500, 1 / 700), (300, 1 / 250)))
    made = ArcSpline(Pose(1, 2, 1.0), ((300, 1 / 251), (500, 1 / 697), (300, 1 / 250.5)))
    near = made.held_at(550, asked.pose(550))
    assert fitted_deviation_mm(asked, made) == pytest.approx(best_by_search(asked, near), rel=0.02, abs=1e-3)


def test_a_curve_moved_bodily_gives_up_nothing() -> None:
    asked = ArcSpline(Pose(400, 0, math.pi / 2), ((300, 1 / 250), (500, -1 / 700), (300, 1 / 250)))
    assert fitted_deviation_mm(asked, asked.moved(500, -200, 2.0)) == pytest.approx(0.0, abs=1e-8)
