"""The first answer of a batch: sheets and press days by hand, in time, and no more than ten lines of anything."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest
from shapely import Polygon

from formgen.building.press_days.model import GlueUps, Means
from formgen.building.press_days.plan import plan_press_days
from formgen.building.press_days.rows import day_and_time, headline, press_days_record
from formgen.building.running.batch import Outcome
from formgen.building.running.estimate import days_at_least, estimate, sheets_for
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.building.summary.remarks import Remark, brief_rows
from formgen.cli.batch.events import estimate_lines
from formgen.cli.batch.summary import LINES, print_outcome
from formgen.findings import Severity, finding
from formgen.outputs.record.plain import plain
from formgen.pipeline import run
from formgen.sheets.layout import sheet_forms


def test_sheets_by_area_as_shapely_measures_the_layers(scheduled: Callable[..., Schedule]) -> None:
    """Whole layers as they are cut; of a sheet of 2440 × 1220 12 mm all round is lost, and 40 % of the rest is used."""
    rows = "".join(f"A{i},{900 + 60 * i}\n" for i in range(12))
    building = plan_building(scheduled(f"opening,span\n{rows}").openings, 0.0)
    assert len(building.forms) == 12
    layers = [layer for form in building.forms for layer in run(form.recipe).layers]
    area = math.fsum(Polygon(layer.outline.flattened(0.001)).area for layer in layers)
    usable = (2440.0 - 24.0) * (1220.0 - 24.0)
    assert sheets_for(building) == (math.ceil(area / usable), math.ceil(area / (0.4 * usable)))
    assert sheets_for(building) != (1, 1)


def test_no_layout_takes_fewer_and_the_record_of_the_library_is_near(library: Schedule) -> None:
    """Of the shipped schedule: the area's bound holds, and the usual number is within a third of what is laid out."""
    building = plan_building(library.openings, 0.5)
    full, usual = sheets_for(building) or (0, 0)
    shop = building.forms[0].recipe.shop
    laid = sheet_forms([run(form.recipe) for form in building.forms], shop, "preview", engine="quick")
    assert full <= laid.new_sheets
    assert abs(usual - laid.new_sheets) <= laid.new_sheets / 3


def test_forty_openings_are_answered_within_five_seconds(scheduled: Callable[..., Schedule]) -> None:
    """In processor time, from the openings as read to the first table."""
    rows = "".join(f"W{i},{900 + 3 * i},{'ellipse' if i % 3 == 0 else 'segmental'},180\n" for i in range(40))
    schedule = scheduled(f"opening,span,arch,rise\n{rows}")
    begin = time.process_time()
    found = estimate(plan_building(schedule.openings, 0.5, anyway=True))
    assert time.process_time() - begin < 5.0
    lines = list(estimate_lines(found))
    assert lines[1].startswith("  40 openings on ")
    assert "estimated" in lines[2]
    assert "estimated" in lines[3]


def test_press_days_are_a_bound_of_the_plan(scheduled: Callable[..., Schedule]) -> None:
    """Seven glue-ups of a day and a night in one bag: no more than one a day."""
    shop = "format: 1\npress_days: {overnight: true, bags: 1}\n"
    building = plan_building(scheduled("opening,quantity,span\nA,3,900\nB,4,700\n", shop=shop).openings, 0.5)
    days, needed_by, glue_ups = days_at_least(building)
    assert glue_ups == 7
    assert needed_by == "bags"
    assert days == 8  # the last comes out on the day after it went in


def test_the_first_table_has_ten_lines_and_a_count() -> None:
    shared = [
        {"form": f"F{i}", "openings": [f"M{i}-{k}" for k in range(9)], "gives_up_mm": 0.1, "tolerance_mm": 0.8}
        for i in range(25)
    ]
    found = {
        "units": "mm", "openings": 225, "forms": 25, "forms_saved": 200, "layers": 75, "layers_saved": 600,
        "sheets_full": 10, "sheets_usual": 25, "glue_ups": 225, "press_days_at_least": 80, "needed_by": "bags",
        "shared": shared,
    }  # fmt: skip
    lines = list(estimate_lines(found))
    assert sum("of the tolerance" in line for line in lines) == 10
    assert lines[-1] == "  15 more forms are shared: all of them in building.csv at the end"
    assert "M0-4 and 4 more: give up at most 0.1" in lines[4]


