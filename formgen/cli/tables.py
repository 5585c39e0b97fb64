"""Tables on the screen: the numbers that decide, the findings, the catalogue."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable, Sequence
from dataclasses import fields
from textwrap import wrap
from typing import Any

import click

from formgen.amounts import tied
from formgen.findings import Finding, Severity
from formgen.findings.wording import numbers_text
from formgen.holding.do_not_press import reasons
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.mending.trial import pasted
from formgen.reports.rows.decisions import decisions
from formgen.verdict import MARK

#: Width where the screen does not say: piped tables would be 80 columns and broken.
PIPED_WIDTH = 140
#: How findings are shown, by severity.
STYLE = {Severity.NOTE: "", Severity.WARNING: "yellow", Severity.PROBLEM: "bold red"}


def print_decisions(form: Holding, command: str) -> None:
    """The table of `formgen check`, on stdout; above it DO NOT PRESS and why, where the part must not be pressed.

    Args:
        form: the answers.
        command: what was typed to get them, to which a setting is added that would cure a finding.
    """
    units, screen = form.recipe.units, sys.stdout.isatty()
    blocks = [(section.title, section.rows, "") for section in decisions(form)]
    for severity, alike in _by_severity(form.all_findings):
        said_of = tuple((finding.code, _sentence(finding, units) + _try(finding, command)) for finding in alike)
        blocks.append((f"{severity.title()}s", said_of, STYLE[severity]))
    first = max(len(title) for title, _, _ in blocks)
    second = max(len(what) for _, rows, _ in blocks for what, _ in rows)
    room = max((shutil.get_terminal_size().columns if screen else PIPED_WIDTH) - first - second - 6, 24)
    styled = _styled if screen and "NO_COLOR" not in os.environ else _plain
    lines = [styled(f"{MARK}: {said}", "bold red") for said in reasons(form.all_findings, units)]
    lines.append(styled(form.recipe.name, "bold"))
    for title, rows, style in blocks:
        lines.append("")
        for i, (what, answer) in enumerate(rows):
            for j, line in enumerate(_wrapped(answer, room)):
                head = (title if i + j == 0 else "").ljust(first)
                lines.append(
                    f"  {styled(head, 'bold')}  {(what if j == 0 else '').ljust(second)}  {styled(line, style)}"
                )
    sys.stdout.write("".join(f"{line.rstrip()}\n" for line in lines))


def _wrapped(text: str, width: int) -> list[str]:
    """Lines of a text, none of which ends between a number and its unit."""
    said, _, command = text.partition("\n")  # what is there to be pasted stays whole
    lines = [*wrap(tied(said), width, break_on_hyphens=False), *command.splitlines()]
    return [line.replace("\u00a0", " ") for line in lines] or [""]


def _styled(text: str, style: str) -> str:
    if not style or not text.strip():
        return text
    colours = [word for word in style.split() if word != "bold"]
    return click.style(text, fg=colours[0] if colours else None, bold="bold" in style or None)


def _plain(text: str, _style: str) -> str:
    return text


def findings_text(form: Holding) -> Iterable[str]:
    """One line for each finding, the gravest first; notes are left to the table and the record."""
    units, command = form.recipe.units, check_command(form.recipe.file or form.recipe.name)
    for severity, alike in _by_severity(form.all_findings):
        if severity is not Severity.NOTE:
            yield from (
                f"{severity}: {f.code}: {_sentence(f, units)}{_try(f, command)}".replace("\n", " ") for f in alike
            )


def print_entries(entries: Sequence[Any]) -> None:
    """Catalogue entries of one kind, a column for each field, on stdout."""
    names = [f.name for f in fields(entries[0])]
    table = new_table(None, [name.replace("_", " ") for name in names], overflow="fold")
    for entry in entries:
        table.add_row(*(_cell(getattr(entry, name)) for name in names))
    console().print(table)


def new_table(title: str | None, columns: Iterable[str], **how: Any) -> Any:
    """A table without rows, of columns that are all alike: `how`, as the library takes it."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    table = Table(box=SIMPLE_HEAD, title=title, title_justify="left", title_style="bold")
    for name in columns:
        table.add_column(name, **how)
    return table


def _cell(value: object) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        if any(isinstance(v, tuple) for v in value):
            return "; ".join(_cell(v) for v in value)
        numbers = all(isinstance(v, float) for v in value)
        return (" – " if numbers else ", ").join(_cell(v) for v in value)
    return str(value)


def _sentence(finding: Finding, units: Units) -> str:
    parts = [finding.message]
    numbers = numbers_text(finding, units)
    if numbers:
        parts.append(f"[{numbers}]")
    if finding.source:
        parts.append(f"Source: {finding.source}.")
    return " ".join(parts)


def check_command(recipe: object, settings: Iterable[str] = ()) -> str:
    """Return the command that answers for a recipe, with the values that are tried already."""
    return " ".join(["formgen check", pasted(str(recipe)), *(f"--set {pasted(setting)}" for setting in settings)])


def _try(finding: Finding, command: str) -> str:
    """The command that tries what would cure it, where one value does."""
    return f"\nTry: {command} --set {finding.setting}" if finding.setting else ""


def _by_severity(findings: Sequence[Finding]) -> list[tuple[Severity, list[Finding]]]:
    order = (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)
    found = [(severity, [f for f in findings if f.severity is severity]) for severity in order]
    return [(severity, alike) for severity, alike in found if alike]


def console() -> Any:
    """Open a console on stdout, as wide as the screen, or wide enough where it is piped."""
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else PIPED_WIDTH, highlight=False, emoji=False, markup=False)
