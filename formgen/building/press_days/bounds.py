"""Building: days that one thing alone makes necessary, proven in closed form.

In: a `Task`. Out: for bags, bars, each contested form and the people the days that they need even if all else were
there in plenty. On one unit glue-ups follow each other; the earlier one ends the earlier the next may, so that as many
as possible come off it by taking each at once, all as short as the shortest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formgen.building.press_days.model import Demand
from formgen.building.press_days.task import Task, Work


def demands(task: Task) -> tuple[Demand, ...]:
    """Days that each makes necessary, most first: no plan falls below the first."""
    steps = sum(work.lay + work.out for work in task.works)
    bagged = [work for work in task.works if work.bag]
    found = [
        Demand(what="glue and working hours", days=max((_chain(task, [work], 1) for work in task.works), default=0)),
        Demand(what="people", days=-(-steps // (task.teams * task.calendar.open_steps))),
        Demand(what="bags", days=_longest(task, bagged, task.bags)),
    ]
    bars = [_bars(task, least) for least in range(len(task.bars))]
    if any(bars):
        found.append(Demand(what="bars", days=max(bars)))
    for form in sorted(task.contested):
        alike = [work for work in task.works if work.form == form]
        found.append(Demand(what=f"form {form}", days=_form(task, alike)))
    return tuple(sorted(found, key=lambda demand: (-demand.days, demand.what)))


def total_at_least(task: Task) -> int:
    """A sum of the steps at which parts are out that no plan falls below.

    Of n parts from m bags, the k-th that is out cannot be sooner than the ⌈k/m⌉-th of one bag that gives only the
    shortest glue-ups; a part under clamps cannot be sooner than alone.
    """
    bagged = [work for work in task.works if work.bag]
    outs = list(_outs(task, bagged, -(-len(bagged) // task.bags))) if bagged else []
    alone = sum(out for work in task.works if not work.bag for out in _outs(task, [work], 1))
    return alone + sum(outs[k // task.bags] for k in range(len(bagged)))


def _bars(task: Task, least: int) -> int:
    """Bars of a class and of all that reach farther, for all glue-ups that no shorter one serves."""
    needing = [work for work in task.works if work.bars and work.bars[0] >= least]
    return _longest(task, needing, sum(task.bars[least:])) if needing else 0


def _longest(task: Task, works: Sequence[Work], units: int) -> int:
    """Days on so many units that are held throughout: the most of what only the longer glue-ups need.

    Those are all of them, then those that take longer than the shortest, and so on.
    """
    longer = ([work for work in works if work.steps >= shortest] for shortest in {work.steps for work in works})
    return max((_chain(task, held, units) for held in longer), default=0)


def _form(task: Task, works: Sequence[Work]) -> int:
    """Days on one form: those that stay on it, and all, each as short as what comes off it soonest."""
    staying = [work for work in works if not work.off]
    together = _chain(task, works, 1, frees_at_once=len(staying) < len(works))
    return max(together, _longest(task, staying, 1))


def _chain(task: Task, works: Sequence[Work], units: int, *, frees_at_once: bool = False) -> int:
    """Days until as many glue-ups, one after the other, come off the busiest of so many units.

    Each is reckoned with the shortest times of all, so that none could be out sooner.
    """
    *_, out = _outs(task, works, -(-len(works) // units), frees_at_once=frees_at_once)
    return task.calendar.number(out - 1)


def _outs(task: Task, works: Sequence[Work], count: int, *, frees_at_once: bool = False) -> Iterator[int]:
    """Steps at which so many glue-ups are out, one after the other on one unit, all as short as the shortest."""
    lay, press, out = (min(times) for times in zip(*((w.lay, w.press, w.out) for w in works), strict=True))
    attended, step = min(task.attended(work) for work in works), 0
    for _ in range(count):
        start = task.calendar.earliest(step, attended)
        opened = task.calendar.earliest(start + lay + press, out)
        step = start + lay if frees_at_once else opened + out
        yield opened + out
