"""Tables on the screen: the numbers that decide, the findings."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click

from formgen.cli.screen import STYLE, WIDE, Line, answer_lines, wrapped
from formgen.findings import Finding, Severity
from formgen.findings.wording import numbers_text
from formgen.holding.do_not_press import reasons
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.mending.trial import pasted
from formgen.reports.rows.decisions import decisions
from formgen.verdict import MARK

#: Width of tables with many columns where the screen does not say: at 80 they would be broken.
PIPED_WIDTH = 140
#: A line that is longer than this is not read; where the second column of the rows begins.
WIDEST, SECOND = 100, 34


def print_answers(form: Holding, command: str) -> None:
    """The one screen of `formgen check`, on stdout, with the command that was typed in the lines to paste."""
    _print(answer_lines(form, command))


def print_decisions(form: Holding, command: str) -> None:
    """All tables of `formgen check --all`, on stdout; above them DO NOT PRESS and why, where it must not be pressed.

    Args:
        form: the answers.
        command: what was typed to get them, to which a setting is added that would cure a finding.
    """
    units, wide = form.recipe.units, min(_width(), WIDEST)
    lines: list[Line] = [(f"{MARK}: {said}", STYLE[Severity.PROBLEM]) for said in reasons(form.all_findings, units)]
    lines.append((form.recipe.name, "bold"))
    for section in decisions(form):
        lines += [("", ""), (section.title, "bold")]
        for what, answer in section.rows:
            said = wrapped(answer, wide, " " * SECOND)
            lines += [(f"  {what:{SECOND - 3}} {said[0][SECOND:]}", ""), *((line, "") for line in said[1:])]
    for severity, alike in _by_severity(form.all_findings):
        lines += [("", ""), (f"{severity.title()}s", "bold")]
        for finding in alike:
            lines.append((f"  {finding.code}", STYLE[severity]))
            lines += [(line, "") for line in wrapped(_sentence(finding, units), wide, "    ")]
            whole, short = _try(finding, command), _try(finding, "")
            lines += [(f"    {whole if len(whole) + 4 <= wide else short}", "")] if short else []
    _print(lines)


def _print(lines: Iterable[Line]) -> None:
    styled = _styled if sys.stdout.isatty() and "NO_COLOR" not in os.environ else _plain
    sys.stdout.write("".join(f"{styled(line.rstrip(), style)}\n" for line, style in lines))


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
            yield from (f"{severity}: {f.code}: {_sentence(f, units)} {_try(f, command)}".rstrip() for f in alike)


def new_table(title: str | None, columns: Iterable[str], **how: Any) -> Any:
    """A table without rows, of columns that are all alike: `how`, as the library takes it."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    table = Table(box=SIMPLE_HEAD, title=title, title_justify="left", title_style="bold")
    for name in columns:
        table.add_column(name, **how)
    return table


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
    """The command that tries what would cure it, where one value does; without a command what is added to it."""
    return f"Try: {command} --set {finding.setting}".replace("  ", " ") if finding.setting else ""


def _by_severity(findings: Sequence[Finding]) -> list[tuple[Severity, list[Finding]]]:
    order = (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)
    found = [(severity, [f for f in findings if f.severity is severity]) for severity in order]
    return [(severity, alike) for severity, alike in found if alike]


def _width() -> int:
    """Columns of the screen; 80 where the output is no screen."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else WIDE


def console() -> Any:
    """Open a console on stdout, as wide as the screen, or wide enough where it is piped."""
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else PIPED_WIDTH, highlight=False, emoji=False, markup=False)
