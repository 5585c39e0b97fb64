"""Building: jobs given to a Dask cluster, which may lose a worker, all of them, or its scheduler, while jobs are out.

In: a client of the cluster. Out: an executor. A job whose worker dies is given to another by the cluster itself; here
is what the cluster leaves open: it waits for ever where no worker is left, and drops its jobs where the scheduler ends.
"""

from __future__ import annotations

import time
from concurrent.futures import Executor, Future
from threading import Event, Lock, Thread
from typing import Any

from formgen.building.running.pool import PlaceLostError, WorkerKilledError

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
