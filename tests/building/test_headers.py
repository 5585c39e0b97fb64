"""Words of headers: each that an office uses, its unit, and each that is refused, with what is said of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.building.running.batch import Options, run_building
from formgen.building.schedule.columns import column_of, is_length
from formgen.building.schedule.file import read_csv
from formgen.building.schedule.opening import Schedule
from formgen.building.schedule.words import sheet_unit, unit_of
from formgen.errors import RecipeError
from tests.here import opened_here

MARK, SPAN, RISE, DEPTH = ("name",), ("part", "arch", "span"), ("part", "arch", "rise"), ("part", "depth")
KIND, NOTE, QUANTITY = ("part", "arch", "kind"), ("note",), ("quantity",)


@pytest.mark.parametrize(
    ("header", "path", "unit"),
    [
        ("Mark", MARK, ""), ("REF.", MARK, ""), ("Opening No.", MARK, ""), ("Mark / Ref", MARK, ""),
        ("Qty", QUANTITY, ""), ("No. off", QUANTITY, ""), ("Qty (nr)", QUANTITY, ""),
        ("W", SPAN, ""), ("Width", SPAN, ""), ("Span (mm)", SPAN, "mm"), ("Width, in", SPAN, "in"), ('W"', SPAN, "in"),
        ("Clear\nwidth\n[mm]", SPAN, "mm"), ("span in inches", SPAN, "in"), ("Width/cm", SPAN, "cm"),
        ("W″", SPAN, "in"),
        ("Span - mm", SPAN, "mm"), ("SPAN mm.", SPAN, "mm"), ("Span (metres)", SPAN, "m"),
        ("Span (ft-in)", SPAN, "ft-in"),
        ("Rise", RISE, ""), ("Arch height", RISE, ""), ("Arch ht. (mm)", RISE, "mm"),
        ("Depth", DEPTH, ""), ("Wall", DEPTH, ""), ("Wall thickness (mm)", DEPTH, "mm"),
        ("part.depth (mm)", DEPTH, "mm"),
        ("Shape", KIND, ""), ("arch", KIND, ""), ("Location", NOTE, ""), ("Notes (site)", NOTE, ""),
        ("measured_on", ("part", "measured_on"), ""), ("Timber", ("laminate", "wood"), ""), ("Finish", (), ""),
    ],
)  # fmt: skip
def test_a_header_that_is_read(header: str, path: tuple[str, ...], unit: str) -> None:
    column = column_of(header)
    assert (column.path, column.asks, column.unit) == (path, "", unit)


@pytest.mark.parametrize(
    ("header", "asks"),
    [("No.", "number"), ("Item", "number"), ("H", "height"), ('Height"', "height"), ("Type", "type"),
     ("Overall height (mm)", "overall")],
)  # fmt: skip
def test_a_header_that_its_cells_decide(header: str, asks: str) -> None:
    assert (column_of(header).path, column_of(header).asks) == ((), asks)


@pytest.mark.parametrize(
    ("header", "line"),
    [
        ("hight", "is not a column, expected mark, quantity, arch, span, rise, .*; did you mean height\\?"),
        ("Spam (mm)", "did you mean span\\?"),
        ("Sash cords", 'correct it, or delete the column; text goes under "remarks"'),
        ("Span (yd)", 'has "yd" for a unit, expected mm, cm, m, in, ft, ft-in; write one of them, or none'),
        ("Rise (furlongs)", 'has "furlongs" for a unit'),
        ("Span (outside)", 'has "outside" for a unit'),
        ("Depth (mm) (in)", "for a unit"),
        ("Arch (mm)", "has a unit, mm, and holds no length; delete the unit"),
        ("Qty (mm)", "has a unit, mm, and holds no length; delete the unit"),
        ("part.depht", "is not a recipe key, expected one below part; did you mean part.depth\\?"),
        ("units", "is a key of the base recipe"),
    ],
)
def test_a_header_that_is_refused(header: str, line: str) -> None:
    with pytest.raises(ValueError, match=line):
        column_of(header)


def test_lengths_are_what_the_models_hold_in_mm() -> None:
    assert all(map(is_length, [SPAN, RISE, DEPTH, ("part", "legs"), ("form", "backing"), ("laminate", "thickness")]))
    assert not any(map(is_length, [MARK, KIND, NOTE, QUANTITY, ("laminate", "plies"), ("press", "side"), ()]))


@pytest.mark.parametrize(
    ("line", "unit"),
    [
        ("All dimensions in mm", "mm"), ("ALL DIMENSIONS ARE IN MILLIMETRES UNLESS NOTED", "mm"),
        ("Sizes in inches", "in"),
        ("Dims. in mm", "mm"), ("Units: mm", "mm"), ("Note: all sizes given in inches.", "in"), ("All sizes mm", "mm"),
        ("All sizes to be checked on site", None), ("Sizes are inside sizes", None), ("Drawing in metric", None),
    ],
)  # fmt: skip
def test_a_line_that_says_the_unit_of_all_sizes(line: str, unit: str | None) -> None:
    assert sheet_unit(line) == unit


def test_units_that_stand_alone() -> None:
    found = [unit_of(word) for word in ("(mm)", "MM", '"', "in", "inches", "ft.", "[cm]", "mm.", "nr", "700", "yd")]
    assert found == ["mm", "mm", "in", "in", "in", "ft", "cm", "mm", None, None, None]


def test_two_lines_that_say_two_units_are_asked(scheduled: Callable[..., Schedule]) -> None:
    schedule = scheduled("All sizes in mm,,\nMark,Span,Rise\nA,900,180\nNote: sizes in inches,,\n")
    assert schedule.faults == (
        "openings.csv: row 4 says sizes in in, row 1 in mm, expected one unit; correct one of them",
    )


def test_a_header_is_found_under_titles_over_two_rows_and_with_units_under_it() -> None:
    raw = b"Library,,,\nRef,ML-104,,\n,,Opening size,\nMark,Qty,W,H\n,nr,mm,mm\nA,1,900,180\n"
    table = read_csv("a.csv", raw)
    assert (table.header_row, table.header) == (4, ("Mark", "Qty", "W (mm)", "H (mm)"))
    assert [row.number for row in table.rows] == [6]
    deep = read_csv("a.csv", b"Mark,Size,\n,W,H\nA,900,180\n")
    assert (deep.header_row, deep.header) == (2, ("Mark", "W", "H"))


def test_the_upper_word_of_a_header_is_heard_where_both_make_a_column() -> None:
    """An opening's height is over all, the arch's is its rise."""
    for upper, lower, path, asks in (
        ("Arch", "Height", RISE, ""), ("Opening", "Height", (), "overall"), ("Wall", "Thickness", DEPTH, ""),
        ("Sizes", "Height", (), "height"),
    ):  # fmt: skip
        column = read_csv("a.csv", f"Mark,W,{upper}\n,,{lower}\nA,900,180\n".encode()).columns[2]
        assert (column.path, column.asks) == (path, asks), (upper, lower)


def test_a_header_without_a_mark_is_refused_by_its_row() -> None:
    with pytest.raises(RecipeError, match="got a row of columns without it in row 2; add it above the openings"):
        read_csv("a.csv", b"Library,,\nRoom,W,Rise\nHall,900,180\n")


def test_columns_without_a_name_count_only_where_they_hold_something(scheduled: Callable[..., Schedule]) -> None:
    assert scheduled("Mark,,Span,Rise,\nA,,900,180,\n").faults == ()
    assert scheduled("Mark,,Span,Rise\nA,x,900,180\n").faults == (
        "openings.csv: row 1, column 2 has no name, expected one; name it or delete the column",
    )


def test_a_column_that_nobody_knows_hides_no_cell(scheduled: Callable[..., Schedule], tmp_path: Path) -> None:
    schedule = scheduled("Mark,Sash cords,Hight,Span,Depth\nA,2,180,wide,-4\nB,2,180,900,60\nC,2,x,900,deep\n")
    with pytest.raises(RecipeError) as caught:
        run_building(schedule, tmp_path / "out", opened_here, Options(keep_going=True))
    said = [re.sub(r", expected .*|(?<=not a column).*", "", line) for line in caught.value.mistakes]
    assert said == [
        'openings.csv: row 1, column "Sash cords" is not a column',
        'openings.csv: row 1, column "Hight" is not a column',
        'openings.csv: row 2, column Span = "wide"',
        'openings.csv: row 2, column Depth = "-4"',
        'openings.csv: row 4, column Depth = "deep"',
    ]
    (line,) = scheduled("Mark,Arch,Span,Hight\nA,ellipse,900,300\n").faults  # which may be the rise that it lacks
    assert scheduled("Mark,Arch,Span,Hight\nA,ellipse,900,300\n").refused[0].lines == ()
    assert "did you mean height?" in line
