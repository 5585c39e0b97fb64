"""Asks the program as a user does, in this process, and holds its answer against what it promises.

No traceback; a refusal is one line for each mistake, each begins with the file that it is about and holds no control or
right-to-left character; a refused recipe leaves no file behind.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from click.testing import CliRunner

from formgen.cli import main
from tests.here import opened_here

#: `file.yaml: …`, `file.yaml:3:7: …`, `openings.csv: row 2, …`: where a line says that the mistake is.
PLACE = re.compile(r"[^:\s][^:]*:(?:\d+:\d+:)? ?\S")
#: No line that a shop can read is longer.
LONGEST_LINE = 900
#: How a schedule was read is said in no more lines, and none is wider.
LONGEST_READING, SCREEN = 60, 80
#: Done, refused, differs, not written, agrees as far as compared.
CODES = (0, 1, 3, 4, 5)


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What a command said: its exit code, and its lines on stdout and stderr."""

    code: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        """Lines on stderr, split where a terminal would."""
        return self.err.split("\n")[:-1]


def ask(*words: str | Path) -> Answer:
    """Run a command; AssertionError where it breaks a promise. No process is begun, for the kernel or for jobs."""
    with (
        patch("formgen.outputs.step.kernel.warm_kernel", lambda: nullcontext(None)),
        patch("formgen.building.running.engine.Kept", opened_here),
    ):
        done = CliRunner().invoke(main, [str(word) for word in words])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise AssertionError(f"a traceback: {done.exception!r}") from done.exception
    answer = Answer(code=done.exit_code, out=done.stdout, err=done.stderr)
    assert "Traceback" not in answer.out + answer.err
    assert answer.code in CODES, answer.err
    if answer.code:
        _hold_lines(_without_reading(answer.lines))
    return answer


def _without_reading(lines: list[str]) -> list[str]:
    """The lines without how a batch says first that it read its schedule: on a screen, and ended by an empty line."""
    if not lines or not lines[0].startswith("Read "):
        return lines
    end = len(lines) - 1 - lines[::-1].index("")  # an empty one stands before its table as well
    assert end <= LONGEST_READING, lines[: end + 1]
    for line in lines[:end]:
        assert len(line) <= SCREEN, f"{len(line)} characters: {line}"
        assert line.isprintable(), f"not printable: {line!r}"
    return lines[end + 1 :]


def _hold_lines(lines: list[str]) -> None:
    """Lines of a refusal, each with its place; below an empty one what a screen shows beside them: names in columns."""
    assert lines, "refused without a word"
    end = lines.index("") if "" in lines else len(lines)
    for line in lines[end:]:
        assert line.isprintable(), f"not printable: {line!r}"
        assert len(line) <= SCREEN, f"{len(line)} characters: {line}"
    for line in lines[:end]:
        assert line.isprintable(), f"not printable: {line!r}"
        assert len(line) <= LONGEST_LINE, f"{len(line)} characters: {line[:200]}"
        assert PLACE.match(line), f"says no place: {line[:200]}"


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its name there."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def check_recipe(recipe: Path) -> Answer:
    """`check` a recipe; one that is refused is refused by `build` with the same lines, and no file appears."""
    answer = ask("check", recipe)
    if answer.code:
        assert answer.code == 1
        assert not answer.out
        output = recipe.parent / "output"
        built = ask("build", recipe, "--output", output)
        assert (built.code, built.err) == (1, answer.err)
        assert not output.exists(), files_in(output)
    return answer


def written(folder: Path, content: str | bytes, name: str = "r.yaml") -> Path:
    """A file with that content; lone surrogates are written as their bytes."""
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
    return path


class Typed(str):
    """A text that stands in YAML as it was typed, without quotes of ours."""

    __slots__ = ()


def flow(value: object) -> str:
    """Plain data as YAML in one line."""
    if isinstance(value, Typed):
        return str(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {flow(held)}" for key, held in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(flow(held) for held in value) + "]"
    return json.dumps(value, ensure_ascii=False)


def put(data: object, path: Iterable[str | int], value: object) -> object:
    """Plain data with another value at a path; tables on the way are made."""
    first, *rest = path
    held = list(data) if isinstance(data, list) else dict(data) if isinstance(data, dict) else {}
    inner = held[first] if isinstance(held, list) or first in held else {}  # type: ignore[index,call-overload]
    held[first] = put(inner, rest, value) if rest else value  # type: ignore[index,call-overload]
    return held
