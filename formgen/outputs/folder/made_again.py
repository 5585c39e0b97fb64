"""Stage `outputs`: what the files of a form hold when they are made now, and whether a kept file holds the same.

In: a `Form` and the rows of what is written for it. Out: the bytes of each file. Text is the same text when only the
last digits of fractions differ, as they may between two processors; a mesh when no corner moved further than its
rounding.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from formgen.holding.model import Holding
from formgen.outputs.output import Output
from formgen.outputs.record.job import fingerprint_of
from formgen.outputs.stl.writer import HEAD_BYTES, RECORD, ROUNDING_MM
from formgen.outputs.table import names_of, plain

#: Fractions of two texts agree to this share, or to this many of their units.
SHARE = 1e-9
#: A fraction as every writer of ours writes it; a hash or a version holds none.
_FRACTION = re.compile(rb"(?<![\w.])[-+]?\d+\.\d*(?:[eE][-+]?\d+)?(?![\w.])")


def made_again(form: Holding, outputs: Sequence[Output], held: Mapping[str, bytes]) -> Iterator[tuple[str, bytes]]:
    """All files as they would be written now; one that tells the hashes of all others is told those that are there.

    Args:
        form: the model.
        outputs: that were written for it.
        held: what is in the folder, by name.
    """
    order = names_of(plain(outputs), form)
    files = {name: fingerprint_of(held[name]) for name in order if name in held}
    for output in outputs:
        if output.lists_files and len(files) < len(order):
            continue  # a file is missing, which is told; what this page says of it cannot be known
        with TemporaryDirectory() as folder:
            output.write(form, Path(folder), files if output.lists_files else {})
            yield from ((name, (Path(folder) / name).read_bytes()) for name in output.names(form))


def holds_the_same(name: str, held: bytes, made: bytes) -> bool:
    """Tell whether a file holds what was made: each byte, but for last digits."""
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
    if len(held) != len(made) or held[:HEAD_BYTES] != made[:HEAD_BYTES]:
        return False
    a, b = (np.frombuffer(content, dtype=RECORD, offset=HEAD_BYTES) for content in (held, made))
    return bool(
        np.array_equal(a["spare"], b["spare"])
        and all((np.abs(a[of] - b[of]) <= ROUNDING_MM).all() for of in ("normal", "corners"))
    )
