"""Names with an escape or another control character in them: refused, or told without it; no screen is acted on."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.cli import main
from formgen.quoted import ACTS
from tests.robustness.asking import ask, files_in, written
from tests.robustness.odd_files import commands, results
from tests.robustness.processes import start

ODD = {
    "an escape": "out\x1b[31m",
    "a bell": "out\x07",
    "two lines": "out\nhatch: all is well",
    "back to the start": "out\rhatch: all is well",
    "an escape of one byte": "out\x9b31m",
    "deleted": "out\x7f",
    "the other way": "out\u202efxd",
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Results that stand."""
    return results(tmp_path_factory.mktemp("whole"))


def _told(folder: Path, *words: str | Path) -> tuple[int, str]:
    """Exit code of the program as its own process, and all that it said, on which no screen acts."""
    process = start(*words)
    out, err = (told.decode() for told in process.communicate(timeout=120))
    said = f"{out}{err}".replace(str(folder), "")
    assert ACTS.search(said.replace("\n", "")) is None, ascii(said)
    assert "\nhatch: all is well" not in said
    assert "Traceback" not in said
    return process.returncode, err


@pytest.mark.parametrize("kind", ODD)
@pytest.mark.parametrize(
    "words",
    [
        ("build", "W0.yaml", "--output", "ODD"),
        ("batch", "openings.csv", "--base", "W0.yaml", "--output", "ODD"),
        ("send", "output", "--to", "ODD"),
        ("check", "ODD"),
        ("build", "ODD/W0.yaml"),
        ("verify", "output/ODD"),
        ("new", "ODD"),
        ("ODD",),
        ("schema", "recipe", "ODD"),
        ("check", "--ODD"),
    ],
    ids=" ".join,
)
def test_words_that_are_typed(
    whole: Path, tmp_path: Path, words: tuple[str, ...], kind: str, tried: Callable[[str], None]
) -> None:
    odd = ODD[kind]
    path = str(tmp_path / odd) if words[-1] == "ODD" and words[-2:-1] != ("recipe",) else odd
    asked = [str(whole / word) if (whole / word).exists() else word.replace("ODD", path) for word in words]
    before = files_in(tmp_path)
    if kind == "an escape":
        code, err = _told(tmp_path, *asked)
    else:
        done = CliRunner().invoke(main, asked)
        code, err = done.exit_code, done.stderr
    assert (code, err.count("\n")) == (2, 1), err
    assert err[:-1].isprintable()
    assert files_in(tmp_path) == before
    tried("names with control characters")


@pytest.mark.parametrize("command", ["verify", "send", "sheets", "build"])
def test_names_that_lie_there(whole: Path, tmp_path: Path, command: str, tried: Callable[[str], None]) -> None:
    folder = tmp_path / "tried"
    shutil.copytree(whole, folder)
    output, router = folder / "output", folder / "router"
    (output / "building.json").unlink()
    router.mkdir()
    for name in ODD.values():
        if command != "sheets":
            (output / "W0" / name).write_text("x", encoding="utf-8")
        (router / f"01-of-02_{name}.dxf").write_text("x", encoding="utf-8")
    if command == "sheets":
        (output / "W0").rename(output / "".join(ODD.values()))
    answer = ask(*commands(folder)[command][0])
    assert answer.code == {"verify": 3, "send": 0, "sheets": 4, "build": 4}[command], answer.err
    assert len(answer.lines) == {"verify": len(ODD), "send": 2}.get(command, 1), answer.err
    assert all(line.isprintable() for line in answer.lines), answer.err
    assert ACTS.search(answer.out.replace("\n", "")) is None
    for _ in ODD:
        tried("names with control characters")


@pytest.mark.parametrize("record", ["W0/job.json", "building.json"])
def test_records_that_a_batch_tells_of(whole: Path, tmp_path: Path, record: str, tried: Callable[[str], None]) -> None:
    folder = tmp_path / "tried"
    shutil.copytree(whole, folder)
    path = folder / "output" / record
    held = json.loads(path.read_text(encoding="utf-8"))
    if record == "building.json":
        held["not_made"] = ["\x1b[31mW9"]
        held["found"]["verdict"] = "\x1b[31mall is well"
    else:
        held["findings"] = [
            {"code": "x", "message": "\x1b[31mred", "severity": "problem", "source": "", "unit": "", "value": None,
             "limit": None}
        ]  # fmt: skip
    path.write_text(json.dumps(held), encoding="utf-8")
    written(folder, "opening,span\nW0,700\nW1,900\n" if record == "W0/job.json" else "opening,span\nW0,700\n",
            "openings.csv")  # fmt: skip
    words, _ = commands(folder)["batch"]
    code, _ = _told(folder, *(word for word in words if word != "--json"))
    assert code == 0
    page = (folder / "output" / "building.html").read_text(encoding="utf-8")
    assert "\x1b" not in page
    tried("names with control characters")
