"""Building: the press days of a building: what there is to glue up, what the pump serves, and the plan on disk.

In: a `Building` and the job record of each form that stands. Out: `GlueUps`, in minutes, mm and litres; their plan; and
of a plan two files, a table and a chart, put in place whole, and what `building.json` says of them. Every number is the
press stage's; minutes of setting out and taking out are figures of the shop.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from formgen.building.model import Building, Member
from formgen.building.press_days.chart import press_days_svg
from formgen.building.press_days.model import GlueUps, LeftOut, PressDays
from formgen.building.press_days.plan import means_of, plan_press_days
from formgen.building.press_days.rows import press_days_record, press_days_rows
from formgen.building.summary.record import PRESS_CSV_FILE, PRESS_SVG_FILE, replace_file
from formgen.building.summary.remarks import Remark, verdict_for
from formgen.drafting.paper import SIZES_MM
from formgen.errors import PressError
from formgen.holding.off_form.advice import off_the_form
from formgen.holding.spreader_bar import bar_on_form
from formgen.outputs.sheets.csv_table import as_csv
from formgen.press.vacuum import plan_vacuum
from formgen.recipe.figures import figure
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop

#: Air that no bags of a shop hold together (litres): a pump that serves it sets no limit.
_NO_LIMIT_L = 1e6


def press_days_of(
    building: Building, jobs: Mapping[str, Mapping[str, Any]], found: Sequence[Remark]
) -> PressDays | None:
    """The press days of the forms that have a job record; None where there is none.

    Args:
        building: what is made.
        jobs: the job record of each form by its name.
        found: what is wrong: what must not be pressed is in no press day.
    """
    made = [form for form in building.forms if form.name in jobs]
    if not made:
        return None
    shop = made[0].recipe.shop
    kinds = glue_ups_of(building, jobs)
    may, left = [], []
    for kind in kinds:
        verdict = verdict_for(kind.opening, found)
        if verdict.may:
            may.append(kind)
        else:
            left.append(LeftOut(opening=kind.opening, count=kind.count, why=verdict.text))
    vacua = [vacuum.held_kpa for form in made for member in form.members if (vacuum := member.pressing.vacuum)]
    serves = pump_air_l(shop, max(vacua)) if vacua else math.inf
    return plan_press_days(may, means_of(shop, serves), left)


def write_press_days(plan: PressDays, recipe: Recipe, output: Path) -> dict[str, Any]:
    """Write table and chart into the folder; what the record says of them.

    Args:
        plan: press days.
        recipe: of any form: its shop's paper, on its side, holds a week.
        output: the folder.
    """
    high, wide = SIZES_MM[recipe.shop.paper.sizes(recipe.units)[0]]
    replace_file(output / PRESS_CSV_FILE, as_csv(press_days_rows(plan)))
    replace_file(output / PRESS_SVG_FILE, press_days_svg(plan, (wide, high)).encode())
    return press_days_record(plan)


def glue_ups_of(building: Building, jobs: Mapping[str, Mapping[str, Any]]) -> tuple[GlueUps, ...]:
    """Return what there is to glue up, in the order of forms and openings.

    Args:
        building: what is made.
        jobs: the job record of each form by its name; a form without one is left out.
    """
    return tuple(
        _glue_ups(member, form.name, jobs[form.name]["found"]["holding"], alone=len(form.members) == 1)
        for form in building.forms
        if form.name in jobs
        for member in form.members
    )


def _glue_ups(member: Member, form: str, found: Mapping[str, Any], *, alone: bool) -> GlueUps:
    pressing, laminate = member.pressing, member.pressing.laminate
    shop = laminate.recipe.shop
    seat = None if found.get("bar_setting") is None else float(found["bar_setting"]["height_mm"])
    off_mm = _off_form_bar_mm(member, found, seat, alone=alone)
    reach = [] if seat is None else [bar_on_form(pressing, seat).jaw_to_jaw_mm]
    return GlueUps(
        opening=member.opening.mark,
        form=form,
        count=member.opening.quantity * laminate.arch.copies,
        set_out_min=figure("set_out_min", shop).value,
        lay_up_min=pressing.glue.lay_up_min,
        press_min=pressing.glue.press_min,
        take_out_min=figure("take_out_min", shop).value,
        may_come_off=off_mm is not None,
        needs_bar_on_form=seat is not None and found.get("clamps") is None,
        bar_mm=max([*reach, *([] if off_mm is None else [off_mm])], default=None),
        air_l=None if pressing.bag is None else pressing.bag.air_l,
    )


def _off_form_bar_mm(
    member: Member, found: Mapping[str, Any], seat_mm: float | None, *, alone: bool
) -> float | None:  # fmt: skip
    """Jaw to jaw, mm, what holds the part off this form; None where it stays on. Of its one opening the record says it.

    A part on a form of several openings is hung here, for the record holds the form's own part alone.
    """
    pressing = member.pressing
    if pressing.way != "part-bagged":
        return None
    if alone:
        off = found.get("off")
        return float(off["bar"]["jaw_to_jaw_mm"]) if off is not None and off["may_come_off"] else None
    here = off_the_form(pressing, seat_mm)
    return here.bar.jaw_to_jaw_mm if here.may_come_off and here.bar is not None else None


def pump_air_l(shop: Shop, deepest_kpa: float) -> float:
    """Most air, in bags together, with which the pump neither runs too long nor is overcome by leaks; litres.

    Args:
        shop: pump, altitude, figures.
        deepest_kpa: the deepest vacuum that a recipe counts on, gauge.
    """
    least, most = 0.0, _NO_LIMIT_L
    if _serves(shop, deepest_kpa, most):
        return math.inf
    for _ in range(60):
        middle = 0.5 * (least + most)
        least, most = (middle, most) if _serves(shop, deepest_kpa, middle) else (least, middle)
    return least


def _serves(shop: Shop, asked_kpa: float, air_l: float) -> bool:
    """Tell whether the press stage has nothing to say against so much air on the pump."""
    try:
        _, findings = plan_vacuum(asked_kpa, shop, 1, air_l, 1.0, "mm")
    except PressError:
        return False
    return not {"press.pump-overcome", "press.pump-duty"} & {finding.code for finding in findings}
