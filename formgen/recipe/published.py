"""Stage `recipe`: the recipe and shop file as JSON Schema, for editors and for other programs.

Made from the models, so it cannot say anything else than what is read. Draft 2020-12, keys as in YAML.
"""

from __future__ import annotations

from typing import Any

from formgen.recipe.quantities import BARE_NUMBER
from formgen.recipe.schema import SHORT, RecipeFile
from formgen.recipe.shop import Shop
from formgen.recipe.short import UNSAID
from formgen.recipe.strict import Strict

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def recipe_schema() -> dict[str, Any]:
    """The JSON Schema of a recipe file, which may be written with its sections, with short keys at its top, or both."""
    schema = _schema(RecipeFile, "Part recipe", "What a curved, laminated part is and how it is to be pressed.")
    sections = {name: schema["properties"][name]["$ref"].rsplit("/", 1)[-1] for name in ("part", "laminate", "press")}
    needed = [(section, key) for section, table in sections.items() for key in schema["$defs"][table].pop("required")]
    del schema["required"]
    for key, (section, name) in SHORT.items():
        schema["properties"][key] = {"$ref": f"#/$defs/{sections[section]}/properties/{name}"}
    ways = {path: _either_way(key, path) for key, path in SHORT.items()}
    schema["allOf"] = [
        {"oneOf": both} if path in needed and path not in UNSAID else {"not": {"allOf": both}}
        for path, both in ways.items()
    ]
    return schema


def _either_way(key: str, path: tuple[str, str]) -> list[dict[str, Any]]:
    """A key at the top of a recipe, and the same in its section."""
    section, name = path
    return [{"required": [key]}, {"required": [section], "properties": {section: {"required": [name]}}}]


def shop_schema() -> dict[str, Any]:
    """The JSON Schema of a shop file."""
    return _schema(Shop, "Shop file", "What belongs to the shop: sheets, woods, cutter, clamps, bar, pump, router.")


def _schema(model: type[Strict], title: str, description: str) -> dict[str, Any]:
    body: dict[str, Any] = _without_null(model.model_json_schema(by_alias=True))
    return {"$schema": DIALECT} | body | {"title": title, "description": description}


def _with_unit(default: float, node: dict[str, Any]) -> float | str:
    """A default as it would be written: the models hold mm and kPa, whatever the file's units."""
    if default and {"type": "number", "description": BARE_NUMBER} in [_kind(c) for c in node.get("anyOf", [])]:
        return f"{default:.12g} mm"
    if node.get("type") != "string":
        return default
    return f"{default:.12g} {'C' if node.get('description') == 'A temperature.' else 'kPa'}"


def _kind(node: dict[str, Any]) -> dict[str, Any]:
    return {key: node.get(key) for key in ("type", "description")}


def _without_null(node: Any) -> Any:
    """The schema without null: a key that is not wanted is left out, and an empty one is refused."""
    if isinstance(node, list):
        return [_without_null(item) for item in node]
    if not isinstance(node, dict):
        return node
    kept = {key: _without_null(value) for key, value in node.items() if not (key == "default" and value is None)}
    if isinstance(kept.get("default"), float):
        kept["default"] = _with_unit(kept["default"], kept)
    choices = kept.get("anyOf")
    if isinstance(choices, list) and {"type": "null"} in choices:
        rest = [choice for choice in choices if choice != {"type": "null"}]
        del kept["anyOf"]
        kept = (rest[0] | kept) if len(rest) == 1 else kept | {"anyOf": rest}
    return kept
