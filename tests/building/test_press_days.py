"""Press days: against every plan there is on small cases, a sweep that counts what is taken, and other processes."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formgen.building.press_days.chart import press_days_svg
from formgen.building.press_days.files import glue_ups_of, press_days_of, pump_air_l, write_press_days
from formgen.building.press_days.model import GlueUps, Means, PressDays
from formgen.building.press_days.plan import means_of, plan_press_days
from formgen.building.press_days.rows import HEADER, day_lines, press_days_record, press_days_rows
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.recipe.figures import figure
from formgen.recipe.shop import Shop
from tests.building.conftest import BASE

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DAY = 1440


def means(**change: object) -> Means:
    """Five days of eight hours, one bag, no bar, one team."""
    plain: dict[str, object] = {
        "bags": 1, "bars": (), "teams": 1, "opens_min": 480, "day_min": 480, "week": WEEK,
        "worked": (True,) * 5 + (False,) * 2, "overnight": True, "pump_air_l": math.inf,
    }  # fmt: skip
    return Means(**{**plain, **change})  # type: ignore[arg-type]


def glue_ups(opening: str, count: int, lay: float, press: float, out: float, **change: object) -> GlueUps:
    plain: dict[str, object] = {
        "form": opening, "may_come_off": False, "needs_bar_on_form": False, "bar_mm": None, "air_l": 1.0,
    }  # fmt: skip
    return GlueUps(
        opening=opening, count=count, set_out_min=0.0, lay_up_min=lay, press_min=press, take_out_min=out,
        **{**plain, **change},  # type: ignore[arg-type]
    )  # fmt: skip


# --- every plan there is, on a grid of hours


def every_plan(kinds: Sequence[GlueUps], held: Means, days: int) -> tuple[int, int] | None:  # noqa: C901 - one search
    """Fewest days and least sum of times at which parts are out (min) of all plans on whole hours; None without any."""
    hour, open_h = 60, held.day_min // 60
    jobs = [kind for kind in kinds for _ in range(kind.count)]

    def places(job: GlueUps) -> Iterator[tuple[int, int]]:
        lay, press, out = (round(m / hour) for m in (job.lay_up_min, job.press_min, job.take_out_min))
        for a in range(days):
            for s in range(24 * a, 24 * a + open_h - lay + 1) if held.worked[a % 7] else ():
                for b in range(days):
                    for t in range(24 * b, 24 * b + open_h - out + 1) if held.worked[b % 7] else ():
                        stays = held.overnight or job.air_l is None or s + lay + press <= 24 * a + open_h
                        if t >= s + lay + press and stays:
                            yield s, t

    def fits(plan: Sequence[tuple[int, int]]) -> bool:
        spans = []
        for job, (s, t) in zip(jobs, plan, strict=False):
            lay, out = round(job.lay_up_min / hour), round(job.take_out_min / hour)
            spans.append((job, s, s + lay, t, t + out))
        for h in {at for _, s, _, t, _ in spans for at in (s, t)}:  # too much is taken first where something begins
            team = sum((s <= h < laid) + (t <= h < done) for _, s, laid, t, done in spans)
            inside = [job for job, s, _, _, done in spans if s <= h < done]
            forms = [job.form for job, s, laid, _, done in spans if s <= h < (laid if job.may_come_off else done)]
            bars = sum(job.may_come_off for job in inside)
            bagged = [job for job in inside if job.air_l is not None]
            if team > held.teams or len(bagged) > held.bags or len(set(forms)) < len(forms):
                return False
            if bars > sum(count for _, count in held.bars):
                return False
        return True

    def grown(plan: list[tuple[int, int]]) -> Iterator[list[tuple[int, int]]]:
        if len(plan) == len(jobs):
            yield plan
            return
        for place in places(jobs[len(plan)]):
            if fits([*plan, place]):
                yield from grown([*plan, place])

    def merit(plan: list[tuple[int, int]]) -> tuple[int, int]:
        outs = [60 * t + round(job.take_out_min) for job, (_, t) in zip(jobs, plan, strict=True)]
        return sum(held.worked[a % 7] for a in range((max(outs) - 1) // DAY + 1)), sum(outs)

    return min((merit(plan) for plan in grown([])), default=None)


SMALL = [
    ([glue_ups("A", 2, 60, 120, 60)], means(), 2),
    ([glue_ups("A", 2, 60, 120, 60)], means(bags=2), 2),
    ([glue_ups("A", 1, 60, 240, 60), glue_ups("B", 1, 120, 120, 60)], means(bags=2), 2),
    ([glue_ups("A", 1, 60, 360, 60), glue_ups("B", 1, 60, 120, 60)], means(overnight=False), 2),
    ([glue_ups("A", 2, 60, 240, 60, may_come_off=True, bar_mm=900.0)], means(bags=2, bars=((1000.0, 2),)), 2),
    ([glue_ups("A", 2, 60, 240, 60, may_come_off=True, bar_mm=900.0)], means(bags=2, bars=((1000.0, 1),)), 2),
    ([glue_ups("A", 1, 120, 600, 60), glue_ups("B", 1, 60, 60, 60)], means(day_min=300), 3),
    ([glue_ups("A", 2, 60, 120, 60, air_l=None), glue_ups("B", 1, 60, 240, 60)], means(), 2),
    ([glue_ups("A", 1, 60, 600, 60, air_l=None), glue_ups("B", 1, 60, 120, 60)], means(overnight=False), 2),
    ([glue_ups("A", 2, 60, 900, 60)], means(day_min=240, worked=(True, False, True) + (False,) * 4), 8),
]  # fmt: skip


@pytest.mark.parametrize(("kinds", "held", "days"), SMALL)
def test_the_fewest_days_and_then_the_earliest_of_every_plan(kinds: list[GlueUps], held: Means, days: int) -> None:
    plan = plan_press_days(kinds, held)
    assert (plan.days, plan.total_min) == every_plan(kinds, held, days)
    assert plan.fewest
    assert plan.earliest


# --- a sweep over what is taken


def swept(plan: PressDays, kinds: Sequence[GlueUps]) -> None:
    """No form, bag, bar, team or pump is over its limit at any minute at which anything begins; hours are kept."""
    held, of = plan.means, {kind.opening: kind for kind in kinds}
    reach = [mm for mm, count in held.bars for _ in range(count)]
    for at in sorted({g.begins_min for g in plan.glue_ups} | {g.opens_min for g in plan.glue_ups}):
        inside = [g for g in plan.glue_ups if g.begins_min <= at < g.done_min]
        busy = sum(g.begins_min <= at < g.pressed_min or g.opens_min <= at < g.done_min for g in inside)
        assert busy <= held.teams
        bagged = [g for g in inside if g.bag is not None]
        assert len({g.bag for g in bagged}) == len(bagged) <= held.bags
        air = sum(of[g.opening].air_l or 0.0 for g in bagged)
        assert air <= held.pump_air_l + 0.1 * len(bagged) or len(bagged) == 1
        bars = [g.bar for g in inside if g.bar is not None]
        assert len(set(bars)) == len(bars)
        forms = [g.form for g in inside if at < (g.pressed_min if g.off_form else g.done_min)]
        assert len(set(forms)) == len(forms)
    for g in plan.glue_ups:
        kind = of[g.opening]
        assert g.pressed_min - g.begins_min >= kind.set_out_min + kind.lay_up_min
        assert g.glue_min - g.begins_min >= kind.set_out_min - 1e-9
        assert g.opens_min >= g.set_min >= g.pressed_min + kind.press_min
        assert g.done_min - g.opens_min >= kind.take_out_min
        assert g.off_form <= kind.may_come_off
        assert (g.bag is None) == (kind.air_l is None)
        assert g.bag is None or 1 <= g.bag <= held.bags
        if g.off_form or kind.needs_bar_on_form:
            assert g.bar is not None
            assert reach[g.bar - 1] >= (kind.bar_mm or 0.0)
        alone = held.overnight or g.bag is None  # a part under clamps needs nobody while its glue sets
        kept = [(g.begins_min, g.pressed_min if alone else g.set_min), (g.opens_min, g.done_min)]
        for a, b in kept:
            assert held.worked[a // DAY % 7]
            assert b - DAY * (a // DAY) <= held.day_min


def tenths(least: int, most: int) -> st.SearchStrategy[float]:
    """Minutes to a tenth."""
    return st.integers(least, most).map(lambda n: n / 10.0)


KIND = st.builds(
    lambda form, count, lay, press, out, off, bar, air, i: glue_ups(
        f"{form}{i}", count, lay, press, out, form=form, may_come_off=off, bar_mm=bar, air_l=air
    ),
    st.sampled_from("FGH"), st.integers(1, 3), tenths(50, 900), tenths(300, 15000), tenths(50, 400), st.booleans(),
    st.sampled_from([700.0, 1100.0]), st.none() | st.floats(0.5, 8.0), st.integers(0, 10**6),
)  # fmt: skip
MEANS = st.builds(
    lambda bags, short, long, teams, overnight, air: means(
        bags=bags, bars=((800.0, short), (1200.0, long)), teams=teams, overnight=overnight, pump_air_l=air
    ),
    st.integers(1, 3), st.integers(0, 2), st.integers(0, 1), st.integers(1, 2), st.booleans(),
    st.sampled_from([4.0, 12.0, math.inf]),
)  # fmt: skip


@settings(max_examples=15)
@given(st.lists(KIND, max_size=4, unique_by=lambda kind: kind.opening), MEANS)
def test_nothing_is_ever_taken_twice_and_no_bound_is_above_the_answer(kinds: list[GlueUps], held: Means) -> None:
    plan = plan_press_days(kinds, held)
    swept(plan, kinds)
    assert plan.days_at_least <= plan.days
    assert plan.total_at_least_min <= plan.total_min
    assert all(demand.days <= plan.days_at_least for demand in plan.demands)
    asked = {kind.opening: kind.count for kind in kinds}
    for out in plan.left_out:
        assert asked.pop(out.opening) == out.count
    planned = [g.opening for g in plan.glue_ups]
    assert {mark: planned.count(mark) for mark in asked} == asked
    for mark, count in asked.items():
        assert sorted(g.number for g in plan.glue_ups if g.opening == mark) == list(range(1, count + 1))


# --- what it says


def test_what_there_is_to_glue_up_is_what_the_press_stage_says(
    scheduled: Callable[..., Schedule], tmp_path: Path
) -> None:
    """A pointed arch has two halves; minutes, air and bars are those of the job record."""
    building = plan_building(
        scheduled("opening,quantity,arch,span,rise\nA,3,,as base,as base\nP,2,pointed,900,\n").openings
    )
    jobs = {form.name: job_record(run(form.recipe)) for form in building.forms}
    kinds = {kind.opening: kind for kind in glue_ups_of(building, jobs)}
    assert {mark: kind.count for mark, kind in kinds.items()} == {"A": 3, "P": 4}
    for mark, kind in kinds.items():
        found = jobs[kind.form]["found"]
        assert kind.press_min == found["press"]["glue"]["press_min"]
        assert kind.lay_up_min == pytest.approx(found["press"]["glue"]["lay_up_min"], rel=1e-9)
        assert kind.air_l == pytest.approx(found["press"]["bag"]["air_l"], rel=1e-9)
        assert kind.may_come_off == (found["holding"]["off"]["advice"] != "stay on the form"), mark
    plan = press_days_of(building, jobs, ())
    assert plan is not None
    record = write_press_days(plan, building.forms[0].recipe, tmp_path)
    assert record is not None
    assert len(record["glue_ups"]) == 7
    assert (tmp_path / "press-days.csv").read_bytes().count(b"\r\n") == 8
    assert (tmp_path / "press-days.svg").read_text(encoding="utf-8").startswith("<svg")


def test_a_clamped_part_takes_no_bag_and_no_pump_but_its_form(scheduled: Callable[..., Schedule]) -> None:
    """Two of one opening, one form, one bag: under clamps the second waits for the form, not for the bag."""
    clamped = BASE.replace("{side: male, between: [film]}", "{side: male, way: clamped}")
    building = plan_building(
        scheduled("opening,quantity,span,rise\nA,2,as base,as base\nB,1,600,90\n", base=clamped).openings
    )
    jobs = {form.name: job_record(run(form.recipe)) for form in building.forms}
    kinds = glue_ups_of(building, jobs)
    assert [(kind.air_l, kind.may_come_off) for kind in kinds] == [(None, False)] * 2
    plan = press_days_of(building, jobs, ())
    assert plan is not None
    assert math.isinf(plan.means.pump_air_l)
    assert plan.nights == 0
    assert [g.bag for g in plan.glue_ups] == [None] * 3
    first, second = (g for g in plan.glue_ups if g.opening == "A")
    assert second.begins_min >= first.form_free_min == first.done_min
    (other,) = (g for g in plan.glue_ups if g.opening == "B")
    assert other.begins_min < first.done_min  # at once, though the shop has two bags for three parts
    row = dict(zip(HEADER, press_days_rows(plan)[1], strict=True))
    assert row["bag"] is None
    assert "(clamps)" in day_lines(plan)[0][2]
    chart = press_days_svg(plan)
    assert "clamps 2</text>" in chart
    assert "bag 1</text>" not in chart


@pytest.mark.parametrize(
    ("kinds", "held", "what", "days"),
    [
        # nine of 120 + 60 min of somebody's time: 27 h, in days of 8 h 3.4 by one team, 1.7 by two, 1.1 by three
        ([glue_ups("A", 9, 120, 60, 60)], means(bags=9), "people", 4),
        ([glue_ups("A", 9, 120, 60, 60)], means(bags=9, teams=2), "people", 2),
        ([glue_ups("A", 8, 120, 60, 60)], means(bags=9, teams=3), "people", 1),
        # one bag: from 0 to 6 h, from 6 h over night to 1 h of the next day, from 1 to 7 h: three in two days
        ([glue_ups("A", 3, 60, 240, 60)], means(teams=9), "bags", 2),
        ([glue_ups("A", 6, 60, 240, 60)], means(bags=2, teams=9), "bags", 2),
        ([glue_ups("A", 6, 60, 240, 60)], means(teams=9), "bags", 4),
        # one bar reaches that far, five do not
        ([glue_ups("A", 3, 60, 240, 60, needs_bar_on_form=True, bar_mm=900.0)],
         means(bags=9, teams=9, bars=((800.0, 5), (1000.0, 1))), "bars", 2),
        # one form that two bags wait for
        ([glue_ups("A", 3, 60, 240, 60)], means(bags=9, teams=9), "form A", 2),
    ],
)  # fmt: skip
def test_days_that_one_thing_alone_makes_necessary(kinds: list[GlueUps], held: Means, what: str, days: int) -> None:
    """By hand; and the plan, which the solver proves, needs no fewer."""
    plan = plan_press_days(kinds, held)
    assert {demand.what: demand.days for demand in plan.demands}[what] == days
    assert plan.days >= days


def test_without_a_word_no_bag_is_left_alone_and_nothing_warns_of_it() -> None:
    assert Shop().press_days.overnight is False
    plan = plan_press_days([glue_ups("A", 2, 60, 240, 60)], means_of(Shop()))
    assert (plan.nights, plan.findings) == (0, ())


def test_the_pump_serves_so_much_air_and_no_more() -> None:
    """Where it runs as long as is allowed: duty = on/(on + off), with off = V Δp/Q and on = V/S ln[...] (vacuum.py)."""
    shop = Shop()
    most = pump_air_l(shop, 70.0)
    flow, rise = shop.pump.flow_m3_per_h / 3600.0, figure("bag_loss_most_kpa_per_min", shop).value / 60.0
    volume, deep, band = most / 1000.0, 101.325 - 70.0, shop.pump.switch_band_kpa
    floor = volume * rise / flow
    on = volume / flow * math.log((deep + band - floor) / (deep - floor))
    assert on / (on + band / rise) == pytest.approx(figure("pump_duty_most", shop).value, rel=1e-6)


def test_what_no_plan_can_hold_is_said() -> None:
    kinds = [glue_ups("A", 2, 60, 600, 30), glue_ups("B", 1, 60, 60, 30, needs_bar_on_form=True, bar_mm=900.0),
             glue_ups("C", 1, 500, 60, 30), glue_ups("D", 1, 60, 60, 30)]  # fmt: skip
    plan = plan_press_days(kinds, means(overnight=False, bars=((800.0, 3),)))
    assert [(held.opening, held.count) for held in plan.left_out] == [("A", 2), ("B", 1), ("C", 1)]
    assert [finding.code for finding in plan.findings] == ["building.not-planned"] * 3
    assert "overnight: true" in plan.findings[0].message
    assert "press_days.bars" in plan.findings[1].message
    assert [held.opening for held in plan.glue_ups] == ["D"]


def test_nights_with_nobody_at_the_pump_are_counted_with_the_caution() -> None:
    plan = plan_press_days([glue_ups("A", 2, 60, 900, 60)], means())
    assert plan.nights == 2
    assert "Do not leave a pump running" in plan.findings[0].message
    assert plan_press_days([glue_ups("A", 2, 60, 60, 60)], means()).findings == ()


def test_bars_that_do_not_reach_leave_the_part_on_its_form() -> None:
    kinds = [glue_ups("A", 1, 60, 60, 60, may_come_off=True, bar_mm=900.0)]
    off = [plan_press_days(kinds, means(bars=((mm, 1),))).glue_ups[0] for mm in (899.0, 900.0)]
    assert [(g.off_form, g.bar, g.form_free_min == g.done_min) for g in off] == [(False, None, True), (True, 1, False)]


def test_the_shop_file_says_what_there_is() -> None:
    shop = Shop.model_validate(
        {"press_days": {"bags": 3, "bars": [{"quantity": 2, "reach": 900}, {"quantity": 1}, {"reach": 900}],
                        "day_start": "7:30", "day_end": "16:00", "days": ["Tue", "Thu"]}}
    )  # fmt: skip
    held = means_of(shop)
    assert held.bars == ((900.0, 3), (math.inf, 1))
    assert (held.opens_min, held.day_min) == (7 * 60 + 30, 510)
    assert held.week == ("Tue", "Wed", "Thu", "Fri", "Sat", "Sun", "Mon")
    assert held.worked == (True, False, True, False, False, False, False)


@pytest.mark.parametrize(
    "bad", [{"day_start": "24:00"}, {"day_start": "12:00", "day_end": "12:30"}, {"days": ["Mon", "Mon"]}, {"bags": 0}]
)
def test_hours_that_make_no_day_are_refused(bad: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"expected|greater"):
        Shop.model_validate({"press_days": bad})


def test_table_days_record_and_chart_tell_of_every_glue_up() -> None:
    kinds = [glue_ups("A<b>", 3, 60, 900, 60), glue_ups("B", 1, 30, 120, 30, may_come_off=True, bar_mm=900.0)]
    plan = plan_press_days(kinds, means(bags=2, bars=((math.inf, 1),)))
    header, *rows = press_days_rows(plan)
    assert header == HEADER
    assert [(row[2], row[4]) for row in rows] == [(g.opening, g.number) for g in plan.glue_ups]
    assert rows[0][1] == "Mon 8:00"
    lines = "\n".join(itertools.chain(*day_lines(plan)))
    assert all(lines.count(f"A<b> {n}/3 (bag") == 2 for n in (1, 2, 3))
    assert len(press_days_record(plan)["glue_ups"]) == 4
    texts = [text.text or "" for text in ET.fromstring(press_days_svg(plan)).iter() if text.tag.endswith("text")]  # noqa: S314
    assert {"bags", "bag 1", "bag 2"} <= set(texts)
    assert {"A<b> 1/3", "A<b> 2/3", "A<b> 3/3"} <= set(texts)
    assert any(text.endswith("B, bar 1") for text in texts)  # too short for its name: in the list


def test_same_bytes_in_any_process(tmp_path: Path) -> None:
    code = (
        "import json, sys; from tests.building.test_press_days import *\n"
        "kinds = [glue_ups(f'O{i}', 1 + i % 2, 20 + i, 200 + 300 * (i % 4), 20, form=f'F{i % 3}', "
        "may_come_off=i % 2 == 0, bar_mm=900.0) for i in range(5)]\n"
        "plan = plan_press_days(kinds, means(bags=3, bars=((1000.0, 2),)))\n"
        "print(json.dumps(press_days_record(plan)), press_days_rows(plan), press_days_svg(plan))"
    )
    root = Path(__file__).parents[2]
    runs = {
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, check=True, cwd=root,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
        ).stdout
        for seed in ("1", "77")
    }  # fmt: skip
    assert len(runs) == 1
    assert len(next(iter(runs))) > 3000
