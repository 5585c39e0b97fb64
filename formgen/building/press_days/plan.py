"""Building: press days: with so many forms, bags and bars and so many hours in the bag, when each glue-up is made.

In: glue-ups, and the shop. Out: `PressDays`, in minutes from the first morning. A plan is made at once by placing
glue-ups one after the other; a solver then looks for fewer days and for parts that are out earlier, and what it proves
is said beside the plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.building.press_days.bounds import demands
from formgen.building.press_days.calendar import STEP_MIN
from formgen.building.press_days.listed import Slot, best_list, merit
from formgen.building.press_days.model import DAY_MIN, GlueUp, GlueUps, LeftOut, Means, PressDays
from formgen.building.press_days.solver import solve
from formgen.building.press_days.task import Task, as_task
from formgen.findings import Finding, finding
from formgen.lengths import Units
from formgen.recipe.catalogue import cautions
from formgen.recipe.shop import Shop, clock_min

_WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def means_of(shop: Shop, pump_air_l: float = math.inf) -> Means:
    """Return what a shop presses with; the first morning is that of the first worked day of its week.

    Args:
        shop: its `press_days`.
        pump_air_l: air that its pump serves at once, litres.
    """
    asked = shop.press_days
    first = next(i for i, name in enumerate(_WEEK) if name in asked.days)
    week = _WEEK[first:] + _WEEK[:first]
    bars = asked.bars
    held = [(math.inf, bars)] if isinstance(bars, int) else [(bar.reach_mm or math.inf, bar.quantity) for bar in bars]
    reaches = sorted({reach for reach, count in held if count})
    return Means(
        bags=asked.bags,
        bars=tuple((reach, sum(n for mm, n in held if mm == reach)) for reach in reaches),
        teams=asked.teams,
        opens_min=clock_min(asked.day_start),
        day_min=clock_min(asked.day_end) - clock_min(asked.day_start),
        week=week,
        worked=tuple(name in asked.days for name in week),
        overnight=asked.overnight,
        pump_air_l=pump_air_l,
    )


def plan_press_days(kinds: Sequence[GlueUps], means: Means, not_pressed: Sequence[LeftOut] = ()) -> PressDays:
    """The plan with the fewest days, and of those with the earliest parts, as far as it was found.

    Args:
        kinds: glue-ups, those of one opening together.
        means: what the shop presses with.
        not_pressed: what must not be pressed, for the list of what is in no plan.

    Assumptions:
        A team is busy from setting out until the pressure is on, and while a part is taken out; between, nobody is
        needed, but a bag has somebody near unless the shop says `overnight`. Form, bag and bar are taken from setting
        out on; a part under clamps takes no bag and its form for the whole time. A part may wait in its press for
        somebody to come.
    """
    task, in_no_plan = as_task(kinds, means)
    left_out = (*not_pressed, *in_no_plan)
    needed = demands(task)
    least = needed[0].days
    solved = solve(task, best_list(task, least), least)
    glue_ups = _glue_ups(task, kinds, solved.slots, means)
    days, total = merit(task, solved.slots)
    nights = _nights(glue_ups, means)
    return PressDays(
        means=means,
        step_min=STEP_MIN,
        glue_ups=glue_ups,
        days=days,
        days_at_least=solved.days_at_least,
        total_min=total * STEP_MIN,
        total_at_least_min=solved.total_at_least * STEP_MIN,
        demands=needed,
        nights=nights,
        left_out=left_out,
        findings=tuple(_findings(left_out, nights)),
    )


def _glue_ups(task: Task, kinds: Sequence[GlueUps], slots: Sequence[Slot], means: Means) -> tuple[GlueUp, ...]:
    """The plan in minutes, with numbers of bags and bars: each takes the one with the least number that is free."""
    free_bags = [0] * means.bags
    free_bars = [[0] * count for _, count in means.bars]
    first_bar = [sum(count for _, count in means.bars[:k]) for k in range(len(means.bars))]
    made = [0] * len(kinds)
    out = []
    for slot, i in sorted((slot, i) for i, slot in enumerate(slots)):
        work = task.works[i]
        kind = kinds[work.kind]
        made[work.kind] += 1
        done = slot.opened + work.out
        bag = _taken(free_bags, slot.start, done) if work.bag else None
        bar = first_bar[slot.bar] + _taken(free_bars[slot.bar], slot.start, done) if slot.bar >= 0 else None
        bagged = STEP_MIN * (slot.start + work.lay)
        laying = STEP_MIN * math.ceil((kind.lay_up_min - 1e-9) / STEP_MIN)
        out.append(
            GlueUp(
                opening=kind.opening,
                form=kind.form,
                number=made[work.kind],
                of=kind.count,
                begins_min=STEP_MIN * slot.start,
                glue_min=bagged - laying,
                pressed_min=bagged,
                set_min=bagged + STEP_MIN * work.press,
                opens_min=STEP_MIN * slot.opened,
                done_min=STEP_MIN * done,
                off_form=work.off,
                form_free_min=bagged if work.off else STEP_MIN * done,
                bag=bag,
                bar=bar,
                bar_mm=kind.bar_mm if bar else None,
            )
        )
    return tuple(out)


def _taken(free: list[int], start: int, done: int) -> int:
    """The least number of those that are free at a step, each by when it is; it is then taken until `done`."""
    n = next(n for n, until in enumerate(free) if until <= start)
    free[n] = done
    return n + 1


def _nights(glue_ups: Sequence[GlueUp], means: Means) -> int:
    """Nights, days off with them, through which a bag is still on the pump after the shop has closed."""
    bagged = [held for held in glue_ups if held.bag is not None]
    last = max((held.set_min for held in bagged), default=0) // DAY_MIN
    shut = [DAY_MIN * day + means.day_min for day in range(last + 1) if means.worked[day % 7]]
    return sum(any(held.begins_min < at < held.set_min for held in bagged) for at in shut)


def _findings(left_out: Sequence[LeftOut], nights: int) -> list[Finding]:
    units: Units = "mm"  # nothing here is said in either
    found = [
        finding("building.not-planned", units, value=held.count, opening=held.opening, why=held.why)
        for held in left_out
    ]
    if nights:
        pump = cautions()["pump"]
        alone = {"caution": pump.line, "caution_source": pump.source}
        found.append(finding("building.pump-alone", units, value=nights, limit=0, **alone))
    return found
