"""Building: the results of planning press days: what is glued up when, in which bag, with which bar; minutes, mm.

Times run from the opening of the shop on the first morning, day and night, days off too; they are no dates.
"""

from __future__ import annotations

from formgen.findings import Finding
from formgen.fixed import fixed

DAY_MIN = 24 * 60


@fixed
class GlueUps:
    """Glue-ups that are alike: those of one opening on its form.

    Args:
        opening, form: marks.
        count: how many: the quantity, twice where a point at the crown makes two halves of an opening.
        set_out_min: before glue is mixed.
        lay_up_min: from the first glue until the pressure is on, in one go.
        press_min: in the press, counted from the end of laying up.
        take_out_min: from opening the press until form, bag and bar are ready for the next.
        may_come_off: the part may leave the form in its bag as soon as it is laid up, held by the bar.
        needs_bar_on_form: while it is on the form the bar holds its legs, since the form has a seat and no clamps.
        bar_mm: length that the bar is set to; None where the form has no seat for one.
        air_l: air in the bag before pumping, litres: its share of what leaks into the pump; None where clamps press
            and no bag.
    """

    opening: str
    form: str
    count: int
    set_out_min: float
    lay_up_min: float
    press_min: float
    take_out_min: float
    may_come_off: bool
    needs_bar_on_form: bool
    bar_mm: float | None
    air_l: float | None


@fixed
class Means:
    """The shop's forms, bags, bars and pump, and the hours when somebody is there.

    Args:
        bags: how many.
        bars: (length that they reach to, how many), shortest first; infinite where they are long enough for all.
        teams: glue-ups that are laid up at once.
        opens_min: minutes after midnight at which the shop opens.
        day_min: minutes that it stays open.
        week: names of seven days, the first of them worked: the first morning is one of those.
        worked: which of them are worked.
        overnight: bags may run while nobody is there.
        pump_air_l: air of all bags together that the pump serves at once; infinite where it sets no limit.
    """

    bags: int
    bars: tuple[tuple[float, int], ...]
    teams: int
    opens_min: int
    day_min: int
    week: tuple[str, ...]
    worked: tuple[bool, ...]
    overnight: bool
    pump_air_l: float


@fixed
class GlueUp:
    """One glue-up in the plan; minutes from the first morning.

    Args:
        opening, form: marks.
        number, of: which of those that are alike, in the order in which they are glued up.
        begins_min: setting out begins: form, bag and bar are taken.
        glue_min: laying up begins: glue is on.
        pressed_min: the pressure is on: bag pumped down or clamps tight. From here the form is free if the part comes
            off.
        set_min: the glue has set.
        opens_min: bag or clamps are opened, by somebody who is there.
        done_min: the part is out and all is clean.
        off_form: the part comes off the form in its bag, held by the bar.
        form_free_min: `pressed_min` if it does, else `done_min`.
        bag: number of the bag; None where clamps press.
        bar: number of the bar; None without one.
        bar_mm: what it is set to; None without one.
    """

    opening: str
    form: str
    number: int
    of: int
    begins_min: int
    glue_min: int
    pressed_min: int
    set_min: int
    opens_min: int
    done_min: int
    off_form: bool
    form_free_min: int
    bag: int | None
    bar: int | None
    bar_mm: float | None

    @property
    def mark(self) -> str:
        """The opening's mark, and which of several it is."""
        return f"{self.opening} {self.number}/{self.of}" if self.of > 1 else self.opening


@fixed
class LeftOut:
    """Glue-ups that no plan can hold: of which opening, how many, and why, in one line."""

    opening: str
    count: int
    why: str


@fixed
class Demand:
    """Days that one thing alone makes necessary, whatever else the shop had: a bag, a form, the bars, the people."""

    what: str
    days: int


@fixed
class PressDays:
    """The plan.

    Args:
        means: what it was made for.
        step_min: all times are multiples of it; durations are rounded up to it, the day's length down.
        glue_ups: in the order in which they begin.
        days: days on which the shop is open from the first glue-up to the last part out.
        days_at_least: that no plan needs fewer is proven; equal to `days` where the plan has the fewest there are.
        total_min: the times at which parts are out, summed: of plans with as few days, the earlier the better.
        total_at_least_min: what that sum is proven not to fall below with so many days.
        demands: what makes days necessary, most first.
        nights: nights and days off through which a bag runs with nobody there before its glue has set.
        left_out: what is not in the plan.
        findings: what somebody must know.
    """

    means: Means
    step_min: int
    glue_ups: tuple[GlueUp, ...]
    days: int
    days_at_least: int
    total_min: int
    total_at_least_min: int
    demands: tuple[Demand, ...]
    nights: int
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def fewest(self) -> bool:
        """True if no plan has fewer days."""
        return self.days == self.days_at_least

    @property
    def earliest(self) -> bool:
        """True if no plan with as few days has its parts out earlier, all summed."""
        return self.total_min == self.total_at_least_min
