"""Building: the building report, `building.html`: one file that opens with no network, for the whole schedule.

In: what was planned and made, the summary's rows, sheets and press days where there are. Out: the page's bytes, the
same for the same schedule. It shows what the other files of the batch hold and computes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from formgen.building.model import Building, SharedForm
from formgen.building.press_days.chart import press_days_svg
from formgen.building.press_days.model import PressDays
from formgen.building.press_days.rows import day_lines, headline, press_days_rows
from formgen.building.summary.remarks import Remark, verdict_on, verdict_text
from formgen.findings import Severity
from formgen.lengths import Units, write_fine, write_length
from formgen.outputs.sheets.names import SHEETS_FOLDER, sheet_file
from formgen.outputs.sheets.picture import sheets_svg
from formgen.press.amounts import numbers_text
from formgen.reports.web.building_drawing import shared_figure
from formgen.reports.web.markup import attribute, columns_table, contents, facts, page, section, text
from formgen.sheets.model import CutSheet, Sheets
from formgen.verdict import MARK, Verdict

#: How a form's curve came about, for people.
_KINDS = {
    "own": "its own curve",
    "arc": "one radius for all",
    "arc with legs": "one radius for all, with legs",
    "other curve": "the curve of one of them",
}

Cell = str | int | float | None


def building_page(
    building: Building,
    made: Sequence[SharedForm],
    rows: Sequence[Sequence[Cell]],
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
        lost: a line for each row or form that there is none for.
        found: what is wrong with the forms that stand, the gravest first.
        sheets: the layout; None where none was made.
        plan: press days; None where none were planned.
        schedule: name of the schedule's file.
    """
    units: Units = made[0].recipe.units if made else "mm"
    parts = [
        ("answers", "Answers", _answers(building, made, lost, found, sheets, plan)),
        ("forms", "Forms and who shares them", "".join(_form(form, units, verdict_on(form, found)) for form in made)),
        *([("sheets", "Sheets", _sheets(sheets))] if sheets is not None else []),
        *([("press-days", "Press days", _press_days(plan))] if plan is not None else []),
        ("totals", "Totals", _totals(rows)),
        ("openings", "Openings", _openings(rows)),
    ]
    title = f"Schedule {schedule}" if schedule else "Building"
    body = (
        f'<header><div class="title"><p class="kind">Building report</p><h1>{text(title)}</h1></div>'
        f"{contents([(name, heading) for name, heading, _ in parts])}</header>"
        f'<main id="content">{"".join(section(*part) for part in parts)}</main>'
    )
    return page(f"{title}: building report", body).encode()


def _answers(
    building: Building,
    made: Sequence[SharedForm],
    lost: Sequence[str],
    found: Sequence[Remark],
    sheets: Sheets | None,
    plan: PressDays | None,
) -> str:
    """What is wrong first: rows that were refused, then problems and warnings by opening; then the numbers."""
    openings = sum(len(form.members) for form in made)
    missing = "".join(f'<li class="problem">{text(line)}</li>' for line in lost)
    refused = f'<ul class="findings">{missing}</ul>' if lost else ""
    said, state = verdict_text(made, lost, found)
    numbers = facts(_facts(building, made, openings, sheets, plan))
    return f'<p class="verdict {state}">{text(said)}</p>{refused}{_wrong(made, found)}{numbers}'


def _wrong(made: Sequence[SharedForm], found: Sequence[Remark]) -> str:
    """What is wrong, a row for each opening or openings, form and sentence; nothing where nothing is."""
    if not found:
        return ""
    units: Units = made[0].recipe.units
    rows = [
        (
            " ".join(remark.openings),
            remark.form,
            MARK if remark.finding.severity is Severity.PROBLEM else remark.finding.severity,
            remark.finding.message,
            numbers_text(remark.finding, units),
        )
        for remark in found
    ]
    return columns_table("What is wrong", ("opening", "form", "how grave", "what", "value and limit"), rows)


def _facts(
    building: Building, made: Sequence[SharedForm], openings: int, sheets: Sheets | None, plan: PressDays | None
) -> Iterable[tuple[str, str]]:
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


