"""The registry against the tree: every code is raised, every code raised stands in it, and half a row is refused."""

from __future__ import annotations

import ast
import json
import re
import shutil
import tomllib
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.cli import main
from formgen.findings import Severity, registry
from formgen.findings.listing import entries
from formgen.findings.registry import DATA, STAGES, FindingError, row, rows
from formgen.findings.wording import reached

ROOT = Path(__file__).parents[2] / "formgen"
ROWS = list(rows())
CODES = {code for code, _, _ in ROWS}
MODULES = [path for path in sorted(ROOT.rglob("*.py")) if not path.is_relative_to(ROOT / "findings")]
CODE = re.compile(rf"({'|'.join(STAGES)})\.[a-z-]+")
#: Names of places that a clamp may have; they are keys, and no page shows them as they are.
PLACES = {"end of the curve", "along the curve"}


def _calls(tree: ast.AST) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"finding", "phrase"}:
            yield node


def _texts(node: ast.AST) -> set[str]:
    return {n.value for n in ast.walk(node) if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def _raised() -> dict[str, list[Path]]:
    """Codes that modules give to `finding`: as they stand there, or by a name, wherever the module says them."""
    found: dict[str, list[Path]] = defaultdict(list)
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for call in _calls(tree):
            if isinstance(call.func, ast.Name) and call.func.id == "finding":
                first = call.args[0]
                for code in _texts(tree if isinstance(first, ast.Name) else first):
                    if CODE.fullmatch(code):
                        found[code].append(path)
    return found


def test_every_code_is_raised_and_every_code_raised_stands_here() -> None:
    assert len(CODES) > 70
    assert set(_raised()) == CODES


def test_a_code_stands_in_the_file_of_the_room_that_finds_it() -> None:
    raised = _raised()
    for file in STAGES:
        stage = tomllib.loads((DATA / f"{file}.toml").read_text(encoding="utf-8"))
        for prefix, held in stage.items():
            for name in held:
                assert {p.relative_to(ROOT).parts[0] for p in raised[f"{prefix}.{name}"]} == {file}, name


def test_every_case_is_raised() -> None:
    raised = _raised()
    for code, case, _ in ROWS:
        said = set[str]().union(*(_texts(ast.parse(path.read_text(encoding="utf-8"))) for path in raised[code]))
        assert case is None or case in said, f"{code}: {case}"


def test_no_wording_is_there_for_nobody() -> None:
    """A row's own words are named by its sentence, or asked for by themselves."""
    asked = {text for path in MODULES for call in _calls(ast.parse(path.read_text(encoding="utf-8")))
             for text in _texts(call)}  # fmt: skip
    shared = set(tomllib.loads((DATA / "phrases.toml").read_text(encoding="utf-8")))
    used: set[str] = set()
    for code, _, held in ROWS:
        used |= reached(held.words, held.sentence, held.do)
        own = set(held.words) - shared
        assert own <= reached(held.words, held.sentence, held.do, *(f"{{{w}}}" for w in own & asked)), code
    assert shared <= used | asked


@pytest.mark.parametrize("room", ["recipe", "curve", "laminate", "press", "makes", "form", "holding"])
def test_no_english_is_given_to_a_finding(room: str) -> None:
    """No finding is built past the registry, and nothing of three words stands where one is made, errors apart."""
    for path in (ROOT / room).rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        built = [n for n in ast.walk(tree) if isinstance(n, ast.Call) and ast.unparse(n.func) == "Finding"]
        assert not built, path
        for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
            if not any(_calls(function)):
                continue
            errors = set[str]().union(*(_texts(n) for n in ast.walk(function) if isinstance(n, ast.Raise)))
            said = _texts(function) - errors - {ast.get_docstring(function, clean=False)} - PLACES
            assert not [text for text in said if len(text.split()) > 2], f"{path}: {function.name}"


@pytest.fixture
def damaged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, str], None]]:
    """Replaces a text of press.toml in a copy of the data, which the registry then reads."""
    shutil.copytree(DATA, tmp_path, dirs_exist_ok=True)
    monkeypatch.setattr(registry, "DATA", tmp_path)

    def forget() -> None:
        for held in (registry._sections, registry._cases, registry._shared):
            held.cache_clear()

    def replace(old: str, new: str) -> None:
        text = (tmp_path / "press.toml").read_text(encoding="utf-8")
        assert text.count(old) == 1
        (tmp_path / "press.toml").write_text(text.replace(old, new), encoding="utf-8")
        forget()

    yield replace
    monkeypatch.undo()
    forget()


