"""Stage `exports`: a folder of results that is put in place whole or not at all.

In: where it goes and the record that names its files. Out: a folder to write in, which takes the old one's place when
all went well. Work that fails or is interrupted leaves the old folder whole; what formgen did not write is not deleted.
"""

from __future__ import annotations

import errno
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from formgen.errors import ExportError
from formgen.exports.exchange import exchanged
from formgen.exports.litter import LITTER
from formgen.exports.record_reader import read_record

#: A part folder that nobody touched for this long belongs to no running build (s).
STALE_S = 3600.0

_REASONS = {
    errno.ENOSPC: "the disk is full; make room and build again",
    errno.EDQUOT: "the disk quota is used up; make room and build again",
    errno.EROFS: "the disk is read-only; choose another output folder",
    errno.EACCES: "writing there is not allowed; choose another output folder or change its permissions",
    errno.EPERM: "writing there is not allowed; choose another output folder or change its permissions",
    errno.ENOTDIR: "part of the path is a file, expected folders; choose another output folder",
    errno.EEXIST: "a file has that name, expected a folder; choose another output folder",
    errno.ENAMETOOLONG: "the path is too long; choose a shorter name or another output folder",
}


@contextmanager
def whole_folder(output: Path, name: str, record: str) -> Iterator[Path]:
    """A new folder to write in; at the end it becomes `output/name`.

    Args:
        output: folder for results, made if it is not there.
        name: of the folder in it.
        record: file in the folder that names the others: by it an earlier build is known.

    Raises:
        ExportError: the folder cannot be written, or holds what formgen did not write.
    """
    target, old = output / name, output / f".{name}.old"
    part = output / f".{name}.{os.getpid()}.part"
    with plain_errors(target):
        output.mkdir(parents=True, exist_ok=True)
        _recover(target, old)
        _sweep(output, name)
        _refuse_foreign(target, record)
        try:
            shutil.rmtree(part, ignore_errors=True)
            part.mkdir()
            yield part
            _swap(part, target, old)
        finally:
            shutil.rmtree(part, ignore_errors=True)
        shutil.rmtree(old, ignore_errors=True)


def _recover(target: Path, old: Path) -> None:
    """Finish what an interrupted build left: the old folder goes back, unless the new one stands."""
    if old.is_symlink() or not old.is_dir():
        return
    if os.path.lexists(target):
        shutil.rmtree(old)
    else:
        old.rename(target)


def _sweep(output: Path, name: str) -> None:
    """Remove what builds left that were killed; one that still runs has written within the hour."""
    for part in output.glob(f".{name}.*.part"):
        if time.time() - part.lstat().st_mtime > STALE_S:
            shutil.rmtree(part, ignore_errors=True)


def _refuse_foreign(target: Path, record: str) -> None:
    """Refuse a target that holds anything but an earlier build."""
    if target.is_symlink():
        raise ExportError(f"{target.name}: is a link, expected a folder; remove it or choose another output folder")
    if not target.exists():
        return
    if not target.is_dir():
        raise ExportError(f"{target.name}: is a file, expected a folder; move it or choose another output folder")
    held = {
        p.relative_to(target).as_posix()
        for p in target.rglob("*")
        if (p.is_symlink() or not p.is_dir()) and p.name not in LITTER
    }
    if not held:
        return
    listed = _listed(target / record)
    if listed is None:
        raise ExportError(
            f"{target.name}: holds {min(held)} but no {record} of formgen, expected an earlier build "
            "or nothing; move it or choose another output folder"
        )
    beside = sorted(held - listed - {record})
    if beside:
        raise ExportError(
            f"{target.name}: holds {beside[0]}, which formgen did not write and would delete; "
            "move it elsewhere and build again"
        )


def _listed(job: Path) -> set[str] | None:
    """Files that an earlier build's record names; None if it is no record."""
    try:
        record = read_record(job)
        return set(record["files"]) if {"format", "name", "asked", "files"} <= record.keys() else None
    except (OSError, ValueError, AttributeError, TypeError):
        return None


def _swap(part: Path, target: Path, old: Path) -> None:
    """Put the new folder in place of the old: in one step, or else the old one stands aside until it is there."""
    if not target.exists():
        part.rename(target)
        return
    if exchanged(part, target):
        return
    target.rename(old)
    try:
        part.rename(target)
    except BaseException:
        if not target.exists():
            old.rename(target)
        raise


@contextmanager
def plain_errors(target: Path) -> Iterator[None]:
    """Whatever the system refuses, in one line."""
    try:
        yield
    except ExportError:
        raise
    except OSError as err:
        reason = _REASONS.get(err.errno or 0, f"{err.strerror or err}; choose another output folder")
        raise ExportError(f"{target.name}: cannot be written in the output folder: {reason}") from err
