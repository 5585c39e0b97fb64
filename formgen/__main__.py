"""`python -m formgen`: the same as the command `formgen`."""

from formgen.cli import program

program()
