"""Arcs fitted to smooth curves: within the tolerance both ways, smooth, few."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from formgen.curve.arches import ellipse
from formgen.errors import CurveError
from formgen.geometry.arcspline import Array
from formgen.geometry.biarc import Smooth, biarc, ellipse_curve, fit_biarcs
from formgen.geometry.pose import Pose
from formgen.recipe.arch_kinds import Ellipse


def sine(height: float, waves: float) -> Smooth:
    k = waves * math.tau / 1000.0

    def point(u: Array) -> Array:
        return np.column_stack([u, height * np.sin(k * u)])

    def tangent(u: Array) -> Array:
        return np.column_stack([np.ones_like(u), height * k * np.cos(k * u)])

    return Smooth(point=point, tangent=tangent, begin=0.0, end=1000.0)


@pytest.mark.parametrize("curve", [sine(30.0, 1.0), sine(30.0, 3.0), ellipse_curve(900.0, 400.0, 0.2, 3.0)])
@pytest.mark.parametrize("tolerance", [0.1, 0.005])
def test_every_fit_is_within_its_tolerance_both_ways(curve: Smooth, tolerance: float) -> None:
    fitted = fit_biarcs(curve, tolerance)
    there = [
        abs(fitted.nearest(float(x), float(y))[1]) for x, y in curve.point(np.linspace(curve.begin, curve.end, 600))
    ]
    assert max(there) <= tolerance
    dense = curve.point(np.linspace(curve.begin, curve.end, 20_001))  # chords of 0.06 mm bow by less than 0.00001 mm
    lines = LineString(dense)
    back = [lines.distance(Point(*p)) for p in fitted.points(np.linspace(0.0, fitted.length_mm, 600))]
    assert max(back) <= tolerance
    end = curve.pose(curve.end)
    assert math.dist((fitted.end.x_mm, fitted.end.y_mm), (end.x_mm, end.y_mm)) < 1e-9
    assert math.remainder(fitted.end.heading_rad - end.heading_rad, math.tau) == pytest.approx(0.0, abs=1e-9)


def test_the_number_of_arcs_grows_with_the_cube_root_of_the_tolerance() -> None:
    # A biarc over h stands off by |dκ/ds| h³/324, so that a thousandth of the tolerance takes ten times the arcs.
    curve = ellipse_curve(900.0, 400.0, 0.0, math.pi / 2.0)
    few, many = (len(fit_biarcs(curve, tolerance).pieces) for tolerance in (0.05, 0.00005))
    assert many / few == pytest.approx(10.0, rel=0.15)


@given(st.floats(300.0, 2400.0), st.floats(0.1, 1.2))
@settings(max_examples=12)
def test_an_ellipse_is_exactly_symmetric(span: float, share: float) -> None:
    curve = ellipse(Ellipse.model_validate({"kind": "ellipse", "span": span, "rise": share * span}))
    assert curve.pieces == tuple(reversed(curve.pieces))
    assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((-span / 2.0, 0.0), abs=1e-8)
    assert curve.sweep_rad == pytest.approx(math.pi, abs=1e-10)


def test_a_straight_line_stays_straight_and_a_circle_a_circle() -> None:
    line = Smooth(
        point=lambda u: np.column_stack([u, 0.5 * u]),
        tangent=lambda u: np.column_stack([np.ones_like(u), np.full_like(u, 0.5)]),
        begin=0.0,
        end=1000.0,
    )
    assert fit_biarcs(line).tightest_radius_mm > 1e12
    assert fit_biarcs(line).length_mm == pytest.approx(1000.0 * math.hypot(1.0, 0.5), abs=1e-9)
    circle = fit_biarcs(ellipse_curve(600.0, 600.0, 0.0, math.pi))
    assert [1.0 / k for _, k in circle.pieces] == pytest.approx([600.0] * len(circle.pieces), abs=1e-6)
    assert len(circle.pieces) <= 4


def test_an_s_shaped_biarc_meets_both_poses() -> None:
    begin, end = Pose(0.0, 0.0, 0.3), Pose(500.0, 40.0, 0.1)
    (length, curvature), (more, other) = biarc(begin, end)
    reached = begin.onward(length, curvature).onward(more, other)
    assert (reached.x_mm, reached.y_mm, reached.heading_rad) == pytest.approx((500.0, 40.0, 0.1), abs=1e-10)


def test_a_corner_is_refused() -> None:
    roof = Smooth(
        point=lambda u: np.column_stack([u, -np.abs(u)]),
        tangent=lambda u: np.column_stack([np.ones_like(u), -np.sign(u)]),
        begin=-100.0,
        end=77.0,
    )
    with pytest.raises(CurveError, match="split it at the corner"):
        fit_biarcs(roof)
