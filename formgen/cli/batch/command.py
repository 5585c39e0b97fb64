"""The command `batch`: an opening schedule to forms; progress on stderr, events for machines on stdout."""

from __future__ import annotations

from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from formgen.cli import options
from formgen.cli.batch.events import progress
from formgen.cli.batch.preview import tell_reading, told_refused
from formgen.cli.batch.summary import print_outcome, tell_end
from formgen.cli.exit_codes import NOT_WRITTEN, REFUSED, guarded, tell_people
from formgen.cli.streams import emit_json
from formgen.stopping import put_away_first

if TYPE_CHECKING:
    from formgen.building.running.pool import Place
    from formgen.sheets.layout import Choice
    from formgen.sheets.model import Effort


@click.command()
@click.argument("schedule", type=options.FILE)
@click.option("--base", type=options.FILE, required=True, help="Recipe that gives whatever a row leaves blank.")
@click.option("--sheet", default="", metavar="NAME", help="Sheet of the workbook, where several read as a schedule.")
@click.option("--preview", is_flag=True, help="Show how each row is read, and make nothing.")
@options.shop("base recipe")
@options.output("gets one folder for each form, and the summary")
@click.option("--keep-going", is_flag=True, help="Go on with the good rows where others are refused.")
@options.anyway
@click.option("--force", is_flag=True, help="Build everything again, changed or not.")
@click.option("--apart", is_flag=True, help="A form for each opening; share none.")
@click.option(
    "--share",
    type=click.FloatRange(0.0, 1.0),
    default=0.5,
    show_default=True,
    help="Share of each part's tolerance that sharing a form may use up.",
)
@click.option("--workers", type=click.IntRange(1, 512), help="Forms built at once; without it, one for each processor.")
@click.option(
    "--engine",
    default="processes",
    show_default=True,
    help="Where forms are built: processes, or dask=tcp://host:port.",
)
@click.option("--sheets/--no-sheets", default=True, show_default=True, help="Lay out all pieces on sheets.")
@options.nesting
@options.effort
@click.option("--json", "as_json", is_flag=True, help="One event a line on stdout; everything else on stderr.")
@guarded
def batch(
    schedule: Path,
    base: Path,
    sheet: str,
    shop: Path | None,
    output: Path,
    engine: str,
    workers: int | None,
    share: float,
    nesting: Choice,
    effort: Effort,
    *,
    preview: bool,
    sheets: bool,
    keep_going: bool,
    anyway: bool,
    force: bool,
    apart: bool,
    as_json: bool,
) -> int:
    """Make the forms of an opening schedule, CSV or XLSX.

    It says first how each row was read; --preview says it of all rows and stops there.
    Openings that agree share a form, and the pieces of all forms are laid out on sheets.
    Openings that must not be pressed are refused, and nothing is written; with --keep-going they are left out.
    """
    from formgen.building.model import Nesting
    from formgen.building.running.batch import Options, run_building
    from formgen.building.schedule.read import read_schedule
    from formgen.outputs.record.plain import plain

    def place() -> AbstractContextManager[Place]:
        from formgen.building.running.engine import opened_engine

        return opened_engine(engine, workers)

    how = Nesting(engine=nesting, effort=effort) if sheets else None
    asked = Options(share=share, apart=apart, force=force, keep_going=keep_going, anyway=anyway, nesting=how)
    with put_away_first():
        with progress(as_json=as_json) as tell:
            read = read_schedule(schedule, base, shop, tell, sheet=sheet)
        tell_reading(read, whole=preview, as_json=as_json)
        if preview:
            return told_refused(read)
        with progress(as_json=as_json) as tell:
            outcome = run_building(read, output, place, asked, tell)
    if as_json:
        end = plain(outcome, ("record", "unwritten"))
        emit_json({"event": "done", **outcome.record["found"], **end}, indent=None)
    else:
        print_outcome(outcome)
    for line in outcome.not_made:
        tell_people(line)
    tell_end(outcome, output)
    if outcome.unwritten:
        return NOT_WRITTEN
    return REFUSED if outcome.not_made else 0
