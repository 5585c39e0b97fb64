"""Which paper and projection a recipe is drawn in: by its units, unless the shop file says."""

from __future__ import annotations

from pathlib import Path

import pytest

from formgen.errors import RecipeError
from formgen.recipe.load import load_shop


def shop(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "shop.yaml"
    path.write_text(f"format: 1\n{text}\n", encoding="utf-8")
    return path


def test_without_the_keys_the_recipes_units_decide(tmp_path: Path) -> None:
    paper = load_shop(shop(tmp_path, "")).paper
    assert paper.sizes("in") == ("letter", "tabloid")
    assert paper.sizes("mm") == ("A4", "A3")
    assert paper.third_angle("in")
    assert not paper.third_angle("mm")


def test_what_the_shop_says_holds_for_both_units(tmp_path: Path) -> None:
    paper = load_shop(shop(tmp_path, "paper: {size: A3, projection: third-angle}")).paper
    assert paper.sizes("in") == paper.sizes("mm") == ("A3",)
    assert paper.third_angle("mm")


@pytest.mark.parametrize("wrong", ["size: A2", "projection: second-angle", "colour: red"])
def test_anything_else_is_refused_at_its_place(tmp_path: Path, wrong: str) -> None:
    with pytest.raises(RecipeError, match=rf"shop\.yaml:2:\d+: .*{wrong.split(':', maxsplit=1)[0]}"):
        load_shop(shop(tmp_path, f"paper: {{{wrong}}}"))
