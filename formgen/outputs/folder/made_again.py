"""Stage `outputs`: what the files of a form hold when they are made now, and whether a kept file holds the same.

In: a `Form` and its pages. Out: the bytes of each file. Text is the same text when only the last digits of fractions
differ, as they may between two processors; a mesh when no corner moved further than its rounding.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from formgen.holding.model import Holding
from formgen.outputs.dxf.layers import write_layer, write_stack
from formgen.outputs.folder.names import PICTURE_FILE, STACK_FILE, STEP_FILE, STL_FILE, all_files, layer_file
from formgen.outputs.folder.pages import Page, page_files
from formgen.outputs.picture import svg
from formgen.outputs.record.job import fingerprint_of
from formgen.outputs.step.writer import write_step
from formgen.outputs.stl.writer import ROUNDING_MM, write_stl

#: Fractions of two texts agree to this share, or to this many of their units.
SHARE = 1e-9
#: A fraction as every writer of ours writes it; a hash or a version holds none.
_FRACTION = re.compile(rb"(?<![\w.])[-+]?\d+\.\d*(?:[eE][-+]?\d+)?(?![\w.])")
#: Where a binary STL's corners begin, and what one triangle takes.
_HEAD, _TRIANGLE = 84, np.dtype([("numbers", "<f4", 12), ("spare", "<u2")])


def form_files(form: Holding) -> dict[str, bytes]:
    """The files of the form itself, without the drawings that were kept."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        write_step(form, folder / "step")
        write_stl(form, folder / "stl")
        made = {STEP_FILE: (folder / "step").read_bytes(), STL_FILE: (folder / "stl").read_bytes()}
        for layer in form.layers:
            write_layer(form, layer, folder / "dxf")
            made[layer_file(layer)] = (folder / "dxf").read_bytes()
        write_stack(form, folder / "dxf")
        made[STACK_FILE] = (folder / "dxf").read_bytes()
    return {**made, PICTURE_FILE: svg(form).encode("utf-8")}


def page_contents(form: Holding, pages: Sequence[Page], held: Mapping[str, bytes]) -> Iterator[tuple[str, bytes]]:
    """The pages, those that tell the hashes of all other files with those of the files that are there.

    Args:
        form: the model.
        pages: that were written with it.
        held: what is in the folder, by name.
    """
    plain = [page for page in pages if not page.lists_files]
    order = (*all_files(form), *page_files(plain))
    files = {name: fingerprint_of(held[name]) for name in order if name in held}
    for page in pages:
        if page.lists_files and len(files) < len(order):
            continue  # a file is missing, which is told; what this page says of it cannot be known
        yield from zip(page.names, page.make(form, files if page.lists_files else {}), strict=True)


def holds_the_same(name: str, held: bytes, made: bytes) -> bool:
    """Whether a file holds what was made: each byte, but for last digits."""
    if held == made:
        return True
    if name.endswith(".stl"):
        return _same_mesh(held, made)
    return not name.endswith(".pdf") and _same_text(held, made)


def _same_text(held: bytes, made: bytes) -> bool:
    if _FRACTION.split(held) != _FRACTION.split(made):
        return False
    pairs = zip(_FRACTION.findall(held), _FRACTION.findall(made), strict=True)
    return all(math.isclose(float(a), float(b), rel_tol=SHARE, abs_tol=SHARE) for a, b in pairs if a != b)


def _same_mesh(held: bytes, made: bytes) -> bool:
    if len(held) != len(made) or held[:_HEAD] != made[:_HEAD]:
        return False
    a, b = (np.frombuffer(content, dtype=_TRIANGLE, offset=_HEAD) for content in (held, made))
    return bool(np.array_equal(a["spare"], b["spare"]) and (np.abs(a["numbers"] - b["numbers"]) <= ROUNDING_MM).all())