def _form(form: SharedForm, units: Units, verdict: Verdict) -> str:
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
    link = f'<a href="{attribute(form.name)}/report.html">job report</a>'
    said = f"{pressings[0].side}, {form.layers} layers of {form.recipe.sheet_name}, {_KINDS[form.kind]}"
    mark = "" if verdict.may else f'<p class="stamp">{text(verdict.text)}</p>'
    return (
        f'<article class="form"><h3>{text(form.name)}</h3>{mark}<div>{shared_figure(form.name, pressings)}'
        f"<p>{text(said)}; {link}</p></div>{columns_table(f'Off {form.name}', header, rows)}</article>"
    )


def _radius(mm: float, units: Units) -> str:
    return "straight" if math.isinf(mm) else write_length(mm, units)


def _sheets(sheets: Sheets) -> str:
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
    maps = "".join(_map(sheets, sheet) for sheet in sheets.sheets)
    table = columns_table("Sheets in cutting order", ("sheet", "file", "board", "size", "pieces", "used"), rows)
    unplaced = ", ".join(part.name for part in sheets.unplaced)
    short = f'<p class="verdict problem">The stock does not suffice for {text(unplaced)}.</p>' if unplaced else ""
    return f'{short}{table}<div class="maps">{maps}</div>'


def _map(sheets: Sheets, sheet: CutSheet) -> str:
    """A sheet with its pieces, and the list under it in letters that a phone can show."""
    named = ", ".join(f"{i}: {placed.part.name}" for i, placed in enumerate(sheet.placements, start=1))
    picture = sheets_svg(replace(sheets, sheets=(sheet,)))
    return f'<figure class="paper">{picture}<figcaption>Sheet {sheet.number}. {text(named)}</figcaption></figure>'


def _press_days(plan: PressDays) -> str:
    left = "".join(f'<li class="problem">{text(f"{h.opening}, {h.count}: {h.why}")}</li>' for h in plan.left_out)
    found = "".join(f'<li class="{f.severity}">{text(f.message)}</li>' for f in plan.findings)
    lists = f'<ul class="findings">{left}{found}</ul>' if left or found else ""
    header, *rows = press_days_rows(plan)
    days = columns_table("Day by day", ("day", "take out", "lay up"), day_lines(plan))
    everything = columns_table("Glue-ups in the order in which they begin", [*map(str, header)], [*map(_said, rows)])
    chart = f'<figure class="paper wide" role="region" tabindex="0" aria-label="Chart">{press_days_svg(plan)}</figure>'
    return f"<p>{text(headline(plan))}.</p>{lists}{chart}{days}{everything}"


def _totals(rows: Sequence[Sequence[Cell]]) -> str:
    kinds = [str(row[0]) for row in rows[1:]]
    totals = [kind for kind in dict.fromkeys(kinds) if kind != "opening"]
    return _table("Totals, as in the summary", rows, totals, range(len(rows[0])))


def _openings(rows: Sequence[Sequence[Cell]]) -> str:
    """The summary's openings in two tables, so that paper can hold them: curves, then plies, bar and glue."""
    names = [str(cell) for cell in rows[0]]
    mark, wood = names.index("opening"), names.index("wood")
    curves = _table("Openings: curves", rows, ("opening",), range(mark, wood))
    return curves + _table("Openings: plies, bar and glue", rows, ("opening",), [mark, *range(wood, len(names))])


def _table(caption: str, rows: Sequence[Sequence[Cell]], kinds: Sequence[str], wanted: Iterable[int]) -> str:
    """The rows of some kinds in some columns, those left out in which nothing stands."""
    kept = [row for row in rows[1:] if row[0] in kinds]
    columns = [i for i in wanted if any(row[i] not in (None, "") for row in kept)]
    header = [str(rows[0][i]) for i in columns]
    return columns_table(caption, header, [_said([row[i] for i in columns]) for row in kept])


def _said(row: Sequence[Cell]) -> list[str]:
    return ["" if cell is None else f"{cell:g}" if isinstance(cell, float) else str(cell) for cell in row]
