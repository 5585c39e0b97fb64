"""Stage `outputs`: a folder of results that is put in place whole or not at all.

In: where it goes and the record that names its files. Out: a folder to write in, which takes the old one's place when
all went well. Work that fails or is interrupted leaves the old folder whole; what formgen did not write is not deleted.
Where the system can, two folders change places in one step, so that no moment is without either.
"""

from __future__ import annotations

import ctypes
import errno
import os
import re
import shutil
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from formgen.errors import ExportError
from formgen.outputs.folder.exclusive import STALE_S
from formgen.outputs.record.reader import read_record
from formgen.quoted import escaped
from formgen.stopping import put_away_first

#: Files that a desktop leaves in any folder: never in the way of a build, never passed over unsaid.
LITTER = ("Thumbs.db", "desktop.ini", ".DS_Store")


_HERE, _EXCHANGE, _SWAP = -100, 2, 2


def exchanged(one: Path, other: Path) -> bool:
    """Change two folders' places; False where this system or disk cannot do it in one step.

    Reference:
        Linux: renameat2(2) with RENAME_EXCHANGE. macOS: renamex_np(2) with RENAME_SWAP.
    """
    a, b = os.fsencode(one), os.fsencode(other)
    try:
        libc = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            return bool(libc.renamex_np(a, b, _SWAP) == 0)
        return bool(libc.renameat2(_HERE, a, _HERE, b, _EXCHANGE) == 0)
    except (AttributeError, OSError, TypeError):  # a library without it; on Windows none to be asked
        return False


#: Parts of folders, by the process that writes them, and of files.
_PART = re.compile(r"\..+\.([0-9a-f]+)\.part")

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
    refuse_unnameable(output)

    def put_away() -> None:
        _remove(part)
        _recover(target, old)

    with put_away_first(put_away), plain_errors(target):
        output.mkdir(parents=True, exist_ok=True)
        _recover(target, old)
        sweep(output)
        _refuse_foreign(target, record)
        held = None
        try:
            _remove(part)
            part.mkdir()
            held = _held(part)
            yield part
            _swap(part, target, old)
        finally:
            _remove(part)
            if held is not None:
                os.close(held)
        _remove(old)


def _recover(target: Path, old: Path) -> None:
    """Finish what an interrupted build left: the old folder goes back, unless the new one stands."""
    if old.is_symlink() or not old.is_dir():
        return
    if os.path.lexists(target):
        shutil.rmtree(old)
    else:
        old.rename(target)


def sweep(output: Path) -> None:
    """Remove what runs left that were killed: their folders at once, parts of files when an hour has gone by."""
    if not output.is_dir():
        return
    for part in output.iterdir():
        match = _PART.fullmatch(part.name)
        if not match:
            continue
        with suppress(OSError):  # another run was quicker
            kind = part.lstat()
            old = time.time() - kind.st_mtime > STALE_S
            if stat.S_ISDIR(kind.st_mode) and (old or (not _runs(match[1]) and _is_free(part))):
                _remove(part)
            elif stat.S_ISREG(kind.st_mode) and old:
                part.unlink()


def _remove(folder: Path) -> None:
    """Remove a folder, also if told to stop meanwhile, or if another process of this build still writes in it."""
    try:
        for _ in range(20):
            shutil.rmtree(folder, ignore_errors=True)
            if not os.path.lexists(folder):
                return
            time.sleep(0.01)
    except KeyboardInterrupt:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def _runs(process: str) -> bool:
    """Tell whether a process of that number runs on this machine; yes where that cannot be asked."""
    if os.name == "nt" or not process.isdecimal():
        return True
    try:
        os.kill(int(process), 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return not _is_dead(process)


def _is_dead(process: str) -> bool:
    """Tell whether a process that still has its number has ended, and nobody has asked how (Linux)."""
    try:
        told = Path(f"/proc/{process}/stat").read_text(encoding="ascii", errors="replace")
        return told.rpartition(")")[2].split()[0] == "Z"
    except (OSError, IndexError):
        return False


def _held(part: Path) -> int | None:
    """A part held by this process as long as it lives, so that another container does not take it for left over.

    Returns:
        What is to be closed to let it go; None where folders cannot be held: there the age tells.
    """
    try:
        import fcntl

        descriptor = os.open(part, os.O_RDONLY)
    except (ImportError, OSError):
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:  # held by another, or a disk that knows no locks
        os.close(descriptor)
        return None
    return descriptor


def _is_free(part: Path) -> bool:
    """Tell whether nobody holds a part; no where that cannot be asked."""
    descriptor = _held(part)
    if descriptor is None:
        return False
    os.close(descriptor)
    return True


def refuse_unnameable(folder: Path) -> None:
    """Refuse a folder whose name is no text: the solid kernel cannot write or read there."""
    try:
        str(folder).encode()
    except UnicodeEncodeError as err:
        raise ExportError(
            f"{escaped(folder)}: the folder's name is not UTF-8, expected letters of it: choose or give it another"
        ) from err


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
            f"{target.name}: holds {escaped(min(held))} but no {record} of formgen, expected an earlier build "
            "or nothing; move it or choose another output folder"
        )
    beside = sorted(held - listed - {record})
    if beside:
        raise ExportError(
            f"{target.name}: holds {escaped(beside[0])}, which formgen did not write and would delete; "
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
