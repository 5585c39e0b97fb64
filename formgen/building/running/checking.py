"""Building: whether each form can be cut and pressed, before anything is counted or written.

In: a planned building. Out: a line for each form that is refused, by its name, with the row of its first opening. A
form that openings share is checked as it is shared. Nothing is written.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from formgen.building.model import Building, SharedForm
from formgen.building.running.events import Tell, tell_how_far
from formgen.building.running.jobs import Job, cut_alone, judged, stands, too_large
from formgen.building.running.pool import Opens, side_by_side
from formgen.building.sharing.recipe import without_bar
from formgen.holding.do_not_press import refusal
from formgen.sheets.division import COUNTS, asking
from formgen.verdict import judge


def standing_forms(building: Building, output: Path, *, anyway: bool) -> set[str]:
    """Names of the forms that stand in the folder, in whatever number of pieces a layer: those were cut before."""

    def built(form: SharedForm) -> bool:
        recipe = form.recipe
        ways = COUNTS if recipe.asked.form.body == "band" else ()
        recipes = (recipe, *(asking(recipe, count) for count in ways if count > recipe.asked.form.least_pieces))
        return any(stands(Job(recipe=held, output=output, anyway=anyway)) for held in recipes)

    return {form.name for form in building.forms if built(form)}


def looked_at(building: Building, known: Collection[str], place: Opens, tell: Tell) -> tuple[Building, dict[str, str]]:
    """The building, and a line for each form in it of which no layers can be made.

    A bar that only sharing set, at a height at which it bears on every opening's legs, is left out where the form has
    no room for it.

    Args:
        building: as it was shared.
        known: names of forms that can.
        place: where the stages are run, where they are many.
        tell: told how far it is, where they are many.
    """
    asked = [form for form in building.forms if form.name not in known]
    tell_here = partial(tell_how_far, tell, "judging", "looking whether each form can be cut")
    lines = side_by_side([(cut_alone, (form.recipe,)) for form in asked], place, tell_here)
    bad, barless = {}, {}
    for form, said in zip(asked, lines, strict=True):
        recipe = without_bar(form.recipe) if said else None
        if recipe is not None and not cut_alone(recipe):
            barless[form.name] = replace(form, recipe=recipe)
        elif said:
            bad[form.name] = line_of(form, said)
    return replace(building, forms=tuple(barless.get(form.name, form) for form in building.forms)), bad


def goes_on_no_sheet(building: Building, counts: Sequence[int], place: Opens) -> dict[str, str]:
    """A line for each form with a piece that is larger than every sheet, as the shop lets pieces be turned.

    Args:
        building: as it was shared.
        counts: numbers of pieces a layer; a form of which one goes is not refused.
        place: where the forms are made, where they are many.
    """
    lines = side_by_side([(too_large, (form.recipe, counts)) for form in building.forms], place)
    return {form.name: line_of(form, said) for form, said in zip(building.forms, lines, strict=True) if said}


def cannot_be_made(
    building: Building, known: Collection[str], place: Opens, tell: Tell, *, anyway: bool
) -> dict[str, str]:
    """A line for each form that cannot be made, or on which a part must not be pressed.

    Args:
        building: with its forms as they are to be built.
        known: names of forms that are known to be good.
        place: where they are run.
        tell: told how far it is, where they are many.
        anyway: what must not be pressed is built, marked: only what cannot be made is refused.
    """
    bad = {} if anyway else _must_not_be_pressed(building.forms)
    asked = [form for form in building.forms if form.name not in known and form.name not in bad]
    tell_here = partial(tell_how_far, tell, "judging", "judging the forms")
    lines = side_by_side([(judged, (form.recipe, anyway)) for form in asked], place, tell_here)
    bad |= {form.name: line_of(form, said) for form, said in zip(asked, lines, strict=True) if said}
    return {form.name: bad[form.name] for form in building.forms if form.name in bad}


def line_of(form: SharedForm, refused: str) -> str:
    """Name a form that could not be made, why, and the row of its first opening."""
    line = form.members[0].opening.placed(refused)
    if len(form.members) > 1:
        others = ", ".join(member.opening.mark for member in form.members[1:])
        line += f" (the form is shared with {others}: --apart builds one for each)"
    return line


def _must_not_be_pressed(forms: Sequence[SharedForm]) -> dict[str, str]:
    """A line for each form with an opening whose part must not be pressed on it."""
    bad: dict[str, str] = {}
    for form in forms:
        for member in form.members:
            found, opening = member.pressing.all_findings, member.opening
            if not judge(found).may and form.name not in bad:
                bad[form.name] = opening.placed(refusal(found, opening.recipe.units))
    return bad
