"""Recipes and shop files that no shop writes: refused in lines, without a traceback, without a file."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from formgen.cli import main
from tests.robustness.asking import Typed, check_recipe, flow, put, written
from tests.robustness.hostile import NAMES, NUMBERS, encodings, nested
from tests.robustness.recipes_to_try import ARCHES, SHOP, SOUND, keys_of

Tried = Callable[[str], None]

#: The same examples on every run; `python -m tests.robustness.fuzz` takes others.
SAME = settings(derandomize=True, database=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
#: Keys at which each value of a class is tried.
EACH = 1


def _recipes() -> Iterator[tuple[str, str | int]]:
    """Every key of a recipe and of the arches, as (recipe with a hole, its path)."""
    yield from ((flow(put(SOUND, path, Typed("HOLE"))), ".".join(map(str, path))) for path in keys_of(SOUND))
    plain = put(put(SOUND, ("form",), {"body": "band", "backing": 100}), ("part", "legs"), 0)
    for arch in ARCHES:
        for path in keys_of(arch):
            held = put(plain, ("part", "arch"), put(arch, path, Typed("HOLE")))
            yield flow(held), ".".join(map(str, path))


RECIPES = list(_recipes())
SHOPS = [flow(put(SHOP, path, Typed("HOLE"))) for path in keys_of(SHOP)]


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    """A folder with a sound shop file."""
    written(tmp_path, flow(SHOP), "shop.yaml")
    return tmp_path


def test_the_ground_itself_is_sound(sound: Path) -> None:
    assert check_recipe(written(sound, flow(SOUND))).code == 0


@pytest.mark.parametrize("kind", NUMBERS)
def test_values_in_a_recipe(sound: Path, tried: Tried, kind: str) -> None:
    chosen = random.Random(kind)  # noqa: S311 -- the same inputs on every run
    for value in NUMBERS[kind] * EACH:
        text, _ = chosen.choice(RECIPES)
        check_recipe(written(sound, text.replace("HOLE", value)))
        tried(f"recipes: {kind}")


@pytest.mark.parametrize("kind", NUMBERS)
def test_values_in_a_shop_file(sound: Path, tried: Tried, kind: str) -> None:
    chosen = random.Random(kind)  # noqa: S311 -- the same inputs on every run
    recipe = written(sound, flow(SOUND))
    for value in NUMBERS[kind] * EACH:
        written(sound, chosen.choice(SHOPS).replace("HOLE", value), "shop.yaml")
        check_recipe(recipe)
        tried(f"shop files: {kind}")


@pytest.mark.parametrize("digits", [39, 40, 41, 400, 4000])
@pytest.mark.parametrize("form", ["{}", '"{} mm"', '"{}/3 in"', "-{}", "0.{}", "{}e5", '"1\' {}"'])
def test_lengths_of_many_digits(sound: Path, tried: Tried, digits: int, form: str) -> None:
    for path in (("part", "arch", "span"), ("part", "depth"), ("laminate", "thickness")):
        answer = check_recipe(written(sound, flow(put(SOUND, path, Typed(form.format("9" * digits))))))
        assert answer.code == 1
        tried("recipes: lengths of 39 to 4000 digits")


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_names_with_tricks_in_them(sound: Path, tried: Tried, name: str) -> None:
    quoted = Typed(json.dumps(name, ensure_ascii=True))
    for path in (("name",), ("note",), ("laminate", "wood"), ("form", "sheet")):
        answer = check_recipe(written(sound, flow(put(SOUND, path, quoted))))
        assert path == ("note",) or answer.code == 1
        tried("recipes: names")
    typed = Typed(name)  # without quotes, as a hasty hand types it
    check_recipe(written(sound, flow(put(SOUND, ("name",), typed))))
    check_recipe(written(sound, flow({**SOUND, name.replace(":", "") or "x": 1})))
    tried("recipes: names")


@pytest.mark.parametrize("name", encodings(""))
def test_encodings(sound: Path, tried: Tried, name: str) -> None:
    text = "".join(f"{key}: {flow(value)}\n" for key, value in SOUND.items())
    answer = check_recipe(written(sound, encodings(text)[name]))
    readable = ("UTF-8 with a mark", "UTF-8 with two marks", "lines ended by CR", "lines ended by CR LF", "UTF-7")
    assert (answer.code == 0) == (name in readable), answer.err
    written(sound, encodings(flow(SHOP) + "\n")[name], "shop.yaml")
    check_recipe(written(sound, text))
    tried("recipes: encodings")
    tried("shop files: encodings")


@pytest.mark.parametrize("deep", [21, 2000])
@pytest.mark.parametrize("name", nested(1))
def test_nesting_aliases_and_bombs(sound: Path, tried: Tried, deep: int, name: str) -> None:
    text = nested(deep)[name]
    assert check_recipe(written(sound, text)).code == 1
    written(sound, text, "shop.yaml")
    lines = check_recipe(written(sound, flow(SOUND))).lines
    assert lines.index("") <= 52 if "" in lines else len(lines) <= 52
    tried("recipes: nesting, aliases and bombs")
    tried("shop files: nesting, aliases and bombs")


def test_every_key_twice(sound: Path, tried: Tried) -> None:
    for path in keys_of(SOUND):
        *above, key = path
        held: object = SOUND
        for step in above:
            held = held[step]  # type: ignore[index]
        if isinstance(held, dict):
            twice = "{" + flow(held)[1:-1] + f", {key}: 1" + "}"
            text = flow(put(SOUND, above, Typed(twice))) if above else twice
            answer = check_recipe(written(sound, text))
            assert answer.code == 1
            assert f'"{key}" stands twice' in answer.err
            tried("recipes: keys that stand twice")


def test_a_file_that_is_no_file(sound: Path, tried: Tried) -> None:
    (sound / "folder.yaml").mkdir()
    (sound / "loop.yaml").symlink_to(sound / "loop.yaml")
    (sound / "dangling.yaml").symlink_to(sound / "nowhere")
    for path in (
        sound / "folder.yaml",
        sound / "loop.yaml",
        sound / "dangling.yaml",
        sound / "none",
        Path("/dev/zero"),
    ):
        done = CliRunner().invoke(main, ["check", str(path)])
        assert isinstance(done.exception, SystemExit)
        assert done.exit_code in (1, 2)  # 2: no command can be about it
        tried("recipes: files that are no files")


_TREE = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*SOUND, *SHOP]), inner, max_size=3),
    max_leaves=6,
)


@settings(SAME, max_examples=40)
@given(path=st.sampled_from(keys_of(SOUND)), tree=_TREE)
def test_trees_of_another_shape(sound: Path, tried: Tried, path: tuple[str | int, ...], tree: object) -> None:
    check_recipe(written(sound, flow(put(SOUND, path, tree))))
    tried("recipes: trees of another shape")


@settings(SAME, max_examples=100)
@given(raw=st.binary(max_size=80) | st.text(max_size=80).map(lambda t: t.encode("utf-8", "replace")))
def test_any_bytes(sound: Path, tried: Tried, raw: bytes) -> None:
    assert check_recipe(written(sound, raw)).code == 1
    tried("recipes: any bytes")


@settings(SAME, max_examples=40)
@given(data=st.data())
def test_a_sound_recipe_with_bytes_changed(sound: Path, tried: Tried, data: st.DataObject) -> None:
    raw = bytearray("".join(f"{key}: {flow(value)}\n" for key, value in SOUND.items()).encode())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(raw) - 1))
        raw[at : at + data.draw(st.integers(0, 4))] = data.draw(st.binary(max_size=3))
    check_recipe(written(sound, bytes(raw)))
    tried("recipes: bytes changed in a sound one")
