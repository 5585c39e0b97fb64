"""Standard output and standard error as this program needs them.

Machines get UTF-8 whatever the system's encoding; people get what their terminal can show, and a plain letter for what
it cannot. Output that cannot be written is one line and an exit code; messages that nobody can read stop nothing.
While a form is made one line on standard error names the stage, gone when it is done.
"""

from __future__ import annotations

import codecs
import errno
import io
import json
import os
import re
import sys
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TextIO

import click

from formgen.errors import ExportError
from formgen.quoted import ACTS, visible

_PLAIN_ERRORS = "formgen.plain"
_PLAIN = {
    **dict(zip("×−–—′″’“”·≈±²³µ─│", 'x---\'"\'"".~+23u-|', strict=True)),
    "…": "...",
    "≤": "<=",
    "≥": ">=",
    "≠": "!=",
    "→": "->",
    "°": " deg",
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
}
_REASONS = {
    errno.EPIPE: "whoever was to read it has ended, expected it to read to the end",
    errno.EBADF: "it is closed, expected somewhere to write to",
    errno.ENOSPC: "the disk is full; make room",
}


def emit_json(record: Any, indent: int | None = 1) -> None:
    """JSON on stdout at once, in UTF-8; a name that is no UTF-8 keeps its bytes as JSON's own escapes."""
    text = json.dumps(record, indent=indent, ensure_ascii=False, allow_nan=False)
    text = ACTS.sub(lambda found: "\n" if found[0] == "\n" else f"\\u{ord(found[0]):04x}", text)
    click.echo(f"{text}\n".encode("utf-8", "backslashreplace"), nl=False)


@contextmanager
def stages(name: str) -> Iterator[Callable[[str], None]]:
    """Gives a function to be told each stage; on a terminal it keeps one line up to date, elsewhere it is silent."""
    stream = sys.stderr
    shown = stream.isatty()

    def step(stage: str) -> None:
        if shown:
            stream.write(f"\r\x1b[K{visible(name)}: {stage} …")
            stream.flush()

    try:
        yield step
    finally:
        if shown:
            stream.write("\r\x1b[K")
            stream.flush()


def open_streams() -> None:
    """Set up the streams of the program, once, before anything is said."""
    codecs.register_error(_PLAIN_ERRORS, _plainly)
    for number in range(3):
        _occupy(number)
    sys.stdout = _stream(sys.stdout, 1, _Answers)
    sys.stderr = _stream(sys.stderr, 2, _Messages)


class _Answers(io.FileIO):
    """Standard output: what cannot be written there is refused in one line."""

    def write(self, content: Any) -> int:
        """Write some of it; how many bytes that was."""
        try:
            return super().write(content)
        except OSError as err:
            reason = _REASONS.get(err.errno or 0, str(err.strerror or err))
            raise ExportError(f"standard output: cannot be written: {reason}") from err


class _Messages(io.FileIO):
    """Standard error: where nothing can be said there, the exit code says it."""

    def write(self, content: Any) -> int:
        """Write some of it; how many bytes that was, or all of them where they go nowhere."""
        try:
            return super().write(content)
        except OSError:
            return memoryview(content).nbytes


def _occupy(number: int) -> None:
    """Put something in the place of a closed stream, lest a file of ours get its number and its lines."""
    try:
        os.fstat(number)
    except OSError:
        held = os.open(os.devnull, os.O_WRONLY if number == 2 else os.O_RDONLY)  # so that writing answers is an error
        if held != number:
            os.dup2(held, number)
            os.close(held)
        os.set_inheritable(number, True)  # noqa: FBT003 -- as the system has it


def _stream(found: TextIO | None, number: int, kind: type[io.FileIO]) -> TextIO:
    """The stream with a floor of ours; a console that is no file keeps its own."""
    if found is not None and type(getattr(found.buffer, "raw", found.buffer)) is not io.FileIO:
        if isinstance(found, io.TextIOWrapper):
            found.reconfigure(errors=_PLAIN_ERRORS)
        return found
    encoding = "utf-8" if found is None else found.encoding
    floor = io.BufferedWriter(kind(number, "wb", closefd=False))
    shown = found is not None and found.isatty()
    return io.TextIOWrapper(floor, encoding, _PLAIN_ERRORS, line_buffering=shown or number == 2, write_through=True)


def _plainly(err: UnicodeError) -> tuple[str, int]:
    """Plain letters for what an encoding has not got."""
    if not isinstance(err, UnicodeEncodeError):
        raise err
    return "".join(_plain(letter) for letter in err.object[err.start : err.end]), err.end


def _plain(letter: str) -> str:
    """The letter by plain ones: as the table has it, without its accent or height, a Greek one by name; else `?`."""
    bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode()
    greek = re.match(r"GREEK (?:SMALL|CAPITAL) LETTER (\w+)", unicodedata.name(letter, ""))
    return _PLAIN.get(letter) or bare or (greek[1].lower() if greek else "?")
