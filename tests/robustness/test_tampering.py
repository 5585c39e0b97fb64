"""Tampering with a finished folder: each trick is caught, or named as not compared, with its exit code.

Here every seventh trick is tried, and those that a review found once; `python -m tests.robustness.tampering` tries all.
"""

from __future__ import annotations

import ast
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.robustness.asking import ask, flow, put, written
from tests.robustness.recipes_to_try import SHOP, SOUND
from tests.robustness.tampering.all_tricks import TRICKS
from tests.robustness.tampering.kit import Trick

#: Which an attack from outside found.
ONCE_FOUND = {
    "a circle is seen from behind", "a second centre", "a second section of entities", "a second word on units",
    "elevation 38", "thickness 39", "a width 43", "a layer that is frozen", "flag 128", "a finding is deleted",
    "a key more", "a file is a link", "a payload named Thumbs.db", "an empty folder more", "200,000 opening brackets",
    "a number of 400 digits", "a severity that does not exist", "half a character in a file's name",
    "a bulge of 1e308", "a file with an escape is listed", "other versions",
}  # fmt: skip
CHOSEN = [trick for i, trick in enumerate(TRICKS) if trick.name in ONCE_FOUND or i % 7 == 0]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A finished folder."""
    folder = tmp_path_factory.mktemp("whole")
    written(folder, flow(SHOP), "shop.yaml")
    small = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    assert ask("build", written(folder, flow(small)), "--output", folder / "output").code == 0
    return folder / "output" / "hatch"


def test_there_are_a_hundred_and_each_is_another() -> None:
    assert len({trick.name for trick in TRICKS}) == len(TRICKS) >= 100
    assert {trick.name for trick in TRICKS} >= ONCE_FOUND


def test_who_tampers_imports_nothing_of_the_program() -> None:
    for path in (Path(__file__).parent / "tampering").glob("*.py"):
        nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
        named = [node.module or "" for node in nodes if isinstance(node, ast.ImportFrom)]
        named += [alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names]
        assert not [name for name in named if name.split(".")[0] == "formgen"], path.name
        assert not [n for n in named if n.startswith("tests.") and not n.startswith("tests.robustness.tampering")]


def test_the_folder_agrees_before_anybody_touched_it(whole: Path) -> None:
    assert ask("verify", whole).code == 0


@pytest.mark.parametrize("trick", CHOSEN, ids=lambda trick: trick.name)
def test_a_trick_is_caught(whole: Path, tmp_path: Path, trick: Trick, tried: Callable[[str], None]) -> None:
    tried("tampering with a finished folder")
    folder = tmp_path / "hatch"
    shutil.copytree(whole, folder)
    trick.does(folder)
    answer = ask("verify", folder)
    assert (answer.code, trick.says in answer.err) == (trick.code, True), answer.err
