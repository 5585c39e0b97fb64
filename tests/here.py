"""A batch whose jobs are done in this process, one after another: no test waits for processes that it is not about."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from typing import Any

from formgen.building.running.pool import Given


class Here(Executor):
    """Does a job when it is given out."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """The job's result, or its error."""
        done: Future[Any] = Future()
        try:
            done.set_result(fn(*args, **kwargs))
        except Exception as err:  # as a process hands it back
            done.set_exception(err)
        return done


@contextmanager
def opened_here(_workers: int | None = None) -> Iterator[Given]:
    """A place for jobs in this process."""
    yield Given(Here(), 1)
