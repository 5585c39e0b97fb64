"""The command line: the only part of the program that prints.

Numbers for machines go to stdout (`--json`); people's tables go there too without it. Progress and messages go to
stderr. Exit codes: 0 done; 1 the recipe or the part is refused; 2 the command was not understood; 3 files differ from
the model; 4 files cannot be read or written; 130 interrupted.
"""

from formgen.cli.commands import main

__all__ = ["main"]
