"""Values that are tried without writing them: what they win over, how they are refused, the line that keeps them."""

from __future__ import annotations

from pathlib import Path

import pytest

from formgen.errors import FormgenError, RecipeError
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.recipe.schema import SHORT
from formgen.recipe.settings import lines_to_keep, read_settings
from formgen.recipe.source import read_source
from tests.recipe.test_load import GOOD, write


def lines(folder: Path, *texts: str, recipe: str = GOOD) -> list[str]:
    path = write(folder, recipe)
    with pytest.raises(RecipeError) as caught:
        load_recipe(path, None, read_settings(texts))
    assert path.read_text(encoding="utf-8") == recipe
    return list(caught.value.mistakes)


@pytest.mark.parametrize(
    ("text", "section", "field", "expected"),
    [
        ("form.backing=150 mm", "form", "backing_mm", 150.0),
        ("part.depth=4 9/16", "part", "depth_mm", 4.5625 * 25.4),
        ("part.depth=4-9/16", "part", "depth_mm", 4.5625 * 25.4),
        ("laminate.plies=9", "laminate", "plies", 9),
        ("press.side=female", "press", "side", "female"),
        ("press.vacuum=20inHg", "press", "vacuum_kpa", 20 * 3.386389),
        ("form.channel=false", "form", "channel", False),
        (" form.body = band ", "form", "body", "band"),
        ("press.between=[film, bag]", "press", "between", ("film", "bag")),
    ],
)
def test_a_setting_wins_over_the_recipe_and_leaves_the_rest(
    tmp_path: Path, text: str, section: str, field: str, expected: object
) -> None:
    path = write(tmp_path, GOOD)
    plain, tried = load_recipe(path).asked, load_recipe(path, None, read_settings([text])).asked
    held = getattr(getattr(tried, section), field)
    assert held == pytest.approx(expected, rel=1e-6) if isinstance(expected, float) else held == expected
    back = getattr(tried, section).model_copy(update={field: getattr(getattr(plain, section), field)})
    assert tried.model_copy(update={section: back}) == plain


def test_a_table_is_made_where_a_key_needs_one(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    texts = ["form.clamp_reliefs.spacing=6", "form.spreader_bar={height: 2}", "part.legs.run=tangent"]
    asked = load_recipe(path, None, read_settings(texts)).asked
    assert asked.form.clamp_reliefs.spacing_mm == pytest.approx(152.4)  # type: ignore[union-attr]
    assert asked.form.spreader_bar.height_mm == pytest.approx(50.8)  # type: ignore[union-attr]
    legs = asked.part.legs
    assert (legs.length_mm, legs.run) == (pytest.approx(152.4), "tangent")  # type: ignore[union-attr]


def test_an_item_of_a_list_can_be_set(tmp_path: Path) -> None:
    recipe = GOOD.replace("plies: 6", "plies: [{count: 2, thickness: 1/8}, {thickness: 1/2}]")
    path = write(tmp_path, recipe)
    plies = load_recipe(
        path, None, read_settings(["laminate.plies[2]={count: 2, thickness: 1/4}"])
    ).asked.laminate.plies
    assert [(group.count, round(group.thickness_mm, 3)) for group in plies] == [(2, 3.175), (2, 6.35)]  # type: ignore[union-attr]
    (said,) = lines(tmp_path, "laminate.plies[3].count=2", recipe=recipe)
    assert said.startswith("--set laminate.plies[3].count: laminate.plies has 2, expected an item that is there")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("form.backing=wide", '--set form.backing = "wide", expected a length'),
        ("form.baking=6", "--set form.baking is not a key, expected sheet, body, backing"),
        ("press.side=left", '--set press.side = "left", expected male, female or auto'),
        ("laminate.wood=white oke", '--set laminate.wood = "white oke", expected the name of a wood'),
        ("part.arch={kind: segmental, span: 36}", "--set part.arch, expected span and rise"),
        ("part.arch={span: 36}", "--set part.arch.kind is missing"),
        ("form.clamp_reliefs={spacing: 1 mm}", '--set form.clamp_reliefs.spacing = "1 mm", expected 10 mm or more'),
        ("press.form_in_bag=true", '--set press.form_in_bag = "true", expected press.way: form-bagged'),
        ("part.depth.size=4", "--set part.depth.size: part.depth is 4 9/16, expected a table"),
        ("laminate.wood=", "--set laminate.wood has no value"),
        ("laminate.wood", '--set "laminate.wood": expected key=value'),
        ("=6", '--set "=6": expected key=value'),
        ("form..backing=6", '--set "form..backing=6": expected key=value'),
        ("press.between=[film", '--set press.between = "[film", expected brackets that close'),
        ("laminate.wood=\x1b[2J", '--set laminate.wood = "\\x1b[2J", expected no control characters'),
    ],
)
def test_a_mistake_names_the_option_with_the_recipe_s_own_sentence(tmp_path: Path, text: str, expected: str) -> None:
    (said,) = lines(tmp_path, text)
    assert said.startswith(expected)
    assert said.isprintable()


