"""`sheets` and `send` on records that somebody touched: one line, an exit code, and nothing handed over."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from formgen.outputs.record.job import fingerprint
from tests.robustness.asking import ask, files_in, flow, put, written
from tests.robustness.recipes_to_try import SHOP, SOUND

MAP = "sheets/sheet-map.json"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of results with one form and its sheets."""
    folder = tmp_path_factory.mktemp("whole")
    written(folder, flow(SHOP), "shop.yaml")
    small = put(put(SOUND, ("part", "depth"), 30), ("form",), {"body": "band", "backing": 130})
    output = folder / "output"
    assert ask("build", written(folder, flow(small)), "--output", output).code == 0
    assert ask("sheets", output, "--nesting", "quick", "--effort", "preview").code == 0
    return output


@pytest.fixture
def results(whole: Path, tmp_path: Path) -> Path:
    """A copy to spoil."""
    shutil.copytree(whole, tmp_path / "output")
    return tmp_path / "output"


def piece(record: dict[str, Any]) -> dict[str, Any]:
    held: dict[str, Any] = record["found"]["sheets"][0]["pieces"][0]
    return held


MAPS: dict[str, Callable[[dict[str, Any]], object]] = {
    "a key more": lambda r: r.update(approved=True),
    "a key more at a piece": lambda r: piece(r).update(by="me"),
    "a key more in the rules": lambda r: r["asked"]["rules"].update(by="me"),
    "a file more": lambda r: r["files"].update({"\x1b[2J": {"sha256": "0" * 64, "bytes": 1}}),
    "a file less": lambda r: r["files"].pop("sheet-map.csv"),
    "a place past all": lambda r: piece(r).update(dx_mm=1e308),
    "a place that is a word": lambda r: piece(r).update(dx_mm="0"),
    "a place that is true": lambda r: piece(r).update(dx_mm=True),
    "mirrored by a word": lambda r: piece(r).update(mirrored=""),
    "no such piece": lambda r: piece(r).update(piece="\x1b[2J"),
    "a piece that is a list": lambda r: piece(r).update(piece=[]),
    "a piece twice": lambda r: r["found"]["sheets"][0]["pieces"].append(piece(r)),
    "a piece ten thousand times": lambda r: r["found"]["sheets"][0]["pieces"].extend([piece(r)] * 10_000),
    "a sheet's number past all": lambda r: r["found"]["sheets"][0].update(number=10**30),
    "a sheet's number twice": lambda r: r["found"]["sheets"].append({**r["found"]["sheets"][0], "pieces": []}),
    "no such stock": lambda r: r["found"]["sheets"][0].update(stock=-1),
    "an opening of two lines": lambda r: r["asked"]["forms"].update(hatch=["a\n  0\nLINE"]),
    "no list of openings": lambda r: r["asked"]["forms"].update(hatch=7),
    "a form elsewhere": lambda r: r["asked"]["forms"].update({"../hatch": []}),
    "forms are a list": lambda r: r["asked"].update(forms=["hatch", 7]),
    "another engine's word": lambda r: r["found"]["runs"][0].update(why="\x1b[2J"),
    "more sheets said than there are": lambda r: r["found"]["runs"][0].update(sheets=99),
    "runs are a number": lambda r: r["found"].update(runs=7),
    "no versions": lambda r: r.update(versions={}),
    "what was found is a word": lambda r: r.update(found="good"),
}


@pytest.mark.parametrize("what", MAPS)
def test_nothing_is_sent_by_a_map_that_was_touched(results: Path, what: str, tried: Callable[[str], None]) -> None:
    tried("touched maps of sheets")
    record = json.loads((results / MAP).read_text(encoding="utf-8"))
    MAPS[what](record)
    (results / MAP).write_text(json.dumps(record, ensure_ascii=False), encoding="utf-8")
    answer = ask("send", results, "--to", results.parent / "stick")
    assert answer.code in (3, 4), answer.err
    assert not (results.parent / "stick").exists()


def test_forms_are_held_against_their_hashes_and_what_is_handed_over_is_made_again(results: Path) -> None:
    """As README says: a form's own file with its hash is for `verify`; none of it goes to the router."""
    assert ask("send", results, "--to", results.parent / "before").code == 0
    layer, record = results / "hatch/layers/layer-01.dxf", results / "hatch/job.json"
    layer.write_bytes(layer.read_bytes().replace(b"this side up", b"this side down"))
    assert ask("send", results, "--to", results.parent / "stick").code == 3  # its hash tells
    held = json.loads(record.read_text(encoding="utf-8"))
    held["files"]["layers/layer-01.dxf"] = fingerprint(layer)
    record.write_text(json.dumps(held, ensure_ascii=False), encoding="utf-8")
    assert ask("verify", results / "hatch").code == 3
    assert ask("send", results, "--to", results.parent / "stick").code == 0
    assert files_in(results.parent / "stick") == files_in(results.parent / "before")


TEXTS = {
    "200,000 opening brackets": b"[" * 200_000,
    "a number of 400 digits": b'{"format": ' + b"2" * 400 + b"}",
    "half a character": b'{"files": {"\\ud800": 1}}',
    "a key twice": b'{"format": 2, "format": 2}',
    "nothing": b"",
}


@pytest.mark.parametrize("what", TEXTS)
@pytest.mark.parametrize("name", ["hatch/job.json", MAP])
def test_a_record_that_is_none_is_refused_by_all(results: Path, name: str, what: str) -> None:
    (results / name).write_bytes(TEXTS[what])
    if name == MAP:
        again = ask("sheets", results, "--nesting", "quick", "--effort", "preview")
        assert (again.code, again.err.count("no sheet-map.json of formgen")) == (4, 1), again.err
    else:
        assert ask("sheets", results).code == 4
        assert ask("verify", results / "hatch").code == 4
    assert ask("send", results, "--to", results.parent / "stick").code == 4
    assert not (results.parent / "stick").exists()


def test_a_severity_that_does_not_exist_is_refused_by_all(results: Path) -> None:
    path = results / "hatch/job.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    record["findings"].append({**record["findings"][0], "code": "recipe.x", "severity": "dreadful"})
    path.write_text(json.dumps(record), encoding="utf-8")
    for words in (["verify", results / "hatch"], ["sheets", results], ["send", results, "--to", results / "stick"]):
        assert ask(*words).code == 4
    assert not (results / "stick").exists()


def test_a_form_that_is_a_link_or_a_pipe_is_not_waited_for(results: Path) -> None:
    import os

    (results / "hatch/form.stl").unlink()
    os.mkfifo(results / "hatch/form.stl")
    for words in (["sheets", results], ["send", results, "--to", results / "stick"], ["verify", results / "hatch"]):
        assert ask(*words).code == 3
