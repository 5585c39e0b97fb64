"""Stage `outputs`: a folder of files read again and held against the model that they were made from.

In: a folder and its `Form`. Out: one line for each difference, beginning with the file's name; none means good.
Every file is compared twice: byte for byte with the job record, and by what it holds with the model.
What lies in the folder is looked at without following a link. Made again, text is the same text when only the last
digits of fractions differ, as they may between two processors; a mesh when no corner moved further than its rounding.
"""

from __future__ import annotations

import math
import os
import re
import stat
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.outputs.folder.exclusive import read_plain
from formgen.outputs.folder.names import JOB_FILE
from formgen.outputs.folder.whole import LITTER
from formgen.outputs.record.check import file_lines, other_versions, record_lines, version_lines
from formgen.outputs.record.job import PACKAGES, fingerprint_of
from formgen.outputs.record.reader import RecordError, read_record
from formgen.outputs.stl.writer import HEAD_BYTES, RECORD, ROUNDING_MM
from formgen.outputs.table import Output, names_of, outputs_with, plain
from formgen.quoted import escaped

#: Fractions of two texts agree to this share, or to this many of their units.
SHARE = 1e-9
#: A fraction as every writer of ours writes it; a hash or a version holds none.
_FRACTION = re.compile(rb"(?<![\w.])[-+]?\d+\.\d*(?:[eE][-+]?\d+)?(?![\w.])")


def foreign(folder: Path, wanted: Collection[str]) -> Iterator[str]:
    """Links, folders, devices and files that are not the wanted files.

    Args:
        folder: to look in.
        wanted: names of files, with forward slashes.
    """
    folders = {str(parent) for name in wanted for parent in PurePosixPath(name).parents}
    for path in _below(folder):
        name, mode = path.relative_to(folder).as_posix(), path.lstat().st_mode
        if stat.S_ISLNK(mode):
            yield f"{escaped(name)}: is a link, expected files and folders alone: remove it"
        elif stat.S_ISDIR(mode):
            if name not in folders:
                yield f"{escaped(name)}: is a folder that was not made by this build: move it elsewhere"
        elif not stat.S_ISREG(mode):
            yield f"{escaped(name)}: is no plain file: remove it"
        elif name not in wanted and path.name not in LITTER:
            yield f"{escaped(name)}: was not written by this build: move it elsewhere"


def left_by_a_desktop(folder: Path, wanted: Collection[str]) -> Iterator[str]:
    """Files with the names of those that a desktop leaves in any folder: nobody can say what they hold."""
    for path in _below(folder):
        name = path.relative_to(folder).as_posix()
        if path.name in LITTER and name not in wanted and stat.S_ISREG(path.lstat().st_mode):
            yield f"{escaped(name)}: has the name of a desktop's own file, and nobody can say what it holds: delete it"


def _below(folder: Path) -> Iterator[Path]:
    """Everything below a folder, sorted; links to folders are not entered."""
    for entry in sorted(os.scandir(folder), key=lambda e: e.name):
        path = Path(entry.path)
        yield path
        if entry.is_dir(follow_symlinks=False):
            yield from _below(path)


@fixed
class Verified:
    """The result of holding a finished folder against its model.

    Args:
        differences: one line for each, beginning with the file's name.
        not_compared: one line for each thing of which nobody can say that it is what the model gives: the folder agrees
            as far as it was compared.
    """

    differences: tuple[str, ...]
    not_compared: tuple[str, ...] = ()


def verify(folder: Path, form: Holding, pages: Sequence[Output] = ()) -> Verified:
    """Hold a folder against the form that it should be: what lies in it, its record, and every file twice.

    A file is read by its reader, and made again and compared byte for byte. Where other versions of the libraries wrote
    it, bytes may differ though the reader finds nothing: then it was not compared.

    Args:
        folder: holds `job.json` and what it names.
        form: the model, just made or made again from the record (`recipe_from_job`).
        pages: that were written with it.
    """
    record = _read(folder)
    if isinstance(record, str):
        return Verified(differences=(record,))
    outputs = outputs_with(pages)
    found = record_differences(folder, form, outputs)
    wanted = set(names_of(outputs, form))
    held = {name: content for name in sorted(wanted) if (content := _held(folder, name)) is not None}
    versions = () if list(version_lines(record.get("versions"), set(PACKAGES))) else other_versions(record["versions"])
    left = [f"{JOB_FILE}: versions: made by {versions}"] if versions else []
    checks = {name: output.check for output in outputs for name in output.names(form)}
    for name, made in made_again(form, outputs, held):
        if name not in held:
            continue  # told by the record
        lines = [f"{name}: {line}" for line in checks[name](folder / name, name, form)]
        if not lines and not holds_the_same(name, held[name], made):
            if versions:
                left.append(f"{name}: was written by other versions and is not, byte for byte, what these would write")
            else:
                lines = [f"{name}: is not what the model gives: build again"]
        found += lines
    left += left_by_a_desktop(folder, {*wanted, JOB_FILE})
    return Verified(differences=tuple(found), not_compared=tuple(left))


