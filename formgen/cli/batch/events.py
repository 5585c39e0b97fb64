"""A batch while it runs: a bar on a terminal, else lines of text; lines of JSON for machines.

In: events of `formgen.building`. Out: stderr, and stdout for JSON.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from formgen.cli.exit_codes import tell_people
from formgen.cli.streams import emit_json
from formgen.lengths import write_fine

if TYPE_CHECKING:
    from formgen.building.running.events import Event, Tell


#: What is told of the way through a long stretch of work.
HOW_FAR = ("reading", "sharing", "judging")
#: Lines of a long table on the screen, and marks in a line.
FIRST, LISTED = 10, 6
#: How often lines of text tell it (s).
EVERY_S = 1.0


@contextmanager
def progress(*, as_json: bool) -> Iterator[Tell]:
    """Gives a function to be told events: lines of JSON, or a bar with rate and time left on a terminal."""
    if as_json:
        yield _as_json
    elif sys.stderr.isatty():
        with _bar() as tell:
            yield tell
    else:
        yield _texts()


def _as_json(event: Event) -> None:
    record: dict[str, Any] = {"event": event.what, "form": event.name, "message": event.message}
    if event.of:
        record |= {"done": event.done, "of": event.of}
    if event.seconds:
        record["seconds"] = round(event.seconds, 3)
    record |= event.found
    emit_json({key: value for key, value in record.items() if value != ""}, indent=None)


def _texts() -> Tell:
    """Lines of text; how far a stretch of work is not oftener than every second."""
    said_s = [time.monotonic()]

    def tell(event: Event) -> None:
        if event.what not in HOW_FAR:
            _as_text(event)
        elif time.monotonic() - said_s[0] < EVERY_S:
            return
        else:
            tell_people(f"{event.message}: {event.done} of {event.of}")
        said_s[0] = time.monotonic()

    return tell


def _as_text(event: Event) -> None:
    if event.what == "built":
        tell_people(f"{event.done}/{event.of} {event.name}: built in {event.seconds:.1f} s")
    elif event.what == "phase":
        tell_people(f"step {event.done} of {event.of}: {event.message}")
    elif event.what == "estimated":
        for line in estimate_lines(event.found):
            tell_people(line)
    elif event.what in ("nesting", "divided"):
        for line in event.message.split("; "):
            tell_people(line)
    elif event.what == "planned":
        tell_people(f"{event.message}, {event.done} stand already")


def estimate_lines(found: Mapping[str, Any]) -> Iterator[str]:
    """The first table: what is known before a form is made, estimates named as such, then the forms that are shared."""
    shared, units = found["shared"], found["units"]
    yield "before a form is made:"
    yield (
        f"  {found['openings']} openings on {found['forms']} forms: {found['forms_saved']} forms and "
        f"{found['layers_saved']} layers saved by sharing"
    )
    if found["sheets_full"]:
        yield (
            f"  sheets, estimated by area: about {found['sheets_usual']}, "
            f"{found['sheets_full']} if nothing were wasted; {found['layers']} layers"
        )
    if found["glue_ups"]:
        yield (
            f"  press days, estimated: {found['press_days_at_least']} at least for {found['glue_ups']} glue-ups, "
            f"needed by {found['needed_by']}"
        )
    width = max((len(form["form"]) for form in shared), default=0)
    for form in shared[:FIRST]:
        part = 100.0 * form["gives_up_mm"] / form["tolerance_mm"]
        yield (
            f"  {form['form']:{width}}  {_listed(form['openings'])}: give up at most "
            f"{write_fine(form['gives_up_mm'], units)}, {part:.0f} % of the tolerance"
        )
    if len(shared) > FIRST:
        yield f"  {len(shared) - FIRST} more forms are shared: all of them in building.csv at the end"


def _listed(marks: Sequence[str]) -> str:
    if len(marks) <= LISTED:
        return ", ".join(marks)
    return f"{', '.join(marks[: LISTED - 1])} and {len(marks) - LISTED + 1} more"


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
            if event.what == "planned" or event.what in HOW_FAR:
                bar.reset(task, total=event.of, completed=event.done, description=event.message)
            elif event.what == "phase":
                bar.reset(task, total=None, description=f"{event.done}/{event.of} {event.message}")
            elif event.what == "estimated":
                bar.console.print("\n".join(estimate_lines(event.found)), markup=False, highlight=False)
            elif event.what == "divided":
                bar.console.print(event.message, markup=False, highlight=False)
            elif event.what == "nesting":
                bar.update(task, description=event.message)
            elif event.of:
                bar.update(task, completed=event.done, total=event.of)

        yield tell
