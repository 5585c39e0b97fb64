"""Building: all pieces of all forms on sheets: how many pieces a layer, the layout, and what it is held against.

In: the recipes of the forms. Out: picklable results, so that layouts run side by side where the forms are built. The
same recipes give the same layout wherever they run.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from functools import partial
from typing import Any

from formgen.building.model import Building, Nesting
from formgen.building.running.pool import DIED, Place, PlaceLostError, WorkerKilledError
from formgen.errors import FormgenError
from formgen.fixed import fixed
from formgen.recipe.model import Recipe
from formgen.recipe.shop import Shop
from formgen.sheets.division import COUNTS, Trial, asking, divided, fewest, try_pieces
from formgen.sheets.layout import Choice, sheet_forms, sheets_in_boxes
from formgen.sheets.model import Sheets

#: Fewer forms than this are laid out here: other processes would take longer to begin.
WORTH_PROCESSES = 6


#: Opens where jobs run.
Opens = Callable[[], AbstractContextManager[Place]]
#: Told how many of how many tasks have ended.
Ended = Callable[[int, int], None]
Run = Callable[[Sequence[tuple[Callable[..., Any], tuple[Any, ...]]], Ended], list[Any]]


def nobody(_done: int, _of: int) -> None:
    """Nobody asks how far it is."""


@fixed
class Measures:
    """Sums that the layout is held against.

    Args:
        in_boxes: new sheets for the same pieces laid out by the boxes around them; None where the stock does not
            suffice for them.
        shared: what these forms take, laid out at the effort of a trial.
        apart: what a form for each opening would take, with the same pieces a layer and the same effort; None where
            no opening shares a form.
    """

    in_boxes: int | None
    shared: Trial
    apart: Trial | None


def choose_division(
    building: Building,
    nesting: Nesting,
    place: Callable[[], AbstractContextManager[Place]] | None = None,
    ended: Ended = nobody,
) -> tuple[Building, tuple[Trial, ...], Trial | None]:
    """The building with the number of pieces a layer that takes the least new board, what was tried, and what was kept.

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
    with _lane(place if len(recipes) >= WORTH_PROCESSES else None) as run:
        trials = tuple(run([(_trial, (recipes, shop, count, nesting.engine)) for count in counts], ended))
    kept = fewest(trials)
    forms = tuple(
        form if count in (None, form.recipe.asked.form.least_pieces) else replace(form, recipe=_asking(form, count))
        for form, count in zip(building.forms, kept.asked, strict=True)
    )
    return replace(building, forms=forms), trials, kept


def lay_out(
    building: Building,
    made: Sequence[str],
    kept: Trial,
    nesting: Nesting,
    place: Callable[[], AbstractContextManager[Place]] | None = None,
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
    with _lane(place if len(recipes) >= WORTH_PROCESSES else None) as run:
        sheets, boxes, *trials = run(tasks, nobody)
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


def _asking(form: Any, count: int) -> Recipe:
    return asking(form.recipe, count)


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


def side_by_side(
    tasks: Sequence[tuple[Callable[..., Any], tuple[Any, ...]]],
    place: Callable[[], AbstractContextManager[Place]] | None,
    ended: Ended = nobody,
) -> list[Any]:
    """Results of tasks in their order, done where jobs run where they are many enough to be worth it."""
    with _lane(place if len(tasks) >= WORTH_PROCESSES else None) as run:
        return run(tasks, ended)


@contextmanager
def _lane(place: Callable[[], AbstractContextManager[Place]] | None) -> Iterator[Run]:
    """Gives a function that runs tasks side by side where jobs run, or one after the other here."""
    if place is None:
        yield _one_by_one
        return
    with place() as there, there.opened() as executor:
        yield partial(_side_by_side, executor)


def _one_by_one(tasks: Sequence[tuple[Callable[..., Any], tuple[Any, ...]]], ended: Ended) -> list[Any]:
    """Results in the order of the tasks, done here."""
    found = []
    for task, given in tasks:
        found.append(task(*given))
        ended(len(found), len(tasks))
    return found


def _side_by_side(
    executor: Executor, tasks: Sequence[tuple[Callable[..., Any], tuple[Any, ...]]], ended: Ended
) -> list[Any]:
    """Results in the order of the tasks; what a killed process leaves is run here."""
    futures = [executor.submit(task, *given) for task, given in tasks]
    found = []
    try:
        for future, (task, given) in zip(futures, tasks, strict=True):
            try:
                found.append(future.result())
            except (*DIED, PlaceLostError, WorkerKilledError):
                found.append(task(*given))
            ended(len(found), len(tasks))
    finally:
        for future in futures:
            future.cancel()
    return found
