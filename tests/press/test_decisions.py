"""Each decision going both ways: the pairs of recipes in recipes/decisions, one thing changed in each."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from formgen.findings import Severity
from formgen.holding.model import Holding
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from tests.conftest import shipped_form

DECISIONS = Path(__file__).parents[2] / "recipes" / "decisions"
#: What differs in each pair, by its key; the name is its own in every recipe.
PAIRS = {
    ("may-be-pressed", "must-not-be-pressed"): {"laminate.plies"},
    ("plies-few", "plies-many"): {"part.arch"},
    ("side-male", "side-female"): {"part.tolerance"},
    ("clamps-off", "clamps-stay"): {"press.slack"},
    ("comes-off", "stays-on"): {"laminate.plies"},
    ("form-bagged-enough", "form-bagged-short"): {"laminate.plies"},
    ("moisture-within", "moisture-past"): {"laminate.adhesive"},
    ("legs-tangent", "legs-plumb"): {"part.legs"},
}


def _form(name: str) -> Holding:
    return run(load_recipe(DECISIONS / f"{name}.yaml", DECISIONS.parent / "shop.yaml"))


def _severities(form: Holding, code: str) -> list[Severity]:
    return [finding.severity for finding in form.all_findings if finding.code == code]


def _keys(name: str) -> dict[str, object]:
    data = YAML(typ="safe", pure=True).load(DECISIONS / f"{name}.yaml")
    return {
        f"{section}.{key}": value
        for section, keys in data.items()
        if isinstance(keys, dict)
        for key, value in keys.items()
    }


def test_every_recipe_has_its_pair_and_every_pair_its_row() -> None:
    named = {name for pair in PAIRS for name in pair}
    assert named == {path.stem for path in DECISIONS.glob("*.yaml")}
    rows = [line for line in (DECISIONS / "README.md").read_text(encoding="utf-8").splitlines() if "`:" in line]
    assert [tuple(re.findall(r"`([a-z-]+)\.yaml`", row)) for row in rows] == list(PAIRS)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: pair[0])
def test_one_thing_differs_in_a_pair(pair: tuple[str, str]) -> None:
    one, other = (_keys(name) for name in pair)
    assert {key for key in {*one, *other} if one.get(key) != other.get(key)} == PAIRS[pair]


@pytest.mark.parametrize(("name", "breaks"), [("may-be-pressed", False), ("must-not-be-pressed", True)])
def test_a_part_that_breaks(name: str, breaks: bool) -> None:  # noqa: FBT001 -- a case's answer
    form = _form(name)
    # t/(2R) of the inmost ply, R 700 + t/2 on its middle, against MOR/MOE of white oak: 105/12 300 (Wood Handbook)
    t = form.laminate.plies[0].thickness_mm
    assert (t / (2 * (700 + t / 2)) > 105 / 12300) is breaks
    assert (Severity.PROBLEM in _severities(form, "laminate.ply-strain")) is breaks
    assert any(finding.severity is Severity.PROBLEM for finding in form.all_findings) is breaks


@pytest.mark.parametrize(("name", "count"), [("plies-few", 3), ("plies-many", 5)])
def test_plies_left_to_the_program(name: str, count: int) -> None:
    """The fewest within two thirds of 105/12 300, by hand: R 2000 on the inside takes 6 mm; R 350 takes 3.6 mm."""
    form = _form(name)
    assert len(form.laminate.plies) == count
    assert _severities(form, "laminate.plies-chosen") == [Severity.NOTE]


@pytest.mark.parametrize(
    ("name", "advice"), [("comes-off", "may come off with the bar"), ("stays-on", "stay on the form")]
)
def test_off_the_form(name: str, advice: str) -> None:
    off = _form(name).off
    assert off is not None
    assert off.advice == advice
    assert off.may_come_off is (advice == "may come off with the bar")
    assert off.held_by == "bar"


@pytest.mark.parametrize(("name", "may"), [("newspaper-stall", True), ("music-room-hood", False)])
def test_off_the_form_in_two_shipped_recipes(name: str, may: bool) -> None:  # noqa: FBT001 -- a case's answer
    off = shipped_form(name).off
    assert off is not None
    assert off.may_come_off is may


@pytest.mark.parametrize(("name", "holds"), [("clamps-off", True), ("clamps-stay", False)])
def test_clamps_on_the_curve_off_at_full_vacuum(name: str, holds: bool) -> None:  # noqa: FBT001 -- a case's answer
    form = _form(name)
    assert form.on_form is not None
    assert form.on_form.holds is holds
    assert bool(_severities(form, "holding.leave-clamps-on")) is not holds


@pytest.mark.parametrize("side", ["male", "female"])
def test_the_side_that_folds_decide(side: str) -> None:
    """Folds are two sheets of 0.5 mm thicker: 1.0 mm against 1.6 and 0.8 (geometry; sheeting common practice)."""
    assert _form(f"side-{side}").pressing.side == side


@pytest.mark.parametrize(("name", "may"), [("may-be-pressed", True), ("must-not-be-pressed", False)])
def test_the_verdict(name: str, may: bool) -> None:  # noqa: FBT001 -- a case's answer
    assert _form(name).verdict.may is may


@pytest.mark.parametrize(("name", "enough"), [("form-bagged-enough", True), ("form-bagged-short", False)])
def test_pressure_to_bend_the_plies_in_one_bag_with_the_form(name: str, enough: bool) -> None:  # noqa: FBT001
    form = _form(name)
    assert form.pressing.way == "form-bagged"
    gravest = {finding.severity for finding in form.all_findings if finding.code.startswith("press.")}
    assert (Severity.PROBLEM in gravest) != enough


@pytest.mark.parametrize(("name", "past"), [("moisture-within", False), ("moisture-past", True)])
def test_what_drying_pulls_in(name: str, past: bool) -> None:  # noqa: FBT001 -- a case's answer
    assert (Severity.WARNING in _severities(_form(name), "laminate.moisture-pull-in")) is past


@pytest.mark.parametrize(("name", "tail_mm"), [("legs-tangent", 250.0), ("legs-plumb", 0.0)])
def test_legs_of_a_flat_arch(name: str, tail_mm: float) -> None:
    form = _form(name)
    arch = form.arch
    assert arch.springing_mm == pytest.approx((tail_mm, arch.target.length_mm - tail_mm))
    assert _severities(form, "curve.plumb-legs") == ([] if tail_mm else [Severity.WARNING])
