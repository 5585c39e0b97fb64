"""Stage `reports`: what the sheet asks of the other stages, each by one name; the only place that knows theirs.

In: a Holding. Out: what the stages found. Nothing is computed here but which clamps are the feet and which stay beside
them.
"""

from __future__ import annotations

import math

from formgen.fixed import fixed
from formgen.holding.clamps import ClampPlan, Order
from formgen.holding.model import Holding
from formgen.holding.on_form.model import StayingClamp
from formgen.holding.spreader_bar import BarSetting
from formgen.lengths import Units
from formgen.recipe.figures import figure
from formgen.recipe.schema import Way


@fixed
class Clamps:
    """Clamps by number, in the order in which the hand meets them.

    Args:
        on: groups in the order in which they go on.
        feet: those at the very ends, the last to go on.
        off: those that come off under full vacuum.
        stay: those that stay beside the feet, as the pairs at the ends of the arc; all others where none comes off.
        release: those that stay in the order in which they come off, feet first.
    """

    on: Order
    feet: tuple[int, ...]
    off: tuple[int, ...]
    stay: tuple[int, ...]
    release: Order


def units(holding: Holding) -> Units:
    """Units of the recipe."""
    return holding.recipe.units


def way(holding: Holding) -> Way:
    """Return how it is pressed."""
    return holding.pressing.way


def glue_chosen(holding: Holding) -> bool:
    """Tell whether recipe or shop names the glue."""
    return holding.pressing.glue.chosen


def ready_min(holding: Holding) -> int | None:
    """Whole minutes from the first glue in which all pressure must be on; None while no glue is chosen."""
    least = holding.pressing.glue.open_least_min
    return None if least is None else max(math.floor(least), 1)


def comes_off(holding: Holding) -> bool:
    """Tell whether the part in its bag may leave the form with bar or tie on, whatever the friction turns out to be."""
    return holding.off is not None and holding.off.may_come_off and holding.off.bar is not None


def looks_again_min(holding: Holding) -> tuple[float, float]:
    """Minutes after which the part is looked at again, and once more, when clamps came off or it left the form."""
    shop = holding.recipe.shop
    return figure("look_again_first_min", shop).value, figure("look_again_last_min", shop).value


def bar(holding: Holding) -> BarSetting | None:
    """The bar or tie that holds the ends while the glue sets: off the form, else on it; the other ways need none."""
    if way(holding) != "part-bagged":
        return None
    if holding.off is not None and comes_off(holding):
        return holding.off.bar
    return holding.bar_setting


def clamps_come_off(holding: Holding) -> bool:
    """Tell whether clamps on the curve may come off under full vacuum."""
    return holding.clamps is not None and bool(holding.clamps.off_at_vacuum)


def clamps_of(holding: Holding) -> Clamps | None:
    """Return which go on, come off and stay; None where the form has no relief."""
    plan = holding.clamps
    if plan is None:
        return None
    feet = feet_of(holding, plan)
    off = tuple(sorted(n for group in plan.off_at_vacuum for n in group))
    stay = tuple(p.number for p in plan.places if p.number not in (*feet, *off))
    return Clamps(on=plan.on_order, feet=feet, off=off, stay=stay, release=plan.release)


def feet_of(holding: Holding, plan: ClampPlan) -> tuple[int, ...]:
    """The clamps that hold the ends of the legs; none where the bar takes their place on the form."""
    if (bar(holding) is not None and not comes_off(holding)) or not plan.places:
        return ()
    ends = dict.fromkeys((plan.places[0], plan.places[-1]))
    return tuple(place.number for place in ends if not place.on_curve)


def stays(holding: Holding) -> tuple[StayingClamp, ...]:
    """The clamps that stay on the curve, at its ends or on the trim lines, beside the feet; none where all stay."""
    if not clamps_come_off(holding) or holding.on_form is None:
        return ()
    return tuple(clamp for clamp in holding.on_form.stays if clamp.place != "foot" or clamp.trim_line)
