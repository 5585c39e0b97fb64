"""Parts that cannot or should not be made: each is refused, or gives the finding that it must (impossible.toml)."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.robustness.asking import Typed, ask, check_recipe, flow, put, written
from tests.robustness.recipes_to_try import SHOP, SOUND

PARTS = tomllib.loads((Path(__file__).parent / "impossible.toml").read_text(encoding="utf-8"))["part"]


def _changed(data: object, changes: dict[str, str]) -> str:
    for path, typed in changes.items():
        data = put(data, path.split("."), Typed(typed))
    return flow(data)


def test_there_are_forty_at_least() -> None:
    assert len({part["what"] for part in PARTS}) == len(PARTS) >= 40


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part["what"])
def test_a_part_that_cannot_or_should_not_be_made(
    tmp_path: Path, tried: Callable[[str], None], part: dict[str, Any]
) -> None:
    written(tmp_path, _changed(SHOP, part.get("shop", {})), "shop.yaml")
    recipe = written(tmp_path, _changed(SOUND, part.get("recipe", {})))
    if "refused" in part:
        answer = check_recipe(recipe)
        assert answer.code == 1
        assert len(answer.lines) == 1
        assert re.search(part["refused"], answer.err), answer.err
        tried("impossible parts: refused")
        return
    answer = ask("check", recipe, "--json")
    assert answer.code == 0, answer.err
    found = [f for f in json.loads(answer.out)["findings"] if f["code"] == part["finding"]]
    assert [f["severity"] for f in found[:1]] == [part["severity"]], answer.err
    assert all(f["message"].strip() and f["source"] for f in found)
    tried("impossible parts: found")
