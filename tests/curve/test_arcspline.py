"""What must hold for any chain of lines and arcs, and what other libraries say of the same curve."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from ezdxf.math import bulge_to_arc
from hypothesis import example, given, settings
from hypothesis import strategies as st

from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose

sizes = st.floats(-1e3, 1e3)
poses = st.builds(Pose, sizes, sizes, st.floats(-math.pi, math.pi))
pieces = st.tuples(st.floats(1.0, 500.0), st.one_of(st.just(0.0), st.floats(-0.01, 0.01)))
curves = st.builds(ArcSpline, poses, st.lists(pieces, min_size=1, max_size=6).map(tuple))


@given(curves, sizes, sizes, st.floats(-math.pi, math.pi))
def test_a_rigid_motion_keeps_lengths_and_distances(curve: ArcSpline, dx: float, dy: float, turn: float) -> None:
    moved = curve.moved(dx, dy, turn)
    assert moved.length_mm == curve.length_mm
    s = np.linspace(0.0, curve.length_mm, 7)
    before, after = curve.points(s), moved.points(s)
    np.testing.assert_allclose(
        np.linalg.norm(after - after[0], axis=1), np.linalg.norm(before - before[0], axis=1), atol=1e-8
    )


@given(curves, st.floats(-90.0, 90.0))
def test_an_offset_out_and_back_returns(curve: ArcSpline, offset: float) -> None:
    back = curve.parallel(offset).parallel(-offset)
    s = np.linspace(0.0, curve.length_mm, 11)
    np.testing.assert_allclose(back.points(s), curve.points(s), atol=1e-6)


@given(curves, st.floats(-90.0, 90.0))
def test_a_parallel_grows_by_offset_times_sweep(curve: ArcSpline, offset: float) -> None:
    # Steiner's formula for parallel curves; positive offsets lie to the left, where a left turn is shorter.
    assert curve.parallel(offset).length_mm == pytest.approx(curve.length_mm - offset * curve.sweep_rad, abs=1e-8)


@given(curves, st.floats(0.05, 0.95))
def test_parts_sum_to_the_whole_and_meet(curve: ArcSpline, share: float) -> None:
    at = share * curve.length_mm
    one, other = curve.part(0.0, at), curve.part(at, curve.length_mm)
    assert one.length_mm + other.length_mm == pytest.approx(curve.length_mm, abs=1e-9)
    assert math.dist((one.end.x_mm, one.end.y_mm), (other.start.x_mm, other.start.y_mm)) < 1e-8
    assert math.dist((other.end.x_mm, other.end.y_mm), (curve.end.x_mm, curve.end.y_mm)) < 1e-8


@given(curves, sizes, sizes)
@settings(max_examples=50)
def test_the_nearest_point_is_as_near_as_any_of_many(curve: ArcSpline, x: float, y: float) -> None:
    station, distance = curve.nearest(x, y)
    many = curve.points(np.linspace(0.0, curve.length_mm, 4001))
    brute = float(np.min(np.hypot(many[:, 0] - x, many[:, 1] - y)))
    step = curve.length_mm / 4000.0
    assert abs(distance) <= brute + 1e-9
    assert abs(distance) >= brute - step
    foot = curve.pose(station)
    assert math.dist((foot.x_mm, foot.y_mm), (x, y)) == pytest.approx(abs(distance), abs=1e-9)


def test_the_side_of_a_point() -> None:
    half = ArcSpline(Pose(500.0, 0.0, math.pi / 2.0), ((500.0 * math.pi, 1.0 / 500.0),))
    assert half.nearest(0.0, 400.0)[1] == pytest.approx(100.0)
    assert half.nearest(0.0, 600.0)[1] == pytest.approx(-100.0)


@given(curves)
def test_vertices_are_read_alike_by_another_library(curve: ArcSpline) -> None:
    vertices = curve.vertices()
    length = 0.0
    for (x, y, bulge), (u, v, _) in pairwise(vertices):
        if abs(bulge) < 1e-6:
            length += math.dist((x, y), (u, v))
            continue
        centre, begin, end, radius = bulge_to_arc((x, y), (u, v), bulge)  # ezdxf
        length += radius * ((end - begin) % math.tau)
        assert math.dist((centre.x, centre.y), (x, y)) == pytest.approx(radius, rel=1e-6)
    assert length == pytest.approx(curve.length_mm, rel=1e-6)


@given(curves)
def test_reversed_twice_is_the_same(curve: ArcSpline) -> None:
    again = curve.reversed().reversed()
    s = np.linspace(0.0, curve.length_mm, 9)
    np.testing.assert_allclose(again.points(s), curve.points(s), atol=1e-7)
    np.testing.assert_allclose(curve.reversed().points(s), curve.points(curve.length_mm - s), atol=1e-7)


@example(curve=ArcSpline(Pose(0.0, 0.0, 0.0), ((1.0, 5e-324),)), tolerance=1.0)  # less than any step can tell
@given(curves, st.floats(0.01, 1.0))
@settings(max_examples=30)
def test_chords_stay_within_the_tolerance(curve: ArcSpline, tolerance: float) -> None:
    points = curve.sampled(tolerance)
    middles = (points[1:] + points[:-1]) / 2.0
    assert max(abs(curve.nearest(float(x), float(y))[1]) for x, y in middles) <= tolerance * (1.0 + 1e-6)


def test_an_offset_past_the_centre_is_refused() -> None:
    half = ArcSpline(Pose(100.0, 0.0, math.pi / 2.0), ((100.0 * math.pi, 0.01),))
    with pytest.raises(CurveError, match="expected less than that"):
        half.parallel(100.0)


def test_the_tightest_bend_may_turn_either_way() -> None:
    bends = ((100.0, 1 / 500.0), (100.0, -1 / 200.0), (50.0, 0.0))
    assert ArcSpline(Pose(0.0, 0.0, 0.0), bends).tightest_radius_mm == pytest.approx(200.0)
    assert ArcSpline(Pose(0.0, 0.0, 0.0), ((50.0, 0.0),)).tightest_radius_mm == math.inf
