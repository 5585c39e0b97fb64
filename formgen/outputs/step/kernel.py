"""Stage `outputs`: the solid kernel in a process of its own, warmed up while the recipe is still being read.

Loading the kernel takes longer than all the rest of a build. Where there is a second processor it happens beside the
rest; without such a process the same tasks run where they are called.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.reduction import ForkingPickler
from threading import Thread
from typing import Any, ParamSpec, TypeVar, cast

from formgen.errors import ExportError
from formgen.form.solid_kernel import load_cadquery
from formgen.stopping import deaf_children, hear_nothing

P = ParamSpec("P")
T = TypeVar("T")


DIED = "the solid kernel's process ended before its work was done: is there memory left? build again"


class Kernel:
    """A process that does tasks in the order in which they are begun.

    Args:
        connection: the near end of the pipe to it.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._sending: Thread | None = None

    def begin(self, task: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> Callable[[], T]:
        """Begin a task; what is returned waits for its result. Results are fetched in the order of the tasks.

        A form is larger than what a pipe holds, and nobody reads at the other end before the kernel is loaded: a
        thread does the sending, so that nobody waits for it here.

        Raises:
            ExportError: from waiting for the result, when the kernel's process died; else what the task raised.
        """
        work = ForkingPickler.dumps(partial(task, *args, **kwargs))
        sending = Thread(target=self._send, args=(work, self._sending), daemon=True)
        sending.start()
        self._sending = sending

        def result() -> T:
            try:
                done, value = self._connection.recv()
            except (EOFError, OSError) as err:  # before its answer, or in the middle of it
                raise ExportError(DIED) from err
            if not done:
                raise value
            return cast("T", value)

        return result

    def close(self) -> None:
        """Close the pipe when nobody writes to it any more: a number of a closed file may be another file's at once.

        The process must have ended, or be reading: what is being sent is waited for.
        """
        if self._sending is not None:
            self._sending.join()
        self._connection.close()

    def _send(self, task: bytes, after: Thread | None) -> None:
        """Send a task when the one before it is sent; a process that died is told of where its answer is awaited."""
        if after is not None:
            after.join()
        with suppress(OSError):
            self._connection.send_bytes(task)


def begun(kernel: Kernel | None, task: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> Callable[[], T]:
    """A task begun in the kernel's process, or, where there is none, done here when its result is asked for."""
    return partial(task, *args, **kwargs) if kernel is None else kernel.begin(task, *args, **kwargs)


@contextmanager
def warm_kernel() -> Iterator[Kernel | None]:
    """A process that is loading the kernel already; None on a machine with one processor.

    It is ended when the work is; when this process is killed, the pipe closes, and the other ends by itself.
    """
    if (os.cpu_count() or 1) < 2:
        yield None
        return
    context = get_context("spawn")
    near, far = context.Pipe()
    process = context.Process(target=_serve, args=(far,), daemon=True)
    with deaf_children():
        process.start()
    far.close()
    kernel = Kernel(near)
    try:
        yield kernel
    finally:
        process.kill()  # it may still be loading, and read nothing of what is being sent
        process.join()
        kernel.close()


def _serve(connection: Connection) -> None:
    """The kernel's process: load the kernel, do what comes through the pipe, end when it closes."""
    hear_nothing()  # the parent is told to stop too, and removes what is half done
    load_cadquery()

    try:
        while True:
            task: Callable[[], Any] = connection.recv()
            try:
                answer = (True, task())
            except Exception as err:
                answer = (False, err)
            connection.send(answer)
    except (EOFError, OSError):  # the other end closed, or its process was killed
        os._exit(0)  # taking the kernel apart would cost about as long as making a form
