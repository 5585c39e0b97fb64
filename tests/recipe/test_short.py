"""The short way to write a recipe: what it means, and its mistakes at the keys that were typed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from formgen.errors import FormgenError
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.recipe.published import recipe_schema
from tests.recipe.test_load import refused, write

SIX = """\
arch: {kind: segmental, span: 36 in, rise: 6 in}
measured_on: inside
depth: 4 9/16 in
thickness: 3/4 in
wood: white oak
way: part-bagged
"""
#: The same with every section written out.
LONG = """\
format: 1
name: head
units: in
part: {arch: {kind: segmental, span: 36, rise: 6}, measured_on: inside, depth: 4 9/16}
laminate: {thickness: 3/4, wood: white oak, plies: auto}
press: {way: part-bagged, side: auto}
"""


def changed(old: str, new: str) -> str:
    assert SIX.count(old) == 1
    return SIX.replace(old, new)


def test_six_lines_say_what_the_sections_say(tmp_path: Path) -> None:
    short = load_recipe(write(tmp_path, SIX, "head.yaml"))
    assert short.asked.model_dump() == load_recipe(write(tmp_path, LONG, "long.yaml")).asked.model_dump()
    assert (short.asked.part.arch.kind, short.part.depth_mm, short.units) == ("segmental", 115.8875, "in")
    assert {"laminate.plies", "press.side", "part.tolerance_mm", "form.body"} <= set(short.taken)
    assert not {"part.depth_mm", "laminate.wood", "press.way"} & set(short.taken)


def test_sections_and_short_keys_go_together(tmp_path: Path) -> None:
    text = SIX + "press: {side: male}\npart: {tolerance: 1/32 in}\n"
    recipe = load_recipe(write(tmp_path, text))
    assert (recipe.asked.press.side, recipe.asked.press.way) == ("male", "part-bagged")
    assert recipe.part.tolerance_mm == 25.4 / 32
    assert "press.side" not in recipe.free


@pytest.mark.parametrize(
    ("file", "name"),
    [("head.yaml", "head"), ("my head (2).yaml", "my-head-2"), ("Bücherei.yaml", "B-cherei"), ("a.b.yaml", "a-b")],
)
def test_the_file_names_the_recipe(tmp_path: Path, file: str, name: str) -> None:
    assert load_recipe(write(tmp_path, SIX, file)).name == name


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            changed("depth: 4 9/16 in", "depth: -4 in"),
            'door.yaml:3:8: depth = "-4 in", expected a length above 0; measure it without a sign',
        ),
        (changed("depth: 4 9/16 in\n", ""), "door.yaml:1:1: depth is missing, and must be given; add depth:"),
        (changed("rise: 6 in", "ries: 6 in"), "door.yaml:1:38: arch.ries is not a key, expected kind, span, rise,"),
        (changed("wood: white oak", "wood: white oka"), 'door.yaml:5:7: wood = "white oka", expected'),
        (
            changed("thickness: 3/4 in\n", ""),
            "door.yaml:1:1: thickness is missing, expected the part's thickness beside plies: auto; add it, or list",
        ),
        (
            SIX + "part: {depth: 5 in}\n",
            "door.yaml:3:1: depth stands twice, here and under part, at lines 3 and 7; delete one",
        ),
        (
            changed("depth: 4 9/16 in", "depth: 116 mm"),
            (
                'door.yaml:1:1: units is missing, expected it, since arch.span = "36 in" and depth = "116 mm" are of '
                "two systems; add units: mm or units: in"
            ),
        ),
        (
            changed("depth: 4 9/16 in", "depth: 5"),
            (
                'door.yaml:1:1: units is missing, expected it, since depth = "5" says none; add units: mm or units: '
                "in, or write the unit beside every length"
            ),
        ),
        (changed("depth:", "dpeth:"), "door.yaml:3:1: dpeth is not a key, expected format, name, units, note, part,"),
        (SIX + "backing: 5 in\n", "door.yaml:7:1: backing is not a key, expected format,"),
        (SIX + "part: 3\n", 'door.yaml:7:7: part = "3", expected a table'),
    ],
)
def test_a_mistake_is_told_by_the_key_that_was_typed(tmp_path: Path, text: str, line: str) -> None:
    assert any(mistake.startswith(line) for mistake in refused(write(tmp_path, text)))


def test_a_key_of_a_section_is_sent_to_it(tmp_path: Path) -> None:
    (mistake,) = refused(write(tmp_path, SIX + "backing: 5 in\n"))
    assert mistake.endswith("; write it under form")


def test_a_stage_tells_its_refusal_by_the_key_that_was_typed(tmp_path: Path) -> None:
    path = write(tmp_path, changed("thickness: 3/4 in", "thickness: 1/16 in"))
    with pytest.raises(FormgenError, match=r"^door\.yaml:4:12: thickness = 0\.063 in, expected at least"):
        run(load_recipe(path))


def test_one_system_of_units_needs_no_units(tmp_path: Path) -> None:
    """Feet, inches and their signs are one; so are mm, cm and m. A zero has no unit."""
    feet = changed("span: 36 in", "span: 3' 0\"").replace("depth: 4 9/16 in", 'legs: 0\ndepth: 4 9/16"')
    assert load_recipe(write(tmp_path, feet)).units == "in"
    metric = (
        "arch: {kind: semicircle, span: 0.9 m}\nmeasured_on: inside\ndepth: 11 cm\nthickness: 18 mm\nwood: sapele\n"
    )
    assert load_recipe(write(tmp_path, metric)).units == "mm"


@pytest.mark.parametrize(
    ("text", "good"),
    [
        (SIX, True),
        (LONG, True),
        (SIX + "part: {tolerance: 1 mm}\n", True),
        (SIX + "part: {depth: 5 in}\n", False),
        (SIX + "laminate: {wood: American beech}\n", False),
        (changed("depth: 4 9/16 in\n", ""), False),
        (changed("depth: 4 9/16 in\n", "") + "part: {depth: 5 in}\n", True),
        (changed("depth: 4 9/16 in", "depth: []"), False),
    ],
)
def test_the_schema_takes_either_way_and_not_both(text: str, good: bool) -> None:  # noqa: FBT001
    data: Any = YAML(typ="safe", pure=True).load(text)
    assert Draft202012Validator(recipe_schema()).is_valid(data) == good
