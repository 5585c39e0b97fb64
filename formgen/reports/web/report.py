"""Stage `reports`: the job report, `report.html`: one file for the bench, the phone and the printer.

In: a Form and the hashes of the files beside it. Out: the page's bytes, the same for the same recipe.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from formgen.holding.model import Holding
from formgen.outputs.record.job import versions_used
from formgen.recipe.model import Recipe
from formgen.reports.rows.decisions import decisions
from formgen.reports.rows.makes import code_text, is_shared
from formgen.reports.web.answers import answers
from formgen.reports.web.asked_rows import recipe_rows, shop_rows
from formgen.reports.web.curve_drawing import curve_figure
from formgen.reports.web.finding_text import finding_lists
from formgen.reports.web.layer_drawing import layer_figures
from formgen.reports.web.markup import columns_table, contents, page, rows_table, section, text
from formgen.reports.web.tables import clamp_table, cut_table, file_table, makes_table, piece_table, ply_table
from formgen.reports.web.turning import SCRIPT, turning_figure
from formgen.verdict import MARK

_CAPTIONS = {"Part": "The part", "Plies": "All plies together", "Press": "In the press", "Form": "The form"}


def report_page(form: Holding, files: Mapping[str, Mapping[str, Any]]) -> tuple[bytes, ...]:
    """The report.

    Args:
        form: the model.
        files: SHA-256 and size of every other file, by name.
    """
    recipe = form.recipe
    tables = {part.title: rows_table(_CAPTIONS[part.title], part.rows) for part in decisions(form)}
    parts = (
        ("answers", "Answers", answers(form)),
        *((("openings", "Openings", makes_table(form)),) if is_shared(form) else ()),
        ("curve", "Curve", curve_figure(form) + tables["Part"]),
        ("plies", "Plies", tables["Plies"] + ply_table(form) + cut_table(form)),
        ("press", "Press", tables["Press"] + clamp_table(form)),
        ("form", "Form", turning_figure(form) + tables["Form"] + piece_table(form)),
        ("layers", "Layers", layer_figures(form)),
        ("findings", "Findings", finding_lists(form)),
        ("asked", "As asked", _asked(recipe)),
        ("files", "Files", file_table(files) + _versions()),
    )
    body = (
        f"<header>{_stamp(form)}{_title_block(form)}{contents([(name, title) for name, title, _ in parts])}</header>"
        f'<main id="content">{"".join(section(name, title, made) for name, title, made in parts)}</main>'
    )
    return (page(f"{recipe.name}: job report", body, [SCRIPT]).encode(),)


def _stamp(form: Holding) -> str:
    """The mark above all else, where the part must not be pressed; the reasons are the first of the answers."""
    return "" if form.verdict.may else f'<p class="stamp">{MARK}: {text(", ".join(form.verdict.why))}</p>'


def _title_block(form: Holding) -> str:
    """What a drawing has in its corner: what this is, of what, for whom."""
    recipe = form.recipe
    part = recipe.part
    cells = (
        ("Code", code_text(form)),
        ("Part", f"{part.arch.kind}, measured on the {part.measured_on}"),
        ("Form", f"{form.pressing.side}, {form.body}"),
        ("Units", "inches" if recipe.units == "in" else "millimetres"),
        ("Shop", recipe.shop.name),
    )
    boxes = "".join(f"<div><dt>{text(what)}</dt><dd>{text(said)}</dd></div>" for what, said in cells)
    note = f'<p class="note">{text(recipe.asked.note)}</p>' if recipe.asked.note.strip() else ""
    return f'<div class="title"><p class="kind">Job report</p><h1>{text(recipe.name)}</h1>{note}<dl>{boxes}</dl></div>'


def _asked(recipe: Recipe) -> str:
    header = ("key", "value", "set by")
    return (
        "<p>As the program understood it, every default written out. “Usual” is what stands where nothing is said.</p>"
        + columns_table("Recipe", header, recipe_rows(recipe))
        + columns_table("Sheet and shop", header, shop_rows(recipe))
    )


def _versions() -> str:
    said = ", ".join(f"{package} {version}" for package, version in versions_used().items())
    return f'<p class="made">Made with {text(said)}. The same recipe gives the same page.</p>'
