"""Curves through readings: the circle or ellipse they were taken from comes back, and bad readings are named."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from formgen.curve.measured.fair import READING_ERROR_MM
from formgen.curve.measured.points import measured_points
from formgen.errors import CurveError
from formgen.recipe.arch_kinds import Points


def ask(fit: str, xy: Any) -> Points:
    return Points.model_validate({"kind": "points", "fit": fit, "xy": [[float(x), float(y)] for x, y in xy]})


def on_circle(radius: float, sweep: float, count: int) -> np.ndarray:
    t = np.linspace(math.pi / 2.0 + sweep / 2.0, math.pi / 2.0 - sweep / 2.0, count)  # from the left
    return np.column_stack([radius * np.cos(t), radius * np.sin(t) - radius * math.cos(sweep / 2.0)])


@given(st.floats(200.0, 50000.0), st.floats(0.02, 4.5), st.integers(3, 20), st.booleans())
@settings(max_examples=40)
def test_a_circle_comes_back(radius: float, sweep: float, count: int, backward: bool) -> None:  # noqa: FBT001
    if sweep / (count - 1) > 1.5:
        count = 5
    points = on_circle(radius, sweep, count)
    curve, fit, findings = measured_points(ask("circle", points[::-1] if backward else points), 0.8, "mm")
    assert 1.0 / curve.pieces[0][1] == pytest.approx(radius, rel=1e-5)
    assert curve.length_mm == pytest.approx(radius * sweep, rel=1e-7)
    assert curve.start.x_mm > curve.end.x_mm
    assert fit.worst_mm < 1e-4
    assert findings == ()


def test_the_circle_is_the_one_with_least_squares() -> None:
    rng = np.random.default_rng(7)
    points = on_circle(1000.0, 1.0, 11) + rng.normal(0.0, 0.5, (11, 2))

    def squares(c: np.ndarray) -> float:
        return float(np.sum((np.hypot(points[:, 0] - c[0], points[:, 1] - c[1]) - c[2]) ** 2))

    other = minimize(
        squares, (0.0, -877.0, 1000.0), method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-12, "maxiter": 9999}
    )
    curve, _, _ = measured_points(ask("circle", points), 5.0, "mm")
    assert 1.0 / curve.pieces[0][1] == pytest.approx(other.x[2], rel=1e-6)


@given(st.floats(150.0, 1500.0), st.floats(0.2, 1.8), st.integers(5, 15), st.floats(-500.0, 500.0))
@settings(max_examples=20)
def test_an_ellipse_comes_back(a: float, share: float, count: int, shift: float) -> None:
    b, t = share * a, np.linspace(math.pi, 0.0, count)
    points = np.column_stack([shift + a * np.cos(t), b * np.sin(t)])
    curve, fit, _ = measured_points(ask("ellipse", points), 0.8, "mm")
    assert curve.start.x_mm - curve.end.x_mm == pytest.approx(2.0 * a, abs=1e-3)
    assert max(p.y_mm for p in curve.knots) <= b + 1e-3
    assert fit.worst_mm < 0.006  # 0.005 is what the arcs may stand off


def test_a_fair_curve_uses_up_the_error_of_the_readings_and_no_more() -> None:
    t = np.linspace(math.pi * 0.9, math.pi * 0.1, 17)
    true = np.column_stack([900.0 * np.cos(t), 420.0 * np.sin(t)])
    rng = np.random.default_rng(3)
    points = true + rng.normal(0.0, READING_ERROR_MM / math.sqrt(2.0), true.shape)
    curve, fit, findings = measured_points(ask("fair", points), 0.8, "mm")
    off = [curve.nearest(x, y)[1] for x, y in points]
    assert math.sqrt(np.mean(np.square(off))) <= READING_ERROR_MM * 1.01
    assert max(abs(curve.nearest(x, y)[1]) for x, y in true) < 4.0 * READING_ERROR_MM
    assert fit.what == "fair curve"
    assert findings == ()
    # the ellipse bends one way and so must the curve, or every ply would waver
    assert curve.curvature_range_per_mm[0] > 0.0


def test_a_fair_curve_keeps_a_circle_round_to_its_ends() -> None:
    curve, _, _ = measured_points(ask("fair", on_circle(1000.0, 1.3, 9)), 0.8, "mm")
    assert curve.curvature_range_per_mm == pytest.approx((1e-3, 1e-3), rel=1e-6)


def test_ordinates_are_heights_at_equal_steps_from_the_left() -> None:
    x = np.linspace(-600.0, 600.0, 13)
    heights = [float(v) for v in np.sqrt(1000.0**2 - x**2) - 800.0]
    model = Points.model_validate(
        {"kind": "points", "fit": "circle", "ordinates": {"spacing": 100.0, "heights": heights}}
    )
    curve, fit, _ = measured_points(model, 0.8, "mm")
    assert 1.0 / curve.pieces[0][1] == pytest.approx(1000.0, abs=1e-6)  # span 1200, rise 200: R = (600² + 200²)/400
    assert curve.start.x_mm == pytest.approx(1200.0)
    assert fit.count == 13


def test_a_bad_reading_is_named() -> None:
    points = on_circle(1000.0, 1.2, 9)
    points[6, 1] += 5.0
    _, fit, (finding,) = measured_points(ask("circle", points), 0.8, "in")
    assert finding.code == "curve.fit-residual"
    assert finding.value == fit.worst_mm > finding.limit == 0.8
    assert "Point 7 " in finding.message
    assert fit.at_mm == tuple(points[6])


@pytest.mark.parametrize(
    ("fit", "xy", "says"),
    [
        ("circle", [(0, 0), (100, 0), (200, 0), (300, 0)], "straight line"),
        ("fair", [(0, 0), (100, 50), (200, 100), (300, 150), (400, 200)], "straight line"),
        ("ellipse", [(0, 0), (100, 0), (200, 0), (300, 0)], "straight line"),
        ("ellipse", [(0, 0), (100, 50), (200, 0)], "3 points, expected at least 4"),
        ("fair", [(0, 0), (100, 50), (150, 50), (200, 0)], "4 points, expected at least 5"),
        ("circle", [(0, 0), (100, 50), (100, 50), (200, 0)], "point 3 = point 2"),
        ("circle", [(0, 0), (200, 50), (100, 60), (300, 0)], "point 3 .* doubles back"),
    ],
)
def test_readings_that_make_no_curve_are_refused(fit: str, xy: Any, says: str) -> None:
    with pytest.raises(CurveError, match=says):
        measured_points(ask(fit, xy), 0.8, "mm")
