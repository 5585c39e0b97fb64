"""What a schedule leaves open: marks or quantities, rise or height, blank sizes, rows that are no openings.

A wrong reading costs wood: it is decided by the cells and said, or it is asked; never guessed.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from formgen.building.schedule.opening import Schedule
from tests.building.conftest import BASE

Scheduled = Callable[..., Schedule]


def lines(schedule: Schedule) -> list[str]:
    return [*schedule.faults, *(line for row in schedule.refused for line in row.lines)]


def read_as(schedule: Schedule, name: str) -> tuple[str, str]:
    """The key that a column gives, and why."""
    assert schedule.reading is not None
    column = next(column for column in schedule.reading.columns if column.name == name)
    return ".".join(map(str, column.path)), column.why


def rises(schedule: Schedule) -> list[float | None]:
    assert lines(schedule) == []
    return [getattr(opening.recipe.part.arch, "rise_mm", None) for opening in schedule.openings]


# --- No.


def test_no_is_the_mark_where_no_other_column_is(scheduled: Scheduled) -> None:
    schedule = scheduled("No.,Qty,Span,Rise\n101,2,900,180\n102,1,800,150\n")
    assert [(opening.mark, opening.quantity) for opening in schedule.openings] == [("101", 2), ("102", 1)]
    assert read_as(schedule, "No.") == ("name", "marks stand in no other column")


def test_no_is_the_quantity_beside_a_mark(scheduled: Scheduled) -> None:
    schedule = scheduled("Ref,No.,Span,Rise\nA,2,900,180\nB,1,800,150\n")
    assert [(opening.mark, opening.quantity) for opening in schedule.openings] == [("A", 2), ("B", 1)]
    assert read_as(schedule, "No.") == ("quantity", "whole numbers, and marks stand in Ref")


@pytest.mark.parametrize("more", ["", ",Qty"])
def test_a_running_number_is_neither(scheduled: Scheduled, more: str) -> None:
    rows = "".join(f"{i},W-{i},900,180{',1' if more else ''}\n" for i in range(1, 5))
    schedule = scheduled(f"Item,Mark,Span,Rise{more}\n{rows}")
    assert [opening.quantity for opening in schedule.openings] == [1, 1, 1, 1]
    assert read_as(schedule, "Item") == ("", "numbers the rows")


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        (
            "Mark,No.,Span,Rise\nA,1,900,180\nB,2,900,170\n",
            "column No. counts 1 to 2, which may be quantities or the rows'",
        ),
        ("Mark,No.,Span,Rise\nA,1,900,180\nB,x,900,170\n", 'column No. holds "x", expected whole numbers, since marks'),
        ("No.,Span,Rise\n2,900,180\n2,900,170\n", "column No. holds one number twice and no other column holds marks"),
    ],
)
def test_a_number_that_may_be_either_is_asked(scheduled: Scheduled, rows: str, line: str) -> None:
    (said,) = scheduled(rows).faults
    assert said.startswith(f"openings.csv: row 1, {line}")


# --- Type


def test_type_is_the_arch_where_its_cells_name_arches(scheduled: Scheduled) -> None:
    schedule = scheduled("Mark,Type,Span,Rise\nA,Segmental head,900,180\nB,THREE CENTRED,900,300\nC,Half round,900,\n")
    assert [opening.recipe.part.arch.kind for opening in schedule.openings] == [
        "segmental",
        "three-centred",
        "semicircle",
    ]
    assert read_as(schedule, "Type") == ("part.arch.kind", "its cells name arches")
    beside = scheduled("Mark,Type,Shape,Span,Rise\nA,Door,Segmental,900,180\n")
    assert read_as(beside, "Type") == ("", "the arch stands in Shape")


def test_type_that_names_no_arch_is_asked_in_one_line(scheduled: Scheduled) -> None:
    (line,) = lines(scheduled("Mark,Type,Span,Rise\nA,Door,900,180\nB,Window,900,180\n"))
    assert line.startswith('openings.csv: row 1, column Type holds "Door" and names no arch, expected one such as')


# --- H


def test_height_alone_is_the_rise_where_it_can_be(scheduled: Scheduled) -> None:
    schedule = scheduled("Mark,Shape,W,H\nA,segmental,900,180\nB,semicircle,900,450\nC,ellipse,900,300\n")
    assert rises(schedule) == [180.0, None, 300.0]
    assert read_as(schedule, "H") == ("part.arch.rise", "nothing has legs, and every height can be a rise")


def test_height_beside_a_rise_is_passed_over(scheduled: Scheduled) -> None:
    schedule = scheduled("Mark,W,H,Rise\nA,900,2100,180\n")
    assert rises(schedule) == [180.0]
    assert read_as(schedule, "H") == ("", "height over all; Rise is what counts")
    assert lines(scheduled("Mark,W,H,Rise\nA,900,100,180\n")) == [
        "openings.csv: row 1, column H is less than Rise in row 2; are they swapped?"
    ]


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        (
            "Mark,W,H\nA,900,2100\n",
            "in row 2 it is 2100.0 mm over a span of 900.0 mm, no rise of a segmental; name it Rise",
        ),
        ("Mark,Shape,W,H\nA,semicircle,900,1200\n", "no rise of a semicircle; name it Rise, or Overall height"),
        ("Mark,W,H,Legs\nA,900,480,300\n", "may be the rise, or the height over all with the legs; name it Rise, or"),
        ("Mark,W,Overall height\nA,900,480\n", "gives no rise without the legs, expected Rise or Legs beside it"),
    ],
)
def test_a_height_that_may_be_either_is_asked_and_hides_no_cell(scheduled: Scheduled, rows: str, line: str) -> None:
    head, row = rows.splitlines()
    said = lines(scheduled(f"{head},Depth\n{row},deep\n"))
    assert len(said) == 2
    assert line in said[0]
    assert said[1].startswith('openings.csv: row 2, column Depth = "deep"')


def test_legs_of_the_base_recipe_make_a_height_ambiguous(scheduled: Scheduled) -> None:
    base = BASE.replace("depth: 60", "depth: 60\n  legs: {length: 300, run: tangent}")
    (line,) = lines(scheduled("Mark,W,H\nA,900,180\n", base))
    assert "may be the rise, or the height over all with the legs" in line
    assert rises(scheduled("Mark,W,H,Legs\nA,900,180,none\n", base)) == [180.0]


def test_a_height_over_all_is_the_rise_and_the_legs(scheduled: Scheduled) -> None:
    rows = "Mark,W,Overall height,Legs,part.legs.run\nA,900,480,300,tangent\nB,900,25 in,300,tangent\n"
    assert rises(scheduled(rows)) == [pytest.approx(180.0), pytest.approx(335.0)]
    (line,) = lines(scheduled("Mark,W,Overall height,Legs\nA,900,280,300\n"))
    assert line == (
        'openings.csv: row 2, column Overall height = "280", expected more than the legs; measure from the foot to the '
        "crown"
    )


def test_a_semicircle_rises_half_its_span(scheduled: Scheduled) -> None:
    assert rises(scheduled("Mark,Arch,Span,Rise\nA,semicircle,915,457\nB,semicircle,915,458\n")) == [None, None]
    (line,) = lines(scheduled("Mark,Arch,Span,Rise\nA,semicircle,915,400\n"))
    assert line == (
        'openings.csv: row 2, column Rise = "400", expected 457.5 mm, half the span of a semicircle; correct one of '
        "them, or name the arch segmental"
    )


# --- blank sizes


@pytest.mark.parametrize(("cells", "column", "size"), [(",180", "Span", "span"), ("900,", "Rise", "rise")])
def test_an_openings_own_size_is_never_taken_from_the_base(
    scheduled: Scheduled, cells: str, column: str, size: str
) -> None:
    (line,) = lines(scheduled(f"Mark,Span,Rise\nA,{cells}\n"))
    assert line == (
        f"openings.csv: row 2, column {column} is empty, expected the opening's own {size}: that of base.yaml is not "
        'taken unasked; write it, or "as base"'
    )


def test_unless_the_cell_says_so_and_then_it_is_shown(scheduled: Scheduled) -> None:
    schedule = scheduled("Mark,Span,Rise\nA,as base,As base\nB,800,150\n")
    assert rises(schedule) == [180.0, 150.0]
    assert {"part.arch.span", "part.arch.rise", "part.depth"} <= set(schedule.openings[0].from_base)
    assert "part.arch.span" not in schedule.openings[1].from_base


def test_a_kind_that_needs_no_rise_takes_none(scheduled: Scheduled) -> None:
    assert rises(scheduled("Mark,Arch,Span,Rise\nA,pointed,900,\nB,semicircle,900,n/a\nC,three-centred,900,-\n")) == [
        None, None, None,
    ]  # fmt: skip


def test_ditto_is_what_stands_above(scheduled: Scheduled) -> None:
    schedule = scheduled('Mark,Span,Rise,Location\nA,900,150,Hall\nB,"""",ditto,do.\n')
    assert rises(schedule) == [150.0, 150.0]
    assert [opening.recipe.asked.note for opening in schedule.openings] == ["Hall", "Hall"]
    (line,) = lines(scheduled("Mark,Span,Rise\nA,ditto,150\n"))
    assert (
        line == 'openings.csv: row 2, column Span = "ditto", expected a value, since no row above holds one; write it'
    )


