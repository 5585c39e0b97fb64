"""The command `batch`: an opening schedule to forms; progress on stderr, events for machines on stdout."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from formgen.cli import options
from formgen.cli.guarded import NOT_WRITTEN, REFUSED, guarded

if TYPE_CHECKING:
    from formgen.building.batch import Outcome
    from formgen.building.events import Event
    from formgen.sheets.layout import Choice
    from formgen.sheets.model import Effort

Tell = Callable[["Event"], None]


@click.command()
@click.argument("schedule", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--base",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    help="Recipe that gives whatever a row leaves blank.",
)
@click.option(
    "--shop",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Shop file; without it, shop.yaml beside the base recipe.",
)
@click.option(
    "--output",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("output"),
    show_default=True,
    help="Folder that gets one folder for each form, and the summary.",
)
@click.option("--keep-going", is_flag=True, help="Go on with the good rows where others are refused.")
@click.option("--force", is_flag=True, help="Build everything again, changed or not.")
@click.option("--apart", is_flag=True, help="A form for each opening; share none.")
@click.option(
    "--share",
    type=click.FloatRange(0.0, 1.0),
    default=1.0,
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
    shop: Path | None,
    output: Path,
    engine: str,
    workers: int | None,
    share: float,
    nesting: Choice,
    effort: Effort,
    *,
    sheets: bool,
    keep_going: bool,
    force: bool,
    apart: bool,
    as_json: bool,
) -> int:
    """Make the forms of an opening schedule, CSV or XLSX: shared where openings agree, all on sheets."""
    from formgen.building.batch import Options, run_building
    from formgen.building.engine import opened_engine
    from formgen.building.model import Nesting
    from formgen.building.schedule import read_schedule

    how = Nesting(engine=nesting, effort=effort) if sheets else None
    asked = Options(share=share, apart=apart, force=force, keep_going=keep_going, nesting=how)
    read = read_schedule(schedule, base, shop)
    with _progress(as_json=as_json) as tell:
        outcome = run_building(read, output, lambda: opened_engine(engine, workers), asked, tell)
    if as_json:
        _line({"event": "done", **outcome.record["found"], "built": list(outcome.built), "stood": outcome.stood,
               "not_made": list(outcome.not_made), "left_over": list(outcome.left_over)})  # fmt: skip
    else:
        _print(outcome)
    for line in outcome.not_made:
        click.echo(line, err=True)
    _tell_end(outcome, output)
    if outcome.unwritten:
        return NOT_WRITTEN
    return REFUSED if outcome.not_made else 0


def _line(record: dict[str, Any]) -> None:
    click.echo(json.dumps(record, ensure_ascii=False, allow_nan=False))
    sys.stdout.flush()


@contextmanager
def _progress(*, as_json: bool) -> Iterator[Tell]:
    """Gives a function to be told events: lines of JSON, or a bar with rate and time left on a terminal."""
    if as_json:
        yield _as_json
    elif sys.stderr.isatty():
        with _bar() as tell:
            yield tell
    else:
        yield _as_text


def _as_json(event: Event) -> None:
    record: dict[str, Any] = {"event": event.what, "form": event.name, "message": event.message}
    if event.of:
        record |= {"done": event.done, "of": event.of}
    if event.seconds:
        record["seconds"] = round(event.seconds, 3)
    _line({key: value for key, value in record.items() if value != ""})


def _as_text(event: Event) -> None:
    if event.what == "built":
        click.echo(f"{event.done}/{event.of} {event.name}: built in {event.seconds:.1f} s", err=True)
    elif event.what in ("nesting", "divided"):
        click.echo(event.message, err=True)
    elif event.what == "planned":
        click.echo(f"{event.message}, {event.done} stand already", err=True)


@contextmanager
def _bar() -> Iterator[Tell]:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, ProgressColumn, TextColumn, TimeRemainingColumn
    from rich.text import Text

    class Rate(ProgressColumn):
        """Forms per minute."""

        def render(self, task: Any) -> Text:
            speed = task.finished_speed or task.speed
            return Text("" if speed is None else f"{60.0 * speed:.0f} forms/min")

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), Rate(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("reading", total=None)

        def tell(event: Event) -> None:
            if event.what == "planned":
                bar.reset(task, total=event.of, completed=event.done, description=event.message)
            elif event.what == "nesting":
                bar.update(task, description=event.message)
            elif event.of:
                bar.update(task, completed=event.done, total=event.of)

        yield tell


def _print(outcome: Outcome) -> None:
    """Which openings share a form, what each gives up, and what that saves."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    from formgen.cli.tables import console
    from formgen.lengths import write_fine

    found, units = outcome.record["found"], outcome.record["asked"]["units"]
    table = Table(box=SIMPLE_HEAD, title="Openings that share a form", title_justify="left", title_style="bold")
    for name in ("form", "opening", "radius asked", "radius made", "gives up", "of tolerance", "layers"):
        table.add_column(name, justify="left" if name in ("form", "opening", "layers") else "right")
    for form in found["forms"]:
        for i, member in enumerate(form["openings"] if len(form["openings"]) > 1 else ()):
            apart = f"{form['layers']} for {form['layers_apart']} apart"
            table.add_row(
                Text(form["name"] if i == 0 else ""),
                Text(member["opening"]),
                write_fine(member["radius_asked_mm"], units),
                write_fine(member["radius_made_mm"], units),
                write_fine(member["gives_up_mm"], units),
                f"{100.0 * member['gives_up_mm'] / member['tolerance_mm']:.0f} %",
                Text(apart if i == 0 else ""),
                end_section=i == len(form["openings"]) - 1,
            )
    if found["forms_saved"]:
        console().print(table)
    click.echo(
        f"{found['openings']} openings on {len(found['forms'])} forms: {found['forms_saved']} forms and "
        f"{found['layers_saved']} layers saved by sharing"
    )
    if found["sheets"]:
        _print_sheets(found["sheets"])
    if found["press_days"]:
        _print_press_days(found["press_days"])


