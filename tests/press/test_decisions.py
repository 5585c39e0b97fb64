"""Each decision going both ways: the pairs of recipes in recipes/decisions, one thing changed in each."""

from __future__ import annotations

from pathlib import Path

import pytest

from formgen.findings import Severity
from formgen.form.model import Form
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

RECIPES = Path(__file__).parents[2] / "recipes"


def _form(name: str) -> Form:
    return run(load_recipe(RECIPES / "decisions" / f"{name}.yaml", RECIPES / "shop.yaml"))


@pytest.mark.parametrize(
    ("name", "advice"), [("comes-off", "may come off with the bar"), ("stays-on", "stay on the form")]
)
def test_off_the_form(name: str, advice: str) -> None:
    off = _form(name).off
    assert off is not None
    assert off.advice == advice
    assert (abs(off.departure_mm) <= 1.0) == (advice == "may come off with the bar")


@pytest.mark.parametrize("side", ["male", "female"])
def test_side_of_the_form(side: str) -> None:
    pressing = _form(f"side-{side}").pressing
    assert pressing.side == side
    assert pressing.laminate.arch.recipe.asked.press.side == "auto"


@pytest.mark.parametrize(("name", "enough"), [("pressure-enough", True), ("pressure-short", False)])
def test_pressure_to_bend_the_plies(name: str, enough: bool) -> None:  # noqa: FBT001 -- a case's answer
    form = _form(name)
    gravest = {f.severity for f in form.all_findings if f.code.startswith("press.")}
    assert (Severity.PROBLEM in gravest) != enough
