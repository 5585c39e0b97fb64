"""Building: what is wrong, by opening: problems and warnings of the forms and of the parts that come off them.

In: forms that stand, and their job records. Out: remarks, the gravest first, and the verdict on each form. What is
found of a part's plies and pressing is said of the opening whose part it is; what is found of the form, and of what
holds the part to it, of all openings that come off it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from formgen.building.model import SharedForm
from formgen.findings import Finding, Severity
from formgen.findings.registry import any_case
from formgen.findings.wording import numbers_text
from formgen.fixed import fixed
from formgen.lengths import Units
from formgen.outputs.record.plain import plain
from formgen.verdict import MARK, Verdict, judge

#: The gravest first; notes are left to the form's own report.
ORDER = (Severity.PROBLEM, Severity.WARNING)


@fixed
class Remark:
    """A problem or a warning.

    Args:
        openings: marks that it is about, in the order of the schedule.
        form: name.
        finding: what was found.
    """

    openings: tuple[str, ...]
    form: str
    finding: Finding


def remarks_on(made: Sequence[SharedForm], jobs: Mapping[str, Mapping[str, Any]]) -> tuple[Remark, ...]:
    """Return what is wrong, problems first, each in the order of the forms.

    Args:
        made: the forms that stand.
        jobs: the job record of each by its name.
    """
    found = [remark for form in made for remark in _of_form(form, jobs[form.name])]
    return tuple(sorted(found, key=lambda remark: ORDER.index(remark.finding.severity)))


#: The columns of what is wrong, and its cells.
REMARK_HEADER = ("opening", "form", "how grave", "what", "value and limit")


def remark_cells(remark: Remark, units: Units) -> tuple[str, ...]:
    """Return a remark as a row for people."""
    finding = remark.finding
    grave = MARK if finding.severity is Severity.PROBLEM else str(finding.severity)
    return " ".join(remark.openings), remark.form, grave, finding.message, numbers_text(finding, units)


#: The columns of what is wrong, told briefly, and its rows.
BRIEF_HEADER = ("how grave", "what", "openings")


def brief_rows(remarks: Sequence[Remark], most: int) -> list[tuple[str, ...]]:
    """Return a row for each kind of remark, in their order: how grave, its title, how many openings and the first."""
    kinds: dict[tuple[str, str], list[str]] = {}
    for remark in remarks:
        grave, title = remark_cells(remark, "mm")[2], any_case(remark.finding.code).title
        kinds.setdefault((grave, title), []).extend(remark.openings)
    rows: list[tuple[str, ...]] = []
    for (grave, title), marks in kinds.items():
        own = list(dict.fromkeys(marks))
        more = f" and {len(own) - most} more" if len(own) > most else ""
        rows.append((grave, title, f"{len(own)}: {' '.join(own[:most])}{more}"))
    return rows


def verdict_on(form: SharedForm, remarks: Iterable[Remark]) -> Verdict:
    """Return the verdict on a form: no part comes off it that must not be pressed."""
    return judge(remark.finding for remark in remarks if remark.form == form.name)


def verdict_for(opening: str, remarks: Iterable[Remark]) -> Verdict:
    """Return the verdict on an opening's part on its form."""
    return judge(remark.finding for remark in remarks if opening in remark.openings)


def verdict_text(made: Sequence[SharedForm], lost: Sequence[str], found: Sequence[Remark]) -> tuple[str, str]:
    """Return how much of a building can be made, in words, and `problem`, `warning` or `good`.

    Args:
        made: the forms that stand.
        lost: a line for each row or form that was refused.
        found: what is wrong with those that stand.
    """
    bad = [form.name for form in made if not verdict_on(form, found).may]
    warned = sum(remark.finding.severity is Severity.WARNING for remark in found)
    can = len(made) - len(bad)
    parts = []
    if bad:
        parts.append(f"{can} of {_count(len(made), 'form')} can be made.")
    elif lost:
        parts.append(f"{_count(can, 'form')} can be made.")
    elif made:
        parts.append("All of it can be made" + ("." if warned else ", with no warnings."))
    if bad:
        parts.append(f"{MARK}: {', '.join(bad)}.")
    if lost:
        parts.append(f"{_count(len(lost), 'row or form is', 'rows or forms are')} refused.")
    if warned:
        parts.append(f"Read {_count(warned, 'warning')} first.")
    return " ".join(parts), "problem" if bad or lost else "warning" if warned else "good"


def _count(number: int, noun: str, several: str = "") -> str:
    return f"{number} {noun if number == 1 else several or f'{noun}s'}"


def remark_record(remark: Remark) -> dict[str, Any]:
    """Return a remark as `building.json` holds it."""
    held: dict[str, Any] = plain(remark.finding)
    return {"openings": list(remark.openings), "form": remark.form, **held}


def remark_of(record: Mapping[str, Any]) -> Remark:
    """Return a remark from what `building.json` holds."""
    held = {key: value for key, value in record.items() if key not in ("openings", "form")}
    finding = Finding.held(held)
    return Remark(openings=tuple(record["openings"]), form=record["form"], finding=finding)


def _of_form(form: SharedForm, job: Mapping[str, Any]) -> list[Remark]:
    """Remarks on the parts of a form, those that are alike together, then on the form itself."""
    own: dict[Finding, list[str]] = {}
    for member in form.members:
        for finding in dict.fromkeys(member.pressing.all_findings):
            if finding.severity in ORDER:
                own.setdefault(finding, []).append(member.opening.mark)
    said = {finding.code for finding in own}
    marks = tuple(member.opening.mark for member in form.members)
    parts = [Remark(openings=tuple(whose), form=form.name, finding=f) for f, whose in own.items()]
    held = [Finding.held(f) for f in job["findings"] if f["code"] not in said]
    return parts + [Remark(openings=marks, form=form.name, finding=f) for f in held if f.severity in ORDER]
