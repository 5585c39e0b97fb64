"""The command line: the only part of the program that prints.

Numbers for machines go to stdout (`--json`); people's tables go there too without it. Progress and messages go to
stderr. Exit codes: 0 done; 1 the recipe or the part is refused, or the part must not be pressed; 2 the command was not
understood; 3 files differ from the model; 4 files cannot be read or written; 130 interrupted.
"""

import os
import sys

# Small matrices by the hundred: threads that wait for one another cost fifty times what they share on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from formgen.cli.commands import main

__all__ = ["main", "program"]


def program() -> None:
    """The program as it is started: `main`, but the process ends at once.

    Everything is written and closed by then; taking the solid kernel apart, or waiting for its process to do so,
    would cost about as long as making a form.
    """
    try:
        main()
    except SystemExit as end:
        if not isinstance(end.code, int):
            raise
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(end.code)
