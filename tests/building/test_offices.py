"""Schedules as offices keep them: read without a refusal, whatever the words, the order and the units."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import Workbook

from formgen.building.schedule.opening import Schedule
from formgen.building.schedule.read import read_schedule
from formgen.cli import main
from formgen.errors import RecipeError
from tests.building.conftest import BASE
from tests.building.offices import OPENINGS, as_csv, as_workbook, office_workbook, shuffled

#: The base recipe in mm, and the same in inches: what the schedule says of its units must win over either.
BASES = {"mm": BASE, "in": BASE.replace("units: mm", "units: in").replace("900", "36").replace("180", "7")
         .replace("depth: 60", "depth: 2").replace("tolerance: 0.8", "tolerance: 1/32")
         .replace("thickness: 18", "thickness: 3/4").replace("backing: 90", "backing: 4")}  # fmt: skip


def read(folder: Path, path: Path, units: str = "mm", base: str = "", sheet: str = "") -> Schedule:
    (folder / "base.yaml").write_text(base or BASES[units], encoding="utf-8")
    return read_schedule(path, folder / "base.yaml", sheet=sheet)


def holds_all(schedule: Schedule) -> None:
    """Every opening, to a hundredth of a mm."""
    assert (schedule.faults, [line for row in schedule.refused for line in row.lines]) == ((), [])
    assert len(schedule.openings) == len(OPENINGS) == 14
    for opening, (mark, count, arch, span, rise, depth, room) in zip(schedule.openings, OPENINGS, strict=True):
        part = opening.recipe.part
        assert (opening.mark, opening.quantity, part.arch.kind) == (mark, count, arch)
        assert part.arch.span_mm == pytest.approx(span, abs=0.1)  # type: ignore[union-attr]
        assert getattr(part.arch, "rise_mm", None) == (None if rise is None else pytest.approx(rise, abs=0.2))
        assert part.depth_mm == pytest.approx(depth, abs=0.01)
        assert opening.recipe.asked.note == room


@pytest.mark.parametrize("units", BASES)
def test_the_workbook_of_an_office_is_read_without_a_refusal(tmp_path: Path, units: str) -> None:
    schedule = read(tmp_path, office_workbook(tmp_path / "office.xlsx"), units)
    holds_all(schedule)
    reading = schedule.reading
    assert reading is not None
    assert (reading.sheet, reading.others, reading.header_row) == ("Arched openings", ("Finishes", "Rooms"), 6)
    assert (reading.unit, reading.unit_row) == ("mm", 3)
    assert [(out.row, out.why) for out in reading.left_out] == [
        (1, "title"), (2, "title"), (3, "title"), (7, "heading"), (15, "heading"), (23, "total"), (25, "note"),
        (26, "note"), (27, "note"),
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(16))
def test_headers_order_and_units_shuffled_give_the_same_openings(tmp_path: Path, seed: int) -> None:
    rows, how = shuffled(seed)
    paths = [as_workbook(tmp_path / "a.xlsx", rows), as_csv(tmp_path / "a.csv", rows, ",;"[seed % 2])]
    for path in paths:
        for units in BASES:
            try:
                holds_all(read(tmp_path, path, units))
            except AssertionError as err:
                raise AssertionError(f"{path.name}, base in {units}: {how}") from err


def test_the_shuffle_draws_every_way_of_saying_a_unit() -> None:
    hows = [shuffled(seed)[1].split()[:2] for seed in range(16)]
    assert {where for where, _ in hows} == {"header", "cell", "row", "line"}
    assert {unit for _, unit in hows} == {"mm", "cm", "in"}


def two_schedules(path: Path) -> Path:
    book = Workbook()
    for title, span in (("Doors", 900), ("Windows", 700)):
        sheet = book.create_sheet(title)
        sheet.append(["Mark", "Span", "Rise"])
        sheet.append([f"{title[0]}-1", span, 120])
    book.save(path)
    return path


def test_of_two_sheets_that_read_as_schedules_one_is_chosen_by_name(tmp_path: Path) -> None:
    path = two_schedules(tmp_path / "two.xlsx")
    with pytest.raises(
        RecipeError, match=r'2 sheets read as a schedule \("Doors", "Windows"\), .* choose it with --sheet "Doors"'
    ):
        read(tmp_path, path)
    assert [opening.mark for opening in read(tmp_path, path, sheet="windows").openings] == ["W-1"]
    with pytest.raises(RecipeError, match=r'no sheet "Roofs", expected one of "Doors", "Windows"'):
        read(tmp_path, path, sheet="Roofs")
    with pytest.raises(RecipeError, match="a CSV file has no sheets"):
        read(tmp_path, as_csv(tmp_path / "a.csv", [["Mark"], ["A"]], ","), sheet="Doors")


def merged(folder: Path, area: str) -> Schedule:
    """Two openings with merged cells."""
    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["Mark", "Qty", "Span", "Rise", "Depth"], ["W-1", 2, 900, 120, 110], ["W-2", 2, 800, 120, 110]):
        sheet.append(row)
    sheet.merge_cells(area)
    book.save(folder / "a.xlsx")
    return read(folder, folder / "a.xlsx")


def test_merged_cells_hold_in_each_row_where_that_can_be_meant(tmp_path: Path) -> None:
    schedule = merged(tmp_path, "E2:E3")
    assert [opening.recipe.part.depth_mm for opening in schedule.openings] == [110, 110]
    assert all("depth" not in key for opening in schedule.openings for key in opening.from_base)


@pytest.mark.parametrize(
    ("area", "line"),
    [
        ("B2:B3", "row 2, column Qty: cells B2:B3 are merged, expected one by one; unmerge them"),
        ("A2:A3", "row 2, column Mark: cells A2:A3 are merged, expected one by one; unmerge them"),
        ("C2:D2", "row 2, column Span: cells C2:D2 are merged across columns, expected one by one; unmerge them"),
    ],
)
def test_merged_cells_that_may_mean_two_things_are_refused(tmp_path: Path, area: str, line: str) -> None:
    lines = [said for row in merged(tmp_path, area).refused for said in row.lines]
    assert f"a.xlsx: {line}" in lines


def test_a_unit_that_a_format_shows_behind_the_number_is_read(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Mark", "Span", "Rise"])
    sheet.append(["W-1", 915, 6])
    sheet["B2"].number_format = '0" mm"'
    sheet["C2"].number_format = r"0\""
    book.save(tmp_path / "a.xlsx")
    (opening,) = read(tmp_path, tmp_path / "a.xlsx", "in").openings
    assert opening.recipe.part.arch.span_mm == 915.0  # type: ignore[union-attr]
    assert opening.recipe.part.arch.rise_mm == pytest.approx(152.4)  # type: ignore[union-attr]


def test_damage_in_columns_and_rows_that_no_opening_needs_is_no_mistake(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Mark", "Span", "Rise", "Price"], ["W-1", 900, 120, "#REF!"], ["Total", "=SUM(B2:B2)", None, "=1/0"],
    ]  # fmt: skip
    schedule = read(tmp_path, as_workbook(tmp_path / "a.xlsx", rows))
    assert not schedule.refused
    assert [opening.mark for opening in schedule.openings] == ["W-1"]


def test_a_total_that_does_not_add_up_is_said(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Mark", "Qty", "Span", "Rise"], ["W-1", 2, 900, 120], ["W-2", 1, 800, 120], ["Total", 5]
    ]  # fmt: skip
    reading = read(tmp_path, as_workbook(tmp_path / "a.xlsx", rows)).reading
    assert reading is not None
    assert reading.remarks == ("row 4 totals 5; the quantities above add up to 3",)


def preview(folder: Path, schedule: Path, *words: str) -> tuple[int, str, str]:
    (folder / "base.yaml").write_text(BASES["in"], encoding="utf-8")
    asked = ["batch", str(schedule), "--base", str(folder / "base.yaml"), "--output", str(folder / "out"), *words]
    done = CliRunner().invoke(main, asked)
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.stdout, done.stderr


def test_the_preview_says_how_each_row_was_read_and_makes_nothing(tmp_path: Path) -> None:
    code, out, err = preview(tmp_path, office_workbook(tmp_path / "office.xlsx"), "--preview")
    assert (code, err) == (0, "")
    assert not (tmp_path / "out").exists()
    assert max(map(len, out.splitlines())) <= 80
    said = " ".join(out.split())
    for words in (
        'Read office.xlsx, sheet "Arched openings": 14 openings, 18 parts; header in row 6.',
        "Sizes without a unit are mm, as row 3 says; shown in mm.",
        "W = span; Wall = depth; Location = remarks.",
        "No is read as the quantity: whole numbers, and marks stand in Ref.",
        "H is read as the rise: nothing has legs, and every height can be a rise.",
        "row 23, total: Total",
        'Sheets not read: "Finishes", "Rooms".',
        "8 W-01 2 segmental 915 152 110 0 centre* Reading room",
        "* as base.yaml says",
    ):
        assert words in said, words
    assert sum(mark in out for mark, *_ in OPENINGS) == 14


def test_rows_left_out_are_counted_by_kind_without_it(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Mark", "Span", "Rise"], ["Ground"], ["W-1", 36, "x"], ["First"], ["W-2", 36, 6]]
    _, _, err = preview(tmp_path, as_workbook(tmp_path / "a.xlsx", [*rows, ["Notes"], ["Check"], ["Ask"]]))
    assert "Left out: heading (rows 2, 4), note (rows 6 to 8)." in err.splitlines()


def test_without_it_ten_rows_and_a_count_come_first_on_stderr(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Mark", "Span", "Rise"], *[[f"W-{i}", 36 + i, "x"] for i in range(14)]]
    rows += [[f"V-{i}", 36 + i, 6] for i in range(14)]
    code, out, err = preview(tmp_path, as_workbook(tmp_path / "a.xlsx", rows))
    lines = err.splitlines()
    assert (code, out) == (1, "")
    assert lines[0].startswith('Read a.xlsx, sheet "Sheet": 14 openings, 14 parts, 14 rows refused;')
    shown = [line for line in lines if " V-" in line]
    assert len(shown) == 10
    assert "4 more: --preview shows them all" in lines
    assert max(len(line) for line in lines[: lines.index("4 more: --preview shows them all")]) <= 80
    assert sum(line.startswith("a.xlsx: row ") for line in lines) == 14


def test_a_size_that_no_column_gives_is_said_of_every_opening(tmp_path: Path) -> None:
    code, out, _ = preview(
        tmp_path, as_workbook(tmp_path / "a.xlsx", [["Mark", "Span"], ["A", 36], ["B", 40]]), "--preview"
    )
    assert code == 0
    assert "No column gives the rise: 2 openings take the 7 in of base.yaml." in out


def test_machines_are_told_by_an_event(tmp_path: Path) -> None:
    import json

    code, out, err = preview(tmp_path, office_workbook(tmp_path / "office.xlsx"), "--preview", "--json")
    assert (code, err) == (0, "")
    (event,) = map(json.loads, out.splitlines())
    assert (event["event"], event["sheet"], event["units"]) == ("read", "Arched openings", "mm")
    assert event["columns"][3] == {"name": "W", "gives": "part.arch.span", "unit": "mm", "why": ""}
    assert [held["mark"] for held in event["openings"]] == [mark for mark, *_ in OPENINGS]
    assert "part.measured_on" in event["openings"][0]["base"]
