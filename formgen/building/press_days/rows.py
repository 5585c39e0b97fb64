"""Building: press days as a table, as lines for each day, and as a record; clock times, days counted from 1.

In: `PressDays`. Out: rows of cells, texts, plain tables. Nothing is computed here but the clock.
"""

from __future__ import annotations

from typing import Any

from formgen.building.press_days.calendar import Calendar, steps
from formgen.building.press_days.model import DAY_MIN, GlueUp, Means, PressDays
from formgen.outputs.record.plain import number, plain
from formgen.outputs.sheets.csv_table import Cell

HEADER = (
    "day", "set out at", "opening", "form", "glue-up", "of", "glue on at", "in the press at", "glue set",
    "take out day", "take out at", "ready again at", "bag", "bar", "bar setting mm", "while the glue sets", "form free",
    "hours in the press",
)  # fmt: skip

#: Days of the week in full.
LONG = {
    "Mon": "Monday", "Tue": "Tuesday", "Wed": "Wednesday", "Thu": "Thursday", "Fri": "Friday", "Sat": "Saturday",
    "Sun": "Sunday",
}  # fmt: skip


def day_of(minute: int, means: Means) -> int:
    """Find the worked day, counted from 1, of a minute from the first morning; a day off counts as the one before."""
    return Calendar.of(means).number(steps(minute - 4))


def clock(minute: int, means: Means) -> str:
    """The time of day."""
    hours, minutes = divmod((means.opens_min + minute) % DAY_MIN, 60)
    return f"{hours}:{minutes:02d}"


def when(minute: int, means: Means) -> str:
    """Day of the week and time of day; it is another day after midnight, whether anybody is there or not."""
    return f"{means.week[(means.opens_min + minute) // DAY_MIN % 7]} {clock(minute, means)}"


def day_and_time(minute: int, means: Means) -> str:
    """Worked day, day of the week and time of day, as people say it: `day 10, Tuesday 14:30`."""
    name, time = when(minute, means).split(" ")
    return f"day {day_of(minute, means)}, {LONG[name]} {time}"


def press_days_rows(plan: PressDays) -> list[tuple[Cell, ...]]:
    """The header and a row for each glue-up, in the order in which they begin."""
    return [HEADER, *(_row(held, plan.means) for held in plan.glue_ups)]


def _row(held: GlueUp, means: Means) -> tuple[Cell, ...]:
    return (
        day_of(held.begins_min, means),
        when(held.begins_min, means),
        held.opening,
        held.form,
        held.number,
        held.of,
        when(held.glue_min, means),
        when(held.pressed_min, means),
        when(held.set_min, means),
        day_of(held.opens_min, means),
        when(held.opens_min, means),
        when(held.done_min, means),
        held.bag,
        held.bar,
        None if held.bar_mm is None else round(held.bar_mm, 1),
        "off the form, held by the bar" if held.off_form else "on the form",
        when(held.form_free_min, means),
        round((held.opens_min - held.pressed_min) / 60.0, 2),
    )


def by_day(plan: PressDays) -> list[tuple[int, list[GlueUp], list[GlueUp]]]:
    """Return each worked day's number, what is taken out and what is laid up on it, each by the clock."""
    days: dict[int, tuple[list[GlueUp], list[GlueUp]]] = {}
    for held in sorted(plan.glue_ups, key=lambda held: held.opens_min):
        days.setdefault(day_of(held.opens_min, plan.means), ([], []))[0].append(held)
    for held in plan.glue_ups:
        days.setdefault(day_of(held.begins_min, plan.means), ([], []))[1].append(held)
    return [(number, *days[number]) for number in sorted(days)]


def day_name(number: int, means: Means) -> str:
    """Return a worked day's number and name: `3 Wednesday`."""
    return f"{number} {LONG[means.week[Calendar.of(means).day(number) % 7]]}"


def day_lines(plan: PressDays) -> list[tuple[str, str, str]]:
    """For each worked day: its number and name, what is taken out, what is laid up."""

    def out(held: GlueUp) -> str:
        return f"{clock(held.opens_min, plan.means)} {held.mark} ({_inside(held)})"

    def up(held: GlueUp) -> str:
        with_bar = f", bar {held.bar}" if held.bar else ""
        return f"{clock(held.begins_min, plan.means)} {held.mark} ({_inside(held)}{with_bar})"

    return [
        (day_name(number, plan.means), "\n".join(map(out, outs)), "\n".join(map(up, ups)))
        for number, outs, ups in by_day(plan)
    ]


def _inside(held: GlueUp) -> str:
    return f"bag {held.bag}" if held.bag else "clamps"


def headline(plan: PressDays) -> str:
    """Say how many days, when the last part is out, and what is proven of the plan."""
    if not plan.glue_ups:
        return "no glue-up to plan"
    days = f"{_many(len(plan.glue_ups), 'glue-up')} in {_many(plan.days, 'press day')}"
    last = max(held.done_min for held in plan.glue_ups)
    proof = "no plan has fewer" if plan.fewest else f"no plan has fewer than {plan.days_at_least}"
    early = " nor its parts out earlier" if plan.fewest and plan.earliest else ""
    return (
        f"{days}: last part out on {day_and_time(last, plan.means)}, counted from a {LONG[plan.means.week[0]]}; "
        f"{proof}{early}; most days are needed by {plan.demands[0].what}"
    )


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def press_days_record(plan: PressDays) -> dict[str, Any]:
    """The plan as a record holds it: minutes from the first morning."""
    record: dict[str, Any] = plain(plan, ("means", "findings"))
    means: dict[str, Any] = plain(plan.means, ("bars",))
    bars = [{"reach_mm": number(mm), "quantity": count} for mm, count in plan.means.bars]
    return {
        "headline": headline(plan),
        "means": means | {"bars": bars},
        **record,
        "fewest": plan.fewest,
        "earliest": plan.earliest,
        "by_day": [list(line) for line in day_lines(plan)],
        "findings": plain(plan.findings),
    }
