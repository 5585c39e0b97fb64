"""Building: one form as a job: whether it stands already as it would be built, and building it.

In: a recipe and the folder for results. Out: the form's folder, or the line that says why there is none. A job runs in
whatever process it is given to; nothing is shared but the folder.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from formgen.errors import ExportError, FormgenError, SheetError
from formgen.fixed import fixed
from formgen.outputs.folder.names import JOB_FILE, refuse_taken_names
from formgen.outputs.record.job import FORMAT, fingerprint, fingerprint_plain, versions_used
from formgen.outputs.record.reader import read_shown
from formgen.outputs.table import made_names
from formgen.recipe.as_asked import asked_record, drawings_asked
from formgen.recipe.model import Recipe


@fixed
class Job:
    """A form to build.

    Args:
        recipe: what is asked.
        output: gets a folder for it.
        anyway: build it, marked, although the part must not be pressed on it.
    """

    recipe: Recipe
    output: Path
    anyway: bool = False

    @property
    def name(self) -> str:
        """The form's name."""
        return self.recipe.name


@fixed
class Done:
    """A job at its end.

    Args:
        name: the form's.
        refused: why there is no form, in one line or several; empty where there is one.
        unwritten: it was refused since files could not be written.
        seconds: how long it took.
    """

    name: str
    refused: str = ""
    unwritten: bool = False
    seconds: float = 0.0


def stands(job: Job) -> bool:
    """Tell whether the form's folder holds what the job would build: asked alike, same versions, no byte changed.

    A form that must not be pressed stands only for a job that would build it anyway.
    """
    record = record_in(job.output / job.name)
    if record is None or record.get("format") != FORMAT or record.get("versions") != versions_used():
        return False
    verdict = verdict_in(record)
    may = isinstance(verdict, dict) and verdict.get("may") is True
    if record.get("asked") != asked_record(job.recipe) or not (job.anyway or may):
        return False
    if not whole(job.output / job.name, record):
        return False
    try:
        drawings = {name: job.recipe.folder / name for name in drawings_asked(job.recipe)}
        return all(path.is_file() and record["files"].get(name) == fingerprint(path) for name, path in drawings.items())
    except OSError:
        return False


def record_in(folder: Path, name: str = JOB_FILE) -> dict[str, Any] | None:
    """The job record in a folder, or the one of that name; None where none names files and can be shown."""
    try:
        record = read_shown(folder / name)
    except (OSError, ValueError):
        return None
    return record if isinstance(record.get("files"), dict) else None


def verdict_in(record: Mapping[str, Any]) -> Any:
    """The verdict as a record has it; None where it has none."""
    found = record.get("found")
    return found.get("verdict") if isinstance(found, dict) else None


def whole(folder: Path, record: Mapping[str, Any]) -> bool:
    """Tell whether every file that a record names is there with the bytes that it names."""
    try:
        return all(fingerprint_plain(folder / name) == made for name, made in record["files"].items())
    except (OSError, ValueError):  # no such file, or a name that no file can have
        return False


def cut_alone(recipe: Recipe) -> str:
    """The line with which the stages up to the form refuse a recipe, or nothing: whether its layers can be cut."""
    from formgen.sheets.division import divided

    try:
        divided(recipe, 1)
    except FormgenError as err:
        return str(err)
    return ""


def too_large(recipe: Recipe, counts: Sequence[int]) -> str:
    """The line that names a piece of the form which goes on no sheet, or nothing where one number of pieces goes.

    Args:
        recipe: what is asked.
        counts: numbers of pieces a layer, one or more.

    Raises:
        FormgenError: there is no such form.
    """
    from formgen.sheets.division import divided
    from formgen.sheets.layout import sheet_tasks
    from formgen.sheets.parts import parts_of, rules_of, stock_of

    lines = []
    for count in counts:
        forms = [divided(recipe, count)]
        try:
            sheet_tasks(parts_of(forms, {}), stock_of(forms, recipe.shop), rules_of(recipe.shop))
        except SheetError as err:
            lines.append(str(err))
        else:
            return ""
    return lines[0]


def judged(recipe: Recipe, anyway: bool = False) -> str:  # noqa: FBT001, FBT002 -- a task's arguments are in order
    """The line with which the form of a recipe is refused, or nothing; it is run and nothing is written.

    Args:
        recipe: what is asked.
        anyway: a part that must not be pressed is no reason.
    """
    from formgen.pipeline import refuse_problems, run
    from formgen.reports.pages import PAGES

    try:
        form = run(recipe)
        refuse_taken_names(form, made_names(PAGES, form))
        if not anyway:
            refuse_problems(form)
    except FormgenError as err:
        return str(err)
    return ""


def build(job: Job) -> Done:
    """Build a form: the stages, the files, and reading them back. What is refused is said in the result, not raised."""
    from formgen.outputs.folder.write import write_all
    from formgen.pipeline import refuse_problems, run
    from formgen.reports.pages import PAGES

    begin = time.perf_counter()
    refused, unwritten = "", False
    try:
        form = run(job.recipe)
        if not job.anyway:
            refuse_problems(form)
        write_all(form, job.output, pages=PAGES)
    except FormgenError as err:
        refused, unwritten = str(err), isinstance(err, ExportError)
    return Done(name=job.name, refused=refused, unwritten=unwritten, seconds=time.perf_counter() - begin)
