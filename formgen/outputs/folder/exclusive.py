"""Stage `outputs`: a file put in its place whole, without ever following a link that somebody planted.

In: bytes and a path. Out: the file, a new one of our own beside until it is whole; or a refusal and nothing written. A
name beside that nobody can guess is created exclusively; putting it in place gives the name to our file and writes
through nothing.
"""

from __future__ import annotations

import os
import re
import secrets
import stat
import time
from collections.abc import Callable
from pathlib import Path

from formgen.errors import ExportError
from formgen.quoted import visible

#: Not there on every system; where it is not, the look at what was opened still refuses a link.
_NO_FOLLOW = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0)
_BINARY = getattr(os, "O_BINARY", 0)
#: A part of a file or folder that nobody touched for this long belongs to nothing that runs (s).
STALE_S = 3600.0
_PART = re.compile(r"\..+\.[0-9a-f]{16}\.part")


def put_in_place(content: bytes, target: Path, check: Callable[[bytes], None] | None = None) -> None:
    """Write a file beside its place, read it back, give it its name, and read it again.

    Args:
        content: of the file.
        target: its place; another plain file there is replaced.
        check: told what was read back, before and after; raises where that is not what was written.

    Raises:
        ExportError: the target is a link or no file, or became one.
    """
    _refuse_other_than_file(target)
    beside = target.with_name(f".{target.name}.{secrets.token_hex(8)}.part")
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _NO_FOLLOW | _BINARY, 0o666)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if check:
            check(read_plain(beside))
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
    _refuse_other_than_file(target)
    if check:
        check(read_plain(target))


def read_plain(path: Path) -> bytes:
    """Return what a plain file holds; a link is not followed, a pipe or device not waited for.

    Raises:
        ExportError: it is no plain file.
        OSError: it is not there, or cannot be read.
    """
    _refuse_other_than_plain(path, path.lstat().st_mode)  # before it is opened: a device may act on that
    with os.fdopen(os.open(path, os.O_RDONLY | _NO_FOLLOW | _BINARY), "rb") as file:
        _refuse_other_than_plain(path, os.fstat(file.fileno()).st_mode)
        return file.read()


def sweep_parts(folder: Path) -> None:
    """Remove parts of files that a killed copy left; one that still runs has written within the hour."""
    for path in folder.iterdir():
        if not _PART.fullmatch(path.name):
            continue
        held = path.lstat()
        if stat.S_ISREG(held.st_mode) and time.time() - held.st_mtime > STALE_S:
            path.unlink(missing_ok=True)


def _refuse_other_than_plain(path: Path, mode: int) -> None:
    if stat.S_ISLNK(mode):
        raise ExportError(f"{visible(path.name)}: is a link, expected a file: remove it")
    if not stat.S_ISREG(mode):
        raise ExportError(f"{visible(path.name)}: is no plain file: remove it")


def _refuse_other_than_file(target: Path) -> None:
    if target.is_symlink():
        raise ExportError(f"{target.name}: is a link, expected a file or nothing: remove it, it is not written through")
    if os.path.lexists(target) and not target.is_file():
        raise ExportError(f"{target.name}: is no file, expected a file or nothing: move it")
