"""`formgen new` as a person meets it: questions at a terminal, options, and the plain starting recipe elsewhere."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.answers import answers
from formgen.cli import main
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

#: What a joiner answers, in the order of the questions, of a segmental head.
HEAD = {
    "units": "mm", "lies": "1", "arch": "segmental", "face": "1", "span": "915", "rise": "152", "legs": "0",
    "depth": "140", "thickness": "44", "wood": "white oak", "way": "1",
}  # fmt: skip


def dialogue(folder: Path, answers: Mapping[str, str], monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    """What the command ends with and what it says, with answers typed one after another."""
    monkeypatch.setattr("formgen.cli.new.command.at_a_terminal", lambda: True)
    typed = "".join(f"{line}\n" for answer in answers.values() for line in answer.split("\n"))
    done = CliRunner().invoke(main, ["new", "head", "--to", str(folder)], input=typed)
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    assert done.stdout == ""
    return done.exit_code, done.stderr


def test_what_is_answered_is_written_and_checks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code, said = dialogue(tmp_path, HEAD, monkeypatch)
    assert code == 0
    asked = load_recipe(tmp_path / "head.yaml").asked
    assert (asked.part.arch.span_mm, asked.part.arch.rise_mm) == (915.0, 152.0)  # type: ignore[union-attr]
    assert (asked.part.depth_mm, asked.laminate.thickness_mm, asked.laminate.wood) == (140.0, 44.0, "white oak")
    form = run(load_recipe(tmp_path / "head.yaml"))
    for _, text in list(answers(form).rows())[:3]:  # plies, spring-back and form, as `check` says them
        assert text in said


@pytest.mark.parametrize(
    ("question", "wrong", "sentence"),
    [
        ("units", "cm", 'units = "cm", expected in or mm'),
        ("units", "7", "7, expected a number from 1 to 2, or a name"),
        ("lies", "upside", "upside, expected one of those above"),
        ("arch", "segmentl", 'part.arch.kind = "segmentl", expected'),
        ("arch", "points", "points, expected one of those above"),
        ("face", "top", 'part.measured_on = "top", expected inside, outside or centre'),
        ("span", "-4", 'part.arch.span = "-4", expected a length above 0'),
        ("span", "wide", 'part.arch.span = "wide", expected a length such as'),
        ("rise", "600", "part.arch.rise = 600.00 mm (23 5/8 in), expected under half the span"),
        ("legs", "-1", 'part.legs = "-1", expected a length of 0 or more'),
        ("depth", "deep", 'part.depth = "deep", expected a length'),
        ("thickness", "0", 'laminate.thickness = "0", expected a length above 0'),
        ("wood", "white oke", 'laminate.wood = "white oke", expected the name of a wood'),
        ("wood", "{oak", 'laminate.wood = "{oak", expected brackets that close'),
        ("way", "bagged", 'press.way = "bagged", expected part-bagged, form-bagged or clamped'),
    ],
)
def test_a_wrong_answer_is_asked_again_with_the_check_s_own_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, question: str, wrong: str, sentence: str
) -> None:
    code, said = dialogue(tmp_path, HEAD | {question: f"{wrong}\n{HEAD[question]}"}, monkeypatch)
    assert code == 0
    assert sentence in said
    right = tmp_path / "right"
    assert dialogue(right, HEAD, monkeypatch)[0] == 0
    assert (tmp_path / "head.yaml").read_bytes() == (right / "head.yaml").read_bytes()


def test_legs_under_an_arch_that_springs_at_an_angle_are_asked_how_they_stand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    code, said = dialogue(tmp_path, HEAD | {"legs": "100\n2"}, monkeypatch)
    assert code == 0
    assert "It springs at an angle." in said
    legs = load_recipe(tmp_path / "head.yaml").asked.part.legs
    assert (legs.length_mm, legs.run) == (100.0, "tangent")  # type: ignore[union-attr]


def test_a_part_that_is_refused_is_asked_for_again_from_the_arch_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A thickness of which no ply bends: the program's sentence, then the sizes again with the answers kept."""
    tight = HEAD | {"span": "60", "rise": "28", "thickness": "20"}
    again = {f"{key} again": value for key, value in HEAD.items() if key not in {"units", "lies"}}
    code, said = dialogue(tmp_path, tight | again, monkeypatch)
    assert code == 0
    assert "no ply of it bends" in said
    assert load_recipe(tmp_path / "head.yaml").asked.part.arch.span_mm == 915.0  # type: ignore[union-attr]


def test_a_casing_is_asked_for_as_it_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code, said = dialogue(tmp_path, HEAD | {"lies": "casing", "depth": "19", "thickness": "90"}, monkeypatch)
    assert code == 0
    assert "How far it stands off the wall" in said
    assert "Width of its face" in said
    asked = load_recipe(tmp_path / "head.yaml").asked
    assert (asked.part.depth_mm, asked.laminate.thickness_mm) == (19.0, 90.0)
    text = (tmp_path / "head.yaml").read_text(encoding="utf-8")
    assert "# A casing: it lies flat on the wall" in text


