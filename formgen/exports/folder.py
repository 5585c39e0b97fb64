"""Stage `exports`: all files of a form, written beside the old ones and put in their place when they are proved good.

In: a `Form` and the folder for results. Out: the form's own folder in it. A build that fails or is interrupted leaves
the old folder whole.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from formgen.errors import ExportError, VerifyError
from formgen.exports.dxf import write_layer, write_stack
from formgen.exports.job import job_record, write_job
from formgen.exports.kernel import Kernel, begun
from formgen.exports.names import (
    JOB_FILE,
    PICTURE_FILE,
    STACK_FILE,
    STEP_FILE,
    STL_FILE,
    all_files,
    drawings,
    layer_file,
)
from formgen.exports.readback import LITTER, content_differences, record_differences
from formgen.exports.step import write_step
from formgen.exports.stl import write_stl
from formgen.exports.svg import write_svg
from formgen.form.model import Form

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


def write_all(
    form: Form, output: Path, progress: Callable[[str], None] | None = None, kernel: Kernel | None = None
) -> Path:
    """Write the files of a form, read them again, and put them in place.

    Args:
        form: the model.
        output: folder for results; the form gets `output/<name>`.
        progress: told the name of each file as it is begun, and `reading back`.
        kernel: where the solids are made (`warm_kernel`); None makes them here.

    Returns:
        The form's folder.

    Raises:
        ExportError: the folder cannot be written, or holds what formgen did not write.
        VerifyError: what was written is not what the model says.
    """
    tell = progress or _silent
    name = form.pressing.laminate.arch.recipe.asked.name
    target, old = output / name, output / f".{name}.old"
    part = output / f".{name}.{os.getpid()}.part"
    with _plain_errors(target):
        output.mkdir(parents=True, exist_ok=True)
        _recover(target, old)
        _sweep(output, name)
        _refuse_foreign(target)
        try:
            shutil.rmtree(part, ignore_errors=True)
            part.mkdir()
            found = _write(form, part, tell, kernel)
            if found:
                raise VerifyError(*found)
            _swap(part, target, old)
        finally:
            shutil.rmtree(part, ignore_errors=True)
        shutil.rmtree(old, ignore_errors=True)
    return target


def _write(form: Form, folder: Path, progress: Callable[[str], None], kernel: Kernel | None) -> list[str]:
    """Write every file and read it again; the differences. What needs no solids is done while the kernel is at work."""
    step = begun(kernel, _step, form, folder)
    progress(STL_FILE)
    write_stl(form, folder / STL_FILE)
    for layer in form.layers:
        progress(layer_file(layer))
        path = folder / layer_file(layer)
        path.parent.mkdir(exist_ok=True)
        write_layer(form, layer, path)
    progress(STACK_FILE)
    write_stack(form, folder / STACK_FILE)
    progress(PICTURE_FILE)
    write_svg(form, folder / PICTURE_FILE)
    _keep_drawings(form, folder)
    progress("reading back")
    found = [line for name in all_files(form) if name != STEP_FILE for line in content_differences(folder, name, form)]
    progress(STEP_FILE)
    found += step()
    progress(JOB_FILE)
    write_job(job_record(form), all_files(form), folder / JOB_FILE)
    return found + record_differences(folder, form)


def _step(form: Form, folder: Path) -> list[str]:
    """Write the solids and read them again: a task for the kernel's process."""
    write_step(form, folder / STEP_FILE)
    return content_differences(folder, STEP_FILE, form)


def _keep_drawings(form: Form, folder: Path) -> None:
    """Copies of the drawings that the recipe was made from."""
    for name in drawings(form):
        path = folder / name
        if path.exists():
            raise ExportError(
                f"part.arch.file = {name} has the name of a file that is written, expected another: rename it"
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes((form.pressing.laminate.arch.recipe.folder / name).read_bytes())


def _recover(target: Path, old: Path) -> None:
    """Finish what an interrupted build left: the old folder goes back, unless the new one stands."""
    if not old.is_dir():
        return
    if os.path.lexists(target):
        shutil.rmtree(old)
    else:
        old.rename(target)


def _sweep(output: Path, name: str) -> None:
    """Remove what builds left that were killed; one that still runs has written within the hour."""
    for part in output.glob(f".{name}.*.part"):
        if time.time() - part.stat().st_mtime > STALE_S:
            shutil.rmtree(part, ignore_errors=True)


def _silent(_name: str) -> None:
    """Progress that nobody asked for."""


def _refuse_foreign(target: Path) -> None:
    """Refuse a target that holds anything but an earlier build."""
    if target.is_symlink():
        raise ExportError(f"{target.name}: is a link, expected a folder; remove it or choose another output folder")
    if not target.exists():
        return
    if not target.is_dir():
        raise ExportError(f"{target.name}: is a file, expected a folder; move it or choose another output folder")
    held = {p.relative_to(target).as_posix() for p in target.rglob("*") if not p.is_dir() and p.name not in LITTER}
    if not held:
        return
    listed = _listed(target / JOB_FILE)
    if listed is None:
        raise ExportError(
            f"{target.name}: holds {min(held)} but no {JOB_FILE} of formgen, expected an earlier build "
            "or nothing; move it or choose another output folder"
        )
    beside = sorted(held - listed - {JOB_FILE})
    if beside:
        raise ExportError(
            f"{target.name}: holds {beside[0]}, which formgen did not write and would delete; "
            "move it elsewhere and build again"
        )


def _listed(job: Path) -> set[str] | None:
    """Files that an earlier build's record names; None if it is no record."""
    try:
        record = json.loads(job.read_text(encoding="utf-8"))
        return set(record["files"]) if {"format", "name", "asked", "files"} <= record.keys() else None
    except (OSError, ValueError, AttributeError, TypeError):
        return None


def _swap(part: Path, target: Path, old: Path) -> None:
    """Put the new folder in place; the old one stands aside until it is there."""
    if not target.exists():
        part.rename(target)
        return
    target.rename(old)
    try:
        part.rename(target)
    except BaseException:
        if not target.exists():
            old.rename(target)
        raise


@contextmanager
def _plain_errors(target: Path) -> Iterator[None]:
    """Whatever the system refuses, in one line."""
    try:
        yield
    except ExportError:
        raise
    except OSError as err:
        reason = _REASONS.get(err.errno or 0, f"{err.strerror or err}; choose another output folder")
        raise ExportError(f"{target.name}: cannot be written in the output folder: {reason}") from err
