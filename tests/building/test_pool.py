"""Processes that die, executors of other makes, and pools that are replaced."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path
from threading import Barrier, Event

import pytest
from pebble import ProcessExpired
from pebble.pool.process import WorkerManager

from formgen.building.running import processes
from formgen.building.running.engine import Cluster, EngineError, opened_engine
from formgen.building.running.jobs import Done, Job
from formgen.building.running.pool import Given, run_batch
from formgen.building.running.processes import Kept, Processes
from formgen.building.schedule.opening import Schedule
from tests.building.failing import dies_of_two, goes_wrong

unix = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")


@pytest.fixture
def jobs(scheduled: Callable[..., Schedule], tmp_path: Path) -> Callable[..., list[Job]]:
    recipe = scheduled("opening\nA\n").openings[0].recipe

    def make(*names: str) -> list[Job]:
        named = (replace(recipe, asked=recipe.asked.model_copy(update={"name": name})) for name in names)
        return [Job(recipe=one, output=tmp_path / "out") for one in named]

    return make


@unix
def test_a_killed_worker_costs_its_own_job_only(jobs: Callable[..., list[Job]]) -> None:
    names = ["a", "deadly-1", "b", "c", "d", "deadly-2", "e", "f"]
    done = {d.name: d for d in run_batch(jobs(*names), Processes(2), task=dies_of_two)}
    assert sorted(done) == sorted(names)
    assert {name for name, d in done.items() if d.refused} == {"deadly-1", "deadly-2"}
    assert "its process was killed" in done["deadly-1"].refused


@unix
def test_an_executor_that_breaks_for_good_ends(jobs: Callable[..., list[Job]]) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as own:
        done = list(run_batch(jobs("a", "deadly", "b", "c"), Given(own, 1), task=dies_of_two))
    assert [d.name for d in done] == ["a", "deadly", "b", "c"]
    assert [bool(d.refused) for d in done] == [False, True, True, True]


def test_what_nobody_foresaw_is_one_line(jobs: Callable[..., list[Job]]) -> None:
    with ThreadPoolExecutor(2) as own:
        done = list(run_batch(jobs("a", "b"), Given(own, 2), task=goes_wrong))
    assert [d.refused.splitlines() for d in done] == [
        [
            (
                "RuntimeError: the disk fell off: the job was lost, expected a form; build it again, "
                "and report this if it stays"
            )
        ]
    ] * 2


def test_nothing_further_is_begun_after_a_refusal(jobs: Callable[..., list[Job]]) -> None:
    begun: list[str] = []

    def task(job: Job) -> Done:
        begun.append(job.name)
        return Done(name=job.name, refused="no" if job.name == "b" else "")

    with ThreadPoolExecutor(1) as own:
        done = list(run_batch(jobs(*"abcdef"), Given(own, 1), keep_going=False, task=task))
    assert [d.name for d in done] == ["a", "b"]
    assert begun == ["a", "b"]


def test_what_is_out_when_one_is_refused_is_told(jobs: Callable[..., list[Job]]) -> None:
    both, told = Barrier(2), Event()

    def task(job: Job) -> Done:
        if job.name in "ab":
            both.wait(timeout=30)  # both are out before either ends
        if job.name == "b":
            told.wait(timeout=30)  # and this one is out still when the other's refusal is known
        return Done(name=job.name, refused="no" if job.name == "a" else "")

    names = []
    with ThreadPoolExecutor(2) as own:
        for done in run_batch(jobs(*"abcdef"), Given(own, 2), keep_going=False, task=task):
            names.append(done.name)
            if done.refused:
                told.set()
    assert names.index("a") < names.index("b")


def test_processes_are_replaced_after_their_share(jobs: Callable[..., list[Job]]) -> None:
    names = list("abcdefg")
    done = list(run_batch(jobs(*names), Processes(1, tasks=3), task=dies_of_two))
    pids = [d.seconds for d in done]
    assert [d.name for d in done] == names
    assert [pids.count(pid) for pid in dict.fromkeys(pids)] == [3, 3, 1]


class _Careless(Processes):
    """A pool that loses the first job it is given, as when a process dies between taking a job and saying so."""

    def opened(self) -> AbstractContextManager[Executor]:
        executor = super().opened()
        workers = executor._pool._pool_manager.worker_manager  # type: ignore[attr-defined]
        send, lost = workers.dispatch, []
        workers.dispatch = lambda task: send(task) if lost else lost.append(task)
        return executor


def test_a_job_that_went_down_unsaid_with_its_process_is_done_again(
    jobs: Callable[..., list[Job]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(processes, "TAKEN_S", 0.5)
    done = list(run_batch(jobs("a", "b", "c"), _Careless(1), task=dies_of_two))
    assert [d.name for d in done if not d.refused] == ["b", "c", "a"]


def test_an_interrupt_does_not_wait_for_a_job_that_nobody_has(jobs: Callable[..., list[Job]]) -> None:
    """The usual patience would take a minute."""
    begin = time.monotonic()
    done = run_batch(jobs("a", "b", "c"), _Careless(2), task=dies_of_two)
    assert {next(done).name, next(done).name} == {"b", "c"}
    done.close()  # as an interrupt does
    assert time.monotonic() - begin < processes.TAKEN_S / 2


def test_a_job_whose_process_was_gone_before_it_said_so_is_given_back() -> None:
    """The word that it took the job comes in when its end is known already."""
    with Processes(1).opened() as executor:
        watch = executor._pool._pool_manager  # type: ignore[attr-defined]
        watch.worker_manager.dispatch = lambda _: None
        future = executor.submit(pow, 2, 5)
        while not watch.task_manager.tasks:
            time.sleep(0.01)
        watch.task_manager.task_start(next(iter(watch.task_manager.tasks)), 999_999_999)
        with pytest.raises(ProcessExpired):
            future.result(timeout=60.0)


def test_an_engine_that_is_none_is_refused() -> None:
    for name in ("threads", "dask=localhost", "dask=tcp://x/y:1"):
        with pytest.raises(EngineError, match="expected processes, dask=tcp://host:port"), opened_engine(name, 1):
            pass


def test_dask_that_is_not_installed_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(EngineError, match="Dask is not installed"), opened_engine("dask=tcp://127.0.0.1:1", 1):
        pass


class _KilledError(Exception):
    """As a cluster has one."""


class _Client:
    """A cluster whose workers leave, and which ends jobs as it is told."""

    def __init__(self, *ends: object) -> None:
        self.ends = list(ends)
        self.workers = {"a": 1}

    def nthreads(self) -> dict[str, int]:
        return self.workers

    def get_executor(self, **_how: bool) -> _Client:
        return self

    def submit(self, _task: object, job: Job) -> Future[Done]:
        far: Future[Done] = Future()
        end = self.ends.pop(0)
        if end == "dropped":
            far.cancel()
        elif isinstance(end, Exception):
            far.set_exception(end)
        elif end == "done":
            far.set_result(Done(name=job.name))
        else:
            self.workers = {}
        return far


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        (("done", "for ever", "for ever"), ["", "no worker is left at tcp://x:1", "no worker is left at tcp://x:1"]),
        (("done", "dropped", "done"), ["", "the cluster at tcp://x:1 dropped its jobs", ""]),
        (("done", _KilledError(), "done"), ["", "its process was killed", ""]),
        (("done", OSError("gone"), "done"), ["", "OSError: gone: the job was lost", ""]),
    ],
    ids=["no worker is left", "its scheduler ended", "workers died of a job", "something else"],
)
def test_a_cluster_that_is_lost_keeps_nobody_waiting(
    jobs: Callable[..., list[Job]], ends: tuple[object, ...], said: list[str]
) -> None:
    with Cluster(_Client(*ends), "tcp://x:1", _KilledError, waited_s=0.1) as cluster:
        done = {d.name: d for d in run_batch(jobs("a", "b", "c"), Given(cluster, 1))}
    assert [name in done and part in done[name].refused for name, part in zip("abc", said, strict=True)] == [True] * 3
    assert [bool(done[name].refused) for name in "abc"] == [bool(part) for part in said]


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_a_dask_cluster_builds_the_same_bytes(jobs: Callable[..., list[Job]], tmp_path: Path) -> None:
    """A scheduler and a worker in processes of their own on this machine."""
    distributed = pytest.importorskip("distributed", reason="Dask is an optional extra and not installed")
    here = jobs("A", "B")
    there = [replace(job, output=tmp_path / "there") for job in here]
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=True, dashboard_address="127.0.0.1:0", host="127.0.0.1"
        ) as cluster,
        opened_engine(f"dask={cluster.scheduler_address}", None) as place,
    ):
        assert all(not done.refused for done in run_batch(there, place))
    assert all(not done.refused for done in run_batch(here, Processes(1)))
    assert contents(tmp_path / "there") == contents(tmp_path / "out")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_pool_ends_its_processes_before_it_takes_their_locks_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """One that was still starting looked for its locks, which were gone, and told a traceback."""
    order = []

    def watched(name: str) -> Callable[[WorkerManager], None]:
        done = getattr(WorkerManager, name)
        return lambda manager: (order.append(name), done(manager))[1]

    for name in ("close_channels", "force_stop_workers"):
        monkeypatch.setattr(WorkerManager, name, watched(name))
    with Processes(2).opened() as pool:
        pool.submit(len, ()).cancel()
    assert order == ["force_stop_workers", "close_channels"]


def test_processes_stay_from_one_opening_to_the_next_and_are_replaced_where_they_broke() -> None:
    with Kept(1) as kept:
        with kept.opened() as pool:
            first = pool.submit(os.getpid).result()
        with kept.opened() as pool:
            assert pool.submit(os.getpid).result() == first
        pool.shutdown()
        with pytest.raises(BrokenProcessPool):
            pool.submit(os.getpid)
        with kept.opened() as pool:
            assert pool.submit(os.getpid).result() != first
    with pytest.raises(BrokenProcessPool):
        pool.submit(os.getpid)
