"""The building's table: counted by hand, read back by other readers, and harmless in a spreadsheet."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from collections.abc import Callable
from typing import Any
from unittest import mock

import pytest
from openpyxl import load_workbook

from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.building.summary.remarks import remarks_on
from formgen.building.summary.table import as_xlsx, summary_rows
from formgen.outputs.record.job import job_record
from formgen.outputs.sheets.csv_table import as_csv
from formgen.pipeline import run
from tests.building.conftest import BASE

ROWS = [["row", "remarks", "n"], ["opening", "=1+1", 2], ["opening", "+49", -3.5], ["x", "-danger", None],
        ["x", "@SUM(A1)", 0], ["x", "\t=1", 1], ["x", "plain, \"quoted\"\nline", 1], ["x", "a\x07b", 1]]  # fmt: skip


def table(schedule: Schedule, **options: bool) -> list[dict[str, Any]]:
    building = plan_building(schedule.openings, **options)
    jobs = {form.name: job_record(run(form.recipe)) for form in building.forms}
    header, *rows = summary_rows(building, jobs, found=remarks_on(building.forms, jobs))
    return [dict(zip(map(str, header), row, strict=True)) for row in rows]


def test_csv_runs_nothing_and_reads_back() -> None:
    raw = as_csv(ROWS)
    assert raw.startswith(b"\xef\xbb\xbf")
    held = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert [row[1] for row in held[1:6]] == ["'=1+1", "'+49", "'-danger", "'@SUM(A1)", "'\t=1"]
    assert held[6][1] == ROWS[6][1]
    assert held[2][2] == "-3.5"  # a number is a number


def test_xlsx_holds_texts_as_texts_and_the_same_bytes_on_any_day() -> None:
    raw = as_xlsx(ROWS, "Building")
    sheet = load_workbook(io.BytesIO(raw)).worksheets[0]
    assert sheet.title == "Building"
    assert [sheet.cell(i, 2).value for i in range(2, 7)] == [row[1] for row in ROWS[1:6]]
    assert {sheet.cell(i, 2).data_type for i in range(2, 7)} == {"s"}
    assert [sheet.cell(3, 3).value, sheet.cell(4, 3).value] == [-3.5, None]

    class Later(dt.datetime):
        @classmethod
        def now(cls, tz: dt.tzinfo | None = None) -> dt.datetime:
            return dt.datetime(2031, 5, 4, 3, 2, 1, tzinfo=tz)

    with mock.patch("openpyxl.packaging.core.datetime.datetime", Later), mock.patch("time.time", return_value=2e9):
        assert as_xlsx(ROWS, "Building") == raw


def test_plies_and_board_feet_counted_by_hand(scheduled: Callable[..., Schedule]) -> None:
    """Two openings of three and one, six plies each and a spare for each row; 1 in board, 1.2 kerf, 0.8 planing.

    n = ⌊(25.4 + 1.2)/(3 + 0.8 + 1.2)⌋ = 5 from a strip; a board foot is 144 cubic inches.
    """
    rows = table(scheduled("opening,quantity,laminate.wood,span\nA,3,,900\nB,1,black cherry,800\n"), apart=True)
    plies = {row["wood"]: row for row in rows if row["row"] == "plies"}
    assert {wood: row["plies"] for wood, row in plies.items()} == {"white ash": 3 * 6 + 1, "black cherry": 6 + 1}
    for mark, wood, span, strips in (("A", "white ash", 900, 4), ("B", "black cherry", 800, 2)):
        opening = next(row for row in rows if row["opening"] == mark)
        a, h = span / 2, 180
        radius = (a * a + h * h) / (2 * h)
        length, pressed = radius * 4 * math.atan(h / a), radius * (1 - 1 / 36)
        longest = length * (1 + 7.5 / pressed) + 2 * 25  # outermost ply, 7.5 mm outside the middle, 25 mm trim
        assert opening["longest ply mm"] == pytest.approx(longest, abs=0.006)
        assert opening["radius asked mm"] == pytest.approx(radius, abs=0.006)
        feet = strips * 25.4 * (60 + 2 * 3) * longest / (144 * 25.4**3)
        assert plies[wood]["board feet"] == pytest.approx(feet, abs=0.006)


def test_totals_are_sums(scheduled: Callable[..., Schedule]) -> None:
    rows = table(scheduled("opening,quantity,depth\nA,3,\nB,1,80\nC,2,40\n"))
    total = rows[-1]
    assert total["row"] == "total"
    assert (total["opening"], total["form"], total["quantity"]) == ("3 openings", "1 forms", 6)
    assert total["layers"] == math.ceil((80 + 6) / 18)
    openings = [row for row in rows if row["row"] == "opening"]
    assert total["glue-ups"] == 6
    assert total["glue kg"] == pytest.approx(sum(row["glue kg"] for row in openings), abs=1e-9)
    assert total["press hours"] == pytest.approx(sum(row["press hours"] for row in openings), abs=1e-9)


def test_halves_of_a_pointed_arch_are_glued_up_twice(scheduled: Callable[..., Schedule]) -> None:
    row = table(scheduled("opening,quantity,arch,span\nP,2,pointed,900\n"))[0]
    assert row["glue-ups"] == 4


def test_the_bar_is_set_for_each_opening_of_a_shared_form(scheduled: Callable[..., Schedule]) -> None:
    """Semicircles with legs of 300 and 400 mm: one seat, one setting, since the legs are the same where both reach."""
    base = BASE.replace("{kind: segmental, span: 900, rise: 180}", "{kind: semicircle, span: 900}")
    rows = [row for row in table(scheduled("opening,legs\nA,300\nB,400\n", base)) if row["row"] == "opening"]
    assert len({row["form"] for row in rows}) == 1
    assert len({row["bar setting mm"] for row in rows}) == 1
    h, height = math.pi / 2 / (1 - 1 / 36), rows[0]["bar height mm"]
    away = 9 + 1.5 + 0.5  # half the part, breather and bag: the jaws bear on the bag
    outside = 450 * (1 - 1 / 36) + away
    down = away * math.cos(h) - height  # from there at the springing, which lies lower than the centre line
    expected = 2 * (outside * math.sin(h) - down * math.tan(h - math.pi / 2))
    assert rows[0]["bar setting mm"] == pytest.approx(expected, abs=0.01)
    assert rows[0]["bar on the tape"] == f"{round(expected)} mm"
