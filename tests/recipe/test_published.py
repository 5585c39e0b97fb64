"""The published schemas and the starting recipe, judged by `jsonschema` (draft 2020-12) and a plain YAML reader."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from formgen.errors import RecipeError
from formgen.recipe.load import load_recipe
from formgen.recipe.published import recipe_schema, shop_schema
from formgen.recipe.start import starting_recipe

RECIPES = Path(__file__).parents[2] / "recipes"


def parsed(text: str) -> Any:
    return YAML(typ="safe", pure=True).load(text)


def test_schemas_are_schemas() -> None:
    for schema in (recipe_schema(), shop_schema()):
        Draft202012Validator.check_schema(schema)
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert schema["title"]
        assert schema["description"]
        assert "$id" not in schema
        assert "null" not in str(schema)


def test_keys_are_those_of_yaml() -> None:
    part = recipe_schema()["$defs"]["PartAsk"]["properties"]
    assert {"arch", "measured_on", "legs", "depth", "edge_trim", "end_trim", "tolerance"} == set(part)
    assert part["end_trim"]["default"] == "25 mm"


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_starting_recipe_loads_and_fits_the_schema(tmp_path: Path, units: Any) -> None:
    text = starting_recipe("stair-window", units)
    path = tmp_path / "stair-window.yaml"
    path.write_text(text, encoding="utf-8")
    asked = load_recipe(path).asked
    assert (asked.name, asked.units) == ("stair-window", units)
    Draft202012Validator(recipe_schema()).validate(parsed(text))


@pytest.mark.parametrize("name", ["12", "true", "null", "1e5", "no", "0-1"])
def test_a_name_that_looks_like_a_number_stays_a_name(tmp_path: Path, name: str) -> None:
    path = tmp_path / f"{name}.yaml"
    path.write_text(starting_recipe(name, "mm"), encoding="utf-8")
    assert load_recipe(path).asked.name == name


def test_a_starting_recipe_needs_a_good_name() -> None:
    with pytest.raises(RecipeError, match=r'^name = "\.\./x", expected 1 to 60 letters'):
        starting_recipe("../x", "in")


@pytest.mark.parametrize("path", sorted(RECIPES.rglob("*.yaml")), ids=lambda path: path.name)
def test_shipped_recipes_fit_the_schema(path: Path) -> None:
    schema = shop_schema() if path.name == "shop.yaml" else recipe_schema()
    Draft202012Validator(schema).validate(parsed(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "change",
    [
        {"format": 2}, {"name": "a/b"}, {"units": "cm"}, {"colour": "red"}, {"press": {"side": "up"}},
        {"laminate": {"plies": "six"}}, {"laminate": {"plies": 6, "modulus": 12}},
        {"press": {"side": "male", "vacuum": 25}},
    ],
)  # fmt: skip
def test_the_schema_refuses_what_the_program_refuses(change: dict[str, Any]) -> None:
    data = parsed(starting_recipe("door", "mm"))
    validator = Draft202012Validator(recipe_schema())
    assert validator.is_valid(data)
    assert not validator.is_valid(data | change)
