"""How a batch says what happens while it runs: a bar on a terminal, else lines of text; lines of JSON for machines.

In: events of `formgen.building`. Out: stderr, and stdout for JSON.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from formgen.building.events import Event, Tell


def json_line(record: dict[str, Any]) -> None:
    """One line of JSON on stdout, at once."""
    click.echo(json.dumps(record, ensure_ascii=False, allow_nan=False))
    sys.stdout.flush()


@contextmanager
def progress(*, as_json: bool) -> Iterator[Tell]:
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
    json_line({key: value for key, value in record.items() if value != ""})


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
