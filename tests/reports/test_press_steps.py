"""The steps of the press day as text: nine goldens, in the order in which a shop presses, nothing of another way.

The order is held against `tests/golden/press-day-order.toml`, which is written from how a shop works (common practice,
no source), not from the program. `pytest --renew tests/reports/test_press_steps.py` writes the goldens again: read them
against that list, line by line, before committing them.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from formgen.findings.registry import rows
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.lengths import write_fine
from formgen.recipe.catalogue import cautions
from formgen.reports.press_sheet.day import heading, steps_of
from formgen.reports.press_sheet.strip import pictures_of
from tests.conftest import SHIPPED, shipped_form
from tests.reports.press_cases import CASES, WAYS, case
from tests.reports.press_lines import as_lines

GOLDEN = Path(__file__).parents[1] / "golden"


@cache
def made_case(name: str, glue: str = "urea formaldehyde") -> Holding:
    with TemporaryDirectory() as folder:
        return case(name, Path(folder), glue=glue)


def sheet_text(holding: Holding) -> str:
    """All that the sheet says: its head, its pictures' captions, its steps."""
    steps = steps_of(holding)
    name, about = heading(holding)
    shown = [f"   ({picture.step}) {picture.caption}" for picture in pictures_of(holding, steps)]
    return "\n".join([name, *about, "", "pictures", *shown, "", *as_lines(steps)]) + "\n"


@pytest.mark.parametrize("name", CASES)
def test_the_sheet_says_what_it_said(name: str, pytestconfig: pytest.Config) -> None:
    printed = sheet_text(made_case(name))
    path = GOLDEN / f"press-day-{name}.txt"
    if pytestconfig.getoption("renew"):
        path.write_text(printed, encoding="utf-8", newline="\n")
    held = path.read_text(encoding="utf-8")
    difference = difflib.unified_diff(held.splitlines(), printed.splitlines(), "golden", "now", lineterm="")
    assert printed == held, "\n".join(difference)


def test_no_golden_is_left_over() -> None:
    assert sorted(path.stem for path in GOLDEN.glob("press-day-*.txt")) == sorted(f"press-day-{n}" for n in CASES)


def test_what_names_a_step_names_one_that_there_is() -> None:
    """A finding or a caution with a step that no day has would stand on no sheet."""
    forms = [*map(made_case, CASES), *map(shipped_form, SHIPPED)]
    there = {step.key for form in forms for step in steps_of(form)}
    named = {f"{code} {step}" for code, _, row in rows() for step in row.steps if step not in there}
    named |= {f"{name} {step}" for name, held in cautions().items() for step in held.steps if step not in there}
    assert not named


@pytest.mark.parametrize("name", CASES)
def test_the_order_is_the_shops(name: str) -> None:
    in_order(sheet_text(made_case(name)).partition("\n 1 ")[2], way_of(name))


def in_order(text: str, way: str) -> None:
    """Every line of the check list stands after the one before it."""
    at = 0
    for wanted in tomllib.loads((GOLDEN / "press-day-order.toml").read_text(encoding="utf-8"))[way]:
        found = re.compile(wanted).search(text, at)
        assert found is not None, f"{wanted!r} does not stand after {text[max(at - 80, 0) : at]!r}"
        at = found.end()


def way_of(name: str) -> str:
    return next(way for way in WAYS if name.startswith(way))


def test_every_shipped_sheet_is_in_the_shops_order(shipped: Form) -> None:
    assert isinstance(shipped, Holding)
    in_order(sheet_text(shipped).partition("\n 1 ")[2], shipped.pressing.way)


def test_no_word_stands_twice_in_a_row(shipped: Form) -> None:
    said = sheet_text(shipped)
    assert not re.findall(r"\b([a-z]+) \1\b", said)


@pytest.mark.parametrize("name", [n for n in CASES if n.startswith("part-bagged")])
def test_the_pump_draws_full_only_when_all_clamps_are_on(name: str) -> None:
    steps = {step.key: number for number, step in enumerate(steps_of(made_case(name)))}
    assert steps["bag"] < steps["form"] < steps["clamps"] < steps["vacuum"] < steps.get("clamps off", 99)


@pytest.mark.parametrize("name", CASES)
def test_a_caution_stands_before_its_step_and_names_its_source(name: str) -> None:
    lines = sheet_text(made_case(name)).splitlines()
    found = [i for i, line in enumerate(lines) if line.startswith("   ! ")]
    assert found
    for i in found:
        # of the catalogue's lines those of common practice have no source, and some name it themselves
        assert re.search(r" \[.+\]$", lines[i]) or any(lines[i].endswith(c.said("in")) for c in cautions().values())
        following = next(line for line in lines[i:] if not line.startswith("   ! "))
        assert re.match(r"^ ?\d+ [A-Z]", following), following


def test_nothing_of_one_way_is_said_in_another() -> None:
    of_another = {
        "part-bagged": (
            "caul",
            "in one bag",
            "hollow and inside the bag",
            "loads a form in the bag",
            "straps or clamps",
        ),
        "form-bagged": ("caul", "just snug", "Clamps on", "come off", "a pair stays"),
        "clamped": ("vacuum", "bag", "gauge", "pump", "inHg", "breather"),
    }
    for name in CASES:
        text = sheet_text(made_case(name)).replace("no bag: cauls under clamps", "").replace("gauge.dxf", "")
        text = text.replace("gauge plate", "").replace("gauge.pdf", "")
        for phrase in of_another[way_of(name)]:
            assert phrase.lower() not in text.lower(), f"{name}: {phrase}"


@pytest.mark.parametrize("name", CASES)
def test_blanks_where_the_glue_is_not_chosen(name: str) -> None:
    text = sheet_text(made_case(name, glue=""))
    assert "Glue: not chosen: ____" in text
    assert "(begun + " not in text
    assert "hours ____" in text
    assert not re.search(r"\d h (under vacuum|in the clamps)", text)
    assert "lb per 1000" not in text


@pytest.mark.parametrize("name", CASES)
def test_no_length_is_marked_as_rounded_and_no_ply_is_a_fraction(name: str) -> None:
    holding = made_case(name)
    text = sheet_text(holding)
    assert "≈" not in text
    assert f"{write_fine(holding.laminate.plies[0].thickness_mm, 'in')} thick" in text  # 0.125 in


def test_at_most_six_pictures_each_of_a_step() -> None:
    for name in CASES:
        steps = steps_of(made_case(name))
        shown = pictures_of(made_case(name), steps)
        assert 3 <= len(shown) <= 6
        numbers = [picture.step for picture in shown]
        assert numbers == sorted(numbers)
        assert 1 <= numbers[0] <= numbers[-1] <= len(steps)


def test_one_time_in_the_press(shipped: Form) -> None:
    glue = shipped.pressing.glue
    said = re.findall(r"not out before \(in \+ ([^)]+)\)", sheet_text(shipped))  # type: ignore[arg-type]
    assert said == ([f"{glue.press_min / 60:g} h"] if glue.chosen and glue.press_min >= 120 else said)
    assert len(said) == (1 if glue.chosen else 0)
