"""Stage `outputs`: what lies in a finished folder, looked at without following a link.

In: a folder and the names that should be there. Out: one line for each thing that should not, and what a desktop left.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Collection, Iterator
from pathlib import Path, PurePosixPath

from formgen.outputs.folder.litter import LITTER
from formgen.quoted import escaped


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
