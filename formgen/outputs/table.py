"""Stage `outputs`: the table of the form's own files, a row for each kind, in the order in which the record lists them.

Each writer and reader is imported when it is needed: checking a recipe pays for none of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from formgen.form.stack import Layer
from formgen.holding.model import Holding
from formgen.outputs.folder.names import PICTURE_FILE, STACK_FILE, STEP_FILE, STL_FILE, drawings, layer_file
from formgen.outputs.output import Files, Output, put
from formgen.outputs.step.task import written_and_read


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
    from formgen.outputs.step.check import check_step

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
    from formgen.outputs.picture import svg

    put(folder / PICTURE_FILE, svg(form).encode("utf-8"))


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
