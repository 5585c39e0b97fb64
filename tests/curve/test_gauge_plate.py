"""The gauge plate: closed forms of plain arches, and shapely for parts that hook round their own ends."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
import shapely

from formgen.curve.gauge_plate import BACK_MM, gauge_plate
from formgen.curve.ordinates import ordinates
from formgen.curve.stage import make_arch
from formgen.recipe.model import Recipe

RecipeOf = Callable[..., Recipe]
SEGMENTAL = {"kind": "segmental", "span": 1200, "rise": 200}


def test_a_segment_on_a_back_below_its_chord(recipe_of: RecipeOf) -> None:
    # Span 1200, rise 200: R 1000, sweep 73.7398°; area of a circular segment R²(θ − sin θ)/2, and the strip below it.
    plate = gauge_plate(ordinates(make_arch(recipe_of(SEGMENTAL))))
    sweep = math.radians(73.73979529168804)
    assert plate.face == "inside"
    assert plate.straight_back
    assert plate.outline.area_mm2 == pytest.approx(1000**2 * (sweep - math.sin(sweep)) / 2 + 1200 * BACK_MM)
    assert plate.outline.bounds == pytest.approx((0, -BACK_MM, 1200, 200))


def test_the_outside_is_cut_out_of_a_board(recipe_of: RecipeOf) -> None:
    plate = gauge_plate(ordinates(make_arch(recipe_of(SEGMENTAL, "outside"))))
    sweep = math.radians(73.73979529168804)
    board = (1200 + 2 * BACK_MM) * (200 + BACK_MM)
    assert plate.face == "outside"
    assert plate.outline.area_mm2 == pytest.approx(board - 1000**2 * (sweep - math.sin(sweep)) / 2)


@pytest.mark.parametrize(("legs", "down"), [(300, BACK_MM), (30, 30), (10, BACK_MM)])
def test_it_runs_down_legs_that_are_long_enough(recipe_of: RecipeOf, legs: float, down: float) -> None:
    plate = gauge_plate(ordinates(make_arch(recipe_of({"kind": "semicircle", "span": 800}, legs=legs))))
    assert plate.outline.area_mm2 == pytest.approx(math.pi * 400**2 / 2 + 800 * down)
    assert plate.back_mm == pytest.approx(-down)


@pytest.mark.parametrize("face", ["inside", "outside"])
@pytest.mark.parametrize(("leg", "turn", "last"), [(50, 4.8, 700), (50, 4.8, 1100), (50, 4.2, 1100)])
def test_a_part_that_hooks_round_its_end_gets_a_band(
    recipe_of: RecipeOf, face: str, leg: float, turn: float, last: float
) -> None:
    pieces = [{"length": leg}, {"length": 200 * turn, "radius": 200}, {"length": last, "radius": 300}]
    found = ordinates(make_arch(recipe_of({"kind": "chain", "pieces": pieces}, face)))
    plate = gauge_plate(found)
    shape = shapely.Polygon(plate.outline.flattened(0.01))
    part = shapely.Polygon([*found.inside.sampled(0.01), *found.outside.sampled(0.01)[::-1]])
    assert not plate.straight_back
    assert shape.is_valid
    assert part.is_valid
    assert shape.intersection(part).area < 0.02 * found.centre.length_mm


def test_ticks_stand_on_the_face_at_the_stations(recipe_of: RecipeOf) -> None:
    for face, radius in (("inside", 1000), ("outside", 1000)):
        plate = gauge_plate(ordinates(make_arch(recipe_of(SEGMENTAL, face))))
        assert [t.from_a_mm for t in plate.ticks] == pytest.approx([*range(100, 1200, 100)])
        for tick in plate.ticks:
            assert tick.start[1] == pytest.approx(math.sqrt(radius**2 - (tick.start[0] - 600) ** 2) - 800)
            assert plate.outline.contains(tick.end)
