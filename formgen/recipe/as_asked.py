"""Stage `recipe`: what was asked, as plain data: complete, with every default written out.

In: a `Recipe`. Out: tables of numbers and texts, in mm, rad, kPa and MPa, as a job record holds them; and the codes
that are made from them.
"""

from __future__ import annotations

import hashlib
from typing import Any

from pydantic import BaseModel

from formgen.identity import code_of
from formgen.recipe.arch_kinds import Drawing
from formgen.recipe.model import Recipe
from formgen.recipe.schema import RecipeFile
from formgen.recipe.strict import defaults_used


def asked_record(recipe: Recipe) -> dict[str, Any]:
    """Record what was asked, complete: recipe, openings, sheet and shop in mm, and what nobody set.

    `makes` holds the openings of a form that was made for several; they have the form's sheet and shop.
    """
    return {
        "recipe": recipe.asked.model_dump(mode="json"),
        "quantity": recipe.quantity,
        "makes": [
            {"quantity": opening.quantity, "recipe": opening.asked.model_dump(mode="json")} for opening in recipe.makes
        ],
        "sheet_name": recipe.sheet_name,
        "sheet": recipe.sheet.model_dump(mode="json"),
        "shop": recipe.shop.model_dump(mode="json"),
        "recipe_defaults_used": list(recipe.taken),
        "shop_defaults_used": list(defaults_used(recipe.shop)),
    }


def what_was_asked(recipe: Recipe) -> dict[str, Any]:
    """Gather what a code is made from: recipe, sheet and shop but for what is as usual, and the hashes of drawings.

    One more copy is the same part. What is as usual is left out, whoever said it: a record that was read says no longer
    what nobody had set, and a key that a later program adds changes no code of a part that does not ask for it.
    """
    return {
        "recipe": _said(recipe.asked),
        "sheet_name": recipe.sheet_name,
        "sheet": _unusual(recipe.sheet),
        "shop": _unusual(recipe.shop),
        "makes": [_said(opening.asked) for opening in recipe.makes],
        "drawings": {
            name: hashlib.sha256((recipe.folder / name).read_bytes()).hexdigest() for name in drawings_asked(recipe)
        },
    }


def part_code(recipe: Recipe) -> str:
    """The code of the part that a recipe asks for."""
    return code_of(recipe.name, what_was_asked(recipe))


def form_code(recipe: Recipe) -> str:
    """The code of a recipe's form: that of its part where it makes one opening, else its own."""
    openings = recipe.openings
    return part_code(openings[0]) if len(openings) == 1 else part_code(recipe)


def drawings_asked(recipe: Recipe) -> tuple[str, ...]:
    """Names of the drawings that the recipe and its openings were made from, each once."""
    arches = [held.asked.part.arch for held in (recipe, *recipe.makes)]
    return tuple(dict.fromkeys(arch.file for arch in arches if isinstance(arch, Drawing)))


def _said(asked: RecipeFile) -> dict[str, Any]:
    """Gather what is not as usual of a recipe; a block, which once stood where nothing was said, is left out."""
    said = _unusual(asked)
    form = {key: value for key, value in said.pop("form", {}).items() if key != "body"}
    form |= {} if asked.form.body == "block" else {"body": asked.form.body}
    return said | ({"form": form} if form else {})


def _unusual(asked: BaseModel) -> dict[str, Any]:
    return asked.model_dump(mode="json", exclude_defaults=True)
