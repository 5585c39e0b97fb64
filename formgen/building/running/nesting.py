"""Building: all pieces of all forms on sheets: how many pieces a layer, the layout, and what it is held against.

In: a planned building; names of the forms that were made. Out: the building with its pieces a layer chosen, before the
forms are built; the sheets, written, with their sums, when they stand. Layouts run side by side where the forms are
built. The same recipes give the same layout wherever they run.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import Any

from formgen.building.model import Building, Nesting
from formgen.building.running.checking import goes_on_no_sheet
from formgen.building.running.events import Event, Tell
from formgen.building.running.pool import Ended, Opens, nobody, side_by_side
from formgen.building.summary.record import Measures, sheet_sums
from formgen.errors import FormgenError
from formgen.fixed import fixed
from formgen.outputs.sheets.folder import refuse_unplaced, write_sheets
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop
from formgen.sheets.division import COUNTS, Trial, asking, cheapest, divided, division_text, try_pieces
from formgen.sheets.handling import handling_of
from formgen.sheets.layout import Choice, sheet_forms, sheets_in_boxes
from formgen.sheets.model import Sheets


@fixed
class Division:
    """A building with its pieces a layer chosen, and what was tried; nothing was where no sheets are laid out.

    Args:
        building: with the pieces a layer that were chosen.
        trials: the numbers of pieces that were tried.
        kept: the one that was taken.
        too_large: a line for each form with a piece that goes on no sheet: nothing was chosen then.
    """

    building: Building
    trials: tuple[Trial, ...] = ()
    kept: Trial | None = None
    too_large: Mapping[str, str] = field(default_factory=dict)


def divided_building(building: Building, nesting: Nesting | None, place: Opens, tell: Tell) -> Division:
    """The building with the number of pieces a layer that costs least; as it is where no sheets are laid out.

    Raises:
        SheetError: fewer sheets in stock than the pieces need, or an engine that is not installed.
    """
    if nesting is None:
        return Division(building=building)
    choosing = "choosing the pieces a layer"

    def ended(done: int, of: int) -> None:
        if of > 1:
            tell(Event(what="nesting", message=f"{choosing}: {done} of {of} numbers tried"))

    chosen, trials, kept = choose_division(building, nesting, place, ended)
    if kept is not None and not kept.goes:
        counts = [trial.least_pieces for trial in trials]
        larger = goes_on_no_sheet(building, counts, place) or goes_on_no_sheet(chosen, counts[:1], place)
        if larger:
            return Division(building=building, too_large=larger)
        refuse_unplaced(lay_out_alone(chosen, nesting))  # a trial spends little effort: at more of it all may go
    if kept is not None:
        tell(Event(what="divided", message=division_text(trials, kept, handling_of(building.forms[0].recipe.shop))))
    return Division(building=chosen, trials=trials, kept=kept)


def laid_sheets(
    division: Division,
    made: Sequence[str],
    nesting: Nesting | None,
    place: Opens,
    output: Path,
) -> tuple[Sheets, dict[str, Any]] | None:
    """The sheets of the forms that were made, written, and what the record says of them."""
    if nesting is None or division.kept is None or not made:
        return None
    sheets, measures = lay_out(division.building, made, division.kept, nesting, place)
    write_sheets(sheets, output)
    handling = handling_of(division.building.forms[0].recipe.shop)
    return sheets, sheet_sums(sheets, division.trials, division.kept, measures, handling)


def choose_division(
    building: Building,
    nesting: Nesting,
    place: Opens | None = None,
    ended: Ended = nobody,
) -> tuple[Building, tuple[Trial, ...], Trial | None]:
    """The building with the number of pieces a layer that costs the shop least, what was tried, and what was kept.

    Args:
        building: as planned.
        nesting: how.
        place: where the trials run; None for here.
        ended: told how many trials have ended.
    """
    recipes = [form.recipe for form in building.forms]
    if not recipes:
        return building, (), None
    shop = recipes[0].shop
    counts = COUNTS if any(recipe.asked.form.body == "band" for recipe in recipes) else COUNTS[:1]
    tasks = [(_trial, (recipes, shop, count, nesting.engine)) for count in counts]
    trials = tuple(side_by_side(tasks, place, ended, len(recipes)))
    kept = cheapest(trials, handling_of(shop))
    forms = tuple(
        form
        if count is None or count == form.recipe.asked.form.least_pieces
        else replace(form, recipe=asking(form.recipe, count))
        for form, count in zip(building.forms, kept.asked, strict=True)
    )
    return replace(building, forms=forms), trials, kept


def lay_out(
    building: Building,
    made: Sequence[str],
    kept: Trial,
    nesting: Nesting,
    place: Opens | None = None,
) -> tuple[Sheets, Measures]:
    """The layout of the forms that were made, and what it is held against.

    Args:
        building: with its pieces a layer chosen.
        made: names of the forms.
        kept: the trial whose number of pieces was taken.
        nesting: how.
        place: where it runs; None for here.

    Raises:
        SheetError: a piece that goes on no sheet.
    """
    forms = [form for form in building.forms if form.name in made]
    recipes = [form.recipe for form in forms]
    openings = {form.name: tuple(member.opening.mark for member in form.members) for form in forms}
    shop = building.forms[0].recipe.shop
    own = [member.opening.recipe for form in forms for member in form.members]
    tasks: list[tuple[Callable[..., Any], tuple[Any, ...]]] = [
        (_laid, (recipes, shop, nesting, openings)),
        (_in_boxes, (recipes, shop)),
    ]
    if len(own) > len(forms):
        tasks.append((_trial, (own, shop, kept.least_pieces, nesting.engine)))
    if len(forms) < len(building.forms):  # some could not be made: the trial was of more than there are
        tasks.append((_trial, (recipes, shop, kept.least_pieces, nesting.engine)))
    sheets, boxes, *trials = side_by_side(tasks, place, forms=len(recipes))
    shared = trials.pop() if len(forms) < len(building.forms) else kept
    return sheets, Measures(in_boxes=boxes, shared=shared, apart=trials[0] if trials else None)


def lay_out_alone(building: Building, nesting: Nesting) -> Sheets:
    """The layout of all forms of a building, held against nothing; made here, of forms that can be cut.

    Raises:
        SheetError: a piece that goes on no sheet.
    """
    recipes = [form.recipe for form in building.forms]
    forms = [divided(recipe, 1) for recipe in recipes]
    return sheet_forms(forms, recipes[0].shop, nesting.effort, engine=nesting.engine)


def _trial(recipes: Sequence[Recipe], shop: Shop, count: int, engine: Choice) -> Trial:
    return try_pieces(recipes, shop, count, "preview", engine=engine)


def _forms(recipes: Sequence[Recipe]) -> list[Any]:
    from formgen.pipeline import run

    return [run(recipe) for recipe in recipes]


def _laid(recipes: Sequence[Recipe], shop: Shop, nesting: Nesting, openings: Mapping[str, tuple[str, ...]]) -> Sheets:
    return sheet_forms(_forms(recipes), shop, nesting.effort, engine=nesting.engine, openings=openings)


def _in_boxes(recipes: Sequence[Recipe], shop: Shop) -> int | None:
    from formgen.sheets.parts import parts_of, rules_of, stock_of

    forms = _forms(recipes)
    try:
        return sheets_in_boxes(parts_of(forms, {}), stock_of(forms, shop), rules_of(shop))
    except FormgenError:  # a box that goes on no sheet although its piece does
        return None
