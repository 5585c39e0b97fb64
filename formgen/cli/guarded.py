"""What the program refuses, as its lines on stderr and an exit code; nothing else is caught."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

import click

from formgen import stopping
from formgen.errors import ExportError, FormgenError, VerifyError

P = ParamSpec("P")

REFUSED, DIFFERS, NOT_WRITTEN, PARTLY = 1, 3, 4, 5


def guarded(command: Callable[P, int]) -> Callable[P, None]:
    """A command that ends with its own exit code, or with that of what it refused."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        try:
            code = command(*args, **kwargs)
        except VerifyError as err:
            code = say(err, DIFFERS)
        except (ExportError, OSError) as err:
            code = say(err, NOT_WRITTEN)
        except FormgenError as err:
            code = say(err, REFUSED)
        except KeyboardInterrupt:
            code = say(stopping.SAID, stopping.CODE)
        sys.exit(code)

    return run


def flushed(code: int) -> int:
    """Hand on what is still to be written on both streams; the code, or that of an answer that could not be."""
    try:
        sys.stdout.flush()
    except OSError as err:
        code = say(err, NOT_WRITTEN)
    sys.stderr.flush()
    return code


def say(message: object, code: int) -> int:
    """Say something on stderr; the code."""
    click.echo(str(message), err=True)
    return code
