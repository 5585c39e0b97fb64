"""Stage `outputs`: all files of a form, written beside the old ones and put in their place when they are proved good.

In: a `Form` and the folder for results. Out: the form's own folder in it. A build that fails or is interrupted leaves
the old folder whole.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from formgen.errors import VerifyError
from formgen.holding.model import Holding
from formgen.outputs.folder.names import JOB_FILE, refuse_taken_names
from formgen.outputs.folder.verify import content_differences, record_differences
from formgen.outputs.folder.whole import whole_folder
from formgen.outputs.record.job import fingerprint, job_record, write_job
from formgen.outputs.step.kernel import Kernel, begun
from formgen.outputs.table import Files, Output, made_names, names_of, outputs_with, plain


def _silent(_name: str) -> None:
    """Progress that nobody asked for."""


def write_all(
    form: Holding,
    output: Path,
    progress: Callable[[str], None] = _silent,
    kernel: Kernel | None = None,
    *,
    pages: Sequence[Output] = (),
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
    refuse_taken_names(form, made_names(pages, form))
    outputs = outputs_with(pages)
    name = form.recipe.name
    with whole_folder(output, name, JOB_FILE) as folder:
        found = _write(form, folder, progress, kernel, outputs)
        if found:
            raise VerifyError(*found)
    return output / name


def _write(
    form: Holding, folder: Path, progress: Callable[[str], None], kernel: Kernel | None, outputs: Sequence[Output]
) -> list[str]:
    """Write every file and read it again; the differences. What needs no solids is done while the kernel is at work."""
    in_kernel = [
        (name, begun(kernel, output.in_kernel, form.stack, folder / name))
        for output in outputs
        if output.in_kernel
        for name in output.names(form)
    ]
    here = [output for output in outputs if not output.in_kernel and not output.lists_files]
    for output in here:
        _write_one(output, form, folder, {}, progress)
    progress("reading back")
    found = content_differences(folder, form, here)
    for name, differences in in_kernel:
        progress(name)
        found += [f"{name}: {line}" for line in differences()]
    files = {name: fingerprint(folder / name) for name in names_of(plain(outputs), form)}
    last = [output for output in outputs if output.lists_files]
    for output in last:
        _write_one(output, form, folder, files, progress)
    found += content_differences(folder, form, last)
    progress(JOB_FILE)
    write_job(job_record(form), names_of(outputs, form), folder / JOB_FILE)
    return found + record_differences(folder, form, outputs)


def _write_one(output: Output, form: Holding, folder: Path, files: Files, progress: Callable[[str], None]) -> None:
    for name in output.names(form)[:1]:
        progress(name)
    output.write(form, folder, files)
