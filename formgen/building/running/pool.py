"""Building: jobs given to processes, here or on a cluster, so that a process that dies costs its own job only.

In: jobs and where they run. Out: what became of each, as it becomes known. Any `concurrent.futures.Executor` serves.
"""

from __future__ import annotations

import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack
from typing import Protocol

from formgen.building.running.jobs import Done, Job, build
from formgen.stopping import deaf_children, hear_as_worker

#: Jobs for each worker after which a pool is replaced by a fresh one, which keeps memory flat. (The pool's own
#: `max_tasks_per_child` can leave it without processes and hang: CPython issue 115634.)
TASKS_PER_PROCESS = 40
#: Jobs that are given out for each worker at a time: enough that none waits, few enough to know who died of what.
GIVEN_OUT_PER_WORKER = 2


class WorkerKilledError(Exception):
    """Processes died of this job, one after another."""


class PlaceLostError(Exception):
    """Nobody is left where jobs run; the message says what to do."""


class Place(Protocol):
    """Where jobs run."""

    @property
    def workers(self) -> int:
        """How many jobs run at once."""

    @property
    def tasks(self) -> int | None:
        """Jobs for each worker after which a fresh executor is opened; None for never."""

    def opened(self, workers: int) -> Executor:
        """An executor with at most so many workers; asked for again where one broke."""


class Processes:
    """Processes of this machine, started afresh (spawn), all replaced after a while.

    Args:
        workers: how many; None takes one for each processor.
        tasks: jobs for each after which they are replaced.
    """

    def __init__(self, workers: int | None = None, tasks: int = TASKS_PER_PROCESS) -> None:
        self.workers = workers or os.cpu_count() or 1
        self.tasks = tasks

    def opened(self, workers: int) -> Executor:
        """A pool of processes that do not hear an interrupt: the process that gives out the jobs ends them."""
        with deaf_children():  # with its locks begins the process that tidies up after them
            return ProcessPoolExecutor(
                max_workers=min(workers, self.workers),
                mp_context=multiprocessing.get_context("spawn"),
                initializer=hear_as_worker,
            )


class Given:
    """An executor of the caller's own, which stays open. One that breaks is not replaced.

    Args:
        executor: any executor; its processes must be able to import formgen and see the same folders.
        workers: how many jobs it runs at once.
    """

    def __init__(self, executor: Executor, workers: int) -> None:
        self._executor = executor
        self.workers = workers
        self.tasks = None

    def opened(self, workers: int) -> Executor:  # noqa: ARG002 -- how many run at once is the executor's own affair
        """The executor, which closing leaves open."""
        return _LeftOpen(self._executor)


class _LeftOpen(Executor):
    """Passes jobs on to an executor that somebody else closes."""

    def __init__(self, executor: Executor) -> None:
        self._executor = executor

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]  # as the base class has it
        return self._executor.submit(fn, *args, **kwargs)


def run_batch(
    jobs: Sequence[Job],
    place: Place | None = None,
    *,
    keep_going: bool = True,
    task: Callable[[Job], Done] = build,
) -> Iterator[Done]:
    """Run jobs and yield what became of each, in the order in which they end.

    A worker that is killed breaks the whole pool; the jobs that were out are then run again one at a time, so that the
    one that kills its worker is found, and only that one is lost. On an interrupt jobs that have begun are finished and
    no other is begun; what stands by then stands.

    Args:
        jobs: what to build, each name once.
        place: where; None takes processes of this machine.
        keep_going: whether further jobs are given out after one was refused; those that are out are finished.
        task: what a job is done by; a function that another process can import.
    """
    here = place or Processes()
    waiting, suspects = deque(jobs), deque[Job]()
    while waiting or suspects:
        alone = bool(suspects)
        lane = suspects if alone else waiting
        for done in _run(lane, suspects, here, task, 1 if alone else here.workers):
            yield done
            if done.refused and not keep_going:
                waiting.clear()
                suspects.clear()


def _run(
    lane: deque[Job], suspects: deque[Job], place: Place, task: Callable[[Job], Done], workers: int
) -> Iterator[Done]:
    """Run jobs of a lane until it is empty, the executor has done its share, or it breaks with jobs out (suspects)."""
    out: dict[Future[Done], Job] = {}
    most = workers * GIVEN_OUT_PER_WORKER if workers > 1 else 1
    begun, share = 0, workers * place.tasks if place.tasks else None
    with ExitStack() as stack:
        executor = place.opened(workers)
        stack.callback(executor.shutdown, wait=True, cancel_futures=True)
        stack.callback(lambda: [future.cancel() for future in out])
        while out or (lane and begun != share):
            try:
                while lane and len(out) < most and begun != share:
                    with deaf_children():
                        out[executor.submit(task, lane[0])] = lane[0]
                    lane.popleft()
                    begun += 1
            except (BrokenProcessPool, PlaceLostError) as err:
                if not begun:  # broken before it was given anything: it will never do better
                    yield _failed(lane.popleft(), err)
                yield from _broken(out, suspects, err, alone=workers == 1)
                return
            for future in wait(out, return_when=FIRST_COMPLETED).done:
                try:
                    done = future.result()
                except (BrokenProcessPool, PlaceLostError) as err:
                    yield from _broken(out, suspects, err, alone=workers == 1)
                    return
                except Exception as err:
                    done = _failed(out[future], err)
                del out[future]
                yield done


def _broken(
    out: dict[Future[Done], Job], suspects: deque[Job], err: BrokenProcessPool | PlaceLostError, *, alone: bool
) -> Iterator[Done]:
    """What a broken pool leaves: results that came in time; a job that ran alone is lost, others are suspects."""
    for future, job in out.items():
        if future.done() and not future.cancelled() and future.exception() is None:
            yield future.result()
        elif alone or isinstance(err, PlaceLostError):
            yield _failed(job, err)
        else:
            suspects.append(job)


def _failed(job: Job, err: Exception) -> Done:
    """What became of a job that did not end."""
    if isinstance(err, PlaceLostError):
        said = f"{job.name}: {err}"
    elif isinstance(err, BrokenProcessPool | WorkerKilledError):
        said = f"{job.name}: its process was killed, expected it to end: is there memory left? build it again"
    else:
        text = " ".join(str(err).split())
        said = (
            f"{type(err).__name__}: {text}: the job was lost, expected a form; build it again, and report this if it "
            "stays"
        )
    return Done(name=job.name, refused=said)
