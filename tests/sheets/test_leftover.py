"""What is left of a sheet: every rectangle stands clear of the cutter's path and of the others, by shapely."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from shapely.geometry import Polygon

from formgen.geometry.outline import Outline
from formgen.sheets.leftover import Rest, rests_of

LENGTH, WIDTH = 2440.0, 1220.0


def rectangle(rest: Rest) -> Polygon:
    return box(rest.x_mm, rest.y_mm, rest.x_mm + rest.length_mm, rest.y_mm + rest.width_mm)


def shape(outline: Outline) -> Polygon:
    return Polygon(outline.flattened(0.01))


places = st.tuples(st.floats(200.0, 2200.0), st.floats(150.0, 1050.0), st.floats(20.0, 300.0))


@settings(max_examples=30)
@given(st.lists(places, min_size=1, max_size=4), st.sampled_from([0.0, 3.0, 6.35, 12.7, 25.4]))
def test_no_rectangle_lies_in_the_cutters_path(pieces: list[tuple[float, float, float]], cutter_mm: float) -> None:
    outlines = [Outline.obround((x, y), (0.8, 0.6), 2.0 * long, 100.0) for x, y, long in pieces]
    rests = [rectangle(rest) for rest in rests_of(outlines, LENGTH, WIDTH, cutter_mm, 150.0)]
    for rest in rests:
        assert box(0.0, 0.0, LENGTH, WIDTH).covers(rest)
        assert all(rest.distance(shape(outline)) >= cutter_mm for outline in outlines)
    assert all(one.intersection(other).area == 0.0 for one, other in combinations(rests, 2))


@pytest.mark.parametrize("cutter_mm", [0.0, 6.35, 25.4])
def test_what_lies_past_one_straight_cut_is_kept_but_for_the_cutter(cutter_mm: float) -> None:
    """A strip across the sheet: the rest begins where the cutter has passed, up to a cell of 10 mm further."""
    strip = Outline.box((500.0, WIDTH / 2.0), (1.0, 0.0), 1000.0, WIDTH)
    (largest, *_) = rests_of([strip], LENGTH, WIDTH, cutter_mm, 150.0)
    assert 1000.0 + cutter_mm <= largest.x_mm <= 1000.0 + cutter_mm + 20.0
    assert (largest.x_mm + largest.length_mm, largest.width_mm) == (LENGTH, WIDTH)
