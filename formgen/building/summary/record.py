"""Building: the record of a batch: what was asked, what was found, and whether all of it still stands.

In: a schedule, options, and what became of it. Out: `building.json` beside the forms' folders. It holds no date and no
path of the machine: the same schedule gives the same bytes, however often the batch was interrupted. What it says of
the sheets can be counted on the files: sheets are drawings in their folder, areas are those of the outlines in them.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formgen.building.model import Building, Nesting, SharedForm
from formgen.building.running.jobs import record_in, whole
from formgen.building.schedule.opening import Opening, Schedule
from formgen.building.summary.remarks import Remark, remark_record, verdict_on, verdict_text
from formgen.fixed import fixed
from formgen.outputs.folder.exclusive import put_in_place, sweep_parts
from formgen.outputs.folder.names import JOB_FILE
from formgen.outputs.record.job import fingerprint, versions_used
from formgen.outputs.record.plain import number, plain
from formgen.outputs.sheets.names import RECORD_FILE as MAP_RECORD_FILE
from formgen.outputs.sheets.names import SHEETS_FOLDER
from formgen.recipe.arch_kinds import Drawing
from formgen.recipe.as_asked import asked_record
from formgen.sheets.dense import dense_version
from formgen.sheets.division import division_text

if TYPE_CHECKING:
    from formgen.sheets.division import Trial
    from formgen.sheets.handling import Handling
    from formgen.sheets.model import Sheets

RECORD_FILE, CSV_FILE, XLSX_FILE = "building.json", "building.csv", "building.xlsx"
PAGE_FILE = "building.html"
#: Press days, as a table and as a chart.
PRESS_CSV_FILE, PRESS_SVG_FILE = "press-days.csv", "press-days.svg"
FORMAT = 3


def key_of(
    schedule: Schedule,
    share: float,
    *,
    apart: bool,
    anyway: bool = False,
    nesting: Nesting | None = None,
) -> str:
    """A hash of all that a batch is made from: recipes as understood, shop, drawings, options, versions.

    Args:
        schedule: as read.
        share: the share of each part's tolerance that sharing may use.
        apart: every opening gets a form of its own.
        anyway: forms are built, marked, on which the part must not be pressed.
        nesting: how sheets are laid out, None where they are not.
    """
    shop = asked_record(schedule.openings[0].recipe)["shop"] if schedule.openings else None
    asked = {
        "format": FORMAT,
        "schedule": schedule.file,
        "base": schedule.base,
        "openings": [_asked(opening) for opening in schedule.openings],
        "refused": [row.lines for row in schedule.refused],
        "shop": shop,
        "share": share,
        "apart": apart,
        "anyway": anyway,
        "nesting": None if nesting is None else {**asdict(nesting), "packingsolver": dense_version()},
        "versions": versions_used() | {"ortools": version("ortools")},
    }
    return hashlib.sha256(json.dumps(asked, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def _asked(opening: Opening) -> dict[str, Any]:
    recipe = opening.recipe
    arch = recipe.part.arch
    drawing = None
    if isinstance(arch, Drawing) and (recipe.folder / arch.file).is_file():
        drawing = fingerprint(recipe.folder / arch.file)
    return {
        "row": opening.row,
        "quantity": opening.quantity,
        "recipe": recipe.asked.model_dump(mode="json"),
        "sheet_name": recipe.sheet_name,
        "sheet": recipe.sheet.model_dump(mode="json"),
        "drawing": drawing,
    }


def read_record(output: Path) -> dict[str, Any] | None:
    """The record of an earlier batch in this folder; None where there is none that can be read."""
    record = record_in(output, RECORD_FILE)
    good = record is not None and {"key", "found"} <= record.keys() and record.get("format") == FORMAT
    return record if good else None


def all_stands(output: Path, record: Mapping[str, Any]) -> bool:
    """Tell whether every file of the batch and of each of its forms is there with the bytes that were written."""
    if not whole(output, record):
        return False
    try:
        named = [(output / form["name"], JOB_FILE) for form in record["found"]["forms"]]
        if record["found"].get("sheets"):
            named.append((output / SHEETS_FOLDER, MAP_RECORD_FILE))
    except (TypeError, KeyError, AttributeError):  # a record that somebody touched
        return False
    held = [(folder, record_in(folder, name)) for folder, name in named]
    return all(made is not None and whole(folder, made) for folder, made in held)


def make_record(
    key: str,
    schedule: Schedule,
    building: Building,
    made: Sequence[SharedForm],
    lost: Sequence[str],
    laid: Mapping[str, Any] | None,
    found: Sequence[Remark],
) -> dict[str, Any]:
    """The record without its files.

    Args:
        key: from `key_of`; empty where a form was lost that another run may build.
        schedule: what was read.
        building: what was planned.
        made: the forms that stand.
        lost: a line for each row or form that does not.
        laid: what the sheets take (`sheet_sums`); None where none were laid out.
        found: problems and warnings of forms and openings.
    """
    return {
        "format": FORMAT,
        "key": key,
        "asked": {
            "schedule": schedule.file,
            "base": schedule.base,
            "units": building.forms[0].recipe.units if building.forms else "mm",
            "share_of_tolerance": number(building.share),
        },
        "found": {
            "openings": sum(len(form.members) for form in made),
            "forms_saved": sum(len(form.members) - 1 for form in made),
            "layers_saved": sum(form.layers_apart - form.layers for form in made),
            "forms": [_form(form) | {"verdict": plain(verdict_on(form, found))} for form in made],
            "sheets": laid,
            "verdict": verdict_text(made, lost, found)[0],
            "remarks": [remark_record(remark) for remark in found],
        },
        "not_made": list(lost),
    }


def _form(form: SharedForm) -> dict[str, Any]:
    return {
        "name": form.name,
        "curve": form.kind,
        "layers": form.layers,
        "layers_apart": form.layers_apart,
        "least_pieces": form.recipe.asked.form.least_pieces,
        "openings": [
            {
                "opening": member.opening.mark,
                "row": member.opening.row,
                "quantity": member.opening.quantity,
                "radius_asked_mm": number(member.asked_radius_mm),
                "radius_made_mm": number(member.made_radius_mm),
                "gives_up_mm": number(member.gives_up_mm),
                "tolerance_mm": number(member.tolerance_mm),
            }
            for member in form.members
        ],
    }


def write_record(record: Mapping[str, Any], output: Path, made: Sequence[SharedForm]) -> None:
    """Write the record with hashes of the summary and of each form's own record."""
    names = [CSV_FILE, XLSX_FILE, PAGE_FILE, *(f"{form.name}/{JOB_FILE}" for form in made)]
    if record["found"].get("sheets"):
        names.append(f"{SHEETS_FOLDER}/{MAP_RECORD_FILE}")
    if record["found"].get("press_days"):
        names += [PRESS_CSV_FILE, PRESS_SVG_FILE]
    files = {name: fingerprint(output / name) for name in names}
    text = json.dumps({**record, "files": files}, indent=1, ensure_ascii=False, allow_nan=False)
    replace_file(output / RECORD_FILE, f"{text}\n".encode())


