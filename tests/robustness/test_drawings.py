"""Imported drawings: open where they should be closed and the other way, crossed, broken, huge, empty."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.pace import allowed_s
from tests.robustness.asking import Answer, check_recipe, flow, put, written
from tests.robustness.drawings import GOOD, files, odd_numbers, paths
from tests.robustness.recipes_to_try import SOUND

Tried = Callable[[str], None]

RECIPE = flow(
    put(
        put(put(SOUND, ("form",), {"body": "band", "backing": 100}), ("part", "legs"), 0),
        ("part", "arch"),
        {"kind": "drawing", "file": "path.dxf"},
    )
)

#: Drawings that hold one sound path although they look odd.
SOUND_PATHS = (
    "a hair's length",
    "drawn twice",
    "no direction",
    "from behind",
    "far away",
    "poles in one place",
    "knots backwards",
)
LONGEST_S = 5.0


def _asked(folder: Path, drawing: str | bytes) -> Answer:
    written(folder, drawing, "path.dxf")
    return check_recipe(written(folder, RECIPE))


def test_the_ground_itself_is_sound(tmp_path: Path) -> None:
    assert _asked(tmp_path, GOOD).code == 0


@pytest.mark.parametrize("name", paths())
def test_paths(tmp_path: Path, tried: Tried, name: str) -> None:
    answer = _asked(tmp_path, paths()[name])
    assert answer.code == 1 or name in SOUND_PATHS, answer.out
    assert len(answer.lines) == (1 if answer.code else 0)
    tried("drawings: paths")


@pytest.mark.parametrize("name", [name for name in files() if "million" not in name])
def test_files(tmp_path: Path, tried: Tried, name: str) -> None:
    answer = _asked(tmp_path, files()[name])
    assert len(answer.lines) == (1 if answer.code else 0)
    tried("drawings: files that are none, or half")


def test_a_million_entities_are_refused_at_once(tmp_path: Path, tried: Tried) -> None:
    written(tmp_path, files()["a million entities"], "path.dxf")
    begin = time.process_time()
    answer = check_recipe(written(tmp_path, RECIPE))
    assert time.process_time() - begin < allowed_s(LONGEST_S)
    assert "more than 20 MB, expected one drawing" in answer.err
    tried("drawings: a million entities")


@pytest.mark.parametrize("name", ["metres for millimetres", "an ellipse of miles", "a spline of miles"])
def test_a_slip_of_units_is_named(tmp_path: Path, name: str) -> None:
    answer = _asked(tmp_path, paths()[name])
    assert (answer.code, "look at the units of the drawing" in answer.err) == (1, True), answer.err


def test_numbers_that_no_pen_draws(tmp_path: Path, tried: Tried) -> None:
    for drawing in odd_numbers().values():
        assert len(_asked(tmp_path, drawing).lines) <= 1
        tried("drawings: odd numbers")


@settings(
    derandomize=True,
    database=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data())
def test_bytes_changed_in_a_sound_drawing(tmp_path: Path, tried: Tried, data: st.DataObject) -> None:
    raw = bytearray(GOOD.encode())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(raw) - 1))
        raw[at : at + data.draw(st.integers(0, 6))] = data.draw(st.binary(max_size=3))
    _asked(tmp_path, bytes(raw))
    tried("drawings: bytes changed in a sound one")