def test_the_sentence_is_the_one_that_the_file_gets(tmp_path: Path) -> None:
    (in_file,) = lines(tmp_path, recipe=GOOD.replace("side: male", "side: left"))
    (on_line,) = lines(tmp_path, "press.side=left")
    assert in_file.partition(": press.side")[2] == on_line.partition("--set press.side")[2]


def test_all_mistakes_are_told_and_a_key_stands_once(tmp_path: Path) -> None:
    assert len(lines(tmp_path, "form.backing=x", "press.side=y", recipe=GOOD.replace("plies: 6", "plies: none"))) == 3
    assert "twice" in lines(tmp_path, "form.backing=6", "form.backing=7")[0]


def test_a_refusal_of_a_stage_names_the_option(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    with pytest.raises(FormgenError, match=r"^--set form\.spreader_bar\.height: form\.spreader_bar was asked for"):
        run(load_recipe(path, None, read_settings(["part.legs=0", "form.spreader_bar.height=400"])))


#: A recipe of six lines.
SHORTLY = """\
units: in
arch: {kind: segmental, span: 36, rise: 6}
measured_on: inside
depth: 4
thickness: 3/4
wood: white oak
"""


def test_the_line_to_type_keeps_it(tmp_path: Path) -> None:
    """Whoever types the line into the recipe gets the same part."""
    path = write(tmp_path, GOOD)
    tried = read_settings(["laminate.plies=9", "form.backing=8", "part.legs.run=tangent", "note=as tried"])
    said = list(lines_to_keep(read_source(path), tried, SHORT))
    assert said == [
        "door.yaml:15: plies: 9 (now 6)",
        "door.yaml, under form: backing: 8",
        "door.yaml:10: legs: {length: 6, run: tangent} (now 6)",
        "door.yaml: note: as tried",
    ]
    typed = GOOD.replace("plies: 6", "plies: 9").replace("legs: 6", "legs: {length: 6, run: tangent}")
    kept = write(tmp_path, f"{typed}  backing: 8\nnote: as tried\n", "kept.yaml")
    assert load_recipe(kept).asked == load_recipe(path, None, tried).asked


def test_a_short_key_stands_for_its_long_one(tmp_path: Path) -> None:
    tried = read_settings(["depth=100 mm"], {"depth": ("part", "depth")})
    assert load_recipe(write(tmp_path, GOOD), None, tried).asked.part.depth_mm == 100.0


def test_the_line_to_type_is_short_where_the_recipe_is(tmp_path: Path) -> None:
    path = write(tmp_path, SHORTLY)
    tried = read_settings(["part.depth=5", "plies=9", "form.backing=8", "part.arch.rise=7"], SHORT)
    said = list(lines_to_keep(read_source(path), tried, SHORT))
    assert said == [
        "door.yaml:4: depth: 5 (now 4)",
        "door.yaml: plies: 9",
        "door.yaml: form: {backing: 8}",
        "door.yaml:2: rise: 7 (now 6)",
    ]
    kept = SHORTLY.replace("depth: 4", "depth: 5").replace("rise: 6", "rise: 7") + "plies: 9\nform: {backing: 8}\n"
    again = load_recipe(write(tmp_path, kept))
    assert again.asked == load_recipe(write(tmp_path, SHORTLY), None, tried).asked
