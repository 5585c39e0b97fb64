"""Building: what happens while a batch runs, told to whoever shows it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that happened.

    Args:
        what: `sharing`, `judging`, `divided`, `planned`, `stands`, `built`, `refused`, `nesting` or `written`.
        name: of the form; of the opening, or empty, where a row is refused.
        message: what to tell, if anything.
        done, of: forms that are settled, and forms in all; while sharing, openings.
        seconds: how long a form took.
    """

    what: str
    name: str = ""
    message: str = ""
    done: int = 0
    of: int = 0
    seconds: float = 0.0


Tell = Callable[[Event], None]
#: With fewer than this nobody waits long enough to be told how far it is.
WORTH_TELLING = 100
#: How often it is told how far a stretch of work is.
STEPS = 20


def tell_how_far(tell: Tell, what: str, message: str, done: int, of: int) -> None:
    """Tell how far a stretch of work is, at each twentieth of it, where there is much of it."""
    if of >= WORTH_TELLING and (done * STEPS // of > (done - 1) * STEPS // of):
        tell(Event(what=what, message=message, done=done, of=of))
