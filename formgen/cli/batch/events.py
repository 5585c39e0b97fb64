"""A batch while it runs: a bar on a terminal, else lines of text; lines of JSON for machines.

In: events of `formgen.building`. Out: stderr, and stdout for JSON.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from formgen.cli.exit_codes import tell_people
from formgen.cli.streams import emit_json

if TYPE_CHECKING:
    from formgen.building.running.events import Event, Tell


#: What is told of the way through a long stretch of work.
HOW_FAR = ("reading", "sharing", "judging")
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
    elif event.what in ("nesting", "divided"):
        tell_people(event.message)
    elif event.what == "planned":
        tell_people(f"{event.message}, {event.done} stand already")


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
            elif event.what == "nesting":
                bar.update(task, description=event.message)
            elif event.of:
                bar.update(task, completed=event.done, total=event.of)

        yield tell
