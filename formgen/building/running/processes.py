"""Building: the processes of this machine, as an executor: one that dies costs its own job only, and no job is lost.

In: jobs, one call each. Out: a future for each. The processes are a kept library's pool; what it cannot see, a job that
went down with its process before it was told who took it, is looked for here.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import time
from concurrent import futures
from concurrent.futures import Executor, Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, nullcontext
from typing import Any, Self

from pebble import ProcessExpired, ProcessPool
from pebble.common.types import Result, ResultStatus
from pebble.pool.process import PoolManager

from formgen.stopping import deaf_children, hear_as_worker

#: Jobs after which a process is replaced by a fresh one, which keeps memory flat.
TASKS_PER_PROCESS = 40
#: How long a job may stand as taken by a process that has ended: its answer may still be on the way (s).
ANSWER_S = 2.0
#: How long a job that was given out may wait while a process has nothing to do (s).
TAKEN_S = 60.0


class Processes:
    """Processes of this machine, started afresh (spawn), each replaced after a while.

    Args:
        workers: how many; None takes one for each processor.
        tasks: jobs for each after which it is replaced.
    """

    def __init__(self, workers: int | None = None, tasks: int = TASKS_PER_PROCESS) -> None:
        self.workers = workers or os.cpu_count() or 1
        self._tasks = tasks

    def opened(self) -> _Pool:
        """A pool of processes that do not hear an interrupt: the process that gives out the jobs ends them."""
        return _Pool(self.workers, self._tasks)


class Kept:
    """Processes that stay from one opening to the next, so that each loads what it needs once; used as a context.

    Args:
        workers: how many; None takes one for each processor.
    """

    def __init__(self, workers: int | None = None) -> None:
        self._processes = Processes(workers)
        self.workers = self._processes.workers
        self._pool: _Pool | None = None

    def opened(self) -> AbstractContextManager[Executor]:
        """The pool that stands; another where it broke."""
        if self._pool is None or self._pool.broken:
            self.close()
            self._pool = self._processes.opened()
        return nullcontext(self._pool)

    def close(self) -> None:
        """End the processes when what was given out is done."""
        if self._pool is not None:
            self._pool.shutdown()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class _Pool(Executor):
    """The library's pool behind the face of any executor.

    Attributes:
        broken: it takes no jobs any more.
    """

    broken = False

    def __init__(self, workers: int, tasks: int) -> None:
        spawn = multiprocessing.get_context("spawn")
        self._pool = ProcessPool(workers, tasks, _begin, context=spawn)
        self._pool._pool_manager = _Watch(self._pool._context, spawn)  # noqa: SLF001 -- it has no door for that
        self._given: set[Future[Any]] = set()

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]  # as the base class has it
        call = pickle.dumps((fn, args, kwargs))  # read when it is known who took it
        try:
            with deaf_children():  # the first job begins the processes, and the thread that replaces them
                future = self._pool.schedule(_do, (call,))
        except RuntimeError as err:
            self.broken = True
            raise BrokenProcessPool(str(err)) from err
        self._given.add(future)
        future.add_done_callback(self._given.discard)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: ARG002, FBT001, FBT002 -- as the base class has it
        """End the processes when what was given out, and not taken back, is done."""
        futures.wait(set(self._given))
        self._pool.stop()  # type: ignore[no-untyped-call]  # no types are published for it
        self._pool.join()


class _Watch(PoolManager):
    """The library's own, which also gives back what was lost: a process may die between taking a job and saying so.

    It ends the processes before it takes away the locks that those which are still starting look for.
    """

    def __init__(self, *of_the_pool: Any) -> None:
        super().__init__(*of_the_pool)
        self._since: dict[int, float] = {}

    def stop(self) -> None:
        """End the processes, then take their channel away."""
        self.worker_manager.force_stop_workers()  # type: ignore[no-untyped-call]
        self.worker_manager.close_channels()  # type: ignore[no-untyped-call]

    def update_tasks(self) -> None:
        """Look, every tenth of a second, for jobs that nobody works on."""
        super().update_tasks()  # type: ignore[no-untyped-call]
        tasks, now = dict(self.task_manager.tasks), time.monotonic()
        there, busy = set(self.worker_manager.workers), {task.worker_id for task in tasks.values()}
        doubtful = {
            number: ANSWER_S if task.worker_id else TAKEN_S
            for number, task in tasks.items()
            if (task.worker_id not in there if task.worker_id else there - busy)
        }
        self._since = {number: self._since.get(number, now) for number in doubtful}
        for number, patience_s in doubtful.items():
            if now - self._since[number] > patience_s:
                if not tasks[number].worker_id:
                    self.task_manager.task_start(number, None)
                lost = ProcessExpired("lost with its process")  # type: ignore[no-untyped-call]
                self.task_manager.task_done(number, Result(ResultStatus.ERROR, lost))


def _begin() -> None:
    """Begin as a worker, with all that a job needs loaded before the first is taken."""
    import formgen.building.running.jobs  # noqa: F401

    hear_as_worker()


def _do(call: bytes) -> Any:
    fn, args, kwargs = pickle.loads(call)  # noqa: S301 -- from the process that began this one
    return fn(*args, **kwargs)