def record_differences(folder: Path, form: Holding, outputs: Sequence[Output]) -> list[str]:
    """Differences of the job record, and of each file from what the record says of its bytes."""
    record = _read(folder)
    if isinstance(record, str):
        return [record]
    wanted = set(names_of(outputs, form))
    lines = [*record_lines(record, form), *file_lines(record["files"])]
    return [*(f"{JOB_FILE}: {line}" for line in lines), *_bytes(folder, record["files"], wanted)]


def _read(folder: Path) -> dict[str, Any] | str:
    """The job record, or what is wrong with it."""
    try:
        record = read_record(folder / JOB_FILE)
    except FileNotFoundError:
        return f"{JOB_FILE}: is missing: build again"
    except (OSError, RecordError) as err:
        return f"{JOB_FILE}: cannot be read ({err}): build again"
    if not isinstance(record.get("files"), dict):
        return f"{JOB_FILE}: names no files, expected a record of formgen: build again"
    return record


def _held(folder: Path, name: str) -> bytes | None:
    """Return what a file of the folder holds; None for no file, or one that a link leads to."""
    folders = [folder / parent for parent in Path(name).parents if parent != Path()]
    if any(parent.is_symlink() for parent in folders):
        return None
    try:
        return read_plain(folder / name)
    except OSError:
        return None


def content_differences(folder: Path, form: Holding, outputs: Sequence[Output]) -> list[str]:
    """Differences of what files hold; of one that is missing none, which the record tells."""
    return [
        f"{name}: {line}"
        for output in outputs
        for name in output.names(form)
        if (folder / name).is_file()
        for line in output.check(folder / name, name, form)
    ]


def _bytes(folder: Path, listed: dict[str, Any], wanted: set[str]) -> Iterator[str]:
    """Files that are missing, changed or there beside."""
    for name in sorted(wanted | listed.keys()):
        held = _held(folder, name) if name in wanted else None
        if name not in wanted:
            yield f"{escaped(name)}: is in {JOB_FILE}, but this form has no such file: build again"
        elif held is None:
            yield f"{name}: is missing: build again"
        elif name not in listed:
            yield f"{name}: is not in {JOB_FILE}: build again"
        else:
            now = fingerprint_of(held)
            if now != listed[name]:
                yield (
                    f"{name}: was changed after it was written: {now['bytes']} bytes with SHA-256 "
                    f"{now['sha256'][:12]}…, not those in {JOB_FILE}: build again"
                )
    yield from foreign(folder, {*wanted, JOB_FILE})


def made_again(form: Holding, outputs: Sequence[Output], held: Mapping[str, bytes]) -> Iterator[tuple[str, bytes]]:
    """All files as they would be written now; one that tells the hashes of all others is told those that are there.

    Args:
        form: the model.
        outputs: that were written for it.
        held: what is in the folder, by name.
    """
    order = names_of(plain(outputs), form)
    files = {name: fingerprint_of(held[name]) for name in order if name in held}
    for output in outputs:
        if output.lists_files and len(files) < len(order):
            continue  # a file is missing, which is told; what this page says of it cannot be known
        with TemporaryDirectory() as folder:
            output.write(form, Path(folder), files if output.lists_files else {})
            yield from ((name, (Path(folder) / name).read_bytes()) for name in output.names(form))


def holds_the_same(name: str, held: bytes, made: bytes) -> bool:
    """Tell whether a file holds what was made: each byte, but for last digits."""
    if held == made:
        return True
    if name.endswith(".stl"):
        return _same_mesh(held, made)
    return not name.endswith(".pdf") and _same_text(held, made)


def _same_text(held: bytes, made: bytes) -> bool:
    if _FRACTION.split(held) != _FRACTION.split(made):
        return False
    pairs = zip(_FRACTION.findall(held), _FRACTION.findall(made), strict=True)
    return all(math.isclose(float(a), float(b), rel_tol=SHARE, abs_tol=SHARE) for a, b in pairs if a != b)


def _same_mesh(held: bytes, made: bytes) -> bool:
    if len(held) != len(made) or held[:HEAD_BYTES] != made[:HEAD_BYTES]:
        return False
    a, b = (np.frombuffer(content, dtype=RECORD, offset=HEAD_BYTES) for content in (held, made))
    return bool(
        np.array_equal(a["spare"], b["spare"])
        and all((np.abs(a[of] - b[of]) <= ROUNDING_MM).all() for of in ("normal", "corners"))
    )
