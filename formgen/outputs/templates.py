"""Stage `outputs`: HTML from templates: every value in it is escaped, and a name without a value is an error.

In: a template beside the module that fills it, and values. Out: the page's text, the same for the same values. Numbers
are tied to their units and fractions, so that no line ends between them. Each template is compiled once a process.
"""

from __future__ import annotations

import re
from functools import cache
from html import escape
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from formgen.amounts import tied
from formgen.outputs.svg import Svg

if TYPE_CHECKING:
    from jinja2 import Environment


def filled(template: str, **values: Any) -> str:
    """A template's text with values in it.

    Args:
        template: its path below the package: `outputs/sheets/cut_list.html`.
        values: by their names in the template. Markup (what has `__html__`) is written as it is, all else escaped.
    """
    return _templates().get_template(template).render(values)


@cache
def asset(name: str) -> str:
    """A file of this package as text, by its path below the package: a template, a style, a script."""
    return files("formgen").joinpath(name).read_text(encoding="utf-8")


def _tied(said: Any) -> Any:
    """A text with its numbers tied to their units; what is no plain text as it is."""
    return tied(said) if isinstance(said, str) and not hasattr(said, "__html__") else said


def broken(said: str) -> Svg:
    """A key or a path as markup that may end a line after its dots, slashes and low lines, and nowhere else."""
    parts = re.split(r"(?<=[._/])(?=\w)", said)
    return Svg(
        "<wbr>".join(f'<span class="whole">{escape(part)}</span>' if "-" in part else escape(part) for part in parts)
    )


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    environment = Environment(
        loader=FunctionLoader(asset),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_tied,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["broken"] = broken
    environment.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "allow_nan": False}
    return environment