def shop_means(**change: Any) -> Means:
    """One bag, seven and a half hours from 7:30, Monday to Friday."""
    known: dict[str, Any] = {
        "bags": 1, "bars": (), "teams": 1, "opens_min": 450, "day_min": 480,
        "week": ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), "worked": (True,) * 5 + (False,) * 2,
        "overnight": True, "pump_air_l": math.inf,
    }  # fmt: skip
    return Means(**known | change)


def parts(count: int, opening: str = "A") -> GlueUps:
    """Glue-ups of an hour, a night and half an hour."""
    return GlueUps(
        opening=opening, form=opening, count=count, set_out_min=30, lay_up_min=30, press_min=900, take_out_min=30,
        may_come_off=False, needs_bar_on_form=False, bar_mm=None, air_l=10.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("minute", "said"),
    [
        (0, "day 1, Monday 7:30"),
        (90, "day 1, Monday 9:00"),
        (24 * 60 + 7 * 60, "day 2, Tuesday 14:30"),
        (7 * 24 * 60 + 60, "day 6, Monday 8:30"),  # Saturday and Sunday are not worked
        (8 * 24 * 60 + 420, "day 7, Tuesday 14:30"),
        (11 * 24 * 60 + 420, "day 10, Friday 14:30"),
    ],
)
def test_day_and_time_as_people_say_them(minute: int, said: str) -> None:
    assert day_and_time(minute, shop_means()) == said


def test_the_headline_says_when_the_last_part_is_out_and_no_mean() -> None:
    """In on Monday at 8:30 for 15 h, until 23:30: out on Tuesday from 7:30 to 8:00; the next goes in then."""
    plan = plan_press_days([parts(2)], shop_means())
    assert headline(plan).startswith(
        "2 glue-ups in 3 press days: last part out on day 3, Wednesday 8:00, counted from a Monday; no plan has fewer"
    )
    assert " h " not in headline(plan)
    late = plan_press_days([parts(1)], shop_means(week=("Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed")))
    assert "1 glue-up in 2 press days: last part out on day 2, Friday 8:00, counted from a Thursday" in headline(late)


def test_a_thousand_glue_ups_print_a_screenful(capsys: pytest.CaptureFixture[str]) -> None:
    """Ten lines of glue-ups, openings and remarks each, and a count: no table runs on."""
    plan = plan_press_days([parts(20, f"W{i}") for i in range(5)], shop_means(bags=3))
    members = [
        {"opening": f"W{i}", "radius_asked_mm": 1.0, "radius_made_mm": 1.0, "gives_up_mm": 0.0, "tolerance_mm": 0.8}
        for i in range(30)
    ]
    heavy = plain(finding("form.heavy", "mm", value=40.0, limit=23.0, figure_source="tried"))
    found: dict[str, Any] = {
        "verdict": "All of it can be made.", "openings": 30, "forms_saved": 29, "layers_saved": 100, "sheets": None,
        "forms": [{"name": "W-shared", "layers": 4, "layers_apart": 120, "openings": members}],
        "remarks": [{"openings": [f"W{i}"], "form": "W-shared", **heavy} for i in range(50)],
        "press_days": press_days_record(plan),
    }  # fmt: skip
    record = {"asked": {"units": "mm"}, "found": found}
    print_outcome(Outcome(record=record, built=(), stood=0, not_made=(), left_over=()))
    said = capsys.readouterr().out
    assert sum("(bag" in line for line in said.splitlines()) <= LINES
    shown = sum(line.count("(bag") for line in ups_of(said))
    assert f"{100 - shown} more in press-days.csv" in said
    assert sum(" of tolerance" not in line and " mm " in line and "%" in line for line in said.splitlines()) == LINES
    assert "20 more in building.csv" in said
    assert "50: W0 W1 W2 W3 and 46 more" in said
    assert "all 50, with what to do, in building.html" in said
    assert len(said.splitlines()) < 60


def ups_of(said: str) -> Iterator[str]:
    """The column of what is laid up, of each line of the press days."""
    head = next(line for line in said.splitlines() if "lay up" in line)
    at = head.index("lay up")
    return (line[at:] for line in said.splitlines() if "(bag" in line)


def test_problems_and_warnings_of_a_kind_are_told_apart() -> None:
    heavy = finding("form.heavy", "mm", value=40.0, limit=23.0, figure_source="tried")
    grave = replace(heavy, severity=Severity.PROBLEM)
    rows = brief_rows(
        [Remark(openings=("A",), form="A", finding=grave), Remark(openings=("B", "A"), form="A", finding=heavy)], 1
    )
    assert [row[0] for row in rows] == ["DO NOT PRESS", "warning"]
    assert [row[2] for row in rows] == ["1: A", "2: B and 1 more"]
