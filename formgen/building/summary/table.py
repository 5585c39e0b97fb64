"""Building: one table for the building: openings, forms, plies by wood and thickness, totals.

In: a `Building`, and what the job records of its forms say of their sheets. Out: rows under one header, numbers in the
base recipe's units; as XLSX the same bytes on any day, with no cell that a spreadsheet would run: a text that looks
like a formula is marked as text in its cell. Nothing is computed here but sums.

An opening's numbers are those of the part on the form that it comes off, which may be shared.
"""

from __future__ import annotations

import io
import math
import re
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, cast

from formgen.building.model import Building, Member, SharedForm
from formgen.building.summary.remarks import Remark, verdict_for, verdict_on
from formgen.fixed import fixed
from formgen.holding.spreader_bar import bar_on_form
from formgen.identity import part_id
from formgen.laminate.boards import BOARD_FOOT_MM3, ResawPlan
from formgen.laminate.plies import Laminate
from formgen.lengths import Units
from formgen.outputs.sheets.csv_table import RUNS, Cell
from formgen.units import MM_PER_IN

#: Columns; `{u}` is the unit of lengths.
HEADER = (
    "row", "opening", "form", "quantity", "part numbers", "arch", "side", "radius asked {u}", "radius made {u}",
    "gives up {u}", "tolerance {u}", "wood", "ply {u}", "plies", "shortest ply {u}", "longest ply {u}",
    "bar height {u}", "bar setting {u}", "bar on the tape", "layers", "pieces", "on sheets", "sheets", "board m2",
    "glue-ups", "glue kg", "press hours", "board feet", "verdict", "remarks",
)  # fmt: skip

#: The first day that a ZIP archive can name, as XLSX files are archives.
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
_DATE = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(<)")
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


@fixed
class PlyNeed:
    """Plies of one wood and thickness.

    Args:
        wood: wood or panel.
        thickness_mm: of a ply.
        plies: how many, spares included.
        board_feet: of the boards that they are sawn from; None for veneer and panels.
    """

    wood: str
    thickness_mm: float
    plies: int
    board_feet: float | None


def needs(laminate: Laminate, quantity: int) -> list[PlyNeed]:
    """Plies for so many openings that are alike: spares are cut once, not for each."""
    spares = laminate.recipe.asked.laminate.spares
    plans = {(plan.wood, plan.thickness_mm): plan for plan in laminate.materials.resaw}
    found = []
    for kind in dict.fromkeys((cut.wood, cut.thickness_mm) for cut in laminate.materials.cuts):
        alike = [cut for cut in laminate.materials.cuts if (cut.wood, cut.thickness_mm) == kind and cut.ply]
        count = quantity * sum(cut.count for cut in alike) + spares
        plan = plans.get(kind)
        feet = None if plan is None else _board_feet(plan, count)
        found.append(PlyNeed(wood=kind[0], thickness_mm=kind[1], plies=count, board_feet=feet))
    return found


def _board_feet(plan: ResawPlan, count: int) -> float:
    """Board feet of the strips that so many plies are sawn from."""
    strips = math.ceil(count / plan.from_a_strip) if plan.from_a_strip else 0
    return strips * plan.board_thickness_mm * plan.strip_width_mm * plan.strip_length_mm / BOARD_FOOT_MM3


