"""YAML files as data with places. Outside rule: YAML 1.2.2, core schema (10.3): `no` and `1:30` are text."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from formgen.errors import RecipeError
from formgen.recipe.load import each_named_once, load_recipe
from formgen.recipe.source import Place, read_source
from formgen.recipe.start import starting_recipe
from tests.pace import allowed_s


def source_of(folder: Path, text: str | bytes):  # type: ignore[no-untyped-def]
    path = folder / "porch.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_source(path)


def test_every_key_and_value_has_its_place(tmp_path: Path) -> None:
    source = source_of(tmp_path, 'a: 1\nb:\n  - x\n  - {c: "two",   d: 3/4}\n')
    assert source.data == {"a": 1, "b": ("x", {"c": "two", "d": "3/4"})}
    assert source.places[("a",)] == Place(1, 1, 1, 4, "1")
    assert source.places[("b", 0)] == Place(3, 5, 3, 5, "x")
    assert source.places[("b", 1, "c")] == Place(4, 6, 4, 9, "two")
    assert source.places[("b", 1, "d")] == Place(4, 18, 4, 21, "3/4")


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("no", "no"), ("off", "off"), ("1:30", "1:30"), ("3/4", "3/4"), ("2024-01-01", "2024-01-01"), ("=", "="),
        ("12", 12), ("-7", -7), ("007", 7), ("1.25", 1.25), (".5", 0.5), ("2.", 2.0), ("1e3", 1000.0),
        ("true", True), ("False", False), ("'12'", "12"), ('"true"', "true"), ("1e400", "1e400"), ("1_000", "1_000"),
        ("9" * 41, "9" * 41), ("5' 11-1/2\"", "5' 11-1/2\""), ("≈ ½", "≈ ½"),
    ],
)  # fmt: skip
def test_plain_values_follow_yaml_1_2(tmp_path: Path, typed: str, value: object) -> None:
    found = source_of(tmp_path, f"k: {typed}\n").data["k"]
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("a: 1\na: 2\n", 2, 1, "stands twice, first at line 1"),
        ("a: &x 1\n", 1, 4, "no anchor"),
        ("a: &x 1\nb: *x\n", 2, 4, "no alias"),
        ("a: {<<: {b: 1}}\n", 1, 5, "no merge key"),
        ("a: !!python/object:os.system 1\n", 1, 4, "no tag"),
        ("a: !x 1\n", 1, 4, "no tag"),
        ("%YAML 1.1\n---\na: 1\n", 2, 1, "no % line"),
        ("a: 1\n---\nb: 2\n", 2, 1, "a second after ---"),
        ("? [1, 2]\n: 3\n", 1, 3, "a word as key"),
        ('a: "x\\e[31m"\n', 1, 4, "no control characters"),
    ],
)
def test_what_is_read_past_is_a_mistake_at_its_place(
    tmp_path: Path, text: str, line: int, column: int, words: str
) -> None:
    mistakes = source_of(tmp_path, text).mistakes
    assert any((n, c) == (line, column) and words in message for n, c, message in mistakes), mistakes


@pytest.mark.parametrize(
    ("text", "start", "words"),
    [
        (b"a: 1\nb: caf\xe9\n", "porch.yaml:2:7: ", "UTF-8"),
        ("a: 1\n".encode("utf-16"), "porch.yaml:1:1: ", "UTF-8"),
        (b"a: 1\nb: x\x07\n", "porch.yaml:2:5: ", "control characters"),
        (b"a: [1, 2\nb: 3\n", "porch.yaml:2:", "not YAML"),
        (b"a: 1\n  b: 2\n", "porch.yaml:2:", "not YAML"),
        (b"a:\n\t- 1\n", "porch.yaml:2:1: ", "not YAML"),
        (b"a: " + b"[" * 50 + b"]" * 50 + b"\n", "porch.yaml:1:24: ", "20 levels"),
        (b"a: " + b"[" * 100_000, "porch.yaml:1:24: ", "20 levels"),
        (b"#" * 200_001, "porch.yaml: ", "at most 200 kB"),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_line(tmp_path: Path, text: bytes, start: str, words: str) -> None:
    path = tmp_path / "porch.yaml"
    path.write_bytes(text)
    with pytest.raises(RecipeError) as caught:
        load_recipe(path)
    line = str(caught.value).splitlines()[0]
    assert line.startswith(start)
    assert words in line
    assert line.isprintable()


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    source = source_of(tmp_path, b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    assert source.data == {"a": 1, "b": 2}
    assert source.places[("b",)].line == 2


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(RecipeError, match=r"^none\.yaml: no such file"):
        load_recipe(tmp_path / "none.yaml")
    with pytest.raises(RecipeError, match="cannot be read"):
        load_recipe(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """Nobody writes to it: in a process of its own, so that one that waits fails instead of hanging the tests."""
    os.mkfifo(tmp_path / "pipe.yaml")
    words = [sys.executable, "-m", "formgen", "check", str(tmp_path / "pipe.yaml")]
    done = subprocess.run(words, capture_output=True, text=True, timeout=30, check=False)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert done.stderr.startswith("pipe.yaml: cannot be read (a folder, a pipe or a device)")
    with pytest.raises(RecipeError, match="cannot be read"):
        read_source(Path(os.devnull))


@pytest.mark.skipif(sys.platform != "linux", reason="not every system lets a file have such a name")
@pytest.mark.parametrize(
    "name", ["a\x1b[31m.yaml", "a\n.yaml", "a\tb.yaml", "a\u202eb.yaml", "a\udcff.yaml", "\x9b.yaml"]
)
@pytest.mark.parametrize("there", [True, False])
def test_control_characters_in_a_files_name(tmp_path: Path, name: str, there: bool) -> None:  # noqa: FBT001 -- a case
    if there:
        (tmp_path / name).write_text("format: 1\n", encoding="utf-8")
    with pytest.raises(RecipeError, match="expected no control characters in a file's name; rename it") as caught:
        read_source(tmp_path / name)
    assert str(caught.value).isprintable()


def test_two_recipes_of_one_name_in_a_folder_with_control_characters(tmp_path: Path) -> None:
    (tmp_path / "\x1b[2J").mkdir()
    paths = [tmp_path / "\x1b[2J" / name for name in ("a.yaml", "b.yaml")]
    for path in paths:
        path.write_text("name: porch\n", encoding="utf-8")
    with pytest.raises(RecipeError, match="both named porch") as caught:
        each_named_once(paths)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("text", ["a: x\u202ey\n", 'a: "x\u202ey"\n', "a: [x\u200by]\n"])
def test_what_shows_nothing_is_named(tmp_path: Path, text: str) -> None:
    ((_, _, message),) = source_of(tmp_path, text).mistakes
    assert "expected no control characters" in message


_WORD = st.text(alphabet="abcdefgh-/ 0123456789.:'\"#", max_size=12).filter(lambda t: not t.startswith(":"))
_TREE = st.recursive(
    _WORD | st.integers(-(10**6), 10**6) | st.booleans(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_WORD.filter(lambda k: k != "<<"), inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(_WORD.filter(lambda k: k != "<<"), _TREE, max_size=5))
def test_data_written_by_a_yaml_library_come_back(tmp_path: Path, tree: dict[str, object]) -> None:
    with (tmp_path / "t.yaml").open("w") as file:
        writer = YAML(typ="safe", pure=True)
        writer.default_flow_style = False
        writer.dump(tree, file)
    source = read_source(tmp_path / "t.yaml")
    assert source.data == _with_tuples(tree)
    assert not source.mistakes


def _with_tuples(value: object) -> object:
    if isinstance(value, dict):
        return {key: _with_tuples(item) for key, item in value.items()}
    return tuple(_with_tuples(item) for item in value) if isinstance(value, list) else value


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_any_bytes_are_read_or_refused(tmp_path: Path, raw: bytes) -> None:
    (tmp_path / "any.yaml").write_bytes(raw)
    with pytest.raises(RecipeError) as caught:
        load_recipe(tmp_path / "any.yaml")
    assert all(line.isprintable() and line.startswith("any.yaml:") for line in caught.value.mistakes)


def test_reading_is_fast(tmp_path: Path) -> None:
    path = tmp_path / "fast.yaml"
    path.write_text(starting_recipe("fast", "in"), encoding="utf-8")
    times_s = []
    for _ in range(7):
        begin = time.process_time()
        read_source(path)
        times_s.append(time.process_time() - begin)
    assert min(times_s) < allowed_s(0.03)  # the project's own budget for a recipe of 40 lines
