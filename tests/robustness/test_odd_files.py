"""A share of the pipes, sockets, devices and links in the place of files that are read again."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.robustness.odd_files import answered, cases, results

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes in folders")

#: Each command, and every kind in turn; and what was once refused without its reason.
CHOSEN = [case for i, case in enumerate(cases()) if i % 11 == 0 or case == ("batch", "a pipe", "building.json")]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Results that stand."""
    return results(tmp_path_factory.mktemp("whole"))


@pytest.mark.parametrize(("command", "kind", "name"), CHOSEN)
def test_nobody_waits(
    whole: Path, tmp_path: Path, command: str, kind: str, name: str, tried: Callable[[str], None]
) -> None:
    answered(whole, tmp_path / "tried", command, kind, name)
    tried("odd files in the place of files")