def summary_rows(
    building: Building,
    jobs: Mapping[str, Mapping[str, Any]],
    on_sheets: Mapping[str, Sequence[int]] | None = None,
    sums: Mapping[str, Any] | None = None,
    *,
    found: Sequence[Remark],
) -> list[tuple[Cell, ...]]:
    """The header and all rows.

    Args:
        building: what is made.
        jobs: the job record of each form by its name; a form without one is left out, and so are its openings.
        on_sheets: numbers of the sheets that each form's pieces lie on; None where none were laid out.
        sums: what the sheets take (`sheet_sums`).
        found: what is wrong with forms and openings.
    """
    on_sheets = on_sheets or {}
    made = [form for form in building.forms if form.name in jobs]
    units: Units = made[0].recipe.units if made else "mm"
    header = tuple(name.format(u=units) for name in HEADER)
    rows: list[dict[str, Cell]] = []
    for form in made:
        height = _bar_height_mm(jobs[form.name])
        for member in form.members:
            verdict = verdict_for(member.opening.mark, found)
            rows.append(_opening(member, form, height, units) | {"verdict": verdict.text})
    for form in made:
        row = _form(form, jobs[form.name], on_sheets.get(form.name, ()))
        rows.append(row | {"verdict": verdict_on(form, found).text})
    rows += list(_boards(sums))
    everything = [
        need for form in made for m in form.members for need in needs(m.pressing.laminate, m.opening.quantity)
    ]
    rows += list(_plies(everything, units))
    rows.append(_total(rows))
    return [header, *(tuple(row.get(name.format(u="{u}")) for name in HEADER) for row in rows)]


def _opening(member: Member, form: SharedForm, bar_mm: float | None, units: Units) -> dict[str, Cell]:
    opening, pressing, laminate = member.opening, member.pressing, member.pressing.laminate
    lengths = [ply.length_mm for ply in laminate.plies]
    thicknesses = {ply.thickness_mm for ply in laminate.plies}
    glue_ups = opening.quantity * laminate.arch.copies
    row: dict[str, Cell] = {
        "row": "opening",
        "opening": opening.mark,
        "form": form.name,
        "quantity": opening.quantity,
        "part numbers": part_numbers(opening.mark, glue_ups),
        "arch": opening.recipe.part.arch.kind,
        "side": pressing.side,
        "radius asked {u}": _length(member.asked_radius_mm, units),
        "radius made {u}": _length(member.made_radius_mm, units),
        "gives up {u}": _length(member.gives_up_mm, units),
        "tolerance {u}": _length(member.tolerance_mm, units),
        "wood": ", ".join(dict.fromkeys(ply.wood for ply in laminate.plies)),
        "ply {u}": _length(min(thicknesses), units) if len(thicknesses) == 1 else None,
        "plies": len(laminate.plies),
        "shortest ply {u}": _length(min(lengths), units),
        "longest ply {u}": _length(max(lengths), units),
        "glue-ups": glue_ups,
        "glue kg": None if pressing.glue.mixed_kg is None else round(glue_ups * pressing.glue.mixed_kg, 3),
        "press hours": round(glue_ups * pressing.glue.press_min / 60.0, 2),
        "board feet": _feet(needs(laminate, opening.quantity)),
        "remarks": opening.recipe.asked.note,
    }
    if bar_mm is not None:
        setting = bar_on_form(pressing, bar_mm)
        row["bar height {u}"] = _length(bar_mm, units)
        row["bar setting {u}"] = _length(setting.jaw_to_jaw_mm, units)
        row["bar on the tape"] = setting.tape
    return row


def _bar_height_mm(job: Mapping[str, Any]) -> float | None:
    """Height of the bar's seat in the form as it was built, or None."""
    bar = job["found"]["holding"].get("bar_setting")
    return None if bar is None else float(bar["height_mm"])


def part_numbers(mark: str, count: int) -> str:
    """Write each part's number: the opening's mark, and a count where there are several (halves count each)."""
    if count == 1:
        return mark
    first, last = part_id(mark, copy=1), part_id(mark, copy=count)
    return f"{first} {last}" if count == 2 else f"{first} to {last}"


def _boards(sums: Mapping[str, Any] | None) -> Iterator[dict[str, Cell]]:
    """A row for each board that the forms are cut from."""
    for run in sums["boards"] if sums else ():
        offcuts = f", and {run['offcuts']} offcuts" if run["offcuts"] else ""
        remarks = f"laid out by the {run['engine']} engine{offcuts}"
        yield {"row": "sheets", "form": run["board"], "sheets": run["new"], "remarks": remarks}


