"""What all tests share: the shipped recipes, forms made from them once, and counts of inputs tried, by class."""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program does: before NumPy is loaded

from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from formgen.curve.stage import make_arch
from formgen.form.model import Form
from formgen.laminate.plies import Laminate
from formgen.laminate.stage import make_laminate
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

#: No example has a deadline: how long it takes is the machine's affair.
settings.register_profile("without a deadline", deadline=None)
settings.load_profile("without a deadline")

RECIPES = Path(__file__).parents[1] / "recipes"
_TRIED = pytest.StashKey[Counter[str]]()
SHIPPED = sorted(path.stem for path in RECIPES.glob("*.yaml") if path.stem != "shop")


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--renew` writes the golden files again."""
    parser.addoption("--renew", action="store_true", help="write the golden files again")


@cache
def shipped_form(name: str) -> Form:
    """The form of a shipped recipe."""
    return run(load_recipe(RECIPES / f"{name}.yaml"))


@pytest.fixture(params=SHIPPED)
def shipped(request: pytest.FixtureRequest) -> Form:
    """Every shipped form in turn."""
    return shipped_form(request.param)


@pytest.fixture
def made() -> Callable[[str], Form]:
    """The form of a shipped recipe by name."""
    return shipped_form


@pytest.fixture
def changed(tmp_path: Path) -> Callable[..., Form]:
    """The form of a shipped recipe with some of its text replaced: `changed("porch-door-jamb", ("male", "female"))`."""

    def make(name: str, *changes: tuple[str, str], shop: tuple[tuple[str, str], ...] = ()) -> Form:
        for file, edits in ((f"{name}.yaml", changes), ("shop.yaml", shop)):
            text = (RECIPES / file).read_text(encoding="utf-8")
            for old, new in edits:
                assert old in text, f"{old!r} does not stand in {file}"
                text = text.replace(old, new)
            (tmp_path / file).write_text(text, encoding="utf-8")
        return run(load_recipe(tmp_path / f"{name}.yaml"))

    return make


@pytest.fixture
def laminated(tmp_path: Path) -> Callable[..., Laminate]:
    """The laminate of an arch and plies given as YAML, mm: `laminated("{kind: quarter, radius: 600}", "plies: 6")`."""

    def make(arch: str, laminate: str, *, part: str = "", vacuum: str = "85 kPa", shop: str = "",
             way: str = "part-bagged") -> Laminate:  # fmt: skip
        text = f"""\
format: 1
name: trial
units: mm
part: {{arch: {arch}, measured_on: centre, depth: 60{part and ", " + part}}}
laminate: {{{laminate}}}
press: {{side: male, way: {way}, vacuum: {vacuum}}}
"""
        (tmp_path / "trial.yaml").write_text(text, encoding="utf-8")
        (tmp_path / "shop.yaml").write_text(f"format: 1\nname: own\nunits: mm\n{shop}\n", encoding="utf-8")
        return make_laminate(make_arch(load_recipe(tmp_path / "trial.yaml")))

    return make


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_TRIED] = Counter()


@pytest.fixture(scope="session")
def tried(pytestconfig: pytest.Config) -> Callable[[str], None]:
    """Call it once for each input: `tried("recipes: numbers")`."""

    def count(kind: str) -> None:
        pytestconfig.stash[_TRIED][kind] += 1

    return count


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A process that runs tests for another one hands its counts over at its end."""
    handed = getattr(session.config, "workeroutput", None)
    if handed is not None:
        handed["tried"] = dict(session.config.stash[_TRIED])


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Counts of a process that has ended."""
    node.config.stash[_TRIED].update(getattr(node, "workeroutput", {}).get("tried", {}))


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    counts = config.stash.get(_TRIED, Counter())
    if not counts:
        return
    terminalreporter.section("inputs tried, by class")
    for kind, count in sorted(counts.items()):
        terminalreporter.write_line(f"{count:6d}  {kind}")
    terminalreporter.write_line(f"{sum(counts.values()):6d}  in all")
