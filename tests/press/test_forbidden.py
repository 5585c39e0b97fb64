"""What no output may say of a part that is pressed outside the bag: the air there pushes on the part from all sides
alike and neither bends it, nor holds it down, nor closes a gap to the form.

The list is widened by adding to `FORBIDDEN`, the outputs by adding to `OUTPUTS`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

import pytest
from click.testing import CliRunner

from formgen.cli import main
from formgen.holding.model import Holding
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.press_sheet.page import press_sheet
from formgen.reports.rows.decisions import decisions
from formgen.reports.web.report import report_page
from tests.reports.page_read import read

RECIPES = Path(__file__).parents[2] / "recipes"
PATHS = sorted([*RECIPES.glob("*.yaml"), *(RECIPES / "decisions").glob("*.yaml")])
#: Sentences, findings and keys of a form inside the bag; every one is found in the sound recipe below.
FORBIDDEN = (
    "vacuum alone", "air alone", "pressure alone", "pulls to the form", "vacuum bends", "vacuum leaves", "vacuum draws",
    "stands off over", "ends on the form", "ends under pressure", "draws down", "bends to the form", "under vacuum and",
    "press.pulls-to-form", "press.too-stiff", "press.end-stands-off", "laminate.end-tail", "needed_kpa", "tightest_mm",
    "gap_at_end_mm",
)  # fmt: skip


def _check(path: Path, _form: Holding) -> str:
    done = CliRunner().invoke(main, ["check", str(path), "--shop", str(RECIPES / "shop.yaml")])
    assert done.exit_code == 0, done.output
    return done.output


def _record(_path: Path, form: Holding) -> str:
    record = job_record(form)
    del record["asked"]
    return json.dumps(record, ensure_ascii=False)


OUTPUTS: Mapping[str, Callable[[Path, Holding], str]] = MappingProxyType(
    {
        "check": _check,
        "record": _record,
        "rows": lambda _path, form: "\n".join(f"{what} {text}" for s in decisions(form) for what, text in s.rows),
        "report": lambda _path, form: re.sub(r"<[^>]+>", " ", b"".join(report_page(form, {})).decode()),
        "press day": lambda _path, form: read(press_sheet(form)).text,
    }
)


def _said(text: str) -> list[str]:
    flat = " ".join(text.lower().split())
    return [phrase for phrase in FORBIDDEN if phrase in flat]


@pytest.mark.parametrize("path", [p for p in PATHS if p.stem != "shop"], ids=lambda p: p.stem)
def test_outside_the_bag_nothing_says_that_the_air_pushes_to_the_form(path: Path) -> None:
    form = run(load_recipe(path, RECIPES / "shop.yaml"))
    if form.pressing.way == "form-bagged":
        pytest.skip("in the bag it does")
    for name, made in OUTPUTS.items():
        assert _said(made(path, form)) == [], name


def test_inside_the_bag_it_is_said(made: Callable[[str], Holding]) -> None:
    """So that the list is not empty of meaning: the record and rows of a form in the bag hold these."""
    form, path = made("reference-alcove"), RECIPES / "reference-alcove.yaml"
    text = " ".join(make(path, form) for make in OUTPUTS.values())
    assert {"draws down", "ends on the form", "press.pulls-to-form", "needed_kpa", "gap_at_end_mm"} <= set(_said(text))
