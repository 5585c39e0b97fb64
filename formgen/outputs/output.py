"""Stage `outputs`: what one kind of file is: its names, what writes it, what reads it again.

The tables of them are `formgen/outputs/table.py` (the form's own files) and `formgen/reports/pages.py` (pages).
Whoever writes, hashes, reads back or verifies goes through a table: what has a row is never left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from formgen.fixed import fixed
from formgen.form.stack import Stack
from formgen.holding.model import Holding

#: SHA-256 and size of each file, by its name, as the job record holds them.
Files = Mapping[str, Mapping[str, Any]]
#: How a whole file of each kind ends.
_ENDS = {".pdf": b"%%EOF", ".dxf": b"EOF", ".html": b"</html>"}


@fixed
class Output:
    """One kind of file, or several that are made together and so cannot disagree.

    `verify` writes them a second time and compares byte for byte; the same form gives the same bytes.

    Args:
        names: of its files for a form, relative to the form's folder.
        write: writes them into a folder. It is told the files that were written before: with `lists_files` all
            others, else none.
        check: reads one of them again and yields a line for each difference from the model: path, name, form.
        in_kernel: writes and checks its one file where the solid kernel is loaded; None: no kernel is needed.
        lists_files: it tells the hashes of all other files, so it is written last.
    """

    names: Callable[[Holding], tuple[str, ...]]
    write: Callable[[Holding, Path, Files], None]
    check: Callable[[Path, str, Holding], Iterator[str]]
    in_kernel: Callable[[Stack, Path], list[str]] | None = None
    lists_files: bool = False


def page(*names: str, make: Callable[[Holding, Files], Iterable[bytes]], lists_files: bool = False) -> Output:
    """Pages for people: files of fixed names from their contents, in the same order.

    Raises:
        ValueError: a name of a kind whose end is not known.
    """
    for name in names:
        if Path(name).suffix not in _ENDS:
            raise ValueError(f"page {name}: expected one of {', '.join(_ENDS)}; or add the kind and how its files end")

    def write(form: Holding, folder: Path, files: Files) -> None:
        for name, content in zip(names, make(form, files), strict=True):
            put(folder / name, content)

    return Output(names=lambda _form: names, write=write, check=_whole, lists_files=lists_files)


def put(path: Path, content: bytes) -> None:
    """Write a file, and the folder that it lies in where there is none."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def _whole(path: Path, name: str, _form: Holding) -> Iterator[str]:
    """A page is not cut short; what it shows is compared when it is made again."""
    end = _ENDS[Path(name).suffix]
    if not path.read_bytes().rstrip().endswith(end):
        yield f"does not end in {end.decode()}, expected a whole file: build again"
