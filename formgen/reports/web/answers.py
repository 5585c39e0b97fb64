"""Stage `reports`: the answers first: can it be made, how, and what to know before anything is cut.

In: a Form. Out: texts, from results of the stages.
"""

from __future__ import annotations

from collections.abc import Iterable

from formgen.amounts import glue_text, pressure_text, time_text, weight_text
from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.lengths import write_fine, write_length
from formgen.reports.rows.decisions import radius_text
from formgen.reports.rows.holding import bar_text
from formgen.verdict import MARK

_WHERE = {
    "part-bagged": "with the form outside the bag",
    "form-bagged": "with the form in the bag",
    "clamped": "under clamps, without a bag",
}


def of_severity(form: Holding, severity: Severity) -> list[Finding]:
    """The findings of one severity, in the order of the stages."""
    return [finding for finding in form.all_findings if finding.severity is severity]


def grave(form: Holding) -> list[Finding]:
    """Problems, then warnings."""
    return [*of_severity(form, Severity.PROBLEM), *of_severity(form, Severity.WARNING)]


def verdict(form: Holding) -> str:
    """Return whether it can be made, in one sentence or two."""
    problems, warnings = (len(of_severity(form, s)) for s in (Severity.PROBLEM, Severity.WARNING))
    if problems:
        return f"{MARK}. Not like this: {_count(problems, 'problem')} to mend first."
    if warnings:
        return f"It can be made. Read {_count(warnings, 'warning')} first."
    return "It can be made, with no warnings."


def _count(number: int, noun: str) -> str:
    return f"one {noun}" if number == 1 else f"{number} {noun}s"


def how(form: Holding) -> str:
    """The job in two sentences."""
    pressing, laminate = form.pressing, form.laminate
    asked, recipe = laminate.recipe.asked, laminate.recipe
    woods = " and ".join(dict.fromkeys(ply.wood for ply in laminate.plies))
    where = _WHERE[pressing.way]
    parts = f" Make {laminate.arch.copies} of the part, the second turned over." if laminate.arch.copies > 1 else ""
    return (
        f"{len(laminate.plies)} plies of {woods}, {write_fine(laminate.thickness_mm, asked.units)} together, "
        f"glued over a {pressing.side} form of {len(form.layers)} layers of {recipe.sheet_name}, {where}.{parts}"
    )


def facts(form: Holding) -> Iterable[tuple[str, str]]:
    """The numbers to take to the bench."""
    pressing, laminate = form.pressing, form.laminate
    units, glue = laminate.recipe.units, pressing.glue
    yield "Form face", radius_text(pressing.face, units)
    yield "Spring-back", f"{100 * laminate.spring_back:.2f} % of the curvature"
    lengths = [ply.length_mm for ply in laminate.plies]
    ends = dict.fromkeys(write_length(mm, units) for mm in (min(lengths), max(lengths)))
    yield "Plies to cut", f"{' to '.join(ends)} long"
    if form.bar_setting is not None:
        yield "Spreader bar", bar_text(form.bar_setting, units).partition(";")[0]
    if form.clamps is not None:
        yield "Clamps", f"{len(form.clamps.places)}, crown off first"
    if form.off is not None:
        yield "While the glue sets", form.off.advice
    pressed_by = "Vacuum" if pressing.vacuum is not None else "Clamps press"
    yield pressed_by, pressure_text(pressing.pressure_kpa, units)
    weight = "" if glue.mixed_kg is None else f"{glue_text(glue.mixed_kg, units)} of "
    yield "Glue", f"{weight}{glue.adhesive}" if glue.adhesive is not None else "not chosen"
    yield "In the press", time_text(glue.press_min) if glue.chosen else "by the glue, which is not chosen"
    yield "Stack", f"{len(form.layers)} × {write_fine(form.layers[0].thickness_mm, units)}, {len(form.pieces)} pieces"
    yield "Weight", f"form {weight_text(form.weights.form_kg, units)}, part {weight_text(form.weights.part_kg, units)}"
