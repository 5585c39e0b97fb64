"""Tricks with what lies in the folder."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

from tests.robustness.tampering.kit import PARTLY, RECORD, UNREAD, Trick

LAYER = "layers/layer-01.dxf"


def linked(name: str) -> Callable[[Path], None]:
    """A file or folder goes elsewhere, and a link leads to it: what it holds is the same, for now."""

    def does(folder: Path) -> None:
        elsewhere = folder.with_name("elsewhere")
        (folder / name).rename(elsewhere)
        (folder / name).symlink_to(elsewhere, target_is_directory=elsewhere.is_dir())

    return does


def more(name: str, content: bytes = b"MZ payload") -> Callable[[Path], None]:
    """A file more."""
    return lambda folder: _written(folder / name, content)


def _written(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def _pipe(folder: Path) -> None:
    (folder / LAYER).unlink()
    os.mkfifo(folder / LAYER)


def _folder_for_file(folder: Path) -> None:
    (folder / LAYER).unlink()
    (folder / LAYER).mkdir()


def _bytes_name(folder: Path) -> None:
    with open(os.fsencode(folder) + b"/\xff\xfe.dxf", "wb"):  # noqa: PTH123 -- a name that is no text
        pass


FOLDERS = (
    Trick("a file is a link", linked(LAYER), says="is a link"),
    Trick("the folder of layers is a link", linked("layers"), says="is a link"),
    Trick("a page is a link", linked("report.html"), says="is a link"),
    Trick("the record is a link", linked(RECORD), UNREAD, "is a link"),
    Trick("a link to nowhere", lambda folder: (folder / "form.gcode").symlink_to(folder / "nowhere")),
    Trick("a link to a folder", lambda folder: (folder / "more").symlink_to("/")),
    Trick("a link named Thumbs.db", lambda folder: (folder / "Thumbs.db").symlink_to("/etc/passwd"), says="is a link"),
    Trick("a payload named Thumbs.db", more("Thumbs.db"), PARTLY, "Thumbs.db"),
    Trick("a payload named desktop.ini", more("desktop.ini"), PARTLY, "desktop.ini"),
    Trick("a payload named .DS_Store among the layers", more("layers/.DS_Store"), PARTLY, "layers/.DS_Store"),
    Trick("a folder named Thumbs.db", more("Thumbs.db/x"), says="is a folder"),
    Trick("an empty folder more", lambda folder: (folder / "empty").mkdir(), says="is a folder"),
    Trick("an empty folder among the layers", lambda folder: (folder / "layers" / "old").mkdir(), says="is a folder"),
    Trick("a file more", more("form.gcode")),
    Trick("a hidden file more", more(".form.gcode")),
    Trick("a layer more", more("layers/layer-99.dxf")),
    Trick("a file with an escape in its name", more("\x1b[2Jx"), says="\\x1b[2Jx"),
    Trick("a file with a name that is no text", _bytes_name),
    Trick("a pipe for a file", _pipe, says="is no plain file"),
    Trick("a folder for a file", _folder_for_file),
    Trick("a file is missing", lambda folder: (folder / LAYER).unlink(), says="is missing"),
    Trick("a page is missing", lambda folder: (folder / "gauge.pdf").unlink(), says="is missing"),
    Trick("a file is empty", lambda folder: (folder / LAYER).write_bytes(b"")),
    Trick("a file has another's name", lambda folder: (folder / LAYER).rename(folder / "layers/LAYER-1.dxf")),
    Trick("the layers are missing", lambda folder: shutil.rmtree(folder / "layers")),
)