def replace_file(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    sweep_parts(path.parent)
    put_in_place(content, path)


@fixed
class Measures:
    """Sums that the layout is held against.

    Args:
        in_boxes: new sheets for the same pieces laid out by the boxes around them; None where the stock does not
            suffice for them.
        shared: what these forms take, laid out at the effort of a trial.
        apart: what a form for each opening would take, with the same pieces a layer and the same effort; None where
            no opening shares a form.
    """

    in_boxes: int | None
    shared: Trial
    apart: Trial | None


def sheet_sums(
    sheets: Sheets, trials: Sequence[Trial], kept: Trial, measures: Measures, handling: Handling
) -> dict[str, Any]:
    """Return what `building.json` says of the sheets.

    Args:
        sheets: the layout.
        trials: what was tried, by pieces a layer.
        kept: the one whose number of pieces was taken.
        measures: what the layout is held against.
        handling: minutes by which the number of pieces was chosen.
    """
    new, shared, apart = sheets.new_sheets, measures.shared, measures.apart
    return {
        "new": new,
        "offcuts": len(sheets.sheets) - new,
        "pieces": sum(len(sheet.placements) for sheet in sheets.sheets),
        "pieces_m2": number(math.fsum(sheet.cut_mm2 for sheet in sheets.sheets) * 1e-6),
        "usage": number(sheets.usage),
        "new_at_least": sum(run.at_least for run in sheets.runs),
        "boards": [
            {
                "board": run.board, "engine": run.engine, "effort": run.effort, "why": run.why, "new": run.sheets,
                "offcuts": run.offcuts, "new_at_least": run.at_least,
            }
            for run in sheets.runs
        ],
        "least_pieces": kept.least_pieces,
        "decided_by": division_text(trials, kept, handling),
        "tried": [_trial(trial) | {"minutes": _minutes(trial, handling)} for trial in trials],
        "new_in_boxes": measures.in_boxes,
        "apart": None if apart is None else _trial(apart),
        "saved_by_sharing": None if apart is None or not apart.goes or not shared.goes else {
            "new": apart.sheets - shared.sheets,
            "offcuts": apart.offcuts - shared.offcuts,
            "pieces_m2": number((apart.pieces_mm2 - shared.pieces_mm2) * 1e-6),
        },
        "saved_by_nesting": None if measures.in_boxes is None else measures.in_boxes - new,
    }  # fmt: skip


def sheets_by_form(sheets: Sheets) -> dict[str, tuple[int, ...]]:
    """Numbers of the sheets that each form's pieces lie on, rising."""
    found: dict[str, set[int]] = {}
    for sheet in sheets.sheets:
        for placement in sheet.placements:
            found.setdefault(placement.part.form, set()).add(sheet.number)
    return {form: tuple(sorted(numbers)) for form, numbers in found.items()}


def _trial(trial: Trial) -> dict[str, Any]:
    return {
        "least_pieces": trial.least_pieces,
        "new": trial.sheets if trial.goes else None,
        "offcuts": trial.offcuts if trial.goes else None,
        "pieces": trial.pieces,
        "pieces_m2": number(trial.pieces_mm2 * 1e-6),
    }


def _minutes(trial: Trial, handling: Handling) -> float | None:
    return number(trial.minutes(handling)) if trial.goes else None
