"""The pictures of the press-day sheet: what is cut off at an edge, and a stack that does not run through its form.

Held against shapely, another library's geometry.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon, box

from formgen.reports.press_sheet.scene import cut_chain, cut_ring
from formgen.reports.press_sheet.shapes import Shapes, beside, hull, inside, ring
from tests.reports.press_cases import CASES
from tests.reports.test_press_steps import made_case

WINDOW = (-3.0, -2.0, 4.0, 5.0)


def star(seed: int) -> list[tuple[float, float]]:
    """A ring that never crosses itself: points about a centre by rising angle."""
    far = np.random.default_rng(seed).uniform(2.0, 9.0, 9)
    return [(0.5 + r * math.cos(t * 0.69), 1.0 + r * math.sin(t * 0.69)) for t, r in enumerate(far.tolist())]


@pytest.mark.parametrize("seed", range(40))
def test_a_ring_is_cut_as_another_library_cuts_it(seed: int) -> None:
    cut = Polygon(cut_ring(star(seed), WINDOW))
    wanted = Polygon(star(seed)).intersection(box(*WINDOW))
    assert cut.area == pytest.approx(wanted.area, rel=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_a_chain_keeps_what_lies_inside(seed: int) -> None:
    runs = cut_chain(star(seed), WINDOW)
    wanted = LineString(star(seed)).intersection(box(*WINDOW))
    assert sum(LineString(run).length for run in runs) == pytest.approx(wanted.length, rel=1e-9)


def test_nothing_is_left_of_what_lies_outside() -> None:
    away = [(10.0, 10.0), (12.0, 10.0), (11.0, 14.0)]
    assert cut_ring(away, WINDOW) == []
    assert cut_chain(away, WINDOW) == []


@pytest.mark.parametrize("name", CASES)
def test_the_half_bent_stack_stands_clear_of_the_form(name: str) -> None:
    shapes = Shapes(holding=made_case(name))
    stack = Polygon(ring(shapes.half_bent, shapes.half_mm))
    form = Polygon(shapes.form).buffer(0)
    touching = 0.02 * stack.area  # it lies on the form at the mark; outlines are flattened
    assert stack.intersection(form).area <= touching
    assert shapes.half_bent.length_mm == pytest.approx(shapes.blank.length_mm)


@pytest.mark.parametrize("name", CASES)
def test_the_bag_goes_round_everything(name: str) -> None:
    shapes = Shapes(holding=made_case(name))
    points = [*shapes.form, *ring(shapes.blank, shapes.half_mm)]
    loose = Polygon(hull(points, 20.0))
    assert loose.area == pytest.approx(LineString(points).convex_hull.buffer(20.0, quad_segs=6).area, rel=1e-3)
    assert loose.contains(Polygon(shapes.form).buffer(0))


def test_inside_is_what_another_library_says() -> None:
    corners = star(3)
    grid = np.array([(x / 3, y / 3) for x in range(-30, 31) for y in range(-30, 31)])
    known = Polygon(corners)
    assert inside(grid, corners).tolist() == [known.contains(Point(*p)) for p in grid]


def test_a_face_is_set_off_square_to_the_curve() -> None:
    shapes = Shapes(holding=made_case("part-bagged-male"))
    face = LineString(beside(shapes.blank, -shapes.half_mm))
    middle = LineString(beside(shapes.blank, 0.0))
    assert face.hausdorff_distance(middle) == pytest.approx(shapes.half_mm, rel=0.01)
