"""A short share of the bench of kills; all of it: `python -m tests.robustness.kills`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.robustness.kills import KINDS, resumed, trial
from tests.robustness.worker_kills import VICTIMS, killed_alone

pytestmark = pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks at processes as Linux shows them")


@pytest.mark.parametrize("kind", KINDS)
def test_commands_killed_at_random_moments(tried: Callable[[str], None], kind: str) -> None:
    counts: Counter[str] = Counter()
    trial(2, 12, (kind,), counts)
    assert sum(count for what, count in counts.items() if "verified" not in what) == 2
    for _ in range(2):
        tried(f"kills: {kind}")


@pytest.mark.parametrize("victim", VICTIMS[1:])  # of a batch's own: `test_stopping.py`
def test_a_worker_of_a_cluster_killed_alone(tried: Callable[[str], None], victim: str) -> None:
    pytest.importorskip("distributed", reason="Dask is an optional extra and not installed")
    assert killed_alone(victim, 1).endswith("; the next run all")
    tried(f"kills: {victim} of a batch")


def test_a_batch_killed_in_the_middle_goes_on(tried: Callable[[str], None]) -> None:
    counts = resumed(8)
    assert counts["whole after the kill"] > 0
    tried("kills: a batch in the middle")
