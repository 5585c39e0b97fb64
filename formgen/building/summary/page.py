"""Building: the building report, `building.html`: one file that opens with no network, for the whole schedule.

In: what was planned and made, the summary's rows, sheets and press days where there are. Out: the page's bytes, the
same for the same schedule. It shows what the other files of the batch hold and computes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from formgen.answers import recorded_rows
from formgen.building.model import Building, SharedForm
from formgen.building.press_days.chart import press_days_svg
from formgen.building.press_days.model import PressDays
from formgen.building.press_days.rows import day_lines, headline, press_days_rows
from formgen.building.summary.remarks import (
    BRIEF_HEADER,
    REMARK_HEADER,
    Remark,
    brief_rows,
    remark_cells,
    verdict_on,
    verdict_text,
)
from formgen.lengths import Units, write_fine, write_length
from formgen.outputs.html.page import Columns, page
from formgen.outputs.sheets.csv_table import Cell
from formgen.outputs.sheets.names import SHEETS_FOLDER, sheet_file
from formgen.outputs.sheets.picture import sheet_picture
from formgen.reports.web.curve_drawing import shared_figure
from formgen.sheets.model import CutSheet, Sheets
from formgen.verdict import Verdict

_SECTIONS = {
    "answers": "Answers", "forms": "Forms and who shares them", "sheets": "Sheets", "press-days": "Press days",
    "totals": "Totals", "openings": "Openings",
}  # fmt: skip
#: More remarks than this are told by kind first, each with so many of its openings.
MOST_AT_FIRST, MARKS_NAMED = 10, 12
#: How a form's curve came about, for people.
_KINDS = {
    "own": "its own curve",
    "arc": "one radius for all",
    "arc with legs": "one radius for all, with legs",
    "other curve": "the curve of one of them",
}


def building_page(
    building: Building,
    made: Sequence[SharedForm],
    rows: Sequence[Sequence[Cell]],
    jobs: Mapping[str, Mapping[str, Any]],
    *,
    lost: Sequence[str] = (),
    found: Sequence[Remark],
    sheets: Sheets | None = None,
    plan: PressDays | None = None,
    schedule: str = "",
) -> bytes:
    """The page.

    Args:
        building: what was planned.
        made: the forms that stand.
        rows: of the summary, its header first.
        jobs: the forms' job records, by their names.
        lost: a line for each row or form that there is none for.
        found: what is wrong with the forms that stand, the gravest first.
        sheets: the layout; None where none was made.
        plan: press days; None where none were planned.
        schedule: name of the schedule's file.
    """
    units: Units = made[0].recipe.units if made else "mm"
    said, state = verdict_text(made, lost, found)
    shown = {"answers": True, "forms": True, "sheets": sheets is not None, "press-days": plan is not None}
    title = f"Schedule {schedule}" if schedule else "Building"
    return page(
        "building/summary/building.html",
        f"{title}: building report",
        {name: heading for name, heading in _SECTIONS.items() if shown.get(name, True)},
        name=title,
        state=state,
        verdict=said,
        lost=lost,
        wrong=_wrong(units, found),
        kinds=_kinds(found),
        facts=_facts(building, made, sheets, plan),
        forms=[
            _form(form, units, verdict_on(form, found)) | {"answers": recorded_rows(jobs[form.name])}
            for form in made
            if form.name in jobs
        ],
        sheets=None if sheets is None else _sheets(sheets),
        days=None if plan is None else _press_days(plan),
        totals=_totals(rows),
        openings=_openings(rows),
    )


def _wrong(units: Units, found: Sequence[Remark]) -> Columns:
    """Return what is wrong, a row for each opening or openings, form and sentence; none where nothing is."""
    return Columns("What is wrong", REMARK_HEADER, [remark_cells(remark, units) for remark in found])


def _kinds(found: Sequence[Remark]) -> Columns | None:
    """Return what is wrong by kind, a row each, where the whole table is too long to begin with; else None."""
    if len(found) <= MOST_AT_FIRST:
        return None
    return Columns("What is wrong", BRIEF_HEADER, brief_rows(found, MARKS_NAMED))


def _facts(
    building: Building, made: Sequence[SharedForm], sheets: Sheets | None, plan: PressDays | None
) -> Iterable[tuple[str, str]]:
    openings = sum(len(form.members) for form in made)
    yield "Openings", f"{openings}"
    yield "Forms", f"{len(made)}, {openings - len(made)} fewer than openings"
    layers, apart = (sum(n) for n in zip(*((f.layers, f.layers_apart) for f in made), strict=True)) if made else (0, 0)
    yield "Layers", f"{layers}, {apart - layers} fewer than apart"
    yield "Sharing may use", f"{100 * building.share:.0f} % of each tolerance"
    if sheets is not None:
        new = sheets.new_sheets
        yield "Sheets", f"{new} new, {len(sheets.sheets) - new} offcuts, {100 * sheets.usage:.0f} % becomes pieces"
    if plan is not None:
        yield "Press days", f"{plan.days}" if plan.fewest else f"{plan.days}, at least {plan.days_at_least}"
        yield "Glue-ups", f"{len(plan.glue_ups)}"


def _form(form: SharedForm, units: Units, verdict: Verdict) -> dict[str, Any]:
    """A form, its curve with all that comes off it, and what each opening gives up for sharing."""
    pressings = [member.pressing for member in form.members]
    rows = [
        (
            member.opening.mark,
            f"{member.opening.quantity}",
            _radius(member.asked_radius_mm, units),
            _radius(member.made_radius_mm, units),
            write_fine(member.gives_up_mm, units),
            write_fine(member.tolerance_mm, units),
        )
        for member in form.members
    ]
    header = ("opening", "how many", "radius asked", "radius made", "gives up", "tolerance")
    return {
        "name": form.name,
        "verdict": verdict,
        "figure": shared_figure(form.name, pressings),
        "said": f"{pressings[0].side}, {form.layers} layers of {form.recipe.sheet_name}, {_KINDS[form.kind]}",
        "members": Columns(f"Off {form.name}", header, rows),
    }


def _radius(mm: float, units: Units) -> str:
    return "straight" if math.isinf(mm) else write_length(mm, units)


def _sheets(sheets: Sheets) -> dict[str, Any]:
    rows = [
        (
            f"{sheet.number}",
            f"{SHEETS_FOLDER}/{sheet_file(sheets, sheet)}",
            f"{'offcut of ' if sheet.stock.offcut else ''}{sheet.stock.board}",
            f"{write_length(sheet.stock.length_mm, sheets.units)} × {write_length(sheet.stock.width_mm, sheets.units)}",
            f"{len(sheet.placements)}",
            f"{100 * sheet.usage:.0f} %",
        )
        for sheet in sheets.sheets
    ]
    return {
        "unplaced": ", ".join(part.name for part in sheets.unplaced),
        "table": Columns("Sheets in cutting order", ("sheet", "file", "board", "size", "pieces", "used"), rows),
        "maps": [(sheet.number, sheet_picture(sheet, sheets, 120.0), _named(sheet)) for sheet in sheets.sheets],
    }


def _named(sheet: CutSheet) -> str:
    """The list under a sheet, in letters that a phone can show."""
    return ", ".join(f"{i}: {placed.part.name}" for i, placed in enumerate(sheet.placements, start=1))


def _press_days(plan: PressDays) -> dict[str, Any]:
    header, *rows = press_days_rows(plan)
    caption = "Glue-ups in the order in which they begin"
    return {
        "headline": headline(plan),
        "found": [
            *(("problem", f"{h.opening}, {h.count}: {h.why}") for h in plan.left_out),
            *((f.severity, f.message) for f in plan.findings),
        ],
        "chart": press_days_svg(plan),
        "lines": Columns("Day by day", ("day", "take out", "lay up"), day_lines(plan)),
        "glue_ups": Columns(caption, [*map(str, header)], [*map(_said, rows)]),
    }


def _totals(rows: Sequence[Sequence[Cell]]) -> Columns:
    kinds = [str(row[0]) for row in rows[1:]]
    totals = [kind for kind in dict.fromkeys(kinds) if kind != "opening"]
    return _table("Totals, as in the summary", rows, totals, range(len(rows[0])))


def _openings(rows: Sequence[Sequence[Cell]]) -> list[Columns]:
    """The summary's openings in two tables, so that paper can hold them: curves, then plies, bar and glue."""
    names = [str(cell) for cell in rows[0]]
    mark, wood = names.index("opening"), names.index("wood")
    return [
        _table("Openings: curves", rows, ("opening",), range(mark, wood)),
        _table("Openings: plies, bar and glue", rows, ("opening",), [mark, *range(wood, len(names))]),
    ]


def _table(caption: str, rows: Sequence[Sequence[Cell]], kinds: Sequence[str], wanted: Iterable[int]) -> Columns:
    """The rows of some kinds in some columns, those left out in which nothing stands."""
    kept = [row for row in rows[1:] if row[0] in kinds]
    columns = [i for i in wanted if any(row[i] not in (None, "") for row in kept)]
    header = [str(rows[0][i]) for i in columns]
    return Columns(caption, header, [_said([row[i] for i in columns]) for row in kept])


def _said(row: Sequence[Cell]) -> list[str]:
    return ["" if cell is None else f"{cell:g}" if isinstance(cell, float) else str(cell) for cell in row]
