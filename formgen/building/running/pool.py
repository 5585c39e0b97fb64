"""Building: jobs given to processes, here or on a cluster, so that a process that dies costs its own job only.

In: jobs and where they run. Out: what became of each, as it becomes known; of other tasks the results in their order.
Any `concurrent.futures.Executor` serves.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, nullcontext
from typing import Any, Protocol

from pebble import ProcessExpired

from formgen.building.running.jobs import Done, Job, build

#: Jobs that are given out for each worker at a time: enough that none waits.
GIVEN_OUT_PER_WORKER = 2
#: Fewer forms than this are dealt with here: other processes would take longer to begin.
WORTH_PROCESSES = 6


class WorkerKilledError(Exception):
    """Processes died of this job, one after another."""


class PlaceLostError(Exception):
    """Nobody is left where jobs run; the message says what to do."""


#: With these a job comes back whose process died, or whose executor broke.
DIED = (ProcessExpired, BrokenProcessPool)


class Place(Protocol):
    """A place where jobs run."""

    @property
    def workers(self) -> int:
        """The number of jobs that run at once."""

    def opened(self) -> AbstractContextManager[Executor]:
        """An executor for a while; asked for again where one broke."""


#: Opens where jobs run.
Opens = Callable[[], AbstractContextManager[Place]]
#: Told how many of how many tasks have ended.
Ended = Callable[[int, int], None]


class Given:
    """An executor of the caller's own, which stays open. One that breaks is not replaced.

    Args:
        executor: any executor; its processes must be able to import formgen and see the same folders.
        workers: how many jobs it runs at once.
    """

    def __init__(self, executor: Executor, workers: int) -> None:
        self._executor = executor
        self.workers = workers

    def opened(self) -> AbstractContextManager[Executor]:
        """The executor, which is left open."""
        return nullcontext(self._executor)


def run_batch(
    jobs: Sequence[Job],
    place: Place,
    *,
    keep_going: bool = True,
    task: Callable[[Job], Done] = build,
) -> Iterator[Done]:
    """Run jobs and yield what became of each, in the order in which they end.

    A job whose process was killed is run once more, after the others. On an interrupt jobs that have begun are finished
    and no other is begun; what stands by then stands.

    Args:
        jobs: what to build, each name once.
        place: where.
        keep_going: whether further jobs are given out after one was refused; those that are out are finished.
        task: what a job is done by; a function that another process can import.
    """
    waiting, died = deque(jobs), set[str]()
    while waiting:
        for done in _run(waiting, died, place, task):
            yield done
            if done.refused and not keep_going:
                waiting.clear()


def _run(waiting: deque[Job], died: set[str], place: Place, task: Callable[[Job], Done]) -> Iterator[Done]:
    """Run the jobs that wait until none is left or the executor breaks; one whose process died waits again, once."""
    out: dict[Future[Done], Job] = {}
    most, broken = place.workers * GIVEN_OUT_PER_WORKER if place.workers > 1 else 1, False
    with place.opened() as executor:
        try:
            while out or (waiting and not broken):
                while waiting and not broken and len(out) < most:
                    job = waiting.popleft()
                    out[_given(executor, task, job)] = job
                for future in wait(out, return_when=FIRST_COMPLETED).done:
                    job, err = out.pop(future), future.exception()
                    broken |= isinstance(err, BrokenProcessPool)
                    if isinstance(err, DIED) and job.name not in died:
                        died.add(job.name)
                        waiting.append(job)
                    else:
                        yield _failed(job, err) if err else future.result()
        finally:
            for future in out:
                if not future.running():
                    future.cancel()


def _given(executor: Executor, task: Callable[[Job], Done], job: Job) -> Future[Done]:
    """The job's result to be, or why nobody takes it."""
    try:
        return executor.submit(task, job)
    except (BrokenProcessPool, PlaceLostError) as err:
        refused: Future[Done] = Future()
        refused.set_exception(err)
        return refused


def _failed(job: Job, err: BaseException) -> Done:
    """Return what became of a job that did not end."""
    if isinstance(err, PlaceLostError):
        said = f"{job.name}: {err}"
    elif isinstance(err, (*DIED, WorkerKilledError)):
        said = f"{job.name}: its process was killed, expected it to end: is there memory left? build it again"
    else:
        text = " ".join(str(err).split())
        said = (
            f"{type(err).__name__}: {text}: the job was lost, expected a form; build it again, and report this if it "
            "stays"
        )
    return Done(name=job.name, refused=said)


def nobody(_done: int, _of: int) -> None:
    """Nobody asks how far it is."""


def side_by_side(
    tasks: Sequence[tuple[Callable[..., Any], tuple[Any, ...]]],
    place: Opens | None,
    ended: Ended = nobody,
    forms: int | None = None,
) -> list[Any]:
    """Results of tasks in their order; what a killed process leaves is run here.

    Args:
        tasks: functions that another process can import, with their arguments.
        place: where they are done, where there are enough forms to be worth it; None for here.
        ended: told how many have ended.
        forms: how many forms they are about; None for one each.
    """
    found: list[Any] = []
    if place is None or (len(tasks) if forms is None else forms) < WORTH_PROCESSES:
        for task, given in tasks:
            found.append(task(*given))
            ended(len(found), len(tasks))
        return found
    with place() as there, there.opened() as executor:
        futures = [executor.submit(task, *given) for task, given in tasks]
        try:
            for future, (task, given) in zip(futures, tasks, strict=True):
                try:
                    found.append(future.result())
                except (*DIED, PlaceLostError, WorkerKilledError):
                    found.append(task(*given))
                ended(len(found), len(tasks))
        finally:
            for future in futures:
                future.cancel()
    return found
