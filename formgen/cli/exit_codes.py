"""Refusals as lines on stderr and an exit code; nothing else is caught."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

import click

from formgen import stopping
from formgen.errors import ExportError, FormgenError, VerifyError
from formgen.quoted import ACTS, escaped, quoted, shown

P = ParamSpec("P")

REFUSED, NOT_UNDERSTOOD, DIFFERS, NOT_WRITTEN, PARTLY = 1, 2, 3, 4, 5


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


def tell_people(message: object) -> None:
    """Tell people something on stderr: the one way there, so that no name that somebody gave acts on their screen."""
    click.echo(shown(message), err=True)


def say(message: object, code: int) -> int:
    """Tell something, below it the help that an error brings for a screen, and the code that goes with it."""
    tell_people(message)
    aid = getattr(message, "aid", "")
    if aid:
        tell_people(f"\n{aid}")
    return code


class Words(click.Group):
    """Commands; a word with a control character in it is refused before anything repeats it."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As the group does it, once the words are fit to be said."""
        for word in args:
            found = ACTS.search(word)
            if found is not None:
                line = f"{quoted(word)}: expected no control characters ({escaped(found[0])}); give it another name"
                ctx.exit(say(f"command line: {line}", NOT_UNDERSTOOD))
        return super().parse_args(ctx, args)