def test_marks_with_blanks_and_several_remarks(scheduled: Scheduled) -> None:
    schedule = scheduled("Mark,Span,Rise,Location,Remarks\nW 01,900,150,Hall,north\n")
    assert (schedule.openings[0].mark, schedule.openings[0].recipe.asked.note) == ("W-01", "Hall; north")


# --- rows that are no openings


def left_out(schedule: Schedule) -> list[tuple[int, str]]:
    assert schedule.reading is not None
    return [(out.row, out.why) for out in schedule.reading.left_out]


def test_rows_that_are_no_openings_are_left_out_with_the_reason(scheduled: Scheduled) -> None:
    schedule = scheduled(
        "Marrow Lane,,,\nMark,Qty,Span,Rise\nGround floor,,,\nW-1,1,900,180\nMark,Qty,Span,Rise\nW-2,2,900,170\n"
        "Windows above the second landing:,,,\nTotal,3,,\n,3,,\n,,,check on site\nNotes:,,,\n1,All to be checked,,\n"
        "W-9 by others,,,\n"
    )
    assert lines(schedule) == []
    assert [opening.mark for opening in schedule.openings] == ["W-1", "W-2"]
    assert left_out(schedule) == [
        (1, "title"), (3, "heading"), (5, "header"), (7, "note"), (8, "total"), (9, "total"),
        (10, "note"), (11, "note"), (12, "note"), (13, "note"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("W-3,,,", "column Span is empty"),  # an opening whose sizes were forgotten
        ("W-3,1,,look later on site with Tom", 'column Rise = "look later on site with Tom"'),
        (",1,900,180", "column Mark is empty"),
        ("W-3,1,9OO,180", 'column Span = "9OO"'),
        ("W-3,1,900", "has 3 cells, expected 4"),
    ],
)
def test_an_opening_that_lacks_something_is_refused_and_not_left_out(
    scheduled: Scheduled, row: str, words: str
) -> None:
    schedule = scheduled(f"Mark,Qty,Span,Rise\nW-1,1,900,180\nW-2,1,900,170\n{row}\n")
    assert any(words in line for line in lines(schedule)), lines(schedule)
    assert left_out(schedule) == []


