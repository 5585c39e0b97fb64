"""Closed shapes of lines and arcs, held against shapely's polygons."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import distances_mm
from formgen.geometry.edge import Edge, extent
from formgen.geometry.outline import Outline
from formgen.geometry.pose import Pose


def arch_form(span: float, leg: float, width: float) -> Outline:
    """A band that follows a half circle on two legs: its arcs begin exactly on y = 0."""
    a = span / 2.0
    face = ArcSpline(Pose(a, 0.0, math.pi / 2.0), ((math.pi * a, 1.0 / a),)).with_legs(leg, leg)
    return Outline.of(face, face.parallel(-width).reversed())


shapes = st.builds(arch_form, st.floats(200, 2000), st.floats(1, 300), st.floats(10, 150))
directions = st.floats(-math.pi, math.pi)


def polygon(outline: Outline, tolerance: float = 1e-4) -> Polygon:
    return Polygon(outline.flattened(tolerance))


@given(shapes)
@settings(max_examples=25)
def test_area_and_length_are_those_of_a_fine_polygon(outline: Outline) -> None:
    fine = polygon(outline)
    assert outline.area_mm2 == pytest.approx(fine.area, rel=1e-5)
    assert outline.length_mm == pytest.approx(fine.length, rel=1e-5)
    assert outline.bounds == pytest.approx(fine.bounds, abs=1e-3)


@given(shapes, st.floats(-1200, 1200), st.floats(-400, 1200))
@settings(max_examples=50)
def test_containment_and_distance_are_those_of_a_fine_polygon(outline: Outline, x: float, y: float) -> None:
    fine = polygon(outline)
    distance = fine.exterior.distance(Point(x, y))
    assert distances_mm(np.array([[x, y]]), outline.edges)[0] == pytest.approx(distance, abs=2e-4)
    if distance > 1e-3:
        assert outline.contains((x, y)) == fine.contains(Point(x, y))


@given(shapes, st.floats(-1200, 1200))
@settings(max_examples=50)
def test_containment_on_the_springing_line_itself(outline: Outline, x: float) -> None:
    # y = 0 passes through the vertices at which legs end and arcs begin.
    fine = polygon(outline)
    if fine.exterior.distance(Point(x, 0.0)) > 1e-3:
        assert outline.contains((x, 0.0)) == fine.contains(Point(x, 0.0))


@given(shapes, st.floats(-300, 300), st.floats(-100, 800), directions)
@settings(max_examples=60)
def test_chords_are_those_of_a_fine_polygon(outline: Outline, x: float, y: float, angle: float) -> None:
    ux, uy = math.cos(angle), math.sin(angle)
    line = LineString([(x - 5e3 * ux, y - 5e3 * uy), (x + 5e3 * ux, y + 5e3 * uy)])
    inside = polygon(outline).intersection(line).length
    found = sum(b - a for a, b in outline.chords((x, y), ux, uy))
    assert found == pytest.approx(inside, abs=1.0)  # a grazed arc's chord changes by √(8 R tolerance)


@given(shapes, st.floats(-300, 300), st.floats(-100, 800), directions)
@settings(max_examples=60)
def test_cut_pieces_sum_to_the_area_and_stay_on_their_side(outline: Outline, x: float, y: float, angle: float) -> None:
    ux, uy = math.cos(angle), math.sin(angle)
    left, right = outline.cut((x, y), ux, uy), outline.cut((x, y), -ux, -uy)
    assert sum(o.area_mm2 for o in (*left, *right)) == pytest.approx(outline.area_mm2, rel=1e-9, abs=1e-3)
    for shape, sign in ((s, sign) for group, sign in ((left, 1.0), (right, -1.0)) for s in group):
        low, high = extent(shape.edges, -uy, ux)
        here = -uy * x + ux * y
        assert (low if sign > 0 else -high) >= sign * here - 1e-6


def test_a_cut_along_the_springing_line() -> None:
    outline = arch_form(1000.0, 100.0, 60.0)
    above, below = outline.cut((0.0, 0.0), 1.0, 0.0), outline.cut((0.0, 0.0), -1.0, 0.0)
    assert len(above) == 1
    assert len(below) == 2
    # half a ring and two rectangles
    assert above[0].area_mm2 == pytest.approx(math.pi / 2.0 * (560.0**2 - 500.0**2), abs=1e-6)
    assert [o.area_mm2 for o in below] == pytest.approx([6000.0, 6000.0], abs=1e-6)
    assert outline.chords((0.0, 0.0), 1.0, 0.0) == [pytest.approx((-560.0, -500.0)), pytest.approx((500.0, 560.0))]


@pytest.mark.parametrize("x", [-600.0, -530.0, 0.0, 530.0, 600.0])
def test_containment_where_legs_end_exactly_on_the_line(x: float) -> None:
    vertices = [(560.0, -100.0, 0.0), (560.0, 0.0, 1.0), (-560.0, 0.0, 0.0), (-560.0, -100.0, 0.0)]
    vertices += [(-500.0, -100.0, 0.0), (-500.0, 0.0, -1.0), (500.0, 0.0, 0.0), (500.0, -100.0, 0.0)]
    outline = Outline.tidy(vertices)
    assert outline.contains((x, 0.0)) == (500.0 < abs(x) < 560.0)
    assert outline.chords((0.0, 0.0), 1.0, 0.0) == [pytest.approx((-560.0, -500.0)), pytest.approx((500.0, 560.0))]
    assert sum(o.area_mm2 for o in outline.cut((0.0, 0.0), 1.0, 0.0)) == pytest.approx(math.pi * 30.0 * 1060.0)


def test_an_edge_of_enormous_radius_is_a_line() -> None:
    outline = Outline.tidy([(0.0, 0.0, 1e-14), (1000.0, 0.0, 0.0), (1000.0, 50.0, 0.0), (0.0, 50.0, 0.0)])
    assert distances_mm(np.array([[500.0, 20.0]]), outline.edges)[0] == 20.0
    assert outline.area_mm2 == pytest.approx(50000.0, abs=1e-6)


@given(st.floats(1e-9, 1.0), st.floats(0.0, 1.0))
def test_a_point_on_an_edge_is_on_its_circle(bulge: float, share: float) -> None:
    edge = Edge((0.0, 0.0), (100.0, 0.0), bulge)
    x, y = edge.at(share)
    # circle through both ends and the middle of the arc, which lies at the sagitta bulge × chord/2 to the right
    sagitta = bulge * 50.0
    off = sagitta * (x * x + y * y - 100.0 * x) + (sagitta * sagitta - 2500.0) * y  # 0 on the circle, ≈ 2500 × distance
    assert abs(off) < 2500.0 * 1e-9


def test_turned_round_keeps_the_shape() -> None:
    outline = arch_form(1000.0, 100.0, 60.0)
    assert outline.turned_round().signed_area_mm2 == pytest.approx(-outline.signed_area_mm2)
    assert outline.turned_round().length_mm == pytest.approx(outline.length_mm)
