"""Building: press days by constraint programming (CP-SAT of OR-Tools): first the fewest days, then the earliest parts.

In: a `Task` and a plan that works. Out: a plan as good or better, and what is proven of any plan. One worker, a fixed
seed, and a budget in the solver's own deterministic time: the same task gives the same plan. Never at a loss: what it
does not find or prove within the budget stays as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from formgen.building.press_days.bounds import total_at_least
from formgen.building.press_days.calendar import DAY
from formgen.building.press_days.listed import Slot, merit
from formgen.building.press_days.task import Task, Work
from formgen.fixed import fixed

#: Budgets of the solver's deterministic time for the days and for the sum: about 5 s of a slow machine to a unit.
DAYS_BUDGET, TOTAL_BUDGET = 1.0, 0.5
#: More glue-ups than this are planned one after the other only.
MOST_WORKS = 160


@fixed
class Solved:
    """A plan and what is proven.

    Args:
        slots: in the order of the task.
        days_at_least: worked days that no plan falls below.
        total_at_least: sum of the steps at which parts are out that no plan with as few days falls below.
    """

    slots: list[Slot]
    days_at_least: int
    total_at_least: int


def solve(task: Task, slots: Sequence[Slot], days_at_least: int) -> Solved:
    """The best plan found from one that works.

    Args:
        task: what is to be planned.
        slots: a plan.
        days_at_least: proven already.
    """
    best = list(slots)
    days = merit(task, best)[0]
    if days > days_at_least and len(task.works) <= MOST_WORKS:
        best, days_at_least = _fewer_days(task, best, days_at_least)
    least = total_at_least(task)
    if len(task.works) <= MOST_WORKS:
        best, proven = _earlier(task, best)
        least = max(least, proven)
    return Solved(slots=best, days_at_least=days_at_least, total_at_least=least)


def _fewer_days(task: Task, slots: list[Slot], days_at_least: int) -> tuple[list[Slot], int]:
    """A plan with the fewest days that were found, and the fewest that were not ruled out."""
    days = merit(task, slots)[0]
    model = _Model(task, days, slots)
    calendar = task.calendar
    last = model.whole([(calendar.day(n), calendar.day(n)) for n in range(days_at_least, days + 1)], "last day")
    for work, opened in zip(task.works, model.opened, strict=True):
        model.cp.add(opened + work.out <= DAY * last + calendar.open_steps)
    model.cp.minimize(last)
    solver = _solved(model.cp, DAYS_BUDGET)
    if solver is None:
        return slots, days_at_least
    bound = calendar.number(DAY * round(solver.best_objective_bound))
    return min((slots, model.slots(solver)), key=lambda plan: merit(task, plan)), max(days_at_least, bound)


def _earlier(task: Task, slots: list[Slot]) -> tuple[list[Slot], int]:
    """A plan with as few days whose parts are out earliest of those found, and the sum that was not ruled out."""
    model = _Model(task, merit(task, slots)[0], slots)
    model.cp.minimize(sum(model.opened))
    solver = _solved(model.cp, TOTAL_BUDGET)
    if solver is None:
        return slots, 0
    outs = sum(work.out for work in task.works)
    best = min((slots, model.slots(solver)), key=lambda plan: merit(task, plan))
    return best, round(solver.best_objective_bound) + outs


def _solved(cp: Any, budget: float) -> Any:
    """The solver with its solution, None where it found none: one worker, a fixed seed, no clock."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = budget
    solver.parameters.catch_sigint_signal = False
    return solver if solver.solve(cp) in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


class _Model:
    """The task as a model: a start and an opening of each glue-up, and what they may take at once."""

    def __init__(self, task: Task, days: int, hint: Sequence[Slot]) -> None:
        from ortools.sat.python import cp_model

        self.cp = cp_model.CpModel()
        self._task, self._domain = task, cp_model.Domain
        windows = task.calendar.windows
        self.start = [self.whole(windows(task.attended(w), days), f"start {i}") for i, w in enumerate(task.works)]
        self.opened = [self.whole(windows(w.out, days), f"opened {i}") for i, w in enumerate(task.works)]
        self._classes: list[dict[int, Any]] = []
        self._held = [self._work(i, work) for i, work in enumerate(task.works)]
        self._limits()
        for group in task.alike():
            for i, j in pairwise(group):
                self.cp.add(self.start[i] <= self.start[j])
                self.cp.add(self.opened[i] <= self.opened[j])
        self._hint(hint)

    def whole(self, ranges: Any, name: str) -> Any:
        """A whole number in one of several ranges."""
        return self.cp.new_int_var_from_domain(self._domain.from_intervals([list(r) for r in ranges]), name)

    def slots(self, solver: Any) -> list[Slot]:
        """The plan of a solution."""
        return [
            Slot(
                solver.value(start),
                solver.value(opened),
                next((i for i, taken in classes.items() if solver.boolean_value(taken)), -1),
            )
            for start, opened, classes in zip(self.start, self.opened, self._classes, strict=True)
        ]

    def _work(self, i: int, work: Work) -> Any:
        """The stretch for which a glue-up holds its bag or form; and the class of bar that it takes."""
        cp, start, opened = self.cp, self.start[i], self.opened[i]
        cp.add(opened >= start + work.lay + work.press)
        size = cp.new_int_var(work.steps, DAY * 3660, f"size {i}")
        classes = {k: cp.new_bool_var(f"bar {i} {k}") for k in work.bars}
        if classes:
            cp.add_exactly_one(classes.values())
        self._classes.append(classes)
        return cp.new_interval_var(start, size, opened + work.out, f"held {i}")

    def _limits(self) -> None:
        """Teams, bags, bars, forms, and the pump's air."""
        cp, task, works = self.cp, self._task, self._task.works
        lay = [cp.new_fixed_size_interval_var(self.start[i], w.lay, f"lay {i}") for i, w in enumerate(works)]
        out = [cp.new_fixed_size_interval_var(self.opened[i], w.out, f"out {i}") for i, w in enumerate(works)]
        self._at_most([*lay, *out], task.teams)
        bagged = [held for held, work in zip(self._held, works, strict=True) if work.bag]
        self._at_most(bagged, task.bags)
        for k, count in enumerate(task.bars):
            taking = [self._if_taken(i, k) for i, work in enumerate(works) if k in work.bars]
            self._at_most(taking, count)
        for form in sorted(task.contested):
            here = [i for i, work in enumerate(works) if work.form == form]
            self._at_most([lay[i] if works[i].off else self._held[i] for i in here], 1)
        if task.air is not None:
            cp.add_cumulative(bagged, [work.air for work in works if work.bag], task.air)

    def _if_taken(self, i: int, k: int) -> Any:
        held, work = self._held[i], self._task.works[i]
        if len(work.bars) == 1:
            return held
        return self.cp.new_optional_interval_var(
            self.start[i], held.size_expr(), self.opened[i] + work.out, self._classes[i][k], f"bar {i} {k}"
        )

    def _at_most(self, intervals: Sequence[Any], most: int) -> None:
        if len(intervals) <= most:
            return
        if most == 1:
            self.cp.add_no_overlap(intervals)
        else:
            self.cp.add_cumulative(intervals, [1] * len(intervals), most)

    def _hint(self, hint: Sequence[Slot]) -> None:
        """The known plan, those that are alike in order of time."""
        for group in self._task.alike():
            for i, slot in zip(group, sorted(hint[i] for i in group), strict=True):
                self.cp.add_hint(self.start[i], slot.start)
                self.cp.add_hint(self.opened[i], slot.opened)
                for k, taken in self._classes[i].items():
                    self.cp.add_hint(taken, k == slot.bar)
