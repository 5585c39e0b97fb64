"""Building: what happens while a batch runs, told to whoever shows it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from typing import Any

from formgen.fixed import fixed


@fixed
class Event:
    """Something that happened.

    Args:
        what: `phase`, `reading`, `sharing`, `estimated`, `judging`, `divided`, `planned`, `stands`, `built`,
            `refused`, `nesting` or `written`.
        name: of the form; of the opening, or empty, where a row is refused.
        message: what to tell, if anything.
        done, of: forms that are settled, and forms in all; while reading or sharing, openings; of a phase its number.
        seconds: how long a form took.
        found: numbers of an estimate.
    """

    what: str
    name: str = ""
    message: str = ""
    done: int = 0
    of: int = 0
    seconds: float = 0.0
    found: Mapping[str, Any] = field(default_factory=dict)


Tell = Callable[[Event], None]
#: With fewer than this nobody waits long enough to be told how far it is.
WORTH_TELLING = 20
#: How often it is told how far a stretch of work is.
STEPS = 100


def tell_how_far(tell: Tell, what: str, message: str, done: int, of: int) -> None:
    """Tell how far a stretch of work is, at each hundredth of it, where there is much of it."""
    if of >= WORTH_TELLING and (done * STEPS // of > (done - 1) * STEPS // of):
        tell(Event(what=what, message=message, done=done, of=of))


class Way:
    """A stretch of work, so far done, counted in parts of what it is about.

    Args:
        tell: told at each hundredth, where there is much of it.
        what: of the event.
        message: what is done meanwhile.
        of: how many there are.
    """

    def __init__(self, tell: Tell, what: str, message: str, of: int) -> None:
        self._tell, self._what, self._message, self._of = tell, what, message, of
        self._done = 0.0

    def on(self, part: float = 1.0) -> None:
        """One more is done, or that part of it."""
        before, self._done = int(self._done + 1e-9), self._done + part
        if int(self._done + 1e-9) > before:
            tell_how_far(self._tell, self._what, self._message, before + 1, self._of)
