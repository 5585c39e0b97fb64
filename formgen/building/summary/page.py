"""Building: the building report, `building.html`: one file that opens with no network, for the whole schedule.

In: what was planned and made, the summary's rows, sheets and press days where there are. Out: the page's bytes, the
same for the same schedule. It shows what the other files of the batch hold and computes nothing; what of them is no
reading for people is left to those files. All in the shop's units.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePath
from typing import Any

from formgen.building.model import Building, SharedForm
from formgen.building.press_days.chart import press_days_figures, press_days_key
from formgen.building.press_days.model import PressDays
from formgen.building.press_days.rows import day_lines, headline
from formgen.building.summary.forms import form_card
from formgen.building.summary.kept import kept, listed
from formgen.building.summary.listed import glue_ups_table, openings_table, totals
from formgen.building.summary.remarks import (
    BRIEF_HEADER,
    REMARK_HEADER,
    Remark,
    brief_rows,
    remark_cells,
    verdict_text,
)
from formgen.lengths import Units, write_length
from formgen.outputs.html.page import Columns, page
from formgen.outputs.sheets.csv_table import Cell
from formgen.outputs.sheets.hatches import hatches_of, sample
from formgen.outputs.sheets.names import sheet_file
from formgen.outputs.sheets.picture import grouped, sheet_picture
from formgen.outputs.svg import Svg
from formgen.sheets.model import CutSheet, Sheets

_SECTIONS = {
    "answers": "What is wrong", "forms": "Forms and who shares them", "sheets": "Sheets", "press-days": "Press days",
    "totals": "Totals", "openings": "Openings",
}  # fmt: skip
#: Width of a sheet's picture, in mm of its letters, which are then some 13 px high on a page.
ON_PAGE_MM = 100.0
#: More remarks than this are told by kind first, each with so many of its openings.
MOST_AT_FIRST, MARKS_NAMED = 10, 12


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
    shown = {"answers": bool(lost or found), "sheets": sheets is not None, "press-days": plan is not None}
    title = title_of(schedule)
    return page(
        "building/summary/building.html",
        title,
        {name: heading for name, heading in _SECTIONS.items() if shown.get(name, True)},
        name=title,
        state=state,
        verdict=kept(said),
        lost=map(kept, lost),
        wrong=_wrong(units, found),
        kinds=_kinds(found),
        facts=_facts(building, made, sheets, plan),
        forms=[form_card(form, jobs[form.name], found) for form in made if form.name in jobs],
        sheets=None if sheets is None else _sheets(sheets),
        days=None if plan is None else _press_days(plan, units),
        totals=totals(rows, units),
        openings=openings_table(made, jobs, found),
    )


def title_of(schedule: str) -> str:
    """Return the page's name, of the schedule's file: `Library, opening schedule` of `library.csv`."""
    words = PurePath(schedule).stem.replace("_", " ").strip()
    return f"{words[:1].upper()}{words[1:]}, opening schedule" if words else "Opening schedule"


def _wrong(units: Units, found: Sequence[Remark]) -> Columns:
    """Return what is wrong, a row for each opening or openings, form and sentence; none where nothing is."""
    rows = [tuple(map(kept, remark_cells(remark, units))) for remark in found]
    return Columns("Problems first", REMARK_HEADER, rows)


def _kinds(found: Sequence[Remark]) -> Columns | None:
    """Return what is wrong by kind, a row each, where the whole table is too long to begin with; else None."""
    if len(found) <= MOST_AT_FIRST:
        return None
    return Columns(
        "By kind, problems first", BRIEF_HEADER, [tuple(map(kept, row)) for row in brief_rows(found, MARKS_NAMED)]
    )


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
        days = f"{plan.days}" if plan.fewest else f"{plan.days}, at least {plan.days_at_least}"
        yield "Press days", f"{days}, {len(plan.glue_ups)} glue-ups"


def _sheets(sheets: Sheets) -> dict[str, Any]:
    hatches = hatches_of(sheets)
    return {
        "unplaced": listed(part.name for part in sheets.unplaced),
        "cards": [_sheet(sheets, sheet, hatches) for sheet in sheets.sheets],
    }


def _sheet(sheets: Sheets, sheet: CutSheet, hatches: Mapping[str, int]) -> dict[str, Any]:
    """Return a sheet's picture, what it is, and its pieces by form: the number in the picture, the piece."""
    stock, units = sheet.stock, sheets.units
    size = " × ".join(write_length(mm, units).removesuffix(f" {units}") for mm in (stock.length_mm, stock.width_mm))
    return {
        "number": sheet.number,
        "file": sheet_file(sheets, sheet),
        "board": f"{'offcut of ' if stock.offcut else ''}{stock.board}, {size} {units}",
        "used": f"{100 * sheet.usage:.0f} % used",
        "picture": sheet_picture(sheet, sheets, ON_PAGE_MM, hatches),
        "pieces": [
            (sample(hatches[form], 6.0, 3.0), kept(form), listed(f"{number} {p.piece.name}" for number, p in pieces))
            for form, pieces in grouped(sheet).items()
        ],
    }


def _press_days(plan: PressDays, units: Units) -> dict[str, Any]:
    said = headline(plan)
    return {
        "headline": f"{said[0].upper()}{said[1:]}.",
        "found": [
            *(("problem", kept(f"{h.opening}, {h.count}: {h.why}")) for h in plan.left_out),
            *((f.severity, kept(f.message)) for f in plan.findings),
        ],
        "weeks": press_days_figures(plan) if plan.glue_ups else [],
        "key": press_days_key(),
        "days": [(day, _lines(outs), _lines(ups)) for day, outs, ups in day_lines(plan)],
        "glue_ups": glue_ups_table(plan, units),
    }


def _lines(said: str) -> list[Svg]:
    return [kept(line) for line in said.split("\n")] if said else []
