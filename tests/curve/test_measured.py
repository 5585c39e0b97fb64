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
from formgen.curve.measured.given import out_of_order, readings_of
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


def measured(xy: Any, fit: Any = "circle", units: Any = "mm", **more: Any) -> Any:
    asked = {"kind": "points", "xy": [[float(x), float(y)] for x, y in xy], **more}
    return measured_points(Points.model_validate(asked | ({"fit": fit} if fit else {})), 0.8, units)


def typed(heights: Any, fit: Any = "circle", spacing: float = 101.6, **more: Any) -> Any:
    asked = {"kind": "points", "ordinates": {"spacing": spacing, "heights": [float(h) for h in heights]}, **more}
    return measured_points(Points.model_validate(asked | ({"fit": fit} if fit else {})), 0.8, "in")


def window() -> np.ndarray:
    """Heights every 4 in under a circle of 30 in over 40 in, rounded to 1/32 in: R 30, the centre 22.3607 in below."""
    x = np.arange(-20.0, 21.0, 4.0)
    return np.asarray(np.round(32.0 * (np.sqrt(900.0 - x**2) - math.sqrt(500.0))) / 32.0 * 25.4)


def test_a_bad_reading_is_named_where_it_was_typed() -> None:
    heights = window()
    heights[5] += 2.0 * 25.4  # the crown: 7 5/8 in became 9 5/8 in
    _, fit, (finding,) = typed(heights)
    assert finding.code == "curve.bad-reading"
    assert finding.severity == "warning"
    assert finding.value == pytest.approx(2.0 * 25.4, abs=1.0)
    assert finding.message.startswith("Reading 6 (at 20 in, height 9 5/8 in)")
    assert "should be near 7 41/64 in" in finding.message  # 30 − 22.3607 = 7.6393, the nearest 64th
    assert "leave_out: [6]" in finding.message
    assert fit.worst_mm > 25.0  # it has its say in the circle all the same


def test_a_bad_reading_is_left_out_by_one_line() -> None:
    heights = window()
    heights[5] += 2.0 * 25.4
    curve, fit, findings = typed(heights, leave_out=[6])
    assert findings == ()
    assert fit.count == 10
    assert [left.number for left in fit.left_out] == [6]
    assert fit.left_out[0].off_mm == pytest.approx(50.8, abs=0.5)
    assert 1.0 / curve.pieces[0][1] == pytest.approx(30.0 * 25.4, rel=0.005)


def test_within_takes_the_kind_of_curve_that_the_others_have() -> None:
    heights = window()
    heights[3] -= 1.5 * 25.4
    _, fit, (finding,) = typed(heights, fit={"within": "1.5 mm"})
    assert (fit.what, fit.taken) == ("circle", "within")
    assert finding.code == "curve.bad-reading"
    assert fit.worst_mm > 1.5


def test_a_bad_pair_is_named_by_its_x_where_the_curve_is_steep() -> None:
    points = on_circle(600.0, math.pi * 0.98, 15)
    points[1, 0] += 60.0
    _, _, (finding,) = measured(points)
    assert finding.code == "curve.bad-reading"
    assert finding.message.startswith("Point 2 (x ")
    assert f"its x should be near {on_circle(600.0, math.pi * 0.98, 15)[1, 0]:.1f} mm" in finding.message


def test_a_bad_end_is_not_offered_to_be_left_out() -> None:
    points = on_circle(1000.0, 1.2, 13)
    points[0, 1] += 40.0
    _, _, (finding,) = measured(points)
    assert finding.message.startswith("Point 1 ")
    assert "leave_out" not in finding.message


def test_a_pair_that_doubles_back_is_named_where_it_is_a_slip() -> None:
    points = on_circle(1000.0, 1.2, 13)
    points[6, 1] += 300.0
    _, _, (finding,) = measured(points)
    assert finding.code == "curve.bad-reading"
    assert finding.message.startswith("Point 7 ")


def test_a_leap_in_ordinates_is_no_muddle() -> None:
    heights = window()
    heights[4] += 12.0 * 25.4
    _, _, (finding,) = typed(heights)
    assert finding.code == "curve.bad-reading"


def test_a_reading_off_the_curve_names_the_curve_that_would_do() -> None:
    t = np.linspace(math.pi, 0.0, 15)
    _, fit, (finding,) = measured(np.column_stack([600.0 * np.cos(t), 400.0 * np.sin(t)]))
    assert finding.code == "curve.fit-residual"
    assert finding.value == fit.worst_mm > finding.limit == 0.8
    assert "take fit: ellipse" in finding.message


