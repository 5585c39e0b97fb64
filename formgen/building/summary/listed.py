"""Building: what the page lists of a schedule: openings, totals, glue-ups, each in the shop's units.

In: what was planned and made. Out: tables of few columns for people; what programs read, and the rest, stands in the
files beside the page. Nothing is computed here but sums of what the summary's rows hold.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from formgen.amounts import area_text, glue_text, time_text
from formgen.answers import arch_text
from formgen.building.model import SharedForm
from formgen.building.press_days.model import GlueUp, PressDays
from formgen.building.press_days.rows import clock, day_name, day_of
from formgen.building.summary.kept import kept
from formgen.building.summary.remarks import Remark, verdict_for
from formgen.laminate.boards import BOARD_FOOT_MM3
from formgen.lengths import Units, write_fine, write_tape
from formgen.outputs.html.page import Columns
from formgen.outputs.sheets.csv_table import Cell
from formgen.units import MM_PER_IN

GLUE_UPS = ("day", "opening and form", "lay up", "take out", "bag", "bar", "setting")
OPENINGS = ("opening", "code", "form", "size", "finding")


def openings_table(
    made: Sequence[SharedForm], jobs: Mapping[str, Mapping[str, Any]], found: Sequence[Remark]
) -> Columns:
    """Return a row for each opening; a finding that all of them have is told in the caption instead.

    Args:
        made: the forms that stand.
        jobs: the job record of each by its name.
        found: what is wrong.
    """
    standing = [(form, member.opening) for form in made if form.name in jobs for member in form.members]
    codes = {one["mark"]: one["code"] for form, _ in standing for one in jobs[form.name]["found"]["makes"]}
    told = {
        opening.mark: dict.fromkeys(r.finding.title for r in found if opening.mark in r.openings)
        for _, opening in standing
    }
    for_all = [
        title for title in next(iter(told.values()), {}) if len(told) > 1 and all(title in t for t in told.values())
    ]
    rows = [
        (
            kept(opening.mark),
            codes.get(opening.mark, ""),
            kept(form.name) if form.name != opening.mark else "its own",
            arch_text(opening.recipe).replace(" face", ""),
            _finding(opening.mark, [title for title in told[opening.mark] if title not in for_all], found),
        )
        for form, opening in standing
    ]
    said = f"; of all of them: {', '.join(for_all)}" if for_all else ""
    return Columns(f"Openings{said}", OPENINGS, rows)


def _finding(mark: str, titles: Sequence[str], found: Sequence[Remark]) -> str:
    verdict = verdict_for(mark, found)
    return ", ".join([*([] if verdict.may else [verdict.text]), *titles])


def glue_ups_table(plan: PressDays, units: Units) -> Columns:
    """Return a row for each glue-up, in the order in which they begin; a column in which nothing stands is left out."""
    rows = [_glue_up(held, plan, units) for held in plan.glue_ups]
    columns = [i for i in range(len(GLUE_UPS)) if any(row[i] for row in rows)]
    header = [GLUE_UPS[i] for i in columns]
    return Columns("Glue-ups in the order in which they begin", header, [[row[i] for i in columns] for row in rows])


def _glue_up(held: GlueUp, plan: PressDays, units: Units) -> tuple[object, ...]:
    means = plan.means
    begun, out = (day_name(day_of(minute, means), means) for minute in (held.begins_min, held.opens_min))
    form = "" if held.form == held.opening else f" on {held.form}"
    return (
        begun,
        kept(f"{held.mark}{form}"),
        clock(held.begins_min, means),
        f"{clock(held.opens_min, means)}" if out == begun else f"{out} {clock(held.opens_min, means)}",
        held.bag or "",
        held.bar or "",
        "" if held.bar_mm is None else write_tape(held.bar_mm, units),
    )


def totals(rows: Sequence[Sequence[Cell]], units: Units) -> list[tuple[str, str]]:
    """Return what is summed, in the shop's units: parts, pieces, boards, glue, time, plies.

    Args:
        rows: of the summary, its header first, its sums last.
        units: of the shop.
    """
    names = [str(name) for name in rows[0]]
    told = [dict(zip(names, row, strict=True)) for row in rows[1:]]
    held = told[-1]
    said = [
        ("Parts", f"{held['glue-ups']} to glue up, for {held['quantity']} openings"),
        (
            "Pieces of forms",
            f"{held['pieces']}, of {held['layers']} layers, {area_text(_number(held['board m2']), units)}",
        ),
        *(
            (f"Sheets of {row['form']}", f"{row['sheets']} new; {row['remarks']}")
            for row in told
            if row["row"] == "sheets"
        ),
    ]
    if held["glue kg"] is not None:
        said.append(("Glue", glue_text(_number(held["glue kg"]), units)))
    said.append(("In the press", time_text(60.0 * _number(held["press hours"]))))
    plies = [row for row in told if row["row"] == "plies"]
    ply = f"ply {units}"
    for row in plies:
        size = write_fine(_number(row[ply]) * (float(MM_PER_IN) if units == "in" else 1.0), units)
        said.append((f"{row['wood']}, {size}", _plies(row, units)))
    return said if len(plies) < 2 else [*said, ("All plies", _plies(held, units))]


def _plies(row: Mapping[str, Cell], units: Units) -> str:
    """Return how many plies, and how much board they are sawn from, where they are."""
    feet = _number(row["board feet"])
    board = f"{feet:.0f} board feet" if units == "in" else f"{feet * BOARD_FOOT_MM3 / 1e9:.3f} m³"
    return f"{row['plies']} plies" + (f" from {board}" if feet else "")


def _number(cell: Cell) -> float:
    return 0.0 if cell is None else float(cell)
