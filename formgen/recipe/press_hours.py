"""Stage `recipe`: what the shop presses with, and when somebody is there: bags, spreader bars, teams, working hours.

In: the table `press_days` of the shop file. Out: counts, mm, and clock times as `h:mm`. Without it the defaults stand;
each is common practice, no source. Plans nothing.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, Tag, WithJsonSchema, model_validator

from formgen.recipe.quantities import PositiveMm
from formgen.recipe.strict import LIST, VALUE, Strict, by_shape

Weekday = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]

_CLOCK = r"^([01]?[0-9]|2[0-3]):[0-5][0-9]$"


def _check_clock(text: str) -> str:
    if not re.fullmatch(_CLOCK, text):
        raise ValueError("expected a time of day; write for example 7:30 or 16:30")
    return text


#: A time of day on the clock of 24 hours, `7:30` or `16:30`.
Clock = Annotated[
    str,
    AfterValidator(_check_clock),
    WithJsonSchema({"type": "string", "pattern": _CLOCK, "description": "A time of day.", "examples": ["7:30"]}),
]


def clock_min(clock: str) -> int:
    """Minutes after midnight: `7:30` is 450."""
    hours, minutes = clock.split(":")
    return 60 * int(hours) + int(minutes)


class BarStock(Strict):
    """Spreader bars that are alike; without a reach they are long enough for every part."""

    quantity: Annotated[int, Field(ge=1, le=1000)] = 1
    reach_mm: PositiveMm | None = None


BarsHeld = Annotated[
    Annotated[Annotated[int, Field(ge=0, le=1000)], Tag(VALUE)]
    | Annotated[Annotated[tuple[BarStock, ...], Field(max_length=12)], Tag(LIST)],
    by_shape("expected how many, or a list with quantity and reach"),
]


class PressHours(Strict):
    """Bags, spreader bars and teams that the shop has, its hours, and whether bags stay on the pump without anybody.

    `teams` are glue-ups that are laid up at once, each by the shop's `people`. `overnight: false` keeps the whole time
    in the bag within one day's hours, since no pump should run with nobody near; `true` lets it run through nights and
    days off, which a warning then counts. A part under clamps needs nobody while its glue sets.
    """

    bags: Annotated[int, Field(ge=1, le=500)] = 2
    bars: BarsHeld = 2
    teams: Annotated[int, Field(ge=1, le=50)] = 1
    day_start: Clock = "8:00"
    day_end: Clock = "16:30"
    days: Annotated[tuple[Weekday, ...], Field(min_length=1, max_length=7)] = ("Mon", "Tue", "Wed", "Thu", "Fri")
    overnight: bool = False

    @model_validator(mode="after")
    def _a_day_has_hours(self) -> PressHours:
        if clock_min(self.day_end) < clock_min(self.day_start) + 60:
            raise ValueError(
                f"expected day_end an hour or more after day_start, got {self.day_start} to {self.day_end}; correct one"
            )
        if len(set(self.days)) < len(self.days):
            raise ValueError("expected each day of the week once; delete what stands twice")
        return self
