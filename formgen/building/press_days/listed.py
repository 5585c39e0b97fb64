"""Building: a plan at once: glue-ups one after the other, each as early as those before it allow.

In: a `Task` and an order. Out: when each begins, when its bag is opened, and its class of bar, in steps. Always finds a
plan; knows nothing of how good it is.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from formgen.building.press_days.calendar import DAY
from formgen.building.press_days.task import Task, Work

#: Glue-ups that are placed in all while other orders are tried.
TRIES = 12_000


@dataclass(frozen=True, order=True)
class Slot:
    """A glue-up's place: its first step, the step at which its bag is opened, and its class of bar (-1: none)."""

    start: int
    opened: int
    bar: int = -1


class _Held:
    """A thing that glue-ups take: so much of it at each step, and so much there is."""

    def __init__(self, most: int) -> None:
        self._taken = np.zeros(DAY, np.int32)
        self._most = most

    def wait(self, first: int, last: int, need: int = 1) -> int:
        """The step after the latest one from `first` to before `last` at which too little is free; 0 where none is."""
        short = np.flatnonzero(self._taken[first:last] > self._most - need)
        return first + int(short[-1]) + 1 if len(short) else 0

    def take(self, first: int, last: int, need: int = 1) -> None:
        if last > len(self._taken):
            self._taken = np.append(self._taken, np.zeros(max(last, len(self._taken)), np.int32))
        self._taken[first:last] += need


class ListPlan:
    """A plan that grows by one glue-up after the other."""

    def __init__(self, task: Task) -> None:
        """An empty plan."""
        self._task = task
        self._teams, self._bags = _Held(task.teams), _Held(task.bags)
        self._bars = [_Held(count) for count in task.bars]
        self._air = None if task.air is None else _Held(task.air)
        self._forms = {form: _Held(1) for form in sorted(task.contested)}

    def place(self, work: Work, not_before: int = 0) -> Slot:
        """Place a glue-up as early as it goes, and take what it needs."""
        task, start = self._task, not_before
        while True:
            start = task.calendar.earliest(start, task.attended(work))
            bagged = start + work.lay
            wait = self._teams.wait(start, bagged)
            if not wait:
                opened = self._opening(bagged + work.press, work)
                bar, wait = self._free(work, start, bagged, opened + work.out)
                if not wait:
                    self._take(work, start, opened, bar)
                    return Slot(start, opened, bar)
            start = max(wait, start + 1)

    def _opening(self, step: int, work: Work) -> int:
        """The first step from the setting of the glue on at which somebody can take the part out."""
        while True:
            step = self._task.calendar.earliest(step, work.out)
            wait = self._teams.wait(step, step + work.out)
            if not wait:
                return step
            step = wait

    def _free(self, work: Work, start: int, bagged: int, done: int) -> tuple[int, int]:
        """The class of bar that is free, and the step to wait for where anything is not."""
        waits = [self._bags.wait(start, done) if work.bag else 0]
        if work.form in self._forms:
            waits.append(self._forms[work.form].wait(start, bagged if work.off else done))
        if self._air is not None:
            waits.append(self._air.wait(start, done, work.air))
        bar = -1
        if work.bars:
            wait, bar = min((self._bars[i].wait(start, done), i) for i in work.bars)
            waits.append(wait)
        return bar, max(waits)

    def _take(self, work: Work, start: int, opened: int, bar: int) -> None:
        done = opened + work.out
        self._teams.take(start, start + work.lay)
        self._teams.take(opened, done)
        if work.bag:
            self._bags.take(start, done)
        if work.form in self._forms:
            self._forms[work.form].take(start, start + work.lay if work.off else done)
        if self._air is not None:
            self._air.take(start, done, work.air)
        if bar >= 0:
            self._bars[bar].take(start, done)


def list_plan(task: Task, order: Sequence[int]) -> list[Slot]:
    """The plan by an order of the glue-ups; slots in the order of the task."""
    plan, slots = ListPlan(task), {}
    group_of = {i: number for number, group in enumerate(task.alike()) for i in group}
    begun: dict[int, int] = {}
    for i in order:
        # one that is alike went as early as it could, and there is only less room since
        slots[i] = plan.place(task.works[i], begun.get(group_of[i], 0))
        begun[group_of[i]] = slots[i].start
    return [slots[i] for i in range(len(task.works))]


def merit(task: Task, slots: Sequence[Slot]) -> tuple[int, int]:
    """Worked days, and the sum of the steps at which parts are out: less is better, days first."""
    outs = [slot.opened + work.out for work, slot in zip(task.works, slots, strict=True)]
    return (task.calendar.number(max(outs) - 1) if outs else 0), sum(outs)


def orders(task: Task) -> Iterator[list[int]]:
    """Orders worth trying: as given; what its form has most of still to do first; longest and shortest first."""
    works, left = task.works, dict.fromkeys((work.form for work in task.works), 0)
    ahead = [0] * len(works)
    for i in reversed(range(len(works))):
        left[works[i].form] += works[i].lay if works[i].off else works[i].steps
        ahead[i] = left[works[i].form]
    yield list(range(len(works)))
    yield sorted(range(len(works)), key=lambda i: (-ahead[i], i))
    yield sorted(range(len(works)), key=lambda i: (-ahead[i], works[i].press, i))
    yield sorted(range(len(works)), key=lambda i: (-works[i].press, -ahead[i], i))
    yield sorted(range(len(works)), key=lambda i: (works[i].press, -ahead[i], i))
    yield sorted(range(len(works)), key=lambda i: (works[i].steps, works[i].lay, i))


def best_list(task: Task, days_at_least: int = 0) -> list[Slot]:
    """The best plan of those orders and of others near the best of them.

    Args:
        task: what is to be planned.
        days_at_least: no plan has fewer days.
    """
    held = [(merit(task, slots), order, slots) for order in orders(task) for slots in [list_plan(task, order)]]
    best, order, slots = min(held, key=lambda plan: plan[0])
    draw = random.Random(0)  # noqa: S311 - the same draws each time are what is wanted
    for _ in range(TRIES // max(len(order), 1) if best[0] > days_at_least else 0):
        tried = list(order)
        for _move in range(draw.randint(1, 3)):
            tried.insert(draw.randrange(len(order)), tried.pop(draw.randrange(len(order))))
        found = list_plan(task, tried)
        if merit(task, found) <= best:
            best, order, slots = merit(task, found), tried, found
        if best[0] <= days_at_least:
            break
    return slots
