"""Curves put level, and curves that cross themselves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.curve.arch import carried, levelled
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import crossing
from formgen.geometry.pose import Pose

HALF = ArcSpline(Pose(0.0, 0.0, math.pi / 2.0), ((500.0 * math.pi, 1.0 / 500.0),)).with_legs(200.0, 80.0)
SERPENTINE = ArcSpline(Pose(0.0, 0.0, 0.0), ((400.0, 1.0 / 500.0), (400.0, -1.0 / 500.0)))
STRAIGHT = ArcSpline(Pose(3.0, 4.0, 1.0), ((400.0, 0.0),))
moves = (st.floats(-1e3, 1e3), st.floats(-1e3, 1e3), st.floats(-math.pi, math.pi))


@given(*moves)
def test_two_legs_stand_level_on_their_springing_points(dx: float, dy: float, turn: float) -> None:
    springing = (200.0, HALF.length_mm - 80.0)
    level = levelled(HALF.moved(dx, dy, turn), springing, two_legged=True)
    right, left = level.pose(springing[0]), level.pose(springing[1])
    assert (right.x_mm, right.y_mm) == pytest.approx((500.0, 0.0), abs=1e-8)
    assert (left.x_mm, left.y_mm) == pytest.approx((-500.0, 0.0), abs=1e-8)
    assert level.pose(level.length_mm / 2.0).y_mm > 490.0


@given(*moves, st.sampled_from([SERPENTINE, STRAIGHT]))
def test_other_curves_stand_level_on_their_ends(dx: float, dy: float, turn: float, curve: ArcSpline) -> None:
    level = levelled(curve.moved(dx, dy, turn), (0.0, curve.length_mm), two_legged=False)
    chord = math.dist((curve.start.x_mm, curve.start.y_mm), (curve.end.x_mm, curve.end.y_mm))
    assert (level.start.x_mm, level.start.y_mm) == pytest.approx((chord / 2.0, 0.0), abs=1e-8)
    assert (level.end.x_mm, level.end.y_mm) == pytest.approx((-chord / 2.0, 0.0), abs=1e-8)
    assert level.pieces == curve.pieces


def test_a_point_is_carried_along() -> None:
    after = HALF.moved(7.0, -3.0, 0.7)
    there = HALF.pose(300.0)
    carried_to = carried((there.x_mm, there.y_mm), HALF.start, after.start)
    assert carried_to == pytest.approx((after.pose(300.0).x_mm, after.pose(300.0).y_mm))


def test_a_curve_whose_ends_are_one_point_is_refused() -> None:
    ring = ArcSpline(Pose(0.0, 0.0, 0.0), ((math.tau * 100.0, 0.01),))
    with pytest.raises(CurveError, match="ends of the curve lie at one point"):
        levelled(ring, (0.0, ring.length_mm), two_legged=False)


def test_crossings_are_found_where_they_are() -> None:
    # a line up the y axis, then three quarters of a circle and a line back over it
    loop = ArcSpline(Pose(0.0, -300.0, math.pi / 2.0), ((300.0, 0.0), (math.pi * 1.5 * 100.0, 0.01), (300.0, 0.0)))
    # after 270° to the left from (0, 0) about (−100, 0) the curve heads +… along y = −100
    assert crossing(loop) == pytest.approx((0.0, -100.0), abs=0.05) or crossing(loop) == pytest.approx((0.0, 0.0))
    assert crossing(HALF) is None
    assert crossing(SERPENTINE) is None
