"""Where answers and messages go: other encodings, streams that are closed, full or read by nobody."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from tests.robustness.asking import ask

ROOT = Path(__file__).parents[2]
JAMB = str(ROOT / "recipes" / "porch-door-jamb.yaml")

unix = pytest.mark.skipif(os.name == "nt", reason="a shell of Unix closes the streams")


@cache
def _usual(*words: str) -> bytes:
    """What a command answers on streams as a shell gives them."""
    return _run(*words).stdout


def _run(*words: str, encoding: str = "utf-8", unbuffered: bool = False) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding}
    environment.pop("PYTHONUNBUFFERED", None)
    if unbuffered:
        environment["PYTHONUNBUFFERED"] = "1"
    command = [sys.executable, "-m", "formgen", *words]
    return subprocess.run(command, env=environment, capture_output=True, check=False, timeout=120)


def _shell(line: str, folder: Path, *, unbuffered: bool = False) -> tuple[int, str]:
    """A line of shell in which `$FORMGEN` is the program and `>$ENDED` a pipe whose reader has ended; code, stderr."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "FORMGEN": f"{sys.executable} -m formgen", "JAMB": JAMB}
    environment.pop("PYTHONUNBUFFERED", None)
    if unbuffered:
        environment["PYTHONUNBUFFERED"] = "1"
    near, far = os.pipe()
    os.close(near)
    command = ["bash", "-c", line.replace(">$ENDED", f">&{far}")]
    try:
        done = subprocess.run(
            command, env=environment, cwd=folder, capture_output=True, check=False, timeout=120, pass_fds=[far]
        )
    finally:
        os.close(far)
    return done.returncode, done.stderr.decode()


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
@pytest.mark.parametrize("words", [("check", JAMB, "--all"), ("show", "cautions"), ("--help",)])
def test_people_get_what_their_terminal_can_show(words: tuple[str, ...], encoding: str) -> None:
    done = _run(*words, encoding=encoding)
    assert (done.returncode, done.stderr) == (0, b"")
    said = done.stdout.decode("utf-8" if words == ("--help",) and encoding == "ascii" else encoding)
    assert "Traceback" not in said
    if words[0] == "check":
        assert "180.00" in said
        assert ("x 5 1/4 in" if encoding in ("ascii", "cp437") else "× 5 1/4 in") in said
        assert "?" not in said


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-16"])
@pytest.mark.parametrize(
    "words", [("check", JAMB, "--json"), ("schema",), ("schema", "shop"), ("show", "woods", "--json")]
)
def test_machines_get_utf8_always(words: tuple[str, ...], encoding: str) -> None:
    done = _run(*words, encoding=encoding)
    assert done.returncode == 0
    assert done.stdout == _usual(*words)
    assert json.loads(done.stdout.decode("utf-8"))


def test_build_json_is_utf8_too(tmp_path: Path) -> None:
    done = _run("build", JAMB, "--output", str(tmp_path), "--json", encoding="ascii")
    assert done.returncode == 0
    assert json.loads(done.stdout.decode("utf-8")) == json.loads(
        (tmp_path / "porch-door-jamb" / "job.json").read_text(encoding="utf-8")
    )


@unix
@pytest.mark.parametrize("asked", ["check $JAMB", "check $JAMB --json", "schema", "show woods", "--help"])
def test_answers_that_cannot_be_written_are_one_line(tmp_path: Path, asked: str) -> None:
    places = {">&-": "it is closed", ">/dev/full": "the disk is full", ">$ENDED": "has ended"}
    for i, (words, reason) in enumerate(places.items()):
        if words.endswith("full") and not Path("/dev/full").exists():
            continue
        code, err = _shell(f"$FORMGEN {asked} {words}", tmp_path, unbuffered=i == len(asked) % 3)
        lines = [line for line in err.splitlines() if not line.startswith("warning: ")]
        assert code == 4, err
        assert len(lines) == 1, err
        assert lines[0].startswith("standard output: cannot be written: ")
        assert reason in lines[0]


@unix
@pytest.mark.parametrize("words", ["2>&-", "2>/dev/full", ">&- 2>&- <&-"])
def test_a_form_is_built_although_nothing_can_be_said(tmp_path: Path, words: str) -> None:
    code, _ = _shell(f"$FORMGEN build $JAMB {words}", tmp_path)
    assert code == 0
    done = ask("verify", tmp_path / "output" / "porch-door-jamb")
    assert done.code == 0, done.err


@unix
def test_a_refusal_keeps_its_code_although_nothing_can_be_said(tmp_path: Path) -> None:
    (tmp_path / "bad.yaml").write_text("format: 1\n", encoding="utf-8")
    for words in ("2>&-", "2>/dev/full", "2>&- >&-"):
        assert _shell(f"$FORMGEN check bad.yaml {words}", tmp_path)[0] == 1


@unix
@pytest.mark.skipif(sys.platform == "darwin", reason="file names there are UTF-8")
def test_a_folder_whose_name_is_not_utf8_is_refused_in_one_line(tmp_path: Path) -> None:
    code, err = _shell("$FORMGEN build $JAMB --output $'bad\\xff'", tmp_path)
    assert (code, err.count("\n")) == (4, 1), err
    assert err.startswith("bad\\udcff: the folder's name is not UTF-8")
    assert not list(tmp_path.iterdir())
    openings = ROOT / "recipes" / "openings"
    code, err = _shell(
        f"$FORMGEN batch {openings}/library.csv --base {openings}/base.yaml --output $'bad\\xff'", tmp_path
    )
    assert (code, err.count("bad\\udcff: ")) == (4, 1), err  # below it how the schedule was read
    assert err.splitlines()[-1].startswith("bad\\udcff: the folder's name is not UTF-8")
    assert not list(tmp_path.iterdir())
    code, err = _shell(
        "$FORMGEN build $JAMB 2>/dev/null; mv output $'bad\\xff'; $FORMGEN verify $'bad\\xff'/p*", tmp_path
    )
    assert (code, err.count("\n")) == (4, 1), err


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="a folder where nobody may make one")
def test_a_library_that_finds_no_home_says_nothing(tmp_path: Path) -> None:
    code, err = _shell("env -u XDG_CACHE_HOME HOME=/proc/nowhere $FORMGEN build $JAMB", tmp_path)
    assert code == 0
    assert [line for line in err.splitlines() if "cache" in line] == []
