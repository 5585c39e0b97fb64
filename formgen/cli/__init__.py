"""The command line: the only part of the program that prints.

Numbers for machines go to stdout (`--json`); people's tables go there too without it. Progress and messages go to
stderr. Exit codes: 0 done; 1 the recipe or the part is refused, or the part must not be pressed; 2 the command was not
understood; 3 files differ from the model; 4 files or answers cannot be read or written; 130 interrupted.
"""

import gc
import os
import sys
from types import ModuleType
from typing import Any

# Small matrices by the hundred: threads that wait for one another cost fifty times what they share on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# No plugin of another package has a say in what a recipe is: to look for one reads the metadata of all packages, and
# to be able to look takes as long as reading a recipe. This stands in for the module that does it.
_no_plugins: Any = ModuleType("pydantic.plugin._loader")
_no_plugins.get_plugins = tuple
sys.modules.setdefault(_no_plugins.__name__, _no_plugins)

# A start makes objects by the hundred thousand that all stay: to look for waste among them takes a tenth of a `check`.
gc.set_threshold(100_000, 20, 20)

__all__ = ["main", "program"]


def program() -> None:
    """The program as it is started: `main`, but it hears signals from the start, and the process ends at once.

    Everything is written and closed by then; taking the solid kernel apart, or waiting for its process to do so,
    would cost about as long as making a form.
    """
    from formgen.stopping import hear_signals

    hear_signals()
    from formgen.cli.commands import main
    from formgen.cli.exit_codes import NOT_WRITTEN, flushed, say
    from formgen.cli.streams import open_streams
    from formgen.errors import ExportError

    open_streams()
    try:
        main()
    except SystemExit as end:
        if not isinstance(end.code, int):
            raise
        os._exit(flushed(end.code))
    except ExportError as err:  # help that nobody could be told
        os._exit(say(err, NOT_WRITTEN))


def __getattr__(name: str) -> Any:
    """`main`, brought in when it is asked for: the program hears signals before it loads anything."""
    if name == "main":
        from formgen.cli.commands import main

        return main
    raise AttributeError(name)
