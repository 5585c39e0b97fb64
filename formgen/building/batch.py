"""Building: the whole batch: a schedule to forms, rebuilding only what changed, and the building's summary.

In: a schedule as read, the folder for results, where jobs run. Out: an `Outcome`; on the way, events. It may be stopped
at any moment and run again: forms are put in place whole, and what stands is not built twice.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import asdict, dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formgen.building.events import Event, Tell, tell_how_far
from formgen.building.jobs import Done, Job, job_of, judged, stands
from formgen.building.model import Nesting
from formgen.building.opening import Schedule
from formgen.building.pool import Place, run_batch
from formgen.building.record import (
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
from formgen.exports.sheet_names import SHEETS_FOLDER
from formgen.exports.whole_folder import refuse_unnameable, sweep
from formgen.quoted import visible

if TYPE_CHECKING:
    from formgen.building.model import Building, SharedForm
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
        SheetError: a piece that goes on no sheet, or an engine that is not installed.
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
    from formgen.building.batch_sheets import divided_building, laid_sheets
    from formgen.building.sharing import plan_building

    building = plan_building(schedule.openings, options.share, tell, apart=options.apart, anyway=options.anyway)
    refused = sorted([*schedule.refused, *building.refused], key=lambda row: row.row)
    lost = list(dict.fromkeys(line for row in refused for line in row.lines))
    if lost and not options.keep_going:
        raise RecipeError(*lost)
    for row in refused:
        tell(Event(what="refused", name=row.mark, message="\n".join(row.lines)))
    _refuse_name(building)
    division = divided_building(building, options.nesting, place, tell)
    building = division.building
    jobs = [Job(recipe=form.recipe, output=output, anyway=options.anyway) for form in building.forms]
    standing = {job.name for job in jobs if not options.force and stands(job)}
    bad = {} if options.anyway else _judged(building, [job for job in jobs if job.name not in standing], place, tell)
    if bad and not options.keep_going:
        raise RecipeError(*bad.values())
    for name, line in bad.items():
        tell(Event(what="refused", name=name, message=line))
    lost += bad.values()
    jobs = [job for job in jobs if job.name not in bad]
    tell(Event(what="planned", done=len(standing), of=len(jobs), message=_plan_text(building)))
    missing = [job for job in jobs if job.name not in standing]
    ended: dict[str, Done] = {}
    if missing:
        with place() as there:
            for done in run_batch(missing, there, keep_going=options.keep_going):
                ended[done.name] = done
                tell(_event(done, len(standing) + len(ended), len(jobs)))
    lost += [_line(form, ended[form.name].refused) for form in building.forms if _was_refused(ended.get(form.name))]
    built = [form.name for form in building.forms if form.name in ended and not ended[form.name].refused]
    made = [form for form in building.forms if form.name in standing or form.name in built]
    sheets = laid_sheets(division, [form.name for form in made], options.nesting, place, tell, output)
    settled = not any(done.refused for done in ended.values())  # else a next run tries those again
    _write(key if settled else "", schedule, building, made, lost, output, sheets)
    record = read_record(output) or {}
    tell(Event(what="written", done=len(made), of=len(jobs)))
    names = {form.name for form in building.forms}
    earlier = [form["name"] for form in (before or {"found": {"forms": []}})["found"]["forms"]]
    return Outcome(
        record=record,
        built=tuple(built),
        stood=len(standing),
        not_made=tuple(lost),
        left_over=tuple(name for name in earlier if name not in names and (output / name).is_dir()),
        unwritten=any(done.unwritten for done in ended.values()),
    )


def _judged(
    building: Building, jobs: list[Job], place: Callable[[], AbstractContextManager[Place]], tell: Tell
) -> dict[str, str]:
    """A line for each form on which a part must not be pressed, or that cannot be made; nothing is written.

    Args:
        building: with its forms as they are to be built.
        jobs: those that are not known to be good.
        place: where they are run.
        tell: told how far it is, where they are many.
    """
    from formgen.building.nesting import side_by_side
    from formgen.holding.do_not_press import refusal
    from formgen.verdict import judge

    bad: dict[str, str] = {}
    for form in building.forms:
        for member in form.members:
            found, opening = member.pressing.all_findings, member.opening
            if not judge(found).may and form.name not in bad:
                bad[form.name] = opening.placed(refusal(found, opening.recipe.asked.units))
    asked = [job for job in jobs if job.name not in bad]
    tell_here = partial(tell_how_far, tell, "judging", "judging the forms")
    lines = side_by_side([(judged, (job.recipe,)) for job in asked], place, tell_here)
    forms = {form.name: form for form in building.forms}
    return bad | {job.name: _line(forms[job.name], said) for job, said in zip(asked, lines, strict=True) if said}


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


def _line(form: SharedForm, refused: str) -> str:
    """What is said of a form that could not be made, with the row of its first opening."""
    line = form.members[0].opening.placed(refused)
    if len(form.members) > 1:
        others = ", ".join(member.opening.mark for member in form.members[1:])
        line += f" (the form is shared with {others}: --apart builds one for each)"
    return line


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
    from formgen.building.page import building_page
    from formgen.building.press_days_files import press_days_of, write_press_days
    from formgen.building.remarks import remarks_on
    from formgen.building.sheet_sums import sheets_by_form
    from formgen.building.spreadsheet import as_xlsx
    from formgen.building.summary import summary_rows
    from formgen.exports.csv_table import as_csv

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
