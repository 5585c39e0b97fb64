"""Stage `outputs`: the table of the form's own files, a row for each kind, in the order in which the record lists them.

A row says what one kind of file is: its names, what writes it, what reads it again; pages have such rows in
`formgen/reports/pages.py`. Whoever writes, hashes, reads back or verifies goes through a table: what has a row is never
left out. Each writer and reader is imported when it is needed: checking a recipe pays for none of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from formgen.fixed import fixed
from formgen.form.stack import Layer, Stack
from formgen.holding.model import Holding
from formgen.outputs.folder.names import PICTURE_FILE, STACK_FILE, STEP_FILE, STL_FILE, drawings, layer_file
from formgen.outputs.step.check import check_step, written_and_read

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


def outputs_with(pages: Sequence[Output]) -> tuple[Output, ...]:
    """All that is written for a form: its own files, the drawings that the recipe was made from, and pages."""
    return (*FILES, KEPT_DRAWINGS, *pages)


def made_names(pages: Sequence[Output], form: Holding) -> tuple[str, ...]:
    """The names of all that is made for a form, the drawings that are kept left out."""
    return names_of((*FILES, *pages), form)


def plain(outputs: Sequence[Output]) -> tuple[Output, ...]:
    """Those that do not tell the hashes of the others."""
    return tuple(output for output in outputs if not output.lists_files)


def names_of(outputs: Sequence[Output], form: Holding) -> tuple[str, ...]:
    """The names of all files of some rows."""
    return tuple(name for output in outputs for name in output.names(form))


def _write_step(form: Holding, folder: Path, _files: Files) -> None:
    from formgen.outputs.step.writer import write_step

    write_step(form.stack, folder / STEP_FILE)


def _check_step(path: Path, _name: str, form: Holding) -> Iterator[str]:
    return check_step(path, form.stack)


def _write_stl(form: Holding, folder: Path, _files: Files) -> None:
    from formgen.outputs.stl.writer import write_stl

    write_stl(form, folder / STL_FILE)


def _check_stl(path: Path, _name: str, form: Holding) -> Iterator[str]:
    from formgen.outputs.stl.check import check_stl

    return check_stl(path, form)


def _layers(form: Holding) -> dict[str, Layer]:
    return {layer_file(layer): layer for layer in form.layers}


def _write_layers(form: Holding, folder: Path, _files: Files) -> None:
    from formgen.outputs.dxf.layers import write_layer

    for name, layer in _layers(form).items():
        (folder / name).parent.mkdir(exist_ok=True)
        write_layer(form, layer, folder / name)


def _check_layer(path: Path, name: str, form: Holding) -> Iterator[str]:
    from formgen.outputs.dxf.check import check_layer

    return check_layer(path, form, _layers(form)[name])


def _write_stack(form: Holding, folder: Path, _files: Files) -> None:
    from formgen.outputs.dxf.layers import write_stack

    write_stack(form, folder / STACK_FILE)


def _check_stack(path: Path, _name: str, form: Holding) -> Iterator[str]:
    from formgen.outputs.dxf.check import check_stack

    return check_stack(path, form)


def _write_picture(form: Holding, folder: Path, _files: Files) -> None:
    from formgen.outputs.picture import picture_file

    put(folder / PICTURE_FILE, picture_file(form).encode("utf-8"))


def _check_picture(path: Path, _name: str, form: Holding) -> Iterator[str]:
    from formgen.outputs.picture import check_picture

    return check_picture(path, form)


def _keep_drawings(form: Holding, folder: Path, _files: Files) -> None:
    for name in drawings(form):
        put(folder / name, (form.recipe.folder / name).read_bytes())


def _check_kept(path: Path, name: str, form: Holding) -> Iterator[str]:
    if path.read_bytes() != (form.recipe.folder / name).read_bytes():
        yield "is not the drawing that the recipe was made from: build again"


FILES: tuple[Output, ...] = (
    Output(names=lambda _: (STEP_FILE,), write=_write_step, check=_check_step, in_kernel=written_and_read),
    Output(names=lambda _: (STL_FILE,), write=_write_stl, check=_check_stl),
    Output(names=lambda form: tuple(_layers(form)), write=_write_layers, check=_check_layer),
    Output(names=lambda _: (STACK_FILE,), write=_write_stack, check=_check_stack),
    Output(names=lambda _: (PICTURE_FILE,), write=_write_picture, check=_check_picture),
)
KEPT_DRAWINGS = Output(names=drawings, write=_keep_drawings, check=_check_kept)
