"""Counts how many inputs of each class were tried, and prints the table at the end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest

_TRIED = pytest.StashKey[Counter[str]]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_TRIED] = Counter()


@pytest.fixture(scope="session")
def tried(pytestconfig: pytest.Config) -> Callable[[str], None]:
    """Call it once for each input: `tried("recipes: numbers")`."""

    def count(kind: str) -> None:
        pytestconfig.stash[_TRIED][kind] += 1

    return count


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    counts = config.stash.get(_TRIED, Counter())
    if not counts:
        return
    terminalreporter.section("inputs tried, by class")
    for kind, count in sorted(counts.items()):
        terminalreporter.write_line(f"{count:6d}  {kind}")
    terminalreporter.write_line(f"{sum(counts.values()):6d}  in all")
