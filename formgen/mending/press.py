"""Mending: what lies in the press: bag, vacuum, glue, and how far the plies run past the part.

In: a Holding and the finding. Out: values to try.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from formgen.findings import Finding
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.mending.trial import Try, length, word
from formgen.press.drawing_down import plan_drawing_down
from formgen.recipe.figures import figure
from formgen.units import PRESSURE_KPA

#: Plies are not run longer than this past a part (mm). Common practice, no source.
LONGEST_TRIM_MM = 300.0


def other_side(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the other side of the form, on which the bag is drawn smooth, else form and part in one bag."""
    yield word("press.side", "female" if form.pressing.side == "male" else "male")
    yield word("press.way", "form-bagged")


def what_is_held(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the vacuum that can be had, where the recipe asked for more."""
    vacuum = form.pressing.vacuum
    if vacuum is not None and vacuum.asked_in_recipe:
        yield _vacuum(vacuum.held_kpa, form.recipe.units, up=False)


def enough_vacuum(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the least vacuum that a bag is accepted at, where the recipe asked for less."""
    vacuum = form.pressing.vacuum
    if vacuum is not None and vacuum.asked_in_recipe:
        yield _vacuum(figure("bag_vacuum_least_kpa", form.recipe.shop).value, form.recipe.units, up=True)


def fewer_bags(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield fewer bags on the pump: half as many, and so on down to one."""
    bags = form.recipe.asked.press.bags
    while bags > 1:
        bags //= 2
        yield word("press.bags", bags)


def longer_plies(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the least end trim with which both ends lie down under the vacuum."""
    pressing, part = form.pressing, form.recipe.part
    drawn = pressing.drawing_down
    if drawn is None:
        return
    step = 1.0 if form.recipe.units == "mm" else 25.4 / 16.0
    right, left = form.arch.waste_mm
    for n in range(1, math.floor(LONGEST_TRIM_MM / step)):
        more = n * step
        if part.end_trim_mm + more > LONGEST_TRIM_MM:
            return
        waste = (right + more, left + more)
        plan = plan_drawing_down(
            form.laminate.plies, form.laminate.pressed, waste, pressing.side, drawn.held_kpa, drawn.legs_down_kpa
        )
        if max(end.gap_mm for end in plan.ends) <= part.tolerance_mm:
            yield length("part.end_trim", part.end_trim_mm + more, form.recipe.units)
            return


def _vacuum(kpa: float, units: Units, *, up: bool) -> Try:
    """A vacuum on a mark of the gauge: half an inch of mercury, or 1 kPa."""
    unit, step = ("inHg", 0.5) if units == "in" else ("kPa", 1.0)
    number = step * (math.ceil if up else math.floor)(kpa / float(PRESSURE_KPA[unit]) / step + (-1e-9 if up else 1e-9))
    one = word("press.vacuum", number * float(PRESSURE_KPA[unit]), f"{number:g}{unit}")
    return Try(key=one.key, text=one.text, section="press", field="vacuum_kpa", value=one.value)
