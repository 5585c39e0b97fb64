"""Recipes made from plain tables, without a file, for the tests of stage `curve`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from formgen.recipe.model import Recipe
from formgen.recipe.schema import RecipeFile
from formgen.recipe.shop import Sheet, Shop


@pytest.fixture
def recipe_of() -> Callable[..., Recipe]:
    """A function from the table under `arch` and a few sizes in mm to a recipe."""

    def make(
        arch: dict[str, Any], on: str = "inside", thickness: float = 20.0, folder: Path = Path(), **part: Any
    ) -> Recipe:
        asked = {
            "format": 1,
            "name": "reading-room",
            "units": "mm",
            "part": {"arch": arch, "measured_on": on, "depth": 100, **part},
            "laminate": {"wood": "white ash", "thickness": thickness, "plies": 4},
            "press": {"side": "male"},
        }
        return Recipe(
            asked=RecipeFile.model_validate(asked, context={"units": "mm"}),
            shop=Shop(),
            folder=folder,
            sheet_name="panel",
            sheet=Sheet.model_validate({"thickness": 18, "length": 2440, "width": 1220}),
        )

    return make
