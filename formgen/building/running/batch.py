"""Building: the whole batch: a schedule to forms, rebuilding only what changed, and the building's summary.

In: a schedule as read, the folder for results, where jobs run. Out: an `Outcome`; on the way, events. It may be stopped
at any moment and run again: forms are put in place whole, and what stands is not built twice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formgen.building.model import Nesting
from formgen.building.running.events import Event, Tell
from formgen.building.running.jobs import Done, Job, job_of, stands
from formgen.building.running.pool import Place, run_batch
from formgen.building.schedule.opening import Schedule
from formgen.building.summary.record import (
    CSV_FILE,
    PAGE_FILE,
    XLSX_FILE,
    all_stands,
    key_of,
    make_record,
    read_record,
    replace_file,
    write_record,
)
from formgen.errors import ExportError, RecipeError
from formgen.outputs.folder.whole import refuse_unnameable, sweep
from formgen.outputs.sheets.names import SHEETS_FOLDER
from formgen.quoted import visible

if TYPE_CHECKING:
    from formgen.building.model import Building, SharedForm
    from formgen.building.running.sheets import Division
    from formgen.sheets.model import Sheets


@dataclass(frozen=True, kw_only=True)
class Options:
    """How a batch is run.

    Args:
        share: the share of each part's tolerance that sharing may use, 0 to 1.
        apart: every opening gets a form of its own.
        force: build what stands, too.
        keep_going: go on with the rest where a row or a form is refused.
        anyway: build forms, marked, on which the part must not be pressed.
        nesting: how sheets are laid out; None lays out none.
    """

    share: float = 0.5
    apart: bool = False
    force: bool = False
    keep_going: bool = False
    anyway: bool = False
    nesting: Nesting | None = field(default_factory=Nesting)


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of a batch.

    Args:
        record: what `building.json` holds.
        built: names of the forms that were built in this run.
        stood: how many stood already.
        not_made: a line for each row or form that there is none for.
        unwritten: one of them is missing since files could not be written.
        left_over: forms of an earlier batch in the folder that this schedule does not ask for.
    """

    record: dict[str, Any]
    built: tuple[str, ...]
    stood: int
    not_made: tuple[str, ...]
    left_over: tuple[str, ...]
    unwritten: bool = False


def run_building(
    schedule: Schedule,
    output: Path,
    place: Callable[[], AbstractContextManager[Place]],
    options: Options,
    tell: Tell = lambda _event: None,
) -> Outcome:
    """Build the forms of a schedule.

    Args:
        schedule: as read.
        output: folder for results: a folder for each form, `sheets`, `building.json`, `building.csv` and
            `building.xlsx`.
        place: opens where jobs run; not asked for where nothing is to be built.
        options: how.
        tell: told each event as it happens.

    Raises:
        RecipeError: rows or forms are refused and `keep_going` is off; one line for each; nothing is built.
        SheetError: fewer sheets in stock than the pieces need, or an engine that is not installed; nothing is built.
        ExportError: the folder cannot be written.
    """
    refuse_unnameable(output)
    sweep(output)
    nesting = None if options.nesting is None else asdict(options.nesting)
    key = key_of(schedule, options.share, apart=options.apart, anyway=options.anyway, nesting=nesting)
    before = read_record(output)
    goes_on = not schedule.refused or options.keep_going
    if goes_on and not options.force and before and before["key"] == key and all_stands(output, before):
        count = len(before["found"]["forms"])
        tell(Event(what="stands", done=count, of=count))
        lost = tuple(before["not_made"])
        return Outcome(record=before, built=(), stood=count, not_made=lost, left_over=())
    return _made(schedule, output, place, options, tell, key, before)


def _made(
    schedule: Schedule,
    output: Path,
    place: Callable[[], AbstractContextManager[Place]],
    options: Options,
    tell: Tell,
    key: str,
    before: dict[str, Any] | None,
) -> Outcome:
    from formgen.building.running.checking import cannot_be_made, line_of
    from formgen.building.running.sheets import laid_sheets
    from formgen.building.sharing.forms import plan_building

    building = plan_building(schedule.openings, options.share, tell, apart=options.apart, anyway=options.anyway)
    refused = sorted([*schedule.refused, *building.refused], key=lambda row: row.row)
    lost = list(dict.fromkeys(line for row in refused for line in row.lines))
    if lost and not options.keep_going:
        raise RecipeError(*lost)
    for row in refused:
        tell(Event(what="refused", name=row.mark, message="\n".join(row.lines)))
    _refuse_name(building)
    names = {form.name for form in building.forms}
    division = _divided(building, output, place, options, tell, lost)
    building = division.building
    jobs = [Job(recipe=form.recipe, output=output, anyway=options.anyway) for form in building.forms]
    standing = {job.name for job in jobs if not options.force and stands(job)}
    bad = cannot_be_made(building, standing, place, tell, anyway=options.anyway)
    building = _without(building, bad, options, tell, lost)
    jobs = [job for job in jobs if job.name not in bad]
    tell(Event(what="planned", done=len(standing), of=len(jobs), message=_plan_text(building)))
    missing = [job for job in jobs if job.name not in standing]
    ended: dict[str, Done] = {}
    if missing:
        with place() as there:
            for done in run_batch(missing, there, keep_going=options.keep_going):
                ended[done.name] = done
                tell(_event(done, len(standing) + len(ended), len(jobs)))
    lost += [line_of(form, ended[form.name].refused) for form in building.forms if _was_refused(ended.get(form.name))]
    built = [form.name for form in building.forms if form.name in ended and not ended[form.name].refused]
    made = [form for form in building.forms if form.name in standing or form.name in built]
    sheets = laid_sheets(division, [form.name for form in made], options.nesting, place, tell, output)
    settled = not any(done.refused for done in ended.values())  # else a next run tries those again
    _write(key if settled else "", schedule, building, made, lost, output, sheets)
    record = read_record(output) or {}
    tell(Event(what="written", done=len(made), of=len(jobs)))
    earlier = [form["name"] for form in (before or {"found": {"forms": []}})["found"]["forms"]]
    return Outcome(
        record=record,
        built=tuple(built),
        stood=len(standing),
        not_made=tuple(lost),
        left_over=tuple(name for name in earlier if name not in names and (output / name).is_dir()),
        unwritten=any(done.unwritten for done in ended.values()),
    )


