"""Building: press days on disk: a table, a chart, and what `building.json` says of them.

In: a `Building` and the job records of its forms; a plan and the folder. Out: two files, put in place whole, and a
plain table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from formgen.building.model import Building
from formgen.building.press_days.chart import press_days_svg
from formgen.building.press_days.model import LeftOut, PressDays
from formgen.building.press_days.plan import means_of, plan_press_days
from formgen.building.press_days.rows import press_days_record, press_days_rows
from formgen.building.press_days.work import glue_ups_of, pump_air_l
from formgen.building.summary.record import PRESS_CSV_FILE, PRESS_SVG_FILE, replace_file
from formgen.building.summary.remarks import Remark, verdict_for
from formgen.outputs.sheets.csv_table import as_csv


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
    verdicts = {kind.opening: verdict_for(kind.opening, found) for kind in kinds}
    left = [
        LeftOut(opening=kind.opening, count=kind.count, why=verdicts[kind.opening].text)
        for kind in kinds
        if not verdicts[kind.opening].may
    ]
    may = [kind for kind in kinds if verdicts[kind.opening].may]
    vacua = [vacuum.held_kpa for form in made for member in form.members if (vacuum := member.pressing.vacuum)]
    serves = pump_air_l(shop, max(vacua)) if vacua else math.inf
    return plan_press_days(may, means_of(shop, serves), left)


def write_press_days(plan: PressDays, output: Path) -> dict[str, Any]:
    """Write table and chart into the folder; what the record says of them."""
    replace_file(output / PRESS_CSV_FILE, as_csv(press_days_rows(plan)))
    replace_file(output / PRESS_SVG_FILE, press_days_svg(plan).encode())
    return press_days_record(plan)
