"""The one screen of `formgen check`: verdict, what was asked, eight answers, what to mend first.

In: a `Holding`. Out: lines of at most 80 letters, 23 of them with a prompt below, whatever there is to mend: what does
not go on says how much is left and where it stands. All tables stand in `tables.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from formgen.amounts import tied
from formgen.answers import LINE, answers
from formgen.findings import Finding, Severity
from formgen.findings.wording import numbers_text
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.quoted import visible

#: Letters in a line, and lines with the prompt left below them.
WIDE, HIGH = 80, 23
#: Lines of what to mend.
MENDS = 8
#: How a line is shown.
STYLE = {Severity.NOTE: "", Severity.WARNING: "yellow", Severity.PROBLEM: "bold red"}

#: A line and how it is shown.
Line = tuple[str, str]


def answer_lines(form: Holding, command: str) -> list[Line]:
    """The screen.

    Args:
        form: the last stage.
        command: what the person typed, for the lines to paste: `formgen check porch.yaml`.
    """
    found = answers(form)
    grave = Severity.WARNING if form.verdict.may else Severity.PROBLEM
    lines: list[Line] = [(visible(form.recipe.name), "bold")]
    lines.append((found.verdict, STYLE[grave] if to_mend(form.all_findings) else "bold"))
    for head, text in (("asked", found.asked), *found.rows()):
        said = wrapped(text, LINE)
        lines += [(f"  {head if i == 0 else '':11}  {line}", "") for i, line in enumerate(said)]
        lines += [("", "")] if head == "asked" else []
    mends = to_mend(form.all_findings)
    room = min(MENDS, HIGH - len(lines) - 2)
    shown, told = _mends(mends, form.recipe.units, command, room)
    left = _left(len(mends) - shown, sum(f.severity is Severity.NOTE for f in form.all_findings))
    return [
        *lines,
        ("", ""),
        *told,
        *([(_fitting(f"  {left}: {command} --all", f"  {left}: --all"), "")] if left else []),
    ]


def to_mend(findings: Sequence[Finding]) -> list[Finding]:
    """Problems, then warnings about the part, then those about handling it; within each in the order of the stages."""
    grave = [f for f in findings if f.severity is not Severity.NOTE]
    return sorted(grave, key=lambda f: (f.severity is not Severity.PROBLEM, f.handling))


def wrapped(text: str, width: int = WIDE, indent: str = "", below: str | None = None) -> list[str]:
    """Lines of a text, none of which ends between a number and its unit.

    Args:
        text: the text.
        width: of a line, in letters, indent and all.
        indent: before the first line.
        below: before the others; None for the same.
    """
    below = indent if below is None else below
    lines = wrap(tied(text), width, initial_indent=indent, subsequent_indent=below, break_on_hyphens=False)
    return [line.replace("\u00a0", " ") for line in lines] or [indent.rstrip()]


def _mends(mends: Sequence[Finding], units: Units, command: str, room: int) -> tuple[int, list[Line]]:
    """As many findings as go on, and their lines: first a line to each, then what to do about each, then all of it."""
    shown = mends[:room]
    ways = [_ways(finding, units, command) for finding in shown]
    told = [one[0] for one in ways]
    for fuller in (1, 2):
        for at, one in enumerate(ways):
            if sum(map(len, told)) - len(told[at]) + len(one[fuller]) <= room:
                told[at] = one[fuller]
    pairs = zip(shown, told, strict=True)
    return len(shown), [
        (line, STYLE[f.severity] if j == 0 else "") for f, lines in pairs for j, line in enumerate(lines)
    ]


def _ways(finding: Finding, units: Units, command: str) -> tuple[list[str], list[str], list[str]]:
    """A finding in one line; with the line to type, or what to do where there is none; with both."""
    limited = _limited(finding, units)
    head = wrapped(f"{finding.severity}: {finding.title}{f': {limited}' if limited else ''}", WIDE, "  ", "      ")
    do = wrapped(finding.do, WIDE, "      ") if finding.do else []
    typed = (f"{command} --set {finding.setting}", f"--set {finding.setting}")
    to_type = [f"      {text}" for text in typed if finding.setting and len(text) + 6 <= WIDE][:1]
    return head[:1], [*head, *(to_type or do)], [*head, *do, *to_type]


def _fitting(long: str, short: str) -> str:
    return long if len(long) <= WIDE else short


def _limited(finding: Finding, units: Units) -> str:
    """The number beside its limit; of a mere ratio how much of the limit it takes."""
    if not finding.limit or finding.value is None:
        return ""
    if finding.unit:
        return numbers_text(finding, units)
    return f"{100.0 * finding.value / finding.limit:.0f} % of the limit"


def _left(more: int, notes: int) -> str:
    said = [f"{more} more to mend"] if more else []
    said += [f"{notes} {'note' if notes == 1 else 'notes'}"] if notes else []
    return " and ".join(said)