def _form(form: SharedForm, job: Mapping[str, Any], on_sheets: Sequence[int]) -> dict[str, Cell]:
    layers = job["found"]["form"]["layers"]
    return {
        "row": "form",
        "opening": " ".join(member.opening.mark for member in form.members),
        "form": form.name,
        "quantity": 1,
        "side": form.members[0].pressing.side,
        "layers": len(layers),
        "pieces": sum(len(layer["pieces"]) for layer in layers),
        "on sheets": " ".join(map(str, on_sheets)) or None,
        "board m2": round(float(job["found"]["form"]["weights"]["board_m2"]), 4),
    }


def _plies(found: Sequence[PlyNeed], units: Units) -> Iterator[dict[str, Cell]]:
    for wood, thickness in sorted({(need.wood, need.thickness_mm) for need in found}):
        alike = [need for need in found if (need.wood, need.thickness_mm) == (wood, thickness)]
        yield {
            "row": "plies",
            "wood": wood,
            "ply {u}": _length(thickness, units),
            "plies": sum(need.plies for need in alike),
            "board feet": _feet(alike),
        }


def _total(rows: Sequence[Mapping[str, Cell]]) -> dict[str, Cell]:
    """Sums: of openings what is asked and pressed, of forms what is cut, of plies what is sawn."""

    def total(kind: str, column: str) -> float:
        return math.fsum(float(row[column] or 0.0) for row in rows if row["row"] == kind and column in row)

    chosen = all(row["glue kg"] is not None for row in rows if row["row"] == "opening")

    whole = {"quantity": "opening", "glue-ups": "opening", "layers": "form", "pieces": "form", "plies": "plies",
             "sheets": "sheets"}  # fmt: skip
    parts = {"glue kg": "opening", "press hours": "opening", "board m2": "form", "board feet": "plies"}
    return {
        "row": "total",
        "opening": f"{sum(row['row'] == 'opening' for row in rows)} openings",
        "form": f"{sum(row['row'] == 'form' for row in rows)} forms",
        **{column: int(total(kind, column)) for column, kind in whole.items()},
        **{column: round(total(kind, column), 4) for column, kind in parts.items() if chosen or column != "glue kg"},
    }


def _length(mm: float, units: Units) -> float | None:
    """A length as a number in the table's units: to 0.001 in or 0.01 mm; None for a straight run's radius."""
    if math.isinf(mm):
        return None
    return round(mm / float(MM_PER_IN), 3) if units == "in" else round(mm, 2)


def _feet(found: Sequence[PlyNeed]) -> float | None:
    sawn = [need.board_feet for need in found if need.board_feet is not None]
    return round(math.fsum(sawn), 2) if sawn else None


def as_xlsx(rows: Sequence[Sequence[Cell]], title: str) -> bytes:
    """The rows as a workbook with one sheet, its first row bold and held in place.

    Args:
        rows: the header first.
        title: the sheet's name.
    """
    from openpyxl import Workbook
    from openpyxl.cell import Cell as SheetCell
    from openpyxl.styles import Font

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = title
    for i, row in enumerate(rows, 1):
        for j, value in enumerate(row, 1):
            if value is None:
                continue
            cell = cast("SheetCell", sheet.cell(i, j))
            if isinstance(value, str):
                cell.value = _NOT_IN_XML.sub(" ", value)
                cell.data_type = "s"
                cell.quotePrefix = value.startswith(RUNS)
            else:
                cell.value = value
            if i == 1:
                cell.font = Font(bold=True)
    sheet.freeze_panes = "C2"
    out = io.BytesIO()
    book.save(out)
    return _undated(out.getvalue())


def _undated(raw: bytes) -> bytes:
    """The archive with every date in it the same."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in sorted(old.infolist(), key=lambda held: held.filename):
            content = _DATE.sub(rb"\g<1>1980-01-01T00:00:00Z\2", old.read(entry))
            new.writestr(zipfile.ZipInfo(entry.filename, _FIRST_DAY), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()
