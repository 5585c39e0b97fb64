"""Stage `outputs`: all files of a form, written beside the old ones and put in their place when they are proved good.

In: a `Form` and the folder for results. Out: the form's own folder in it. A build that fails or is interrupted leaves
the old folder whole.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from formgen.errors import VerifyError
from formgen.holding.model import Holding
from formgen.outputs.dxf.layers import write_layer, write_stack
from formgen.outputs.folder.names import (
    JOB_FILE,
    PICTURE_FILE,
    STACK_FILE,
    STEP_FILE,
    STL_FILE,
    all_files,
    drawings,
    layer_file,
    refuse_taken_names,
)
from formgen.outputs.folder.pages import Page, page_files, write_pages
from formgen.outputs.folder.verify import content_differences, record_differences
from formgen.outputs.folder.whole import whole_folder
from formgen.outputs.picture import write_svg
from formgen.outputs.record.job import fingerprint, job_record, write_job
from formgen.outputs.step.kernel import Kernel, begun
from formgen.outputs.step.writer import write_step
from formgen.outputs.stl.writer import write_stl


def write_all(
    form: Holding,
    output: Path,
    progress: Callable[[str], None] | None = None,
    kernel: Kernel | None = None,
    *,
    pages: Sequence[Page] = (),
) -> Path:
    """Write the files of a form, read them again, and put them in place.

    Args:
        form: the model.
        output: folder for results; the form gets `output/<name>`.
        progress: told the name of each file as it is begun, and `reading back`.
        kernel: where the solids are made (`warm_kernel`); None makes them here.
        pages: for people, kept with the files.

    Returns:
        The form's folder.

    Raises:
        RecipeError: a drawing that the recipe names has the name of a file that is written; nothing is.
        ExportError: the folder cannot be written, or holds what formgen did not write.
        VerifyError: what was written is not what the model says.
    """
    refuse_taken_names(form, page_files(pages))
    tell = progress or _silent
    name = form.recipe.name
    with whole_folder(output, name, JOB_FILE) as folder:
        found = _write(form, folder, tell, kernel, pages)
        if found:
            raise VerifyError(*found)
    return output / name


def _write(
    form: Holding, folder: Path, progress: Callable[[str], None], kernel: Kernel | None, pages: Sequence[Page]
) -> list[str]:
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
    for page in _plain(pages):
        progress(page.names[0])
        write_pages(form, [page], {}, folder)
    _keep_drawings(form, folder)
    progress("reading back")
    found = [line for name in all_files(form) if name != STEP_FILE for line in content_differences(folder, name, form)]
    progress(STEP_FILE)
    found += step()
    made = {name: fingerprint(folder / name) for name in (*all_files(form), *page_files(_plain(pages)))}
    for page in (page for page in pages if page.lists_files):
        progress(page.names[0])
        write_pages(form, [page], made, folder)
    progress(JOB_FILE)
    write_job(job_record(form), (*all_files(form), *page_files(pages)), folder / JOB_FILE)
    return found + record_differences(folder, form, pages)


def _plain(pages: Sequence[Page]) -> list[Page]:
    """Pages that do not tell the hashes of the others."""
    return [page for page in pages if not page.lists_files]


def _step(form: Holding, folder: Path) -> list[str]:
    """Write the solids and read them again: a task for the kernel's process."""
    write_step(form, folder / STEP_FILE)
    return content_differences(folder, STEP_FILE, form)


def _keep_drawings(form: Holding, folder: Path) -> None:
    """Copies of the drawings that the recipe was made from."""
    for name in drawings(form):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes((form.recipe.folder / name).read_bytes())


def _silent(_name: str) -> None:
    """Progress that nobody asked for."""
