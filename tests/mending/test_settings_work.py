"""Every setting that a finding gives is typed as it stands, and the finding is gone, with no new problem in its place.

The recipes are those that are shipped, the sweep's, and one for each finding that a value can cure.
"""

from __future__ import annotations

import shlex
import tomllib
from functools import cache
from pathlib import Path
from shutil import copy
from typing import Any

import pytest

from formgen.errors import FormgenError
from formgen.findings import Finding, Severity
from formgen.findings.registry import rows
from formgen.mending.ways import WAYS
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.recipe.settings import read_settings, with_settings
from formgen.recipe.source import read_source
from tests.robustness.asking import flow
from tests.robustness.chance import chance_recipe, chance_shop

RECIPES = Path(__file__).parents[2] / "recipes"
SHIPPED = sorted(path for path in RECIPES.rglob("*.yaml") if path.name not in {"shop.yaml", "base.yaml"})
CASES = tomllib.loads((Path(__file__).parent / "cured.toml").read_text(encoding="utf-8"))
#: Findings that know their own setting; no row of `WAYS` is needed.
OF_THEIR_OWN = ("recipe.units-unlikely", "curve.fit-residual", "curve.bad-reading")
SEEDS = range(1, 41)


def findings(path: Path, *texts: str) -> dict[str, list[Finding]]:
    """What is more than a note, by code."""
    found: dict[str, list[Finding]] = {}
    for one in run(load_recipe(path, None, read_settings(texts))).all_findings:
        if one.severity is not Severity.NOTE:
            found.setdefault(one.code, []).append(one)
    return found


def cured(path: Path) -> set[str]:
    """Codes of a recipe's findings that give a setting, each of which was typed and cured it."""
    before, good = findings(path), set()
    for code, found in before.items():
        for setting in {one.setting for one in found} - {""}:
            words = shlex.split(setting)
            assert len(words) == 1, setting
            after = findings(path, *words)
            assert code not in after, f"{path.name}: {code} stands in spite of {setting}"
            new = {what for what, held in after.items() if any(one.severity is Severity.PROBLEM for one in held)}
            old = {what for what, held in before.items() if any(one.severity is Severity.PROBLEM for one in held)}
            assert new <= old, f"{path.name}: {setting} brings {new - old}"
            good.add(code)
    return good


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_the_settings_of_a_shipped_recipe_work(path: Path) -> None:
    cured(path)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_settings_of_a_chance_recipe_work(tmp_path: Path, seed: int) -> None:
    path = chance(tmp_path, seed)
    try:
        run(load_recipe(path))
    except FormgenError:
        return
    cured(path)


@pytest.mark.parametrize("code", [*WAYS, *OF_THEIR_OWN])
def test_each_finding_that_a_value_cures_has_a_recipe_that_shows_it(tmp_path: Path, code: str) -> None:
    """A row that never gave anything would be noticed here."""
    case = CASES[code]
    path = chance(tmp_path, case["seed"]) if "seed" in case else written(tmp_path, case)
    assert code in cured(path), {held: [one.setting for one in found] for held, found in findings(path).items()}


def chance(folder: Path, seed: int) -> Path:
    """The sweep's recipe of that seed, with its shop file."""
    copy(RECIPES / "alcove-path.dxf", folder)
    (folder / "r.yaml").write_text(flow(chance_recipe(seed)), encoding="utf-8")
    (folder / "shop.yaml").write_text(flow(chance_shop(seed)), encoding="utf-8")
    return folder / "r.yaml"


def written(folder: Path, case: dict[str, Any]) -> Path:
    """A shipped recipe with values typed in, and its shop file."""
    base = read_source(RECIPES / case["recipe"])
    changed = with_settings(base, read_settings(case.get("set", [])))
    copy(RECIPES / "alcove-path.dxf", folder)
    (folder / "shop.yaml").write_text(case.get("shop", "format: 1\n"), encoding="utf-8")
    (folder / "case.yaml").write_text(flow(changed.data), encoding="utf-8")
    return folder / "case.yaml"


@cache
def _severities() -> dict[str, set[Severity]]:
    found: dict[str, set[Severity]] = {}
    for code, _, row in rows():
        found.setdefault(code, set()).add(row.severity)
    return found


def test_ways_are_known_for_warnings_and_problems_alone() -> None:
    for code in WAYS:
        assert _severities()[code] - {Severity.NOTE}, code
