"""Stage `outputs`: HTML from templates: every value in it is escaped, and a name without a value is an error.

In: a template beside the module that fills it, and values. Out: the page's text, the same for the same values. Numbers
are tied to their units and fractions, so that no line ends between them. Each template is compiled once a process.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Environment

#: Spaces inside a length or between a number and its unit, at which a line must not end.
_TIED = (
    re.compile(r"(?<=\d) (?=\d+/\d+)"),
    re.compile(r"(?<=\d) (?=(?:in|mm|m|m²|ft|ft²|ft³|l|lb|lbf|psi|inHg|kPa|MPa|GPa|kN|N|kg|g/m²|min|h|s|°F|°C|%)\b)"),
    re.compile(r"(?<=\d) (?=%)"),
)


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


def tied(said: Any) -> Any:
    """A text with its numbers tied to their units; what is no plain text as it is."""
    if not isinstance(said, str) or hasattr(said, "__html__"):
        return said
    for pattern in _TIED:
        said = pattern.sub("\u00a0", said)
    return said


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    environment = Environment(
        loader=FunctionLoader(asset),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=tied,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "allow_nan": False}
    return environment
