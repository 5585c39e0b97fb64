"""Tables on the screen: the numbers that decide, the findings, the catalogue."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import fields
from typing import Any

from formgen.findings import Finding, Severity
from formgen.findings.wording import numbers_text
from formgen.holding.do_not_press import reasons
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.reports.rows.decisions import decisions
from formgen.verdict import MARK

#: Width where the screen does not say: piped tables would be 80 columns and broken.
PIPED_WIDTH = 140
#: How findings are shown, by severity.
STYLE = {Severity.NOTE: "", Severity.WARNING: "yellow", Severity.PROBLEM: "bold red"}


def print_decisions(form: Holding) -> None:
    """The table of `formgen check`, on stdout; above it DO NOT PRESS and why, where the part must not be pressed."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    screen = console()
    recipe = form.recipe
    for said in reasons(form.all_findings, recipe.units):
        screen.print(Text(f"{MARK}: {said}", style=STYLE[Severity.PROBLEM]))
    table = Table(title=recipe.name, title_justify="left", title_style="bold", box=SIMPLE_HEAD, show_header=False)
    table.add_column(no_wrap=True, style="bold")
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    for section in decisions(form):
        for i, (what, answer) in enumerate(section.rows):
            table.add_row(section.title if i == 0 else "", what, Text(answer), end_section=i == len(section.rows) - 1)
    for severity, alike in _by_severity(form.all_findings):
        for i, finding in enumerate(alike):
            style = STYLE[severity]
            table.add_row(
                Text(f"{severity.title()}s" if i == 0 else "", style=style),
                finding.code,
                Text(_sentence(finding, recipe.units), style=style),
                end_section=i == len(alike) - 1,
            )
    screen.print(table)


def findings_text(form: Holding) -> Iterable[str]:
    """One line for each finding, the gravest first; notes are left to the table and the record."""
    units = form.recipe.units
    for severity, alike in _by_severity(form.all_findings):
        if severity is not Severity.NOTE:
            yield from (f"{severity}: {f.code}: {_sentence(f, units)}" for f in alike)


def print_entries(entries: Sequence[Any]) -> None:
    """Catalogue entries of one kind, a column for each field, on stdout."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    table = Table(box=SIMPLE_HEAD)
    names = [f.name for f in fields(entries[0])]
    for name in names:
        table.add_column(name.replace("_", " "), overflow="fold")
    for entry in entries:
        table.add_row(*(Text(_cell(getattr(entry, name))) for name in names))
    console().print(table)


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


def _by_severity(findings: Sequence[Finding]) -> list[tuple[Severity, list[Finding]]]:
    order = (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)
    found = [(severity, [f for f in findings if f.severity is severity]) for severity in order]
    return [(severity, alike) for severity, alike in found if alike]


def console() -> Any:
    """Where tables go: stdout, as wide as the screen, or wide enough where it is piped."""
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else PIPED_WIDTH, highlight=False, emoji=False, markup=False)
