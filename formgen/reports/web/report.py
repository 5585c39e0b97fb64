"""Stage `reports`: the job report, `report.html`: one file for the bench, the phone and the printer.

In: a Form and the hashes of the files beside it. Out: the page's bytes, the same for the same recipe. Its layout is the
template's, `report.html` beside this module.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from formgen.amounts import glue_text, pressure_text, stress_text, time_text, weight_text
from formgen.answers import Answers, answers
from formgen.findings import Finding, Severity
from formgen.findings.wording import numbers_text
from formgen.holding.model import Holding
from formgen.lengths import Units, write_measured
from formgen.outputs.html.page import FOLDING, page, rows_joined
from formgen.outputs.picture import svg
from formgen.outputs.record.job import versions_used
from formgen.reports.rows.decisions import decisions, radius_text
from formgen.reports.rows.makes import code_text, is_shared
from formgen.reports.web import tables
from formgen.reports.web.asked_rows import recipe_rows, shop_rows
from formgen.reports.web.curve_drawing import curve_figure
from formgen.reports.web.layer_drawing import layer_figures, written_on
from formgen.reports.web.solid_model import solid_model

_SECTIONS = {
    "read": "Read first", "openings": "Openings", "part": "Part", "plies": "Plies", "press": "Press", "form": "Form",
    "layers": "Layers", "notes": "Notes", "asked": "As asked", "files": "Files",
}  # fmt: skip
#: The gravest first.
GRAVE = (Severity.PROBLEM, Severity.WARNING)
_ROUNDED = {
    "in": "Lengths to the nearest 1/64 in, thicknesses to 0.001 in.",
    "mm": "Lengths to the nearest 0.1 mm, thicknesses to 0.01 mm.",
}


def report_page(form: Holding, files: Mapping[str, Mapping[str, Any]]) -> tuple[bytes, ...]:
    """The report.

    Args:
        form: the model.
        files: SHA-256 and size of every other file, by name.
    """
    recipe, said = form.recipe, answers(form)
    grave = [finding for severity in GRAVE for finding in _of(form, severity)]
    notes = _of(form, Severity.NOTE)
    absent = {name for name, there in (("read", grave), ("openings", is_shared(form)), ("notes", notes)) if not there}
    curve, legend = curve_figure(form)
    asked, shop, groups = list(recipe_rows(recipe)), list(shop_rows(recipe)), layer_figures(form)
    report = page(
        "reports/web/report.html",
        f"{recipe.name}: job report",
        {name: title for name, title in _SECTIONS.items() if name not in absent},
        [FOLDING, "reports/web/view.js"],
        running=f"{recipe.name}, {code_text(form)}",
        units=recipe.units,
        name=recipe.name,
        note=recipe.asked.note if recipe.asked.note.strip() else "",
        code=code_text(form),
        shop=recipe.shop.name,
        state=grave[0].severity if grave else "good",
        answers=said,
        rounded=_ROUNDED[recipe.units],
        facts=list(_facts(form, said)),
        grave=[(finding, beyond_text(finding, recipe.units)) for finding in grave],
        curve=curve,
        legend=legend,
        decided={part.title: rows_joined(part.rows) for part in decisions(form)},
        picture=svg(form),
        model=solid_model(form),
        layers=[layer.number for layer in form.layers],
        groups=groups,
        labels=written_on(form),
        notes=notes,
        gists={
            "openings": f"{len(form.makes)} come off this form",
            "part": f"{radius_text(form.arch.target, recipe.units)} on the centre line",
            "plies": said.plies.text,
            "press": said.holding.text,
            "form": said.form.text,
            "layers": f"{len(form.layers)}, {len(groups)} of them different" if len(groups) > 1 else "all alike",
            "notes": f"{len(notes)}",
            "asked": f"{len(asked) + len(shop)} values",
            "files": f"{len(files)}, with their hashes",
        },
        tables={
            "makes": tables.makes_table(form),
            "plies": tables.ply_table(form),
            "cuts": tables.cut_table(form),
            "clamps": tables.clamp_table(form),
            "pieces": tables.piece_table(form),
            "recipe": tables.asked_table("Recipe", asked),
            "shop": tables.asked_table("Sheet and shop", shop),
            "files": tables.file_table(files),
        },
        versions=", ".join(f"{package} {version}" for package, version in versions_used().items()),
    )
    return (report,)


def _facts(form: Holding, said: Answers) -> Iterator[tuple[str, str, bool]]:
    """Yield the six figures that are asked for across the bench: what, how much, whether it is what a hand sets."""
    units, pressing = form.recipe.units, form.pressing
    if form.bar_setting is not None:
        yield "bar, jaw to jaw", form.bar_setting.tape, True
    else:
        count = said.holding if said.holding.value else said.plies
        yield count.unit, f"{count.value:.0f}", False
    if pressing.vacuum is not None:
        yield "vacuum", pressure_text(pressing.pressure_kpa, units), False
    else:
        yield "clamps press with", stress_text(pressing.pressure_kpa / 1000.0, units), False
    yield "in the press", time_text(pressing.glue.press_min), False
    opens = said.spring_back.value or 0.0
    yield "opens at release" if opens >= 0.0 else "closes at release", write_measured(abs(opens), units), False
    glue_kg = pressing.glue.mixed_kg
    yield "glue to mix", "not chosen" if glue_kg is None else glue_text(glue_kg, units), False
    yield "form weighs", weight_text(form.weights.form_kg, units), False


def beyond_text(found: Finding, units: Units) -> str:
    """Say the limit that a finding lies beyond where its message does not, and its number where it has none at all."""
    if found.value is None:
        return ""
    held = replace(found, value=abs(found.value), limit=None if found.limit is None else abs(found.limit))
    here, _, limit = numbers_text(held, units).partition(", limit ")
    if not limit:
        return "" if any(c.isdigit() for c in found.message) else f"Here {here}."
    side = "At most" if held.limit is not None and abs(found.value) > held.limit else "At least"
    return "" if limit in found.message else f"{side} {limit}."


def _of(form: Holding, severity: Severity) -> list[Finding]:
    """The findings of one severity, in the order of the stages."""
    return [finding for finding in form.all_findings if finding.severity is severity]
