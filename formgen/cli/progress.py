"""Progress on stderr while a form is made: one line that names the stage, gone when it is done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from formgen.quoted import visible


@contextmanager
def stages(name: str) -> Iterator[Callable[[str], None]]:
    """Gives a function to be told each stage; on a terminal it keeps one line up to date, elsewhere it is silent."""
    stream = sys.stderr
    shown = stream.isatty()

    def step(stage: str) -> None:
        if shown:
            stream.write(f"\r\x1b[K{visible(name)}: {stage} …")
            stream.flush()

    try:
        yield step
    finally:
        if shown:
            stream.write("\r\x1b[K")
            stream.flush()
