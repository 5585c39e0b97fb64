"""Building: where the command line says that jobs run: processes here, or a Dask cluster.

In: `processes` or the address of a scheduler, `dask=tcp://host:port`. Out: a place for jobs, open while it is needed.
Traffic with a cluster is neither secret nor checked unless the address is `tls://`: use it in a network that you trust.
Its workers must have the same version of formgen and see the results' folder under the same path.
A cluster gives a job whose worker dies to another by itself; here is what it leaves open: it waits for ever where no
worker is left, and drops its jobs where the scheduler ends.
"""

from __future__ import annotations

import logging
import re
import time
from collections.abc import Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from threading import Event, Lock, Thread
from typing import Any

from formgen.building.running.pool import Given, Place, PlaceLostError, WorkerKilledError
from formgen.building.running.processes import Kept
from formgen.errors import FormgenError

#: Workers that were restarted are back within this time (s).
WAITED_S = 30.0
#: How often it is asked whether there are any (s).
_LOOK_S = 1.0


class Cluster(Executor):
    """Jobs on a cluster; none of them is waited for longer than there is somebody to do it.

    Args:
        client: of the cluster, connected.
        address: of its scheduler, for messages.
        killed: the error with which the cluster gives up a job that several workers died of.
        waited_s: for how long there may be no worker.
    """

    def __init__(self, client: Any, address: str, killed: type[Exception], waited_s: float = WAITED_S) -> None:
        self._client, self._address, self._killed, self._waited_s = client, address, killed, waited_s
        self._executor: Executor = client.get_executor(pure=False)
        self._out: set[Future[Any]] = set()
        self._lock, self._ended = Lock(), Event()
        self._gone = ""
        self._dropped = f"the cluster at {address} dropped its jobs: start it and run this again"
        Thread(target=self._watch, daemon=True).start()

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]  # as the base class has it
        """The job's result to be.

        Raises:
            PlaceLostError: nobody is left who could do it.
        """
        if self._gone:
            raise PlaceLostError(self._gone)
        near: Future[Any] = Future()
        with self._lock:
            self._out.add(near)
        try:
            far = self._executor.submit(fn, *args, **kwargs)
        except Exception as err:  # as it says that it is closed
            raise PlaceLostError(self._dropped) from err
        near.add_done_callback(lambda _: near.cancelled() and far.cancel())
        far.add_done_callback(lambda _: self._settle(near, far))
        return near

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: ARG002, FBT001, FBT002 -- as the base class has it
        """Look after nothing any longer; the client is its opener's to close."""
        self._ended.set()

    def _settle(self, near: Future[Any], far: Future[Any]) -> None:
        """Tell a future what became of its job on the cluster."""
        if far.cancelled():
            self._end(near, PlaceLostError(self._dropped))
        elif isinstance(far.exception(), self._killed):
            self._end(near, WorkerKilledError())
        else:
            self._end(near, far.exception(), None if far.exception() else far.result())

    def _end(self, near: Future[Any], error: BaseException | None, result: Any = None) -> None:
        """Tell whoever waits, once."""
        with self._lock:
            if near not in self._out:
                return
            self._out.remove(near)
        if not near.set_running_or_notify_cancel():
            return
        if error is None:
            near.set_result(result)
        else:
            near.set_exception(error)

    def _watch(self) -> None:
        """End what is out when there has been no worker for a while."""
        seen_s = time.monotonic()
        while not self._ended.wait(_LOOK_S):
            try:
                workers = len(self._client.nthreads())
            except Exception:  # whatever it is: nobody answers
                workers = 0
            if workers:
                seen_s = time.monotonic()
            elif time.monotonic() - seen_s > self._waited_s:
                self._gone = f"no worker is left at {self._address}, expected some: start workers and run this again"
                for near in list(self._out):
                    self._end(near, PlaceLostError(self._gone))
                return


_ADDRESS = re.compile(r"dask=((?:tcp|tls)://[^\s/]+:[0-9]+)")


class EngineError(FormgenError, ValueError):
    """An engine that is not known, not installed or not reached."""


@contextmanager
def opened_engine(engine: str, workers: int | None) -> Iterator[Place]:
    """The place that an engine's name means.

    Raises:
        EngineError: the name is not one, Dask is not installed, or nothing answers at the address.
    """
    if engine == "processes":
        with Kept(workers) as kept:
            yield kept
        return
    match = _ADDRESS.fullmatch(engine)
    if match is None:
        raise EngineError(
            f"--engine {engine}, expected processes, dask=tcp://host:port or dask=tls://host:port; write one of them"
        )
    try:
        import distributed
    except ImportError as err:
        raise EngineError(
            "--engine dask: Dask is not installed, expected it beside formgen: pip install 'formgen[dask]'"
        ) from err
    _say_nothing()
    try:
        make: Any = distributed.Client  # untyped where it is installed, unknown where it is not
        client: Any = make(match[1], timeout="10s", set_as_default=False)
    except (OSError, ValueError) as err:
        raise EngineError(
            f"--engine {engine}: no scheduler answers there ({err}); start it, or correct the address"
        ) from err
    with client:
        there = sum(client.nthreads().values())
        if there == 0:
            raise EngineError(f"--engine {engine}: the scheduler has no workers, expected some; start workers there")
        with Cluster(client, match[1], distributed.KilledWorker) as cluster:
            yield Given(cluster, workers or there)


def _say_nothing() -> None:
    """Silence the cluster's library: what has to be told is told by whoever waits for the jobs."""
    for name in ("distributed", "distributed.client", "tornado", "tornado.application", "asyncio"):
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
