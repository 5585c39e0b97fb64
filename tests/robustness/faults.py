"""What goes wrong around a build: a disk that fills at one write, and how its folder is looked at afterwards.

A system call that writes is counted; the one asked for fails as a full disk fails it, and all after it too.
"""

from __future__ import annotations

import builtins
import errno
import io
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

from tests.robustness.asking import files_in


class Disk:
    """Counts what is asked of a disk, and is full from the nth time on; None for a disk that never fills."""

    def __init__(self, full_from: int | None = None) -> None:
        self._full_from = full_from
        self.asked = 0

    def use(self, *, needs_room: bool = True) -> None:
        """One thing more is done; a rename needs no room, so that only the one that is asked for fails."""
        self.asked += 1
        if self._full_from is None:
            return
        if self.asked == self._full_from or (needs_room and self.asked > self._full_from):
            raise OSError(errno.ENOSPC, "No space left on device")


@contextmanager
def on_disk(disk: Disk) -> Iterator[None]:
    """Files opened for writing, folders made and renames go through the disk."""
    open_, io_open, mkdir, rename, replace = builtins.open, io.open, os.mkdir, os.rename, os.replace

    def opened(file: Any, mode: str = "r", *args: Any, **kwargs: Any) -> Any:
        writes = any(letter in mode for letter in "wax+")
        if writes:
            disk.use()
        stream = io_open(file, mode, *args, **kwargs)
        if writes:
            write, close = stream.write, stream.close

            def written(content: Any) -> int:
                disk.use()
                return int(write(content))

            def closed() -> None:
                close()
                disk.use()  # what was buffered reaches the disk here

            stream.write, stream.close = written, closed
        return stream

    def counted(call: Any, *, needs_room: bool = False) -> Any:
        def through(*args: Any, **kwargs: Any) -> Any:
            disk.use(needs_room=needs_room)
            return call(*args, **kwargs)

        return through

    with (
        patch.object(builtins, "open", opened),
        patch.object(io, "open", opened),
        patch.object(os, "mkdir", counted(mkdir, needs_room=True)),
        patch.object(os, "rename", counted(rename)),
        patch.object(os, "replace", counted(replace)),
    ):
        yield
    assert builtins.open is open_


def state(folder: Path) -> dict[str, bytes]:
    """The files of a result, without what an interrupted run left beside it."""
    return {name: raw for name, raw in files_in(folder).items() if not name.startswith(".")}


def emptied(folder: Path) -> Path:
    """The folder, made anew."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder
