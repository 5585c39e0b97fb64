"""Stage `outputs`: what the files of a form are called, relative to its folder."""

from __future__ import annotations

import re
from collections.abc import Iterable

from formgen.errors import RecipeError
from formgen.form.model import Form
from formgen.form.stack import Layer
from formgen.recipe.as_asked import drawings_asked

JOB_FILE = "job.json"
STEP_FILE = "form.step"
STL_FILE = "form.stl"
STACK_FILE = "form-layers.dxf"
PICTURE_FILE = "form.svg"


def layer_file(layer: Layer) -> str:
    """The router's file of one layer."""
    return f"layers/layer-{layer.number:02d}.dxf"


def drawings(form: Form) -> tuple[str, ...]:
    """The drawings that the recipe was made from, kept with the files so that they can be verified without them."""
    return drawings_asked(form.recipe)


def refuse_taken_names(form: Form, written: Iterable[str]) -> None:
    """Refuse drawings of the recipe whose copies would take the place of a file that is written, or of one another.

    Capitals do not tell names apart, nor do dots and blanks at their ends: not on every disk. A name also clashes with
    one that it lies below, or that lies below it, since no file is a folder too.

    Args:
        form: the model.
        written: names of all that is written for it.

    Raises:
        RecipeError: two names clash; one line for each such drawing.
    """
    taken = {_plain(name): name for name in (JOB_FILE, *written)}
    lines = []
    for name in drawings(form):
        plain = _plain(name)
        clash = next((held for at, held in taken.items() if _same_or_below(at, plain) or _same_or_below(plain, at)), "")
        if clash:
            lines.append(
                f"part.arch.file = {name} clashes with {clash}, which is written beside it, expected a name of its "
                "own; rename the drawing"
            )
        taken[plain] = name
    if lines:
        recipe = form.recipe
        raise RecipeError(*(recipe.placed(line) for line in lines))


def _plain(name: str) -> tuple[str, ...]:
    """The steps of a path as the most forgiving disk tells them apart."""
    steps = [step.casefold().rstrip(". ") for step in re.split(r"[/\\]", name)]
    return tuple(step for step in steps if step)


def _same_or_below(upper: tuple[str, ...], lower: tuple[str, ...]) -> bool:
    return lower[: len(upper)] == upper
