"""Building: the first answer of a batch, before a form is made: which openings share, sheets and press days, estimated.

In: a building as it was shared. Out: plain numbers, mm. Sheets by the area of the layers: the fewest that any layout
takes, and as many as rings usually take. Press days as hours, people, bags and forms make them necessary: no plan has
fewer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from formgen.building.model import Building, Member, SharedForm
from formgen.building.press_days.bounds import demands
from formgen.building.press_days.model import GlueUps
from formgen.building.press_days.plan import means_of
from formgen.building.press_days.task import as_task
from formgen.errors import FormgenError, SheetError
from formgen.form.body import make_body
from formgen.outputs.record.plain import number
from formgen.press.stage import pressing_of
from formgen.recipe.figures import figure
from formgen.sheets.parts import stock_of


def estimate(building: Building) -> dict[str, Any]:
    """Return what can be said at once: shared forms, sheets and press days.

    A form of which no body can be made is in no sheet; it is named when forms are looked at.
    """
    forms = building.forms
    sheets = sheets_for(building)
    days, needed_by, glue_ups = days_at_least(building)
    return {
        "units": forms[0].recipe.units if forms else "mm",
        "openings": building.openings,
        "forms": len(forms),
        "forms_saved": building.openings - len(forms),
        "layers": sum(form.layers for form in forms),
        "layers_saved": sum(form.layers_apart - form.layers for form in forms),
        "sheets_full": sheets[0] if sheets else None,
        "sheets_usual": sheets[1] if sheets else None,
        "glue_ups": glue_ups,
        "press_days_at_least": days,
        "needed_by": needed_by,
        "shared": [_shared(form) for form in forms if len(form.members) > 1],
    }


def sheets_for(building: Building) -> tuple[int, int] | None:
    """New sheets for all layers: as many as their area fills, and as many as rings usually take.

    Of each board the largest new sheet counts, inside its margins; offcuts do not. A layer that a seat or a channel
    narrows counts as a whole one. None where the forms' sheets contradict each other, which the layout refuses.
    """
    if not building.forms:
        return 0, 0
    shop = building.forms[0].recipe.shop
    share = figure("sheet_used_share", shop).value
    area_mm2 = dict.fromkeys((form.recipe.sheet_name for form in building.forms), 0.0)
    for form in building.forms:
        area_mm2[form.recipe.sheet_name] += form.layers * _layer_mm2(form)
    try:
        stock = [size for size in stock_of(building.forms, shop) if not size.offcut]
    except SheetError:
        return None
    full = usual = 0
    for board, area in area_mm2.items():
        one = max(
            (size.length_mm - 2 * size.edge_margin_mm) * (size.width_mm - 2 * size.edge_margin_mm)
            for size in stock
            if size.board == board
        )
        full += math.ceil(area / one - 1e-9)
        usual += math.ceil(area / (share * one) - 1e-9)
    return full, usual


def _layer_mm2(form: SharedForm) -> float:
    """Area of a whole layer; none where there is no body of the kind that was asked for."""
    try:
        pressing = pressing_of(form.recipe)
        before, after = (form.recipe.asked.form.run_on_mm + waste for waste in pressing.arch.waste_mm)
        return make_body(pressing, before, after).outline().area_mm2
    except FormgenError:
        return 0.0


def days_at_least(building: Building) -> tuple[int, str, int]:
    """Press days that no plan falls below, what needs them, and how many glue-ups there are."""
    if not building.forms:
        return 0, "", 0
    kinds = [kind for form in building.forms for member in form.members for kind in _glue_ups(member, form.name)]
    task, _ = as_task(kinds, means_of(building.forms[0].recipe.shop))
    first = demands(task)[0]
    return first.days, first.what, sum(kind.count for kind in kinds)


def _glue_ups(member: Member, form: str) -> Iterator[GlueUps]:
    """The glue-ups of an opening; one that may come off its form waits for no other, so that the days stay a bound."""
    pressing = member.pressing
    shop = pressing.laminate.recipe.shop
    count = member.opening.quantity * pressing.laminate.arch.copies
    comes_off = pressing.way == "part-bagged"
    for i in range(count if comes_off else 1):
        yield GlueUps(
            opening=member.opening.mark,
            form=f"{member.opening.mark} {i}" if comes_off else form,
            count=1 if comes_off else count,
            set_out_min=figure("set_out_min", shop).value,
            lay_up_min=pressing.glue.lay_up_min,
            press_min=pressing.glue.press_min,
            take_out_min=figure("take_out_min", shop).value,
            may_come_off=False,
            needs_bar_on_form=False,
            bar_mm=None,
            air_l=None if pressing.bag is None else pressing.bag.air_l,
        )


def _shared(form: SharedForm) -> dict[str, Any]:
    worst = max(form.members, key=lambda member: member.gives_up_mm / member.tolerance_mm)
    return {
        "form": form.name,
        "openings": [member.opening.mark for member in form.members],
        "gives_up_mm": number(worst.gives_up_mm),
        "tolerance_mm": number(worst.tolerance_mm),
    }
