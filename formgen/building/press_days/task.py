"""Building: glue-ups and means as whole numbers, for whoever plans them: steps, counts, classes of bars.

In: glue-ups that are alike, and the shop's means. Out: a `Task`, and what can be in no plan. Plans nothing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Sequence
from functools import cached_property

from formgen.amounts import time_text
from formgen.building.press_days.calendar import Calendar, steps
from formgen.building.press_days.model import GlueUps, LeftOut, Means
from formgen.fixed import fixed

#: Air is counted in tenths of a litre.
_AIR_PER_L = 10


@fixed
class Work:
    """One glue-up, in steps.

    Args:
        kind: index of the glue-ups that it is one of.
        form: its form.
        lay: setting out and laying up, somebody there throughout.
        press: from then until the glue has set.
        out: taking out, somebody there throughout.
        off: the form is free when it is laid up.
        bars: classes of bars of which it takes one; empty where it takes none.
        bag: it takes a bag and the pump, and while the glue sets somebody must be near.
        air: of its bag; no more than the pump serves, since alone it must run; 0 without one.
    """

    kind: int
    form: str
    lay: int
    press: int
    out: int
    off: bool
    bars: tuple[int, ...]
    bag: bool
    air: int

    @property
    def steps(self) -> int:
        """Shortest time that it takes a bag, or its form."""
        return self.lay + self.press + self.out


@fixed
class Task:
    """The glue-ups to be planned, in steps of the calendar.

    Args:
        works: glue-ups, those that are alike side by side.
        calendar: when somebody is there.
        bags, teams: how many.
        bars: how many of each class, shortest first.
        overnight: the glue may set while nobody is there.
        air: most that the pump serves at once; None where all bags together need less.
    """

    works: tuple[Work, ...]
    calendar: Calendar
    bags: int
    teams: int
    bars: tuple[int, ...]
    overnight: bool
    air: int | None

    @cached_property
    def contested(self) -> frozenset[str]:
        """Forms that glue-ups may have to wait for: several come off one, and a part or a second team is in the way.

        With one team parts that come off at once never meet on the form.
        """
        count = Counter(work.form for work in self.works)
        holding = {work.form for work in self.works if not work.off}
        return frozenset(form for form, n in count.items() if n > 1 and (self.teams > 1 or form in holding))

    def attended(self, work: Work) -> int:
        """Steps from the beginning on that must lie within the hours of one day."""
        return work.lay if self.overnight or not work.bag else work.lay + work.press

    def alike(self) -> list[list[int]]:
        """Indices of glue-ups that could change places without anybody noticing, in order."""
        groups: dict[Hashable, list[int]] = {}
        for i, work in enumerate(self.works):
            form = work.form if work.form in self.contested else ""
            air = 0 if self.air is None else work.air
            groups.setdefault((form, work.lay, work.press, work.out, work.off, work.bars, work.bag, air), []).append(i)
        return list(groups.values())


def as_task(kinds: Sequence[GlueUps], means: Means) -> tuple[Task, tuple[LeftOut, ...]]:
    """Return what is to be planned, and what cannot be."""
    calendar = Calendar.of(means)
    works: list[Work] = []
    left_out = []
    limit = math.inf if math.isinf(means.pump_air_l) else max(1, math.floor(means.pump_air_l * _AIR_PER_L))
    for kind, held in enumerate(kinds):
        work = _work(kind, held, means, limit)
        why = _why_not(held, work, means, calendar)
        if why:
            left_out.append(LeftOut(opening=held.opening, count=held.count, why=why))
        else:
            works += [work] * held.count
    most = sum(sorted((work.air for work in works), reverse=True)[: means.bags])
    task = Task(
        works=tuple(works),
        calendar=calendar,
        bags=means.bags,
        teams=means.teams,
        bars=tuple(count for _, count in means.bars),
        overnight=means.overnight,
        air=int(limit) if most > limit else None,
    )
    return task, tuple(left_out)


def _work(kind: int, held: GlueUps, means: Means, limit: float) -> Work:
    reach = held.bar_mm
    fit = () if reach is None else tuple(i for i, (mm, n) in enumerate(means.bars) if n and mm >= reach - 1e-6)
    off = held.may_come_off and bool(fit)
    return Work(
        kind=kind,
        form=held.form,
        lay=steps(held.set_out_min) + steps(held.lay_up_min),
        press=steps(held.press_min),
        out=steps(held.take_out_min),
        off=off,
        bars=fit if off or held.needs_bar_on_form else (),
        bag=held.air_l is not None,
        air=0 if held.air_l is None else int(min(max(1, math.ceil(held.air_l * _AIR_PER_L)), limit)),
    )


def _why_not(held: GlueUps, work: Work, means: Means, calendar: Calendar) -> str:
    """Say why no plan holds it, with what to do; empty where one may."""
    day = f"the shop's day of {time_text(means.day_min)}"
    if held.needs_bar_on_form and not work.bars:
        return (
            f"its legs are held by a bar set to {held.bar_mm or 0.0:.0f} mm, and no bar of the shop reaches that far: "
            "add one under press_days.bars, or hold them with clamps"
        )
    if max(work.lay, work.out) > calendar.open_steps:
        return f"laying up takes {time_text(held.set_out_min + held.lay_up_min)}, more than {day}: more people"
    if work.bag and not means.overnight and work.lay + work.press > calendar.open_steps:
        return (
            f"{time_text(held.press_min)} in the bag after laying up is more than {day}: name a glue that sets sooner "
            "with its clamp_min in the shop file, or press_days.overnight: true where somebody stays with the pump"
        )
    return ""