def test_who_stops_answering_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code, said = dialogue(tmp_path, {key: HEAD[key] for key in ("units", "lies", "arch")}, monkeypatch)
    assert code == 130
    assert said.splitlines()[-1]
    assert list(tmp_path.iterdir()) == []


def test_a_name_that_is_taken_is_said_before_anybody_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "head.yaml").write_text("mine", encoding="utf-8")
    code, said = dialogue(tmp_path, HEAD, monkeypatch)
    assert code == 4
    assert "exists already" in said
    assert "Units" not in said
    assert (tmp_path / "head.yaml").read_text(encoding="utf-8") == "mine"


def test_the_shop_s_own_wood_is_among_the_choices(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wood = "{modulus: 11 GPa, strength: 90 MPa, source: own test}"
    (tmp_path / "shop.yaml").write_text(f"{{format: 1, woods: {{yard oak: {wood}}}}}", encoding="utf-8")
    code, said = dialogue(tmp_path, HEAD | {"wood": "1"}, monkeypatch)
    assert code == 0
    assert "1  yard oak" in said
    assert load_recipe(tmp_path / "head.yaml").asked.laminate.wood == "yard oak"


OPTIONS = (
    "--arch", "segmental", "--span", "36", "--rise", "6", "--measured-on", "inside", "--depth", "5 1/4",
    "--thickness", "1", "--wood", "white oak", "--way", "part-bagged", "--lies", "liner",
)  # fmt: skip


def _run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, list(words), input="")
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    assert done.stdout == ""
    return done.exit_code, done.stderr


def test_with_options_nothing_is_asked(tmp_path: Path) -> None:
    code, said = _run("new", "head", "--to", str(tmp_path), *OPTIONS)
    assert code == 0
    assert "?" not in said
    asked = load_recipe(tmp_path / "head.yaml").asked
    assert asked.part.depth_mm == pytest.approx(133.35)
    assert asked.part.arch.rise_mm == pytest.approx(152.4)  # type: ignore[union-attr]
    assert len((tmp_path / "head.yaml").read_text(encoding="utf-8").splitlines()) <= 40


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--depth", "deep"), '--depth = "deep", expected a length'),
        (("--wood", "oke"), '--wood = "oke", expected the name of a wood'),
        (("--rise", "30"), "--rise = 762.00 mm (30 in), expected under half the span"),
        (("--legs", "6"), "--legs = 6 in, expected {length: 6 in, run: plumb}"),
        (("--arch", "segmentl"), '--arch = "segmentl", expected'),
    ],
)
def test_an_option_is_refused_with_the_check_s_own_sentence(
    tmp_path: Path, words: tuple[str, str], sentence: str
) -> None:
    code, said = _run("new", "head", "--to", str(tmp_path / "to"), *OPTIONS, *words)
    assert code == 1
    assert said.startswith(sentence)
    assert not (tmp_path / "to").exists()


def test_all_that_is_missing_is_said(tmp_path: Path) -> None:
    code, said = _run("new", "head", "--to", str(tmp_path), "--arch", "semicircle", "--span", "36")
    assert code == 1
    assert [line.split()[0] for line in said.splitlines()] == ["--depth", "--thickness", "--wood"]


def test_without_a_terminal_nothing_waits_for_an_answer(tmp_path: Path) -> None:
    assert _run("new", "head", "--to", str(tmp_path))[0] == 0
    assert "invented" in (tmp_path / "head.yaml").read_text(encoding="utf-8")
    assert _run("new")[0] == 2


@pytest.mark.skipif(sys.platform == "win32", reason="a pty is a Unix thing")
def test_a_real_terminal_is_asked(tmp_path: Path) -> None:
    """One dialogue through a pty, with the name asked for too, and a Ctrl-C in another."""
    code, said = _played(tmp_path, ["porch", *HEAD.values()])
    assert code == 0
    assert "Which way does it lie?" in said
    assert load_recipe(tmp_path / "porch.yaml").asked.part.arch.kind == "segmental"
    code, _ = _played(tmp_path, ["other", "mm", "1", "\x03"])
    assert code == 130
    assert [path.name for path in tmp_path.iterdir()] == ["porch.yaml"]


def _played(folder: Path, answers: list[str]) -> tuple[int, str]:
    """Type an answer whenever a prompt waits for one; the exit code and all that was shown."""
    import pty
    import select

    child, terminal = pty.fork()
    if child == 0:
        os.chdir(folder)
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # a shell's background job ignores it
        os.execv(sys.executable, [sys.executable, "-m", "formgen", "new"])  # noqa: S606 -- the program itself
    said, left, until = b"", list(answers), time.monotonic() + 120.0
    while time.monotonic() < until:
        ready, _, _ = select.select([terminal], [], [], 0.2)
        if ready:
            try:
                read = os.read(terminal, 65536)
            except OSError:  # the other end is closed
                break
            if not read:
                break
            said += read
        elif left and re.search(rb"[]a-z)]: $", said):
            answer = left.pop(0)
            os.write(terminal, answer.encode() if answer == "\x03" else f"{answer}\n".encode())
    else:
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), said.decode()
