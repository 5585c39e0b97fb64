"""The tour: the stages in order, and the loop that runs them.

    YAML ─► Recipe ─► Arch ─► Laminate ─► Pressing ─► Form ─► Holding ─► files

Each stage is one function from the result before it to a new one; nothing is filled in later.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from formgen.curve.target import make_arch
from formgen.errors import FormgenError
from formgen.form.stack import make_form
from formgen.holding.model import Holding
from formgen.holding.stage import make_holding
from formgen.laminate.stack import make_laminate
from formgen.press.face import make_pressing
from formgen.recipe.model import Recipe

#: What each stage is called, and what it does.
STAGES: tuple[tuple[str, Callable[[Any], Any]], ...] = (
    ("curve", make_arch),
    ("laminate", make_laminate),
    ("press", make_pressing),
    ("form", make_form),
    ("holding", make_holding),
)


def run(recipe: Recipe, progress: Callable[[str], None] | None = None) -> Holding:
    """The form of a recipe, with what holds the part to it.

    Args:
        recipe: the recipe, understood.
        progress: told the name of each stage as it begins.

    Raises:
        FormgenError: a stage that cannot go on, in one line.
    """
    result: object = recipe
    for name, stage in STAGES:
        if progress is not None:
            progress(name)
        try:
            result = stage(result)
        except FormgenError as err:
            raise type(err)(recipe.placed(str(err))) from err
    return cast("Holding", result)
