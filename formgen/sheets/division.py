"""Stage `sheets`: into how many pieces each layer is cut, with the sheets in mind.

In: pressings, from which forms can be made again with more pieces a layer. Out: the forms and sheets that take the
least new board. Short arcs slip inside one another where a long one keeps its hollow to itself. Every division is laid
out, so the choice is what the sheets say, not a rule of thumb.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from formgen.errors import FormError
from formgen.form.model import Form
from formgen.form.stack import make_form
from formgen.press.setup import Pressing
from formgen.recipe.shop import Shop
from formgen.sheets.layout import Choice, sheet_forms
from formgen.sheets.model import Effort, Sheets

#: Pieces a layer that are tried.
COUNTS = (1, 2, 3, 4)


@dataclass(frozen=True, kw_only=True)
class Division:
    """Forms cut so that they take the fewest sheets.

    Args:
        forms: in the order asked.
        sheets: their layout.
        tried: new sheets, offcuts and pieces for each least number of pieces that was laid out.
        least_pieces: the one that was kept.
    """

    forms: tuple[Form, ...]
    sheets: Sheets
    tried: Mapping[int, tuple[int, int, int]]
    least_pieces: int


def choose_pieces(
    pressings: Sequence[Pressing],
    shop: Shop,
    effort: Effort = "preview",
    *,
    engine: Choice = "auto",
    counts: Sequence[int] = COUNTS,
    openings: Mapping[str, tuple[str, ...]] | None = None,
) -> Division:
    """The number of pieces a layer, the same for all bands, with which the forms together take the fewest sheets.

    Blocks keep the number that their recipes ask for; so does a band that cannot be cut into a number. Where numbers
    are even in new sheets, the one with fewer pieces is kept.

    Args:
        pressings: what the forms are for.
        shop: cutter, stock, offcuts.
        effort: budget of moves for each number tried.
        engine: as in `sheet_forms`.
        counts: least numbers of pieces to try.
        openings: as in `sheet_forms`.

    Raises:
        SheetError: as `sheet_forms`.
        FormError: a form that cannot be made as its recipe asks.
    """
    best: tuple[tuple[float, int], int, tuple[Form, ...], Sheets] | None = None
    tried: dict[int, tuple[int, int, int]] = {}
    for count in counts:
        forms = tuple(_divided(pressing, count) for pressing in pressings)
        sheets = sheet_forms(forms, shop, effort, engine=engine, openings=openings)
        new = [sheet for sheet in sheets.sheets if not sheet.stock.offcut]
        tried[count] = (len(new), len(sheets.sheets) - len(new), len(sheets.parts))
        area = round(sum(sheet.stock.area_mm2 for sheet in new), 3)
        cost = (float("inf") if sheets.unplaced else area, len(sheets.parts))
        if best is None or cost < best[0]:
            best = (cost, count, forms, sheets)
    if best is None:
        raise ValueError("no number of pieces to try")
    return Division(forms=best[2], sheets=best[3], tried=tried, least_pieces=best[1])


def _divided(pressing: Pressing, count: int) -> Form:
    """The form with at least so many pieces a layer, or as its recipe asks where that is more or nothing else goes."""
    ask = pressing.laminate.arch.recipe.asked.form
    if ask.body == "block" or count <= ask.least_pieces:
        return make_form(pressing)
    try:
        return make_form(_asking(pressing, count))
    except FormError:  # a joint on the bar's notch, or the like
        return make_form(pressing)


def _asking(pressing: Pressing, count: int) -> Pressing:
    """The same pressing, of a recipe that asks for so many pieces a layer."""
    laminate = pressing.laminate
    arch = laminate.arch
    asked = arch.recipe.asked
    form = asked.form.model_copy(update={"least_pieces": count})
    recipe = replace(arch.recipe, asked=asked.model_copy(update={"form": form}))
    return replace(pressing, laminate=replace(laminate, arch=replace(arch, recipe=recipe)))
