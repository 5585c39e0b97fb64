"""The commands `sheets` and `send`: finished forms laid out on sheets, and sheets handed to the router."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from formgen.cli import options
from formgen.cli.exit_codes import guarded, tell_people
from formgen.cli.streams import emit_json
from formgen.errors import ExportError, VerdictError, VerifyError
from formgen.quoted import visible
from formgen.stopping import put_away_first
from formgen.verdict import MARK

if TYPE_CHECKING:
    from formgen.holding.model import Holding
    from formgen.sheets.layout import Choice
    from formgen.sheets.model import Effort


@click.command()
@options.folder
@options.nesting
@options.effort
@options.anyway
@options.as_json
@guarded
def sheets(folder: Path, nesting: Choice, effort: Effort, *, anyway: bool, as_json: bool) -> int:
    """Lay out the pieces of finished forms on sheets.

    All forms in a folder of results, into its folder `sheets`.
    """
    from formgen.outputs.folder.names import JOB_FILE
    from formgen.outputs.sheets.folder import write_sheets
    from formgen.outputs.sheets.map import map_record
    from formgen.sheets.layout import sheet_forms

    if (folder / "building.json").exists():
        raise ExportError(f"{folder}: its sheets are those of a batch, which lays them out itself: run formgen batch")
    names = sorted(path.parent.name for path in folder.glob(f"*/{JOB_FILE}") if not path.parent.name.startswith("."))
    if not names:
        raise ExportError(f"{folder}: holds no finished form, expected folders with a {JOB_FILE}: build some first")
    forms = [_form(folder / name, anyway=anyway) for name in names]
    laid = sheet_forms(forms, forms[0].recipe.shop, effort, engine=nesting)
    written = write_sheets(laid, folder)
    if as_json:
        emit_json(map_record(laid)["found"])
    for run in laid.runs:
        offcuts = f" and {run.offcuts} offcuts" if run.offcuts else ""
        tell_people(f"{run.board}: {run.sheets} sheets{offcuts}, by the {run.engine} engine ({run.why})")
    tell_people(f"{len(laid.parts)} pieces of {len(forms)} forms, written to {written} and read back")
    return 0


@click.command()
@options.folder
@click.option(
    "--to",
    type=options.FOLDER,
    required=True,
    help="Folder that the router reads: a stick, a share, a watched folder.",
)
@click.option("--replace", is_flag=True, help="Put new files in the place of others of the same name.")
@options.anyway
@options.as_json
@guarded
def send(folder: Path, to: Path, *, replace: bool, anyway: bool, as_json: bool) -> int:
    """Hand the sheets to the router.

    The sheets of a folder of results are verified, copied whole and in cutting order, with a cut list.
    """
    from formgen.outputs.sheets.handoff import forms_needed, sheets_folder
    from formgen.outputs.sheets.handoff import send as hand_over

    at = sheets_folder(folder)
    forms = [_form(at.parent / name, anyway=anyway) for name in forms_needed(at)]
    with put_away_first():
        sent = hand_over(at, to, forms, replace=replace)
    if as_json:
        emit_json({"copied": list(sent.copied), "stood": list(sent.stood), "others": list(sent.others)})
    tell_people(f"{len(sent.copied)} files copied to {to} and read back, {len(sent.stood)} were there already")
    if sent.others:
        tell_people(f"of another hand-over, left as they are: {', '.join(sent.others)}")
    return 0


def _form(folder: Path, *, anyway: bool) -> Holding:
    """The form of a finished folder, made again from its record; its files must be those that were built.

    Raises:
        VerdictError: the part must not be pressed, and nobody said to go on anyway.
        VerifyError: files were changed, or the record has another verdict than this program.
        ExportError: no record that this version reads, or a folder of another name.
    """
    from formgen.building.running.jobs import record_in, verdict_in, whole
    from formgen.holding.do_not_press import OPTION, reasons
    from formgen.outputs.folder.names import JOB_FILE
    from formgen.outputs.record.asked import recipe_from_folder
    from formgen.outputs.record.plain import plain
    from formgen.pipeline import run

    name, recipe = visible(folder.name), recipe_from_folder(folder)
    record = record_in(folder)
    if record is None or not whole(folder, record):
        raise VerifyError(f"{name}: a file of the form was changed or is missing: verify it, and build again")
    if recipe.name != folder.name:
        raise ExportError(f"{name}: holds the form {recipe.name}, expected its own name: rename the folder")
    form = run(recipe)
    if verdict_in(record) != plain(form.verdict):
        raise VerifyError(f"{name}: {JOB_FILE} has another verdict than this formgen: build it again")
    if not form.verdict.may and not anyway:
        said = reasons(form.all_findings, recipe.units)[0].rstrip(".")
        raise VerdictError(
            f"{name}: built {OPTION}, marked {MARK}: {said}; mend the recipe and build it again, or {OPTION}"
        )
    return form
