"""Distances between shapes of arcs: closed forms against closed forms of their own, and against shapely's polygons."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from formgen.geometry.outline import Outline, circle_outline
from formgen.sheets.apart import gap_mm
from formgen.sheets.motion import Motion
from tests.sheets.shapes import box, ring

#: Flattening tolerance of the polygons that shapely gets (mm).
FINE_MM = 1e-4


def test_two_circles() -> None:
    # Distance of the centres less both radii.
    assert gap_mm(circle_outline((0, 0), 30), circle_outline((70, 24), 20)) == pytest.approx(74 - 50, abs=1e-9)


def test_circle_in_the_hollow_of_a_ring() -> None:
    # From a circle of 50 about (0, 20) to the inner face of 300 - 40 about the origin, straight up: 260 - 20 - 50.
    assert gap_mm(ring(300, 40, 1.2), circle_outline((0, 20), 50)) == pytest.approx(190, abs=1e-9)


@pytest.mark.parametrize(("outer", "gap"), [(500.0, 20.0), (300.0, 0.5)])
def test_rings_about_one_centre(outer: float, gap: float) -> None:
    inner = ring(outer - 40 - gap, 30, 0.7)
    assert gap_mm(ring(outer, 40, 1.0), inner) == pytest.approx(gap, abs=1e-9)


def test_equal_rings_shifted_along_their_axis() -> None:
    # The upper ring's inner arc (radius r, shifted up by d) to the lower one's outer arc (R): nearest at the lower
    # ring's upper corner (R sin a, R cos a): |corner - (0, d)| - r, within the sweep.
    R, w, a, d = 800.0, 100.0, 0.6, 140.0
    lower, upper = ring(R, w, a), Motion(0.0, 0.0, d).outline(ring(R, w, a))
    to_corner = abs(math.hypot(R * math.sin(a), R * math.cos(a) - d) - (R - w))
    # the corner's direction from (0, d) must lie on the arc; it is beyond it, so the end of the inner arc is nearest
    end = ((R - w) * math.sin(a), (R - w) * math.cos(a) + d)
    to_end = abs(math.hypot(*end) - R)
    inside = math.atan2(R * math.sin(a), R * math.cos(a) - d) <= a
    assert gap_mm(lower, upper) == pytest.approx(min(to_end, to_corner) if inside else to_end, abs=1e-9)


def test_shapes_that_cross_touch_or_hold_each_other_are_nothing_apart() -> None:
    assert gap_mm(box(100, 100), box(200, 20)) == 0.0
    assert gap_mm(box(100, 100), Motion(0, 100, 0).outline(box(50, 50))) == 0.0
    assert gap_mm(box(100, 100), circle_outline((50, 50), 10)) == 0.0
    assert gap_mm(circle_outline((50, 50), 10), box(100, 100)) == 0.0
    assert gap_mm(ring(300, 40, 1.0), ring(310, 40, 1.0)) == 0.0
    assert gap_mm(box(100, 100), box(100, 100)) == 0.0


def test_distances_beyond_what_matters_are_cut_short() -> None:
    far = Motion(0, 500, 0).outline(box(100, 100))
    assert gap_mm(box(100, 100), far, 15.0) == 15.0
    assert gap_mm(box(100, 100), far) == pytest.approx(400, abs=1e-9)


shapes = st.one_of(
    st.builds(ring, st.floats(150, 900), st.floats(20, 120), st.floats(0.1, 1.5)),
    st.builds(box, st.floats(5, 500), st.floats(5, 500)),
    st.builds(lambda r: circle_outline((0.0, 0.0), r), st.floats(2, 300)),
)
motions = st.builds(Motion, st.floats(0, 359), st.floats(-900, 900), st.floats(-900, 900))


@given(a=shapes, b=shapes, by=motions)
@settings(max_examples=300)
def test_shapely_finds_the_same(a: Outline, b: Outline, by: Motion) -> None:
    b = by.outline(b)
    polygons = [shapely.Polygon(o.flattened(FINE_MM)) for o in (a, b)]
    # Each polygon lies within FINE_MM of its outline, so the distances are within twice that.
    assert gap_mm(a, b) == pytest.approx(polygons[0].distance(polygons[1]), abs=2 * FINE_MM)
    assert gap_mm(b, a) == pytest.approx(gap_mm(a, b), abs=1e-9)
