"""Building: what happens while a batch runs, told to whoever shows it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that happened.

    Args:
        what: `divided`, `planned`, `stands`, `built`, `refused`, `nesting` or `written`.
        name: of the form; of the opening, or empty, where a row is refused.
        message: what to tell, if anything.
        done, of: forms that are settled, and forms in all.
        seconds: how long a form took.
    """

    what: str
    name: str = ""
    message: str = ""
    done: int = 0
    of: int = 0
    seconds: float = 0.0


Tell = Callable[[Event], None]
