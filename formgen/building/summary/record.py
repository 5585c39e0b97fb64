"""Building: the record of a batch: what was asked, what was found, and whether all of it still stands.

In: a schedule, options, and what became of it. Out: `building.json` beside the forms' folders. It holds no date and no
path of the machine: the same schedule gives the same bytes, however often the batch was interrupted.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from formgen.building.model import Building, SharedForm
from formgen.building.running.jobs import record_in, whole
from formgen.building.schedule.opening import Opening, Schedule
from formgen.building.summary.remarks import Remark, remark_record, verdict_on, verdict_text
from formgen.outputs.folder.exclusive import put_in_place, sweep_parts
from formgen.outputs.folder.names import JOB_FILE
from formgen.outputs.record.job import fingerprint, versions_used
from formgen.outputs.record.plain import number, plain
from formgen.outputs.sheets.names import RECORD_FILE as MAP_RECORD_FILE
from formgen.outputs.sheets.names import SHEETS_FOLDER
from formgen.recipe.arch_kinds import Drawing
from formgen.recipe.as_asked import asked_record
from formgen.sheets.dense import dense_version

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
    nesting: Mapping[str, Any] | None = None,
) -> str:
    """A hash of all that a batch is made from: recipes as understood, shop, drawings, options, versions.

    Args:
        schedule: as read.
        share: the share of each part's tolerance that sharing may use.
        apart: every opening gets a form of its own.
        anyway: forms are built, marked, on which the part must not be pressed.
        nesting: how sheets are laid out, as plain data; None where they are not.
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
        "nesting": None if nesting is None else {**nesting, "packingsolver": dense_version()},
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
