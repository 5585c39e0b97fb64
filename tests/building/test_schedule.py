"""The opening schedule: trade columns, recipe keys, blanks and dashes; every mistake with its row and column."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.building.running.batch import Options, run_building
from formgen.building.schedule.opening import Schedule
from formgen.building.schedule.read import read_schedule
from formgen.curve.stage import make_arch
from formgen.errors import CurveError, RecipeError
from formgen.recipe.arch_kinds import Segmental, Semicircle
from formgen.recipe.load import load_recipe
from formgen.recipe.schema import Legs
from formgen.units import MM_PER_IN
from tests.here import opened_here

RECIPES = Path(__file__).parents[2] / "recipes"
IN = float(MM_PER_IN)


def lines(schedule: Schedule) -> list[str]:
    return [line for row in schedule.refused for line in row.lines]


def test_a_row_is_what_the_same_recipe_would_be(scheduled: Callable[..., Schedule], tmp_path: Path) -> None:
    """The whole asked recipe, by writing that recipe out in YAML and reading it the ordinary way."""
    schedule = scheduled(
        "Opening,Quantity,Arch,Span,Rise,Depth,Legs,Measured on,Remarks,laminate.plies,press.between\n"
        'W-1,3,segmental,36 1/2 in,7 in,2 1/2 in,,inside,north side,8,"[film, breather]"\n'
    )
    (tmp_path / "W-1.yaml").write_text(
        "format: 1\nname: W-1\nunits: mm\nnote: north side\n"
        "part: {arch: {kind: segmental, span: 36 1/2 in, rise: 7 in}, measured_on: inside, depth: 2 1/2 in, "
        "tolerance: 0.8}\n"
        "laminate: {wood: white ash, thickness: 18, plies: 8, adhesive: epoxy}\n"
        "press: {side: male, between: [film, breather]}\n"
        "form: {body: band, backing: 90}\n",
        encoding="utf-8",
    )
    assert lines(schedule) == []
    opening = schedule.openings[0]
    assert opening.recipe.asked == load_recipe(tmp_path / "W-1.yaml").asked
    assert (opening.row, opening.mark, opening.quantity) == (2, "W-1", 3)


def test_blank_keeps_the_base_and_a_dash_leaves_it_out(scheduled: Callable[..., Schedule]) -> None:
    schedule = scheduled("opening,rise,part.arch.radius,part.legs\nA,as base,,\nB,-,800,300\n")
    first, second = (o.recipe.part for o in schedule.openings)
    assert isinstance(first.arch, Segmental)
    assert (first.arch.span_mm, first.arch.rise_mm, first.legs) == (900.0, 180.0, 0.0)
    assert isinstance(second.arch, Segmental)
    assert (second.arch.span_mm, second.arch.rise_mm, second.arch.radius_mm, second.legs) == (900.0, None, 800.0, 300.0)


def test_another_kind_of_arch_takes_none_of_the_base_sizes(scheduled: Callable[..., Schedule]) -> None:
    schedule = scheduled("opening,arch,span,rise\nA,semicircle,700,\nB,semicircle,,\nC,ellipse,700,\n")
    arch = schedule.openings[0].recipe.part.arch
    assert isinstance(arch, Semicircle)
    assert arch.span_mm == 700.0
    empty = (
        "openings.csv: row {0}, column {1} is empty, expected a value, since base.yaml gives no part.arch.{1} for it; "
        "write it"
    )
    assert lines(schedule) == [
        empty.format(3, "span"),
        empty.format(4, "rise"),
    ]


def test_every_mistake_of_every_row_at_once_and_the_good_rows_remain() -> None:
    schedule = read_schedule(
        Path(__file__).with_name("impossible.csv"), RECIPES / "openings" / "base.yaml", RECIPES / "shop.yaml"
    )
    place = re.compile(r"impossible\.csv: row (\d+)(?:, column ([\w. ]+?)(?= =| is|: ))?")
    found = {(int(m[1]), m[2]) for line in lines(schedule) if (m := place.match(line))}
    assert found == {
        (4, "depth"), (5, "quantity"), (6, "arch"), (7, "rise"), (8, "span"), (9, "rise"), (9, "measured on"),
        (10, "opening"), (12, "laminate.wood"), (13, "laminate.plies"), (14, "opening"),
    }  # fmt: skip
    assert len(lines(schedule)) == len(found)
    # rows 3 and 11 read well; that there is no such curve is for the stage `curve` to say
    assert [o.row for o in schedule.openings] == [2, 3, 11, 15]


def test_the_batch_says_those_of_the_stages_beside_those_of_the_cells(tmp_path: Path) -> None:
    schedule = read_schedule(
        Path(__file__).with_name("impossible.csv"), RECIPES / "openings" / "base.yaml", RECIPES / "shop.yaml"
    )
    with pytest.raises(RecipeError) as refused:
        run_building(schedule, tmp_path / "out", opened_here, Options())
    said = refused.value.mistakes
    assert said[0].startswith(
        "impossible.csv: row 3, opening X-02, column rise: part.arch.rise = 762.00 mm (30 in), expected under"
    )
    assert any(line.startswith("impossible.csv: row 11, opening X-10: part.arch has a radius") for line in said)
    assert len(said) == 13
    assert [int(re.search(r"row (\d+)", line)[1]) for line in said] == sorted(  # type: ignore[index]
        int(re.search(r"row (\d+)", line)[1])
        for line in said  # type: ignore[index]
    )
    assert not (tmp_path / "out").exists()


def test_a_mistake_of_the_base_recipe_is_said_once_with_its_own_place(scheduled: Callable[..., Schedule]) -> None:
    from tests.building.conftest import BASE

    schedule = scheduled("opening,span\nA,900\nB,901\n", BASE.replace("depth: 60", "depth: -60"))
    assert set(lines(schedule)) == {
        'base.yaml:7:10: part.depth = "-60", expected a length above 0; measure it without a sign'
    }
    assert lines(scheduled("opening,depth\nA,60\n", BASE.replace("depth: 60", "depth: -60"))) == []


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("opening,hight", 'column "hight" is not a column, expected mark, '),
        ("opening,part.depht", "did you mean part.depth?"),
        ("opening,depth,part.depth", "columns depth and part.depth both give part.depth"),
        ("opening,part.arch,span", "columns part.arch and span both give part.arch"),
        ("opening,Span,span", 'column "span" stands twice'),
        ("opening,,span", "column 2 has no name"),
        ("opening,units", 'column "units" is a key of the base recipe'),
    ],
)
def test_a_bad_header_is_refused(
    scheduled: Callable[..., Schedule], tmp_path: Path, header: str, expected: str
) -> None:
    schedule = scheduled(f"{header}\nA,1,2\n")
    assert any(expected in line for line in schedule.faults)
    with pytest.raises(RecipeError, match=re.escape(expected)):  # however good the rows are
        run_building(schedule, tmp_path / "out", opened_here, Options(keep_going=True))
    assert not (tmp_path / "out").exists()


def test_the_shipped_schedule_is_about_forty_openings_with_no_mistake(library: Schedule) -> None:
    assert lines(library) == []
    assert 35 <= len(library.openings) <= 50
    porch = next(o for o in library.openings if o.mark == "D-201")
    assert isinstance(porch.recipe.part.arch, Semicircle)
    assert porch.recipe.part.arch.span_mm == 36 * IN


LEGS_BASE = """\
format: 1
name: base
units: mm
part: {arch: {kind: segmental, span: 900, rise: 180}, measured_on: centre, depth: 60LEGS}
laminate: {wood: white ash, thickness: 18, plies: 6}
press: {side: male}
"""


@pytest.mark.parametrize("header", ["opening,legs,part.legs.run", "opening,part.legs.run,legs"])
@pytest.mark.parametrize(
    ("base", "legs", "run", "asked"),
    [
        ("", "300", "plumb", (300.0, 300.0, "plumb")),
        ("", "", "plumb", (0.0, 0.0, "plumb")),
        (", legs: 200", "", "tangent", (200.0, 200.0, "tangent")),
        (", legs: 200", "300", "tangent", (300.0, 300.0, "tangent")),
        (", legs: {length: 200, run: plumb}", "300", "", (300.0, 300.0, "plumb")),
        (", legs: {length: 200, run: plumb}", "300", "tangent", (300.0, 300.0, "tangent")),
        (", legs: {right: 200, left: 90, run: plumb}", "300", "", (300.0, 300.0, "plumb")),
        (", legs: {right: 200, left: 90, run: plumb}", "", "tangent", (200.0, 90.0, "tangent")),
        ("", '"{right: 40, left: 50}"', "tangent", (40.0, 50.0, "tangent")),
    ],
)
def test_legs_and_how_they_run_in_either_order(
    scheduled: Callable[..., Schedule],
    header: str,
    base: str,
    legs: str,
    run: str,
    asked: tuple[float, float, str],
) -> None:
    cells = (legs, run) if header.endswith("run") else (run, legs)
    schedule = scheduled(f"{header}\nA,{cells[0]},{cells[1]}\n", LEGS_BASE.replace("LEGS", base))
    assert lines(schedule) == []
    found = schedule.openings[0].recipe.part.legs
    assert isinstance(found, Legs)
    assert (*found.right_and_left_mm, found.run) == asked


def test_a_dash_leaves_out_what_the_base_says_of_legs(scheduled: Callable[..., Schedule]) -> None:
    base = LEGS_BASE.replace("LEGS", ", legs: {length: 200, run: plumb}")
    schedule = scheduled("opening,legs,part.legs.run\nA,-,\nB,,-\n", base)
    first, second = (opening.recipe.part.legs for opening in schedule.openings)
    assert first == 0.0
    assert isinstance(second, Legs)
    assert (second.length_mm, second.run) == (200.0, None)


def test_mistakes_in_legs_are_told_by_their_columns(scheduled: Callable[..., Schedule]) -> None:
    schedule = scheduled("opening,legs,part.legs.run\nA,300,upright\nB,long,plumb\nC,-4,plumb\nD,long,\n")
    found = lines(schedule)
    assert found[0] == (
        'openings.csv: row 2, column part.legs.run = "upright", expected plumb or tangent; write one of them'
    )
    assert found[1].startswith('openings.csv: row 3, column legs = "long", expected ')
    assert found[2] == (
        'openings.csv: row 4, column legs = "-4", expected a length of 0 or more; measure it without a sign'
    )
    assert found[3].startswith('openings.csv: row 5, column legs = "long", expected ')


def test_legs_that_may_stand_either_way_are_refused_by_row_and_column(scheduled: Callable[..., Schedule]) -> None:
    schedule = scheduled("opening,legs\nA,300\n")
    opening = schedule.openings[0]
    with pytest.raises(CurveError) as caught:
        make_arch(opening.recipe)
    # Half the sweep of span 900, rise 180: 2 atan(180/450) = 43.6°, so that the curve leans 46.4° from plumb.
    assert opening.placed(str(caught.value)) == (
        "openings.csv: row 2, opening A, column legs: part.legs = 300 mm, expected {length: 300 mm, run: plumb} or "
        "{length: 300 mm, run: tangent}: this arch springs 46° from plumb"
    )
