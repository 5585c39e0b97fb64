"""Nothing that is printed of a part pressed outside the bag says that the vacuum bends it or presses it to the form.

A bag round the part alone has the same air all round: no force and no couple, whatever the curve. What bends the plies
then is hands and clamps. (Statics of a closed surface under uniform pressure; common practice in shops.)
"""

from __future__ import annotations

import json
import re
from functools import cache

import pytest
from click.testing import CliRunner

from formgen.cli import main
from formgen.holding.model import Holding
from formgen.outputs.record.job import job_record
from formgen.outputs.table import names_of
from formgen.reports.drawing.sheets import shop_drawing
from formgen.reports.pages import PAGES
from formgen.reports.press_sheet.page import press_sheet
from formgen.reports.web.report import report_page
from tests.conftest import RECIPES, SHIPPED, shipped_form
from tests.reports.page_read import read_all
from tests.reports.press_cases import CASES
from tests.reports.test_press_steps import made_case, sheet_text

#: What may not be said outside the bag; `.{0,n}` leaves room for an adverb or a number.
FORBIDDEN = (
    r"vacuum alone",
    r"pulls? (it |them |the \w+ )?(down )?to the form",
    r"(vacuum|bag|air|pump|pressure) (will |can |then |alone |also )?(bends?|pulls|draws|closes|holds down)\b",
    r"bends? .{0,30}(by|with|under) (the )?vacuum",
    r"bent by (the )?(vacuum|air|bag|pressure)",
    r"presse[sd] (it|them|the part|the plies|the stack) (on|to|onto|against) the form",
    r"needs \d+\.\d (inHg|kPa)",
    r"ends? (stands?|stand) off",
    r"bends to the form",
    r"drawn? (down )?(on|to|onto) the form by",
)
#: What is said of the bag rightly, although a pattern above would catch it.
ALLOWED = (
    r"press\.soft-vacuum",
    r"the bag round the part does not",
    r"draws a stack round",
    r"clamps on cauls press the plies on the form",
)
OUTSIDE = tuple(n for n in SHIPPED if "way: form-bagged" not in (RECIPES / f"{n}.yaml").read_text(encoding="utf-8"))
CASES_OUTSIDE = tuple(name for name in CASES if not name.startswith("form-bagged"))
FILES = {"form.step": {"bytes": 12, "sha256": "ab" * 32}}


def refuse(text: str, where: str) -> None:
    plain = " ".join(re.sub(r"<[^>]+>", " ", text).split())
    for allowed in ALLOWED:
        plain = re.sub(allowed, "", plain)
    for phrase in FORBIDDEN:
        found = re.search(phrase, plain, re.IGNORECASE)
        assert found is None, f"{where}: {plain[max(found.start() - 60, 0) : found.end() + 60]!r}"  # type: ignore[union-attr]


def written(holding: Holding) -> dict[str, str]:
    """All text that a form's files and pages carry."""
    drawing = shop_drawing(holding)
    return {
        "press day, steps": sheet_text(holding),
        "press day, page": read_all(press_sheet(holding)),
        "drawing": read_all(drawing[1]),
        "report": report_page(holding, FILES)[0].decode("utf-8"),
        "record": json.dumps(job_record(holding), ensure_ascii=False),
    }


@cache
def checked(name: str, *options: str) -> str:
    done = CliRunner().invoke(main, ["check", *options, str(RECIPES / f"{name}.yaml")])
    return done.stdout + done.stderr


def test_pages_are_all_read() -> None:
    """Whoever adds a page adds it to `written` as well, or says here why it has no sentences."""
    known = {"drawing.dxf", "drawing.pdf", "press-day.pdf", "report.html"}
    sizes_only = {"template.pdf", "template-roll.pdf", "gauge.pdf", "gauge.dxf"}
    assert set(names_of(PAGES, shipped_form("porch-door-jamb"))) == known | sizes_only


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_shipped_recipe_outside_the_bag_says_so(name: str) -> None:
    for where, text in written(shipped_form(name)).items():  # type: ignore[arg-type]
        refuse(text, where)
    refuse(checked(name), "check")
    refuse(checked(name, "--json"), "check --json")


@pytest.mark.parametrize("name", CASES_OUTSIDE)
def test_no_case_outside_the_bag_says_so(name: str) -> None:
    for where, text in written(made_case(name)).items():
        refuse(text, where)


@pytest.mark.parametrize(
    "said",
    [
        "The vacuum alone bends the stack.",
        "The vacuum pulls it to the form.",
        "Vacuum bends the plies.",
        "bends to the form: needs 0.3 inHg of 24.0 inHg",
        "the plies are bent by the vacuum",
        "The bag presses the part on the form.",
    ],
)
def test_the_patterns_catch_what_they_are_for(said: str) -> None:
    with pytest.raises(AssertionError):
        refuse(said, "trial")