def test_all_five_are_compared_whatever_is_asked() -> None:
    for fit in ("circle", "fair", {"within": 9.0}, None):
        _, found, _ = measured(on_circle(1000.0, 1.2, 9), fit)
        assert [row.what for row in found.compared] == [
            "circle", "three-centred arch", "ellipse", "four-centred arch", "fair curve",
        ]  # fmt: skip
        assert found.compared[0].arcs == 1
        assert found.compared[0].radii_mm == (1000.0,)
        assert found.compared[0].mean_mm == pytest.approx(0.0, abs=1e-3)


def test_misses_in_the_table_are_the_distances() -> None:
    points = on_circle(1000.0, 1.2, 9) + np.random.default_rng(2).normal(0.0, 0.4, (9, 2))
    curve, fit, _ = measured(points)
    off = [abs(curve.nearest(x, y)[1]) for x, y in points]
    assert fit.compared[0].worst_mm == pytest.approx(max(off), abs=6e-4)
    assert fit.compared[0].mean_mm == pytest.approx(float(np.mean(off)), abs=6e-4)
    assert fit.compared[0].worst_reading == int(np.argmax(off)) + 1


def test_nothing_within_is_refused_with_the_nearest() -> None:
    rng = np.random.default_rng(4)
    points = on_circle(1000.0, 1.2, 15) + rng.normal(0.0, 4.0, (15, 2))
    with pytest.raises(
        CurveError, match=r"within = 0\.10 mm.* the nearest, a fair curve, misses point \d+ .*allow within"
    ):
        measured(points, {"within": 0.1})


def test_what_the_refusal_allows_is_enough() -> None:
    points = on_circle(1000.0, 1.2, 15) + np.random.default_rng(4).normal(0.0, 4.0, (15, 2))
    with pytest.raises(CurveError) as refused:
        measured(points, {"within": 0.1})
    _, fit, _ = measured(points, {"within": str(refused.value).rpartition("within: ")[2]})
    assert fit.taken == "within"


def test_what_is_allowed_is_a_limit() -> None:
    points = on_circle(1000.0, 1.2, 15) + np.random.default_rng(6).normal(0.0, 1.0, (15, 2))
    worst = measured(points)[1].worst_mm
    assert measured(points, {"within": 1.01 * worst})[1].what == "circle"
    assert measured(points, {"within": 0.99 * worst})[1].what != "circle"


def test_ordinates_up_to_a_sharp_point_are_in_order() -> None:
    heights = [0.0, 90.0, 200.0, 330.0, 200.0, 90.0, 0.0]
    by_steps = {"kind": "points", "ordinates": {"spacing": 30.0, "heights": heights}}
    assert out_of_order(readings_of(Points.model_validate(by_steps))) is None
    pairs = {"kind": "points", "xy": [[30.0 * i, h] for i, h in enumerate(heights)]}
    assert out_of_order(readings_of(Points.model_validate(pairs))) is not None


def test_without_a_fit_the_simplest_within_the_tolerance_or_the_nearest_is_taken() -> None:
    assert measured(on_circle(1000.0, 1.2, 9), None)[1].taken == "within"
    assert measured(on_circle(1000.0, 1.2, 9), None)[1].within_mm == 3.0
    fit = measured([(0, 0), (100, 90), (250, 60), (400, 0)], None)[1]  # too few for more than two kinds
    assert fit.taken == "nearest"
    assert fit.worst_mm == pytest.approx(min(row.worst_mm for row in fit.compared if row.worst_mm), abs=1e-3)
    assert fit.worst_mm > 3.0


@pytest.mark.parametrize(
    ("fit", "xy", "says"),
    [
        ("circle", [(0, 0), (100, 0), (200, 0), (300, 0)], "straight line"),
        ("fair", [(0, 0), (100, 50), (200, 100), (300, 150), (400, 200)], "straight line"),
        ("ellipse", [(0, 0), (100, 0), (200, 0), (300, 0)], "straight line"),
        ("ellipse", [(0, 0), (100, 50), (200, 0)], "3 points, expected at least 4"),
        ("fair", [(0, 0), (100, 50), (150, 50), (200, 0)], "4 points, expected at least 5"),
        ("four-centred", [(0, 0), (50, 90), (100, 120), (150, 90), (200, 0)], "5 points, expected at least 6"),
        ("three-centred", [(x, 900 + x * (200 - x) / 500) for x in range(0, 201, 25)], "near no three-centred arch"),
        ("four-centred", [(x, x * (200 - x) / 200) for x in range(0, 201, 25)], "near no four-centred arch"),
        ("circle", [(0, 0), (100, 50), (100, 50), (200, 0)], "point 3 = point 2"),
        ("circle", [(0, 0), (200, 50), (100, 60), (300, 0)], "point 3 .* doubles back"),
    ],
)
def test_readings_that_make_no_curve_are_refused(fit: str, xy: Any, says: str) -> None:
    with pytest.raises(CurveError, match=says):
        measured_points(ask(fit, xy), 0.8, "mm")
