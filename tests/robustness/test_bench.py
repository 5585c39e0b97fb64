"""The table counts what it says: each kind of broken promise in its column, and a class goes on after one."""

from __future__ import annotations

import random
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

import pytest

from tests.robustness import bench
from tests.robustness.bench import CLASSES, COLUMNS, GOOD, HANG, OTHER, REFUSED, SILENT, TRACEBACK, heading, taken

pytestmark = pytest.mark.skipif(not hasattr(bench.signal, "SIGALRM"), reason="this system has no alarm")


def test_each_broken_promise_has_its_column(tmp_path: Path) -> None:
    coming = iter((GOOD, "waits", REFUSED, "raises", SILENT, "a traceback: x", "says no place", GOOD))

    def tries(_folder: Path, _chosen: random.Random) -> Iterator[str]:
        for kind in coming:
            if kind == "waits":
                time.sleep(60.0)
            if kind == "raises":
                raise KeyError(kind)
            if kind not in (GOOD, REFUSED, SILENT):
                raise AssertionError(kind)
            yield kind

    with patch.object(bench, "LONGEST_S", 1):
        row = taken("broken", tries, tmp_path, 1, 30.0)
    assert row.counts == {GOOD: 2, REFUSED: 1, HANG: 1, TRACEBACK: 2, SILENT: 1, OTHER: 1}
    said = ["took more than 1 s", "KeyError('raises')", "a traceback: x", "says no place"]
    assert row.faults == [f"broken: {line}" for line in said]
    assert str(row).split()[1:] == ["8", *(str(row.counts[column]) for column in COLUMNS[1:])]
    assert len(str(row)) == len(heading())


@pytest.mark.parametrize("name", [name for name in CLASSES if "chance" in name or "changed" in name or "books" in name])
def test_quick_classes_keep_their_promises(tmp_path: Path, name: str) -> None:
    row = taken(name, CLASSES[name], tmp_path, 2, 0.5)
    assert set(row.counts) <= {GOOD, REFUSED}, row.faults
    assert not Counter(row.faults)