def _print_sheets(found: dict[str, Any]) -> None:
    """What the sheets take, and what that saves; every number can be counted on the files or read in the record."""
    for board in found["boards"]:
        offcuts = f" and {board['offcuts']} offcuts" if board["offcuts"] else ""
        click.echo(
            f"{board['board']}: {board['new']} sheets{offcuts}, laid out by the {board['engine']} engine at "
            f"{board['effort']} effort ({board['why']}); by area no layout takes fewer than {board['new_at_least']}"
        )
    click.echo(
        f"{found['pieces']} pieces, {found['pieces_m2']:.2f} m², {100 * found['usage']:.1f} % of the sheets; "
        f"{found['least_pieces']} pieces a layer at least"
    )
    if found["saved_by_nesting"] is not None:
        boxes = found["new_in_boxes"]
        click.echo(f"{found['saved_by_nesting']} sheets saved by nesting: in boxes around the pieces they take {boxes}")
    saved = found["saved_by_sharing"]
    if saved:
        click.echo(
            f"{saved['new']} sheets and {saved['pieces_m2']:.2f} m² of pieces saved by sharing: a form for each "
            f"opening takes {found['apart']['new']} sheets and {found['apart']['pieces_m2']:.2f} m² (both laid out "
            "at preview effort)"
        )


def _print_press_days(found: dict[str, Any]) -> None:
    """Day by day what is taken out and what is laid up, and what is proven of the plan."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    from formgen.cli.tables import console

    table = Table(box=SIMPLE_HEAD, title="Press days", title_justify="left", title_style="bold")
    for name in ("day", "take out", "lay up"):
        table.add_column(name)
    for day, outs, ups in found["by_day"]:
        table.add_row(Text(day), Text(outs), Text(ups), end_section=True)
    console().print(table)
    click.echo(found["headline"])
    for finding in found["findings"]:
        click.echo(finding["message"], err=True)


def _tell_end(outcome: Outcome, output: Path) -> None:
    lost = f", {len(outcome.not_made)} refused" if outcome.not_made else ""
    click.echo(f"{len(outcome.built)} built, {outcome.stood} stood already{lost}; see {output}", err=True)
    if outcome.left_over:
        click.echo(f"no longer asked for, left as they are: {', '.join(outcome.left_over)}", err=True)
