"""Stage `curve`: a drawing's file, opened: where it may lie, how large it may be, in which units it says it is.

In: a path. Out: an `ezdxf` document and its unit. What is drawn in it is for `contents`.
"""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.libraries import load_ezdxf

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: What $INSUNITS says, in the program's words.
_INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}

#: Reading more takes longer than a person waits.
LARGEST_BYTES = 20_000_000


@fixed
class Opened:
    """A drawing.

    Args:
        name: the file, as a message names it.
        document: what `ezdxf` read.
        unit: of its numbers, `in`, `ft`, `mm`, `cm` or `m`; None where it says none.
        code: the number under which it says its unit ($INSUNITS), 0 where it says none.
    """

    name: str
    document: Document
    unit: str | None
    code: int


def beside(folder: Path, file: str) -> Path:
    """The path of the file that a recipe names.

    Raises:
        CurveError: it does not lie in the recipe's folder or below.
    """
    parts = {*PurePosixPath(file).parts, *PureWindowsPath(file).parts}
    path = folder / file
    absolute = PurePosixPath(file).is_absolute() or bool(PureWindowsPath(file).anchor)
    if absolute or ".." in parts or not path.resolve().is_relative_to(folder.resolve()):
        raise CurveError(
            f"part.arch.file = {file!r} leads out of the recipe's folder, expected a file in it; copy the drawing "
            "beside the recipe"
        )
    if not path.is_file():
        raise CurveError(
            f"part.arch.file = {file!r} is not in the recipe's folder, expected a DXF file there; check the name"
        )
    return path


def opened(path: Path, name: str) -> Opened:
    """The drawing in a file.

    Args:
        path: of the file, which is there.
        name: what a message calls it.

    Raises:
        CurveError: too large, or no DXF.
    """
    load_ezdxf()
    from ezdxf.filemanagement import readfile

    if path.stat().st_size > LARGEST_BYTES:
        raise CurveError(
            f"{name} has more than {LARGEST_BYTES // 1_000_000} MB, expected one drawing of a part; save the path "
            "alone in a drawing of its own"
        )
    try:
        document = readfile(path)
        # where the file says no unit the library makes one up
        code = int(document.header.get("$INSUNITS", 0)) if b"$INSUNITS" in path.read_bytes() else 0
    except Exception as err:  # a broken file makes the library raise whatever its parser trips over
        raise CurveError(
            f"{name} cannot be read as a DXF, expected a drawing in that format; save it again as DXF"
        ) from err
    return Opened(name=name, document=document, unit=_INSUNITS.get(code), code=code)