LEAK = """[press.leak]
severity = "problem"
title = "Leaking bag"
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (LEAK, LEAK.replace('title = "Leaking bag"\n', ""), "press.toml: press.leak: title: missing; fill the row"),
        (LEAK, LEAK.replace('severity = "problem"\n', ""), "press.toml: press.leak: severity: missing; fill the row"),
        (
            LEAK,
            LEAK.replace("problem", "grave"),
            "press.toml: press.leak: severity: got grave, expected note, warning, problem",
        ),
        (LEAK, f"{LEAK}remedy = 'none'\n", "press.toml: press.leak: remedy: no such key, expected severity, title"),
        (LEAK, f"{LEAK}title = 'twice'\n", "press.toml: press.leak: Cannot overwrite a value"),
        (
            'do = "Find the leak with soapy water and seal it before any glue is mixed."\n',
            "",
            "press.toml: press.leak: do: missing",
        ),
        (LEAK, f"[leaks]\n{LEAK}", "press.toml: [leaks]: expected a code such as [curve.plumb-legs]"),
    ],
)
def test_half_a_row_is_refused(damaged: Callable[[str, str], None], old: str, new: str, said: str) -> None:
    damaged(old, new)
    with pytest.raises(FindingError, match=re.escape(said)):
        row("press.leak")


def test_half_a_case_is_refused(damaged: Callable[[str, str], None]) -> None:
    damaged('[press.open-time.case.over]\nseverity = "problem"\n', "[press.open-time.case.over]\n")
    with pytest.raises(FindingError, match=r"press\.toml: press\.open-time, case over: severity: missing"):
        list(rows())


@pytest.mark.parametrize(
    ("new", "said"),
    [
        ('title = ""', "press.leak: title: string should have at least 1 character; fill the row"),
        ("title = 3", "press.leak: title: input should be a valid string; fill the row"),
        ('title = "Leak"\nwords.way = {yes = 1}', "press.leak: words.way"),
    ],
)
def test_what_is_no_text_is_refused_where_all_are_read(
    damaged: Callable[[str, str], None], new: str, said: str
) -> None:
    damaged('title = "Leaking bag"', new)
    with pytest.raises(FindingError, match=re.escape(said)):
        list(entries())


def test_a_row_that_nobody_asks_for_is_not_read(damaged: Callable[[str, str], None]) -> None:
    """So that `formgen check` pays for what it says alone."""
    damaged(LEAK, LEAK.replace('title = "Leaking bag"\n', ""))
    assert row("press.vacuum-weak").severity is Severity.WARNING
    assert registry._sections.cache_info().currsize == 1


def test_the_files_stay_short() -> None:
    files = {path.name for path in DATA.glob("*.toml")}
    assert files == {f"{name}.toml" for name in (*STAGES, "phrases")}
    for path in DATA.glob("*.toml"):
        lines = path.read_text(encoding="utf-8").splitlines()
        assert len(lines) <= 300, path.name
        assert max(map(len, lines)) <= 120, path.name


def test_show_lists_all_of_it() -> None:
    listed = json.loads(CliRunner().invoke(main, ["show", "findings", "--json"]).output)
    assert [(entry["code"], entry["case"]) for entry in listed] == [(code, case) for code, case, _ in ROWS]
    legs = next(entry for entry in listed if entry["code"] == "curve.plumb-legs")
    assert "(both ends | the right end | the left end) square to the curve with {run on} of run-on" in legs["sentence"]
    assert set(legs) == {"code", "case", "severity", "title", "sentence", "what_to_do", "source"}
    stack = next(entry for entry in listed if entry["code"] == "form.stack")
    assert stack["sentence"].startswith("{layers} layers of {sheet} as measured")
    screen = CliRunner().invoke(main, ["show", "findings"])
    assert screen.exit_code == 0
    assert all(word in screen.output for word in ("severity", "what to do", "press.film-folds", "problem"))