def _divided(
    building: Building,
    output: Path,
    place: Callable[[], AbstractContextManager[Place]],
    options: Options,
    tell: Tell,
    lost: list[str],
) -> Division:
    """The building with its pieces a layer chosen, without the forms that cannot be cut, looked at before."""
    from formgen.building.running.checking import cannot_be_made, looked_at, standing_forms
    from formgen.building.running.sheets import divided_building

    known = set() if options.force else standing_forms(building, output, anyway=options.anyway)
    alone = {form.name for form in building.forms if not form.recipe.makes}
    # Without sheets the next thing done is to make each form: looking before would only make it twice.
    building, bad = looked_at(building, known | alone if options.nesting is None else known, place, tell)
    if bad and not options.keep_going:  # so that all that is wrong is said at once
        bad = cannot_be_made(building, known, place, tell, anyway=options.anyway)
    building = _without(building, bad, options, tell, lost)
    while True:
        division = divided_building(building, options.nesting, place, tell)
        if not division.too_large:
            return division
        building = _without(building, division.too_large, options, tell, lost)


def _without(building: Building, bad: Mapping[str, str], options: Options, tell: Tell, lost: list[str]) -> Building:
    """The building without forms that are refused, each with its line; they are told, and the lines lost.

    Raises:
        RecipeError: some are, and the batch is not to go on without them.
    """
    if bad and not options.keep_going:
        raise RecipeError(*bad.values())
    for name, line in bad.items():
        tell(Event(what="refused", name=name, message=line))
    lost += bad.values()
    return replace(building, forms=tuple(form for form in building.forms if form.name not in bad))


def _refuse_name(building: Building) -> None:
    """No form may have the name of the sheets' folder."""
    for form in building.forms:
        if form.name.casefold() == SHEETS_FOLDER:
            mark = form.members[0].opening
            raise RecipeError(mark.placed(f"{form.name} is the folder of the sheets, expected another mark: rename it"))


def _plan_text(building: Building) -> str:
    return f"{building.openings} openings, {len(building.forms)} forms"


def _event(done: Done, settled: int, of: int) -> Event:
    what = "refused" if done.refused else "built"
    return Event(what=what, name=done.name, message=done.refused, done=settled, of=of, seconds=done.seconds)


def _was_refused(done: Done | None) -> bool:
    return done is not None and bool(done.refused)


def _write(
    key: str,
    schedule: Schedule,
    building: Building,
    made: list[SharedForm],
    lost: list[str],
    output: Path,
    sheets: tuple[Sheets, dict[str, Any]] | None,
) -> None:
    """The summary and the record."""
    from formgen.building.press_days.files import press_days_of, write_press_days
    from formgen.building.schedule.spreadsheet import as_xlsx
    from formgen.building.summary.page import building_page
    from formgen.building.summary.remarks import remarks_on
    from formgen.building.summary.sheet_sums import sheets_by_form
    from formgen.building.summary.table import summary_rows
    from formgen.outputs.sheets.csv_table import as_csv

    jobs = {form.name: job for form in made if (job := job_of(output / form.name)) is not None}
    laid, sums = sheets or (None, None)
    found = remarks_on(made, jobs)
    plan = press_days_of(building, jobs, found)
    rows = summary_rows(building, jobs, {} if laid is None else sheets_by_form(laid), sums, found=found)
    try:
        output.mkdir(parents=True, exist_ok=True)
        replace_file(output / CSV_FILE, as_csv(rows))
        replace_file(output / XLSX_FILE, as_xlsx(rows, "Building"))
        page = building_page(
            building, made, rows, lost=lost, found=found, sheets=laid, plan=plan, schedule=schedule.file
        )
        replace_file(output / PAGE_FILE, page)
        record = make_record(key, schedule, building, made, lost, sums, found)
        record["found"]["press_days"] = None if plan is None else write_press_days(plan, output)
        write_record(record, output, made)
    except ExportError as err:
        raise ExportError(f"{visible(output.name)}: the summary cannot be written: {err}") from err
    except OSError as err:
        raise ExportError(
            f"{visible(output.name)}: the summary cannot be written ({err.strerror}); choose another folder"
        ) from err
