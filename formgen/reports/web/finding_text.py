"""Stage `reports`: findings as a page shows them: the gravest first, number, limit and source each in its place.

In: a Form. Out: markup. Nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.press.amounts import numbers_text
from formgen.reports.web.markup import text

#: The gravest first, and what several are called.
ORDER = ((Severity.PROBLEM, "Problems"), (Severity.WARNING, "Warnings"), (Severity.NOTE, "Notes"))


def of_severity(form: Holding, severity: Severity) -> list[Finding]:
    """The findings of one severity, in the order of the stages."""
    return [finding for finding in form.all_findings if finding.severity is severity]


def finding_lists(form: Holding) -> str:
    """All findings, under a heading for each severity."""
    units = form.recipe.units
    parts = []
    for severity, title in ORDER:
        found = of_severity(form, severity)
        if found:
            items = "".join(_item(finding, units) for finding in found)
            parts.append(f'<h3>{title}</h3><ul class="findings {severity}">{items}</ul>')
    return "".join(parts) or "<p>None.</p>"


def short_list(findings: Sequence[Finding], units: Units) -> str:
    """Findings as they stand beside the answer: the sentence, its number and its limit."""
    items = (
        f'<li class="{f.severity}"><b>{f.severity.title()}:</b> {text(f.message)} {_numbers(f, units)}</li>'
        for f in findings
    )
    return f'<ul class="findings">{"".join(items)}</ul>'


def _item(finding: Finding, units: Units) -> str:
    source = f'<span class="source">Source: {text(finding.source)}.</span>' if finding.source else ""
    code = f"<code>{text(finding.code)}</code>"
    return f"<li>{text(finding.message)} {_numbers(finding, units)} {source} {code}</li>"


def _numbers(finding: Finding, units: Units) -> str:
    numbers = numbers_text(finding, units)
    return f'<span class="number">Found {text(numbers)}.</span>' if numbers else ""
