"""Building: the hours in which somebody is there, in steps from the first morning; days off and nights lie between.

In: minutes. Out: steps, windows and numbers of days. Knows nothing of glue-ups.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from formgen.building.press_days.model import DAY_MIN, Means

#: Times are planned in steps of so many minutes: nobody reads a glue-up's hour closer.
STEP_MIN = 5
#: Steps in a day and a night.
DAY = DAY_MIN // STEP_MIN


@dataclass(frozen=True)
class Calendar:
    """Hours of the shop.

    Args:
        open_steps: steps that it is open on a worked day.
        worked: which of seven days are worked; the first is.
    """

    open_steps: int
    worked: tuple[bool, ...]

    @classmethod
    def of(cls, means: Means) -> Calendar:
        """The hours of a shop; a last step that is not whole is not worked."""
        return cls(means.day_min // STEP_MIN, means.worked)

    def number(self, step: int) -> int:
        """Find which worked day, counted from 1, the day of a step is; of a day off, the one before it."""
        weeks, rest = divmod(step // DAY, 7)
        return weeks * sum(self.worked) + sum(self.worked[: rest + 1])

    def day(self, number: int) -> int:
        """Return the day, counted from 0 with days off, of a worked day, counted from 1 (`number` undone)."""
        weeks, rest = divmod(number - 1, sum(self.worked))
        return 7 * weeks + [i for i, worked in enumerate(self.worked) if worked][rest]

    def windows(self, length: int, days: int) -> Iterator[tuple[int, int]]:
        """Steps, first and last, at which work of that length may begin on each of the first worked days."""
        if length <= self.open_steps:
            for number in range(1, days + 1):
                opens = DAY * self.day(number)
                yield opens, opens + self.open_steps - length

    def earliest(self, step: int, length: int) -> int:
        """The first step from `step` on at which work of that length, at most a day's, may begin.

        Raises:
            ValueError: no day is so long.
        """
        if length > self.open_steps:
            raise ValueError("expected work that fits in a day")
        day = step // DAY
        if self.worked[day % 7] and step - DAY * day + length <= self.open_steps:
            return step
        day += 1
        while not self.worked[day % 7]:
            day += 1
        return DAY * day


def steps(minutes: float) -> int:
    """Steps that so many minutes take, rounded up; a billionth of a minute over is rounding of the machine."""
    return int(-(-(minutes - 1e-9) // STEP_MIN))
