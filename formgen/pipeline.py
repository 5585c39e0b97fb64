"""The tour: the stages in order, and the loop that runs them.

    YAML ─► Recipe ─► Arch ─► Laminate ─► Pressing ─► Form ─► Holding ─► files

Each stage is one function from the result before it to a new one; nothing is filled in later. What nobody typed is
settled first, by trials.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from formgen.curve.arch import Arch
from formgen.curve.stage import make_arch
from formgen.errors import FormgenError, VerdictError
from formgen.form.stage import make_form
from formgen.holding.do_not_press import refusal, with_mark
from formgen.holding.model import Holding
from formgen.holding.stage import make_holding
from formgen.laminate.stage import make_laminate
from formgen.mending.stage import with_settings
from formgen.press.stage import make_pressing
from formgen.recipe.model import Recipe
from formgen.settling import settled

#: What each stage is called, and what it does.
STAGES: tuple[tuple[str, Callable[[Any], Any]], ...] = (
    ("curve", make_arch),
    ("laminate", make_laminate),
    ("press", make_pressing),
    ("form", make_form),
    ("holding", make_holding),
)


def run(recipe: Recipe, progress: Callable[[str], None] | None = None) -> Holding:
    """The form of a recipe, with what holds the part to it; marked DO NOT PRESS where the part must not be pressed.

    Args:
        recipe: the recipe, understood.
        progress: told the name of each stage as it begins.

    Raises:
        FormgenError: a stage that cannot go on, in one line.
    """

    def through(recipe: Recipe) -> Holding:
        result: object = recipe
        for name, stage in STAGES:
            if progress is not None:
                progress(name)
            result = _placed(recipe, stage, result)
        return cast("Holding", result)

    return with_settings(cast("Holding", _placed(recipe, with_mark, settled(recipe, through))))


def refuse_problems(form: Holding) -> None:
    """Refuse a form on which the part must not be pressed.

    Raises:
        VerdictError: it has a problem: which, its value and limit, what to do, in one line.
    """
    if not form.verdict.may:
        recipe = form.recipe
        raise VerdictError(recipe.placed(refusal(form.all_findings, recipe.units)))


def _placed(recipe: Recipe, stage: Callable[[Any], Any], before: object) -> object:
    """Return what a stage makes, its refusal with the recipe's file and line in front."""
    try:
        return stage(before)
    except FormgenError as err:
        arch = getattr(before, "arch", before)
        raise type(err)(recipe.placed(str(err), arch.findings if isinstance(arch, Arch) else ())) from err
