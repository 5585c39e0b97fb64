"""How far a batch is: told on the way through many openings, and not oftener than a person reads."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from formgen.building.running.events import STEPS, Event
from formgen.building.schedule.opening import Schedule
from formgen.building.schedule.read import read_schedule
from formgen.building.sharing.forms import plan_building
from formgen.cli.batch.events import EVERY_S, progress


def test_sharing_tells_how_far_it_is(scheduled: Callable[..., Schedule]) -> None:
    rows = "".join(f"W{i},{900 + i}\n" for i in range(120))
    told: list[Event] = []
    building = plan_building(scheduled(f"opening,span\n{rows}").openings, 0.5, told.append, anyway=True)
    assert building.openings == 120
    for message in ("looking at the openings", "choosing the forms", "sharing forms"):
        steps = [event for event in told if event.message == message]
        assert {(event.what, event.of) for event in steps} == {("sharing", 120)}
        assert STEPS - 1 <= len(steps) <= STEPS + 1
        assert [event.done for event in steps] == sorted({event.done for event in steps})
    assert told[-1].done == 120


def test_nobody_waits_long_for_a_word(scheduled: Callable[..., Schedule], tmp_path: Path) -> None:
    """All that is done between two words while openings are read and shared, in processor time."""
    rows = "".join(f"W{i},{900 + 0.3 * i},{'ellipse' if i % 3 == 0 else 'segmental'},180\n" for i in range(150))
    schedule = scheduled(f"opening,span,arch,rise\n{rows}")
    assert len(schedule.openings) == 150

    def longest_share() -> float:
        now, gaps = [time.process_time()], list[float]()

        def tell(event: Event) -> None:
            gaps.append(time.process_time() - now[0])
            now[0] = time.process_time()

        read_schedule(tmp_path / "openings.csv", tmp_path / "base.yaml", tell=tell)
        plan_building(schedule.openings, 0.5, tell, anyway=True)
        assert len(gaps) > 3 * STEPS
        return max(gaps) / sum(gaps)

    assert min(longest_share() for _ in range(3)) < 0.1  # a busy machine lengthens one gap or another, not the same one


def test_a_few_openings_are_shared_without_a_word(scheduled: Callable[..., Schedule]) -> None:
    told: list[Event] = []
    plan_building(scheduled("opening,span\nA,900\nB,901\n").openings, 0.5, told.append, anyway=True)
    assert told == []


def test_lines_of_text_come_every_few_seconds(capsys: pytest.CaptureFixture[str]) -> None:
    now_s = [0.0]
    with patch("time.monotonic", lambda: now_s[0]), progress(as_json=False) as tell:
        for done in range(1, 101):
            now_s[0] += EVERY_S / 10.0
            tell(Event(what="sharing", message="sharing forms", done=done, of=100))
    lines = capsys.readouterr().err.splitlines()
    assert 9 <= len(lines) <= 10
    assert lines[0].startswith("sharing forms: ")
    assert lines[0].endswith(" of 100")