# --- all mistakes at once


def test_mistakes_behind_others_of_the_row_are_said_too(scheduled: Scheduled) -> None:
    said = lines(scheduled("Mark,Arch,Span,Rise,Depth,Qty,Legs\nA,horseshoe,wide,-4,deep,0,long\n"))
    columns = [line.split("column ")[1].split(" ")[0] for line in said]
    assert sorted(columns) == ["Arch", "Depth", "Legs", "Qty", "Rise", "Span"]


def test_a_curve_that_does_not_exist_is_said_behind_a_cell(scheduled: Scheduled) -> None:
    said = lines(scheduled("Mark,Span,Rise,Depth,laminate.wood\nA,900,600,deep,white ash\nB,900,600,60,white ahs\n"))
    assert [line.split(":")[1].split(",")[0].strip() + line.split("column")[1][:6] for line in said] == [
        "row 2 Depth", "row 2 Rise:", "row 3 lamin", "row 3 Rise:",
    ]  # fmt: skip
    assert all("under half the span" in line for line in said if "column Rise" in line)


def test_the_header_says_feet_and_inches_so_each_cell_says_its_own(scheduled: Scheduled) -> None:
    schedule = scheduled('Mark,Span (ft-in),Rise (in)\nA,"3\'-0""",6\nB,36,6\n')
    assert [opening.mark for opening in schedule.openings] == ["A"]
    assert schedule.openings[0].recipe.part.arch.span_mm == pytest.approx(914.4)  # type: ignore[union-attr]
    (line,) = lines(schedule)
    assert line == (
        'openings.csv: row 3, column Span (ft-in) = "36", expected feet and inches, since the header says so; write '
        "for example 3'-0\""
    )
