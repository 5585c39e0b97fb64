"""Stage `reports`: the job report, `report.html`: one file for the bench, the phone and the printer.

In: a Form and the hashes of the files beside it. Out: the page's bytes, the same for the same recipe. Its layout is the
template's, `report.html` beside this module.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from formgen.answers import answers
from formgen.findings import Finding, Severity
from formgen.findings.wording import numbers_text
from formgen.holding.model import Holding
from formgen.outputs.html.page import FOLDING, Columns, page, rows_joined
from formgen.outputs.picture import svg
from formgen.outputs.record.job import versions_used
from formgen.reports.rows.decisions import decisions
from formgen.reports.rows.makes import code_text, is_shared
from formgen.reports.web import tables
from formgen.reports.web.asked_rows import recipe_rows, shop_rows
from formgen.reports.web.curve_drawing import curve_figure
from formgen.reports.web.layer_drawing import layer_figures
from formgen.reports.web.solid_model import solid_model
from formgen.verdict import MARK

_SECTIONS = {
    "answers": "Answers", "openings": "Openings", "curve": "Curve", "plies": "Plies", "press": "Press", "form": "Form",
    "layers": "Layers", "findings": "Findings", "asked": "As asked", "files": "Files",
}  # fmt: skip
#: The gravest first, and what several are called.
_ORDER = ((Severity.PROBLEM, "Problems"), (Severity.WARNING, "Warnings"), (Severity.NOTE, "Notes"))
GRAVE = (Severity.PROBLEM, Severity.WARNING)
_ASKED = ("key", "value", "set by")


def report_page(form: Holding, files: Mapping[str, Mapping[str, Any]]) -> tuple[bytes, ...]:
    """The report.

    Args:
        form: the model.
        files: SHA-256 and size of every other file, by name.
    """
    recipe = form.recipe
    found = [finding for severity in GRAVE for finding in _of(form, severity)]
    curve, legend = curve_figure(form)
    report = page(
        "reports/web/report.html",
        f"{recipe.name}: job report",
        {name: title for name, title in _SECTIONS.items() if name != "openings" or is_shared(form)},
        [FOLDING, "reports/web/view.js"],
        stamp="" if form.verdict.may else f"{MARK}: {', '.join(form.verdict.why)}",
        name=recipe.name,
        note=recipe.asked.note if recipe.asked.note.strip() else "",
        title_block=_title_block(form),
        state=found[0].severity if found else "good",
        answers=answers(form),
        grave=_with_numbers(form, found),
        curve=curve,
        legend=legend,
        decided={part.title: rows_joined(part.rows) for part in decisions(form)},
        picture=svg(form),
        model=solid_model(form),
        layers=layer_figures(form),
        findings=[(severity, title, _with_numbers(form, _of(form, severity))) for severity, title in _ORDER],
        tables={
            "makes": tables.makes_table(form),
            "plies": tables.ply_table(form),
            "cuts": tables.cut_table(form),
            "clamps": tables.clamp_table(form),
            "pieces": tables.piece_table(form),
            "recipe": Columns("Recipe", _ASKED, recipe_rows(recipe)),
            "shop": Columns("Sheet and shop", _ASKED, shop_rows(recipe)),
            "files": tables.file_table(files),
        },
        versions=", ".join(f"{package} {version}" for package, version in versions_used().items()),
    )
    return (report,)


def _of(form: Holding, severity: Severity) -> list[Finding]:
    """The findings of one severity, in the order of the stages."""
    return [finding for finding in form.all_findings if finding.severity is severity]


def _with_numbers(form: Holding, found: Iterable[Finding]) -> list[tuple[Finding, str]]:
    return [(finding, numbers_text(finding, form.recipe.units)) for finding in found]


def _title_block(form: Holding) -> tuple[tuple[str, str], ...]:
    """List what a drawing has in its corner: of what this is, for whom."""
    recipe = form.recipe
    part = recipe.part
    return (
        ("Code", code_text(form)),
        ("Part", f"{part.arch.kind}, measured on the {part.measured_on}"),
        ("Form", f"{form.pressing.side}, {form.body}"),
        ("Units", "inches" if recipe.units == "in" else "millimetres"),
        ("Shop", recipe.shop.name),
    )
