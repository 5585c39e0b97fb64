"""The recipe's own check on an answer, before there is a recipe.

In: answers as they were typed, by their dotted names. Out: the recipe, or the sentence. What is not answered yet stands
as something that is sound beside any answer.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from formgen.curve.stage import make_arch
from formgen.errors import FormgenError
from formgen.recipe.load import load_shop, understood
from formgen.recipe.mistakes import Mistake, dotted
from formgen.recipe.model import Recipe
from formgen.recipe.settings import read_settings, with_settings
from formgen.recipe.shop import Shop
from formgen.recipe.source import Place, Source, read_source
from formgen.recipe.start import UNANSWERED

#: Sound beside any answer: a thin part of a known wood over a plain arch.
_STAND_INS: Mapping[str, str] = {
    **UNANSWERED, "format": "1", "name": "answers", "units": "mm", "part.depth": "50 mm", "laminate.wood": "white oak",
    "laminate.thickness": "6 mm",
}  # fmt: skip
_ARCH: Mapping[str, str] = {"part.arch.kind": "semicircle", "part.arch.span": "900 mm"}


def recipe_of(answers: Mapping[str, str], shop: Path | None = None) -> tuple[Recipe | None, list[Mistake]]:
    """The recipe of the answers so far, or None and the mistakes in them.

    Args:
        answers: by dotted names.
        shop: the shop file; None takes usual values.

    Raises:
        FormgenError: an answer that cannot be read at all.
    """
    held = {**_STAND_INS, **({} if "part.arch.kind" in answers else _ARCH), **answers}
    if "part.legs.run" in held:
        held["part.legs"] = f"{{length: {held['part.legs']}, run: {held.pop('part.legs.run')}}}"
    empty = Source(name="answers", data={}, places={(): Place(0, 0, 0, 0, None)}, mistakes=())
    settings = read_settings([f"{key}={value}" for key, value in held.items()])
    held_shop, source = (Shop(), None) if shop is None else (load_shop(shop), read_source(shop))
    return understood(with_settings(empty, settings), held_shop, source, Path())


def said_to(answers: Mapping[str, str], key: str, shop: Path | None = None, *, curve: bool = False) -> str:
    """Return the sentence that the check says to the answer under a key; empty where it says nothing.

    Args:
        answers: with the one that is asked about.
        key: its dotted name, or that of its table.
        shop: as above.
        curve: whether such a curve exists is looked at too.
    """
    try:
        recipe, mistakes = recipe_of(answers, shop)
        own = [one for one in mistakes if dotted(one.path) == key or dotted(one.path).startswith(f"{key}.")]
        if own:
            return own[0].message
        if curve and recipe is not None:
            make_arch(recipe)
    except FormgenError as err:
        return plainly(err)
    return ""


def plainly(err: FormgenError) -> str:
    """A refusal without the place, which is the answer that was just given."""
    return re.sub(r"^(--set [a-z_.]+: |--set |answers(:0:0)?: )", "", str(err))
