"""Workbooks damaged below the XML: read or refused in lines, in time, without a traceback or a warning."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.robustness.workbooks import CLASSES, SAME_OR_REFUSED, book, damaged, looked_at

#: A short share; `python -m tests.robustness.workbooks` takes more.
SEEDS = 25


def test_the_ground_itself_is_sound(tmp_path: Path) -> None:
    assert looked_at(tmp_path / "a.xlsx", book(), same=True) == "read"


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("kind", CLASSES)
def test_damage(tmp_path: Path, tried: Callable[[str], None], kind: str) -> None:
    answers = set()
    for seed in range(SEEDS):
        answers.add(looked_at(tmp_path / "a.xlsx", damaged(kind, seed), same=kind in SAME_OR_REFUSED))
        tried(f"workbooks: {kind}")
    assert "refused" in answers
