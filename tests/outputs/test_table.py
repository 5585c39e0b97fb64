"""Every kind of file goes through a table: written under its names, read again, and told when it is damaged."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import cast

import pytest

from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.outputs.record.job import fingerprint
from formgen.outputs.table import FILES, Output, names_of, outputs_with, page
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.pages import PAGES

RECIPES = Path(__file__).parents[2] / "recipes"
ROWS = outputs_with(PAGES)


@pytest.fixture(scope="module")
def form() -> Holding:
    """A form from a drawing, so that the drawings kept with the files are there too."""
    return run(load_recipe(RECIPES / "reference-alcove.yaml"))


def test_no_two_rows_write_one_file(form: Holding) -> None:
    names = names_of(ROWS, form)
    assert len({name.casefold() for name in names}) == len(names)
    assert all(output.names(form) for output in ROWS)


@pytest.mark.parametrize("number", range(len(ROWS)))
def test_a_row_writes_what_it_names_and_misses_its_end(number: int, form: Holding, tmp_path: Path) -> None:
    output = ROWS[number]
    output.write(form, tmp_path, _files(output, form))
    written = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()}
    assert written == set(output.names(form))
    for name in output.names(form):
        path = tmp_path / name
        assert list(output.check(path, name, form)) == []
        content = path.read_bytes()
        path.write_bytes(content[: len(content) * 2 // 3])
        assert list(output.check(path, name, form)), f"{name} is cut short and nobody sees it"


def _files(output: Output, form: Holding) -> Mapping[str, Mapping[str, object]]:
    """Hashes of the files that a page lists, of any content."""
    some = fingerprint(Path(__file__))
    return dict.fromkeys(names_of(outputs_with(()), form), some) if output.lists_files else {}


def test_a_kind_of_page_whose_end_is_not_known_is_refused() -> None:
    with pytest.raises(ValueError, match=r"page notes\.odt: expected one of \.pdf, \.dxf, \.html; or add the kind"):
        page("notes.odt", make=lambda _form, _files: (b"",))


def test_the_kernel_does_what_the_row_does_here(form: Holding, tmp_path: Path) -> None:
    (output,) = (output for output in FILES if output.in_kernel is not None)
    (name,) = output.names(form)
    assert output.in_kernel is not None
    assert output.in_kernel(form.stack, tmp_path / "there") == []
    output.write(form, tmp_path, {})
    assert (tmp_path / name).read_bytes() == (tmp_path / "there").read_bytes()


def test_a_form_without_pages_has_its_own_files(block: Form) -> None:
    names = names_of(FILES, cast("Holding", block))
    assert names[:2] == ("form.step", "form.stl")
    assert sum(name.startswith("layers/") for name in names) == len(block.layers)
