"""Being told to stop: an interrupt, SIGTERM, or a terminal that closes (SIGHUP), each heard alike.

While nothing has to be put away the process ends at once; where all that is open says how it is put away, that is done
and the process ends, without a way out through compiled code that expects none; else `Stopped` is raised, so that what
is half written is removed on the way out. A second interrupt ends the process at once: the next run sweeps.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType

#: What a command exits with that was told to stop.
CODE = 130
SAID = "interrupted; what stood before stands still"

_SIGNALS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
#: `starting`: processes that are being started; `later`: the signal that was heard meanwhile.
_STATE = {"told": 0, "worker": 0, "starting": 0, "later": 0}
#: What is open, outermost first: how it is put away, None where only its own way out knows.
_OPEN: list[Callable[[], object] | None] = []


class Stopped(KeyboardInterrupt):
    """The process was told to stop while something had to be put away."""


def hear_signals() -> None:
    """Hear them in this process; one that was ignored from the start (`nohup`) stays ignored."""
    for number in _SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _heard)


def hear_as_worker() -> None:
    """Hear SIGTERM alone, and say nothing: the process that gives out the work hears the others, and ends this one."""
    _STATE["worker"] = 1
    for number in _SIGNALS:
        signal.signal(number, _heard if number == signal.SIGTERM else signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def hear_nothing() -> None:
    """Leave it all to the process that began this one."""
    for number in _SIGNALS:
        signal.signal(number, signal.SIG_IGN)


@contextmanager
def put_away_first(put_away: Callable[[], object] | None = None) -> Iterator[None]:
    """Put something away before the process ends, as long as the context lasts.

    A worker that was told to stop ends here, when that is done: nobody waits for what it would have answered.

    Args:
        put_away: does it at any moment, after which the process ends; None where it is done when `Stopped` is raised.
    """
    _OPEN.append(put_away)
    try:
        yield
    finally:
        _OPEN.pop()
        if _STATE["told"] and _STATE["worker"] and not _OPEN:
            os._exit(CODE)


@contextmanager
def deaf_children() -> Iterator[None]:
    """Processes begun inside hear no interrupt and no closing terminal, from their first instruction on.

    What this process is told meanwhile it hears at the end: a process half begun would be ended by nobody.
    """
    _STATE["starting"] += 1
    try:
        with _masked():
            yield
    finally:
        _STATE["starting"] -= 1
        if _STATE["later"] and not _STATE["starting"]:
            number, _STATE["later"] = _STATE["later"], 0
            _heard(number, None)


@contextmanager
def _masked() -> Iterator[None]:
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing import resource_tracker

    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGHUP})
    try:
        resource_tracker.ensure_running()  # deaf to a closing terminal too; its start lets interrupts through again
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end_with_parent() -> None:
    """End when the process that gives out the work was killed: no other word of that reaches a worker that waits."""
    from multiprocessing import parent_process

    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(CODE)


def _heard(number: int, _frame: FrameType | None) -> None:
    if _STATE["starting"]:
        _STATE["later"] = number
        return
    again = _STATE["told"]
    _STATE["told"] = 1
    if _OPEN and not again:
        if None in _OPEN:
            raise Stopped
        for put_away in reversed(_OPEN):
            if put_away is not None:
                put_away()
    elif _OPEN and number != signal.SIGINT:
        return  # it is putting away already
    if not _STATE["worker"]:
        with suppress(OSError):
            os.write(2, f"{SAID}\n".encode())
    os._exit(CODE)
