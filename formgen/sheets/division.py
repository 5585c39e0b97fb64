"""Stage `sheets`: into how many pieces each layer is cut, with the sheets in mind.

In: recipes, from which forms can be made with more pieces a layer. Out: what each number of pieces takes, and the one
that costs the shop least, its minutes for a piece set against what a sheet is worth. Short arcs slip inside one another
where a long one keeps its hollow to itself. Every division is laid out: the choice is what the sheets say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from formgen.errors import FormError, FormgenError, SheetError
from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.form.stage import make_form
from formgen.press.stage import pressing_of
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop
from formgen.sheets.handling import Handling
from formgen.sheets.layout import Choice, sheet_forms
from formgen.sheets.model import Effort, Sheets

#: Pieces a layer that are tried. More saved no sheet where it was measured (the shipped schedule of 40 openings takes
#: 21, 15, 14, 14 and 14 sheets with 1 to 5), and each piece more is a joint more to glue.
COUNTS = (1, 2, 3)


@fixed
class Trial:
    """A trial with one number of pieces a layer.

    Args:
        least_pieces: the number that bands were asked for.
        asked: for each recipe the number that its form was made with, None where no form can be made of it.
        sheets, offcuts: new sheets and offcuts that the pieces take.
        pieces: how many there are.
        pieces_mm2: their area, holes not taken off.
        board_mm2: area of the new sheets; infinite where the stock does not suffice or a piece goes on no sheet.
    """

    least_pieces: int
    asked: tuple[int | None, ...]
    sheets: int
    offcuts: int
    pieces: int
    pieces_mm2: float
    board_mm2: float

    @property
    def goes(self) -> bool:
        """True if all pieces lie on sheets that there are."""
        return math.isfinite(self.board_mm2)

    def minutes(self, handling: Handling) -> float:
        """Return what it costs a shop; infinite where it does not go."""
        return handling.minutes(self.pieces, self.sheets, self.offcuts) if self.goes else math.inf


def divided(recipe: Recipe, count: int) -> Form:
    """The form with at least so many pieces a layer, or as its recipe asks where that is more or nothing else goes.

    Blocks keep the number that their recipes ask for.

    Raises:
        FormgenError: no form can be made of the recipe.
    """
    ask = recipe.asked.form
    if ask.body == "block" or count <= ask.least_pieces:
        return _made(recipe)
    try:
        return _made(asking(recipe, count))
    except FormError:  # a joint on the bar's notch, or the like
        return _made(recipe)


def asking(recipe: Recipe, count: int) -> Recipe:
    """The same recipe, asking for so many pieces a layer; what comes off its form stays what it was."""
    form = recipe.asked.form.model_copy(update={"least_pieces": count})
    return replace(recipe, makes=recipe.openings, asked=recipe.asked.model_copy(update={"form": form}))


def try_pieces(
    recipes: Sequence[Recipe], shop: Shop, count: int, effort: Effort = "preview", *, engine: Choice = "auto"
) -> Trial:
    """Return what the forms of some recipes take with a number of pieces a layer, the same for all bands.

    Recipes of which no form can be made are left out.
    """
    forms: list[Form] = []
    asked: list[int | None] = []
    for recipe in recipes:
        try:
            forms.append(divided(recipe, count))
        except FormgenError:  # said where the form is built
            asked.append(None)
        else:
            asked.append(forms[-1].recipe.asked.form.least_pieces)
    pieces = [piece for form in forms for _, piece in form.pieces]
    sheets: Sheets | None = None
    try:
        sheets = sheet_forms(forms, shop, effort, engine=engine)
    except SheetError:
        if engine == "dense":  # not installed: that is the user's to know, not a division that does not go
            sheet_forms([], shop, effort, engine=engine)
    laid = () if sheets is None else sheets.sheets
    new = [sheet for sheet in laid if not sheet.stock.offcut]
    goes = sheets is not None and not sheets.unplaced
    return Trial(
        least_pieces=count,
        asked=tuple(asked),
        sheets=len(new),
        offcuts=len(laid) - len(new),
        pieces=len(pieces),
        pieces_mm2=math.fsum(piece.outline.area_mm2 for piece in pieces),
        board_mm2=round(math.fsum(sheet.stock.area_mm2 for sheet in new), 3) if goes else math.inf,
    )


def cheapest(trials: Sequence[Trial], handling: Handling) -> Trial:
    """The trial that costs the shop least; of like ones that with the least new board, then with the fewest pieces."""
    return min(trials, key=lambda trial: (trial.minutes(handling), trial.board_mm2, trial.pieces, trial.least_pieces))


def division_text(trials: Sequence[Trial], kept: Trial, handling: Handling) -> str:
    """Say how many pieces a layer were chosen, the sum that decided, and what the other numbers would cost."""
    chosen = f"{kept.least_pieces} {'piece' if kept.least_pieces == 1 else 'pieces'} a layer"
    others = [
        f"{trial.least_pieces} a layer: "
        + (handling.sum_text(trial.pieces, trial.sheets, trial.offcuts) if trial.goes else "not enough sheets")
        for trial in trials
        if trial is not kept
    ]
    own = handling.sum_text(kept.pieces, kept.sheets, kept.offcuts)
    usual = f" ({handling.usual_text})" if handling.usual else ""
    return "; ".join([f"{chosen}: {own}", *others]) + usual


def _made(recipe: Recipe) -> Form:
    return make_form(pressing_of(recipe))
