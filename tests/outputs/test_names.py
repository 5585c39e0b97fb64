"""Drawings of a recipe never take the place of a file that is written: refused by name before anything is."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from formgen.errors import RecipeError
from formgen.form.model import Form
from formgen.outputs.folder.names import refuse_taken_names
from formgen.outputs.table import made_names
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.pages import PAGES
from tests.conftest import RECIPES
from tests.robustness.asking import check_recipe

#: Names of files as they are written, in other capitals, spelled as another disk would take them, above and below them.
TAKEN = [
    "form.step", "Form.STEP", "form.stl", "job.json", "JOB.Json", "form.svg", "form-layers.dxf", "layers/layer-01.dxf",
    "Layers/LAYER-02.DXF", "layers//layer-01.dxf", "./form.step", "form.step.", "job.json/path.dxf",
    "form.stl/a/path.dxf", "layers", "LAYERS", "drawing.dxf", "gauge.dxf", "press-day.pdf", "report.html",
    "template.pdf/path.dxf", "form.\u017ftep",
]  # fmt: skip
FREE = ["path.dxf", "plan/form.step", "layers/path.dxf", "form.step.dxf", "layers2", "job.jsonl"]


def recipe(folder: Path, name: str) -> Path:
    """The shipped recipe that reads a drawing, with the drawing under another name."""
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(RECIPES / "alcove-path.dxf", folder / name)
    text = (RECIPES / "reference-alcove.yaml").read_text(encoding="utf-8")
    assert "alcove-path.dxf, layer" in text
    path = folder / "alcove.yaml"
    path.write_text(text.replace("alcove-path.dxf, layer", f'"{name}", layer'), encoding="utf-8")
    return path


@pytest.mark.parametrize("name", TAKEN)
def test_a_drawing_with_the_name_of_a_file_is_refused_before_anything_is_written(tmp_path: Path, name: str) -> None:
    answer = check_recipe(recipe(tmp_path, name))  # `build` says the same, and no folder appears
    assert answer.code == 1
    (line,) = answer.lines
    assert line.startswith("alcove.yaml:8:")
    assert "clashes with" in line


@pytest.mark.parametrize("name", FREE)
def test_any_other_name_is_taken(tmp_path: Path, name: str) -> None:
    assert check_recipe(recipe(tmp_path, name)).code == 0


def test_two_drawings_whose_names_differ_in_capitals(tmp_path: Path) -> None:
    form = run(load_recipe(recipe(tmp_path, "Path.dxf")))
    refuse_taken_names(_shared(form, "Path.dxf"), made_names(PAGES, form))
    with pytest.raises(RecipeError, match=r"part\.arch\.file = path\.DXF clashes with Path\.dxf"):
        refuse_taken_names(_shared(form, "path.DXF"), made_names(PAGES, form))
    with pytest.raises(RecipeError, match=r"part\.arch\.file = path\.dxf/b\.dxf clashes with Path\.dxf"):
        refuse_taken_names(_shared(form, "path.dxf/b.dxf"), made_names(PAGES, form))


def _shared(form: Form, other: str) -> Form:
    """The form as if a second opening, drawn in another file, came off it."""
    laminate = form.laminate
    own = laminate.recipe
    part = own.asked.part
    drawn = part.model_copy(update={"arch": part.arch.model_copy(update={"file": other})})
    second = replace(own, asked=own.asked.model_copy(update={"part": drawn}))
    arch = replace(laminate.arch, recipe=replace(own, makes=(second,)))
    return replace(form, pressing=replace(form.pressing, laminate=replace(laminate, arch=arch)))
