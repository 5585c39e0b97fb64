"""Building: the hours of a week along a strip of the chart: minutes to mm, what lies behind the rows, the axis on top.

In: `Means`, a week, the strip's width. Out: places in mm, SVG elements. Hours in which somebody is there have one
scale; nights are drawn at a third of it, since nobody acts then, and a day off is a sliver.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

from formgen.building.press_days.calendar import DAY, Calendar
from formgen.building.press_days.model import DAY_MIN, Means
from formgen.drafting.paper import CAPITAL, HATCH_MM, TEXT_MM, THIN_MM
from formgen.outputs.svg import Svg, tag, text

#: Days in a strip.
WEEK = 7
#: Width of a day off (mm), and the scale of a night's hours beside the day's.
SLIVER_MM, NIGHT = 3.0, 1.0 / 3.0
#: Height of the lines with days and hours (mm): base lines of both, and where the rows begin.
DAYS_MM, HOURS_MM, AXIS_MM = 3.0, 8.0, 10.0
#: Hours between two that are named, the closest that leave a number room (mm).
EVERY, NUMBER_MM = (1, 2, 3, 4, 6, 12), 7.0


@dataclass(frozen=True)
class Hours:
    """A week's strip.

    Args:
        means: when somebody is there.
        week: counted from 0.
        left_mm, wide_mm: where it begins, and its width.
    """

    means: Means
    week: int
    left_mm: float
    wide_mm: float

    @property
    def first_min(self) -> int:
        """The week's first minute."""
        return self.week * WEEK * DAY_MIN

    @property
    def last_min(self) -> int:
        """The minute after its last."""
        return self.first_min + WEEK * DAY_MIN

    @cached_property
    def mm_per_min(self) -> float:
        """Scale of the hours in which somebody is there."""
        worked, open_min = sum(self.means.worked), self.means.day_min
        weighed = worked * (open_min + NIGHT * (DAY_MIN - open_min))
        return (self.wide_mm - SLIVER_MM * (WEEK - worked)) / weighed

    def x_mm(self, minute: int) -> float:
        """The place of a minute in the strip; of one outside it, the strip's end."""
        within = min(max(minute, self.first_min), self.last_min) - self.first_min
        day, rest = divmod(within, DAY_MIN)
        x = self._days_mm[day]
        if not rest:
            return x
        if not self.means.worked[day]:
            return x + SLIVER_MM * rest / DAY_MIN
        there = min(rest, self.means.day_min)
        return x + self.mm_per_min * (there + NIGHT * (rest - there))

    @cached_property
    def _days_mm(self) -> list[float]:
        """List where each day begins, and where the last ends."""
        return list(accumulate(map(self.day_mm, range(WEEK)), initial=self.left_mm))

    def day_mm(self, day: int) -> float:
        """Width of a day of the week, its night with it."""
        if not self.means.worked[day]:
            return SLIVER_MM
        return self.mm_per_min * (self.means.day_min + NIGHT * (DAY_MIN - self.means.day_min))

    def numbers(self) -> tuple[int, int]:
        """The first and the last worked day in it, counted from 1."""
        calendar = Calendar.of(self.means)
        return calendar.number(WEEK * DAY * self.week), calendar.number(WEEK * DAY * (self.week + 1) - 1)

    def ground(self, top_mm: float, bottom_mm: float) -> Iterator[Svg]:
        """Shade the hours in which nobody is there, and rule the hours that are named, down the rows."""
        high = bottom_mm - top_mm
        yield tag("rect", x=self.left_mm, y=top_mm, width=self.wide_mm, height=high, fill="var(--night)")
        for day in self._worked():
            x = self.x_mm(day)
            wide = self.mm_per_min * self.means.day_min
            yield tag("rect", x=x, y=top_mm, width=wide, height=high, fill="var(--paper)")
            for minute in self._named(day):
                yield _rule(self.x_mm(minute), top_mm, bottom_mm, "var(--hair)", HATCH_MM)
            yield _rule(x, HOURS_MM - TEXT_MM, bottom_mm, "var(--ink)", THIN_MM)

    def axis(self) -> Iterator[Svg]:
        """Name each day that is worked, and its hours; every whole hour has a mark."""
        calendar = Calendar.of(self.means)
        for day in self._worked():
            said = f"day {calendar.number(DAY * (day // DAY_MIN))} {self.means.week[day // DAY_MIN % WEEK]}"
            yield text(self.x_mm(day), DAYS_MM, said, TEXT_MM / CAPITAL)
            for minute in self._whole(day, 60):
                yield _rule(self.x_mm(minute), AXIS_MM - 1.2, AXIS_MM, "var(--ink)", THIN_MM)
            for minute in self._named(day):
                hour = (self.means.opens_min + minute) % DAY_MIN // 60
                yield text(self.x_mm(minute), HOURS_MM, f"{hour}", TEXT_MM / CAPITAL, text_anchor="middle")

    def _worked(self) -> Iterator[int]:
        """The minutes at which the shop opens."""
        return (self.first_min + DAY_MIN * i for i in range(WEEK) if self.means.worked[i])

    def _named(self, day: int) -> Iterator[int]:
        """Minutes of a day's hours that are named, clear of the line where the day begins."""
        every = next((n for n in EVERY if 60 * n * self.mm_per_min >= NUMBER_MM), EVERY[-1])
        clear = day + NUMBER_MM / 2.0 / self.mm_per_min - 1.0
        return (minute for minute in self._whole(day, 60 * every) if minute >= clear)

    def _whole(self, day: int, every: int) -> Iterator[int]:
        """Minutes of a day's hours at which the clock shows a multiple of so many minutes."""
        first = -(-self.means.opens_min // every) * every - self.means.opens_min
        return (day + minute for minute in range(first, self.means.day_min + 1, every))


def _rule(x: float, top: float, bottom: float, stroke: str, width: float) -> Svg:
    return tag("path", d=f"M{x:.2f} {top:.2f}V{bottom:.2f}", stroke=stroke, stroke_width=width)
