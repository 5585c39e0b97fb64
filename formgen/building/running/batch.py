"""Building: the whole batch: a schedule to forms, rebuilding only what changed, and the building's summary.

In: a schedule as read, the folder for results, where jobs run. Out: an `Outcome`; on the way, events. It may be stopped
at any moment and run again: forms are put in place whole, and what stands is not built twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack, nullcontext
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formgen.building.model import Nesting
from formgen.building.running.events import Event, Tell
from formgen.building.running.jobs import Done, Job, record_in, stands
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
    sheets_by_form,
    write_record,
)
from formgen.errors import ExportError, RecipeError
from formgen.fixed import fixed
from formgen.outputs.folder.whole import refuse_unnameable, sweep
from formgen.outputs.sheets.names import SHEETS_FOLDER
from formgen.quoted import visible

if TYPE_CHECKING:
    from formgen.building.model import Building, SharedForm
    from formgen.building.running.nesting import Division
    from formgen.building.running.pool import Opens, Place
    from formgen.sheets.model import Sheets


@fixed
class Options:
    """The choices made for a batch on the command line.

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


@fixed
class Outcome:
    """A batch at its end: what was built, what stood, what was refused.

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
    place: Opens,
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
    key = key_of(schedule, options.share, apart=options.apart, anyway=options.anyway, nesting=options.nesting)
    before = read_record(output)
    goes_on = not schedule.faults and (not schedule.refused or options.keep_going)
    if goes_on and not options.force and before and before["key"] == key and all_stands(output, before):
        count = len(before["found"]["forms"])
        tell(Event(what="stands", done=count, of=count))
        lost = tuple(before["not_made"])
        return Outcome(record=before, built=(), stood=count, not_made=lost, left_over=())
    with ExitStack() as stack:

        @cache
        def opened() -> Place:
            return stack.enter_context(place())

        batch = _Batch(
            schedule=schedule, output=output, place=lambda: nullcontext(opened()), options=options, tell=tell
        )
        return batch.run(key, before)


@dataclass(kw_only=True)
class _Batch:
    """A batch on its way: what it was given, and what was lost and what ended so far.

    Args:
        schedule: as read.
        output: folder for results.
        place: opens where jobs run.
        options: how.
        tell: told each event.
        lost: a line for each row or form that there is none for.
        ended: what became of each job, by the form's name.
        begun: phases that have begun.
    """

    schedule: Schedule
    output: Path
    place: Opens
    options: Options
    tell: Tell
    lost: list[str] = field(default_factory=list)
    ended: dict[str, Done] = field(default_factory=dict)
    begun: int = 0

    def run(self, key: str, before: dict[str, Any] | None) -> Outcome:
        """Plan, cut into pieces, judge, build, lay out and write; `before` is what an earlier batch left."""
        from formgen.building.running.nesting import laid_sheets

        planned = self._planned()
        division = self._divided(planned)
        building, standing = self._judged(division.building)
        self._build(building, standing)
        bad = {name for name, done in self.ended.items() if done.refused}
        built = tuple(form.name for form in building.forms if form.name in self.ended.keys() - bad)
        made = [form for form in building.forms if form.name in standing or form.name in built]
        names = [form.name for form in made]
        if self.options.nesting is not None:
            self._phase("laying out the sheets")
        sheets = laid_sheets(division, names, self.options.nesting, self.place, self.output)
        self._phase("planning the press days and writing the summary")
        # where a form was refused a next run tries again
        self._write("" if bad else key, building, made, sheets)
        self.tell(Event(what="written", done=len(made), of=len(building.forms)))
        return Outcome(
            record=read_record(self.output) or {},
            built=built,
            stood=len(standing),
            not_made=tuple(self.lost),
            left_over=self._left_over(planned, before),
            unwritten=any(done.unwritten for done in self.ended.values()),
        )

    def _phase(self, message: str) -> None:
        """Tell that another phase begins, and which of how many it is."""
        self.begun += 1
        self.tell(Event(what="phase", message=message, done=self.begun, of=5 if self.options.nesting is None else 7))

    def _planned(self) -> Building:
        """The building as it is shared, and what can be said of it at once; refused rows are told, their lines lost.

        Raises:
            RecipeError: some are, and the batch is not to go on without them.
        """
        from formgen.building.running.estimate import estimate
        from formgen.building.sharing.forms import plan_building

        options = self.options
        self._phase(f"sharing forms between {_many(len(self.schedule.openings), 'opening')}")
        building = plan_building(
            self.schedule.openings, options.share, self.tell, apart=options.apart, anyway=options.anyway
        )
        refused = sorted([*self.schedule.refused, *building.refused], key=lambda row: row.row)
        self.lost += dict.fromkeys(line for row in refused for line in row.lines)
        faults = self.schedule.faults  # of the columns: no row can be sure of what it says
        if faults or (self.lost and not options.keep_going):
            raise RecipeError(*faults, *self.lost)
        for row in refused:
            self.tell(Event(what="refused", name=row.mark, message="\n".join(row.lines)))
        _refuse_name(building)
        self.tell(Event(what="estimated", message="estimated before a form is made", found=estimate(building)))
        return building

    def _divided(self, building: Building) -> Division:
        """The building with its pieces a layer chosen, without the forms that cannot be cut, looked at before."""
        from formgen.building.running.checking import cannot_be_made, looked_at, standing_forms
        from formgen.building.running.nesting import divided_building

        options, place, tell = self.options, self.place, self.tell
        self._phase(f"looking whether {_many(len(building.forms), 'form')} can be cut")
        known = set() if options.force else standing_forms(building, self.output, anyway=options.anyway)
        alone = {form.name for form in building.forms if not form.recipe.makes}
        # Without sheets the next thing done is to make each form: looking before would only make it twice.
        building, bad = looked_at(building, known | alone if options.nesting is None else known, place, tell)
        if bad and not options.keep_going:  # so that all that is wrong is said at once
            bad = cannot_be_made(building, known, place, tell, anyway=options.anyway)
        building = self._without(building, bad)
        if options.nesting is not None:
            self._phase("choosing the pieces a layer: trial layouts of all forms")
        while True:
            division = divided_building(building, options.nesting, place, tell)
            if not division.too_large:
                return division
            building = self._without(building, division.too_large)

    def _judged(self, building: Building) -> tuple[Building, set[str]]:
        """The building without the forms that cannot be made or pressed on, and the names of those that stand."""
        from formgen.building.running.checking import cannot_be_made

        self._phase(f"judging {_many(len(building.forms), 'form')}: may the part be pressed")
        standing = {job.name for job in self._jobs(building) if not self.options.force and stands(job)}
        bad = cannot_be_made(building, standing, self.place, self.tell, anyway=self.options.anyway)
        return self._without(building, bad), standing

    def _build(self, building: Building, standing: set[str]) -> None:
        """Build what does not stand; what ends is told, and lines of what is refused are lost."""
        from formgen.building.running.checking import line_of
        from formgen.building.running.pool import run_batch

        count = len(building.forms)
        self._phase(f"building {_many(count - len(standing), 'form')}")
        text = f"{_many(building.openings, 'opening')}, {_many(count, 'form')}"
        self.tell(Event(what="planned", done=len(standing), of=count, message=text))
        missing = [job for job in self._jobs(building) if job.name not in standing]
        if missing:
            with self.place() as there:
                for done in run_batch(missing, there, keep_going=self.options.keep_going):
                    self.ended[done.name] = done
                    self.tell(_event(done, len(standing) + len(self.ended), count))
        ended = [(form, self.ended[form.name]) for form in building.forms if form.name in self.ended]
        self.lost += [line_of(form, done.refused) for form, done in ended if done.refused]

    def _jobs(self, building: Building) -> list[Job]:
        return [Job(recipe=form.recipe, output=self.output, anyway=self.options.anyway) for form in building.forms]

    def _without(self, building: Building, bad: Mapping[str, str]) -> Building:
        """The building without forms that are refused, each with its line; they are told, and the lines lost.

        Raises:
            RecipeError: some are, and the batch is not to go on without them.
        """
        if bad and not self.options.keep_going:
            raise RecipeError(*bad.values())
        for name, line in bad.items():
            self.tell(Event(what="refused", name=name, message=line))
        self.lost += bad.values()
        return replace(building, forms=tuple(form for form in building.forms if form.name not in bad))

    def _left_over(self, planned: Building, before: dict[str, Any] | None) -> tuple[str, ...]:
        """Forms that an earlier batch left in the folder and that nobody asks for any longer."""
        asked = {form.name for form in planned.forms}
        earlier = [form["name"] for form in before["found"]["forms"]] if before else []
        return tuple(name for name in earlier if name not in asked and (self.output / name).is_dir())

    def _write(
        self, key: str, building: Building, made: list[SharedForm], sheets: tuple[Sheets, dict[str, Any]] | None
    ) -> None:
        """The summary and the record."""
        from formgen.building.press_days.files import press_days_of, write_press_days
        from formgen.building.summary.page import building_page
        from formgen.building.summary.remarks import remarks_on
        from formgen.building.summary.table import as_xlsx, summary_rows
        from formgen.outputs.sheets.csv_table import as_csv

        schedule, output, lost = self.schedule, self.output, self.lost
        jobs = {form.name: job for form in made if (job := record_in(output / form.name)) is not None}
        laid, sums = sheets or (None, None)
        found = remarks_on(made, jobs)
        plan = press_days_of(building, jobs, found)
        rows = summary_rows(building, jobs, {} if laid is None else sheets_by_form(laid), sums, found=found)
        try:
            output.mkdir(parents=True, exist_ok=True)
            replace_file(output / CSV_FILE, as_csv(rows))
            replace_file(output / XLSX_FILE, as_xlsx(rows, "Building"))
            page = building_page(
                building, made, rows, jobs, lost=lost, found=found, sheets=laid, plan=plan, schedule=schedule.file
            )
            replace_file(output / PAGE_FILE, page)
            record = make_record(key, schedule, building, made, lost, sums, found)
            record["found"]["press_days"] = None if plan is None else write_press_days(plan, made[0].recipe, output)
            write_record(record, output, made)
        except ExportError as err:
            raise ExportError(f"{visible(output.name)}: the summary cannot be written: {err}") from err
        except OSError as err:
            raise ExportError(
                f"{visible(output.name)}: the summary cannot be written ({err.strerror}); choose another folder"
            ) from err


def _refuse_name(building: Building) -> None:
    """No form may have the name of the sheets' folder."""
    for form in building.forms:
        if form.name.casefold() == SHEETS_FOLDER:
            mark = form.members[0].opening
            raise RecipeError(mark.placed(f"{form.name} is the folder of the sheets, expected another mark: rename it"))


def _event(done: Done, settled: int, of: int) -> Event:
    what = "refused" if done.refused else "built"
    return Event(what=what, name=done.name, message=done.refused, done=settled, of=of, seconds=done.seconds)


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
