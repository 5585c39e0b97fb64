"""Building: which openings come off which form.

In: the openings of a schedule. Out: a `Building`: forms, each with its members, what they give up and what is saved.
Nothing is built and no file written.

Plain arcs, without legs or with legs below one and the same sweep, accept every radius in an interval; the forms are
then the points that stab all intervals, and there are no fewer. (Without legs and with legs are kept apart, so that the
proof holds within each of the two.) Of other curves those share a form that agree point by point with the curve of
one of them; few forms are taken, but not proven the fewest.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import replace
from functools import partial

from formgen.building.model import Building, Member, SharedForm
from formgen.building.running.events import Tell, Way, tell_how_far
from formgen.building.schedule.opening import Opening, Refused
from formgen.building.sharing.families import Candidate, Placed, family, placed
from formgen.building.sharing.intervals import covered, fairest, stabbed
from formgen.building.sharing.recipe import arc_recipe, curve_recipe
from formgen.errors import FormgenError
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.do_not_press import refusal
from formgen.makes.on_form import as_made
from formgen.pipeline import run
from formgen.press.stage import pressing_of
from formgen.recipe.model import Recipe
from formgen.recipe.strict import checked_name
from formgen.verdict import judge

#: What a shared form's name has after the mark of its first opening.
SHARED = "-shared"
_LONGEST_NAME = 60

#: One group: its members in order, and its recipe's maker and each one's curve after release (None for its own).
Group = tuple[list[Candidate], Callable[[str], Recipe], list[Placed]]


def plan_building(
    openings: Iterable[Opening],
    share: float = 1.0,
    tell: Tell = lambda _event: None,
    *,
    apart: bool = False,
    anyway: bool = False,
) -> Building:
    """The forms of a building.

    Args:
        openings: rows of the schedule.
        share: the share of each part's tolerance that sharing may use, 0 to 1; at 0 only equal curves share.
        tell: told how far it is, where there are many openings.
        apart: every opening gets a form of its own.
        anyway: an opening that must not be pressed gets a form of its own, too; else its row is refused.
    """
    candidates: list[Candidate] = []
    bad: list[Candidate] = []
    refused: list[Refused] = []
    todo = list(openings)
    for i, opening in enumerate(todo):
        tell_how_far(tell, "sharing", "looking at the openings", i, len(todo))
        try:
            opening = with_settled(opening)  # noqa: PLW2901 -- from here on what nobody typed is written out
            pressing = pressing_of(opening.recipe)
        except FormgenError as err:
            line = opening.placed(str(err))
            refused.append(Refused(row=opening.row, mark=opening.mark, lines=(line,)))
        else:
            held = Candidate(opening=opening, pressing=pressing, share=share)
            if judge(pressing.all_findings).may:
                candidates.append(held)
            elif anyway:
                bad.append(held)
            else:
                line = opening.placed(refusal(pressing.all_findings, opening.recipe.units))
                refused.append(Refused(row=opening.row, mark=opening.mark, lines=(line,)))
    way = Way(tell, "sharing", "choosing the forms", len(candidates))
    groups = [_alone(held) for held in candidates] if apart else _groups(candidates, way)
    groups += [_alone(held) for held in bad]
    groups.sort(key=lambda group: group[0][0].opening.row)
    taken = {held.opening.mark.casefold() for held in (*candidates, *bad)}
    forms, settled, count = [], 0, len(taken)
    for members, write, places in groups:
        name = members[0].opening.mark if len(members) == 1 else _name(members[0].opening.mark, taken)
        for _ in members:
            settled += 1
            tell_how_far(tell, "sharing", "sharing forms", settled, count)
        forms.append(_form(members, members[0].recipe if len(members) == 1 else write(name), places))
    return Building(forms=tuple(forms), refused=tuple(refused), share=share)


def with_settled(opening: Opening) -> Opening:
    """The opening with what nobody typed settled, so that what openings share is what each of them asks.

    Where the base recipe gives the form's backing the rest is as usual: a trial for each row would take too long.

    Raises:
        FormgenError: no form can be made of it.
    """
    recipe = opening.recipe
    recipe = run(recipe).recipe if "form.backing" in recipe.free else replace(recipe, free=frozenset())
    return replace(opening, recipe=recipe)


def _groups(candidates: Sequence[Candidate], way: Way) -> list[Group]:
    """Openings grouped within their families; half of the way is what each accepts, half which form it comes off."""
    families: dict[Hashable, list[Candidate]] = {}
    for held in candidates:
        families.setdefault(family(held), []).append(held)
    groups: list[Group] = []
    for alike in families.values():
        groups += _covered(alike, way) if alike[0].kind == "other curve" else _stabbed(alike, way)
    return groups


def _stabbed(alike: Sequence[Candidate], way: Way) -> list[Group]:
    """Plain arcs: the fewest radii, each then put where its members give up least."""
    groups: list[Group] = []
    accepted = []
    for held in alike:
        accepted.append(held.accepts_mm(held.share))
        way.on(0.5)
    for indices in stabbed(accepted):
        members = [alike[i] for i in indices]
        if len(members) == 1:
            groups.append(_alone(members[0]))
        else:
            radius = fairest([lambda part, held=held: held.accepts_mm(part * held.share) for held in members])  # type: ignore[misc]
            places = [_on_arc(held, radius) for held in members]
            groups.append((members, partial(arc_recipe, members=members, pressed_radius_mm=radius), places))
        for _ in members:
            way.on(0.5)
    return groups


def _on_arc(held: Candidate, pressed_radius_mm: float) -> Placed:
    """An arc on a form of another radius: its own length, or with legs its own sweep and legs."""
    made_radius = pressed_radius_mm / held.release
    radius, length = held.arc or (math.inf, 0.0)
    if held.kind == "arc with legs":
        length *= made_radius / radius
    target = held.pressing.arch.target
    right, left = held.legs_mm
    made = ArcSpline.of(target.start, [(right, 0.0), (length, 1.0 / made_radius), (left, 0.0)])
    return Placed(made=made, past_mm=(0.0, 0.0), gives_up_mm=held.deviation_mm(made_radius))


def _covered(alike: Sequence[Candidate], way: Way) -> list[Group]:
    """Other curves: forms of openings that cover the others within tolerance."""
    table = []
    for form in alike:
        table.append([placed(held, form) for held in alike])
        way.on()
    groups: list[Group] = []
    for j, indices in covered([[place is not None for place in row] for row in table]):
        places = [place for i in indices if (place := table[j][i]) is not None]
        members = [alike[i] for i in indices]
        past = [place.past_mm for place in places]
        groups.append((members, partial(curve_recipe, members=members, form=alike[j], past_mm=past), places))
    return groups


def _alone(held: Candidate) -> Group:
    recipe = held.recipe
    own = Placed(made=held.pressing.arch.target, past_mm=(0.0, 0.0), gives_up_mm=0.0)
    return [held], lambda _name: recipe, [own]


def _name(mark: str, taken: set[str]) -> str:
    """A name of its own for a shared form."""
    for number in range(1, len(taken) + 2):
        ending = SHARED if number == 1 else f"{SHARED}-{number}"
        name = f"{mark[: _LONGEST_NAME - len(ending)]}{ending}"
        if name.casefold() not in taken:
            taken.add(name.casefold())
            return checked_name(name)
    raise AssertionError("one more name than there are openings is free")


def _form(members: Sequence[Candidate], recipe: Recipe, places: Sequence[Placed]) -> SharedForm:
    alone = len(members) == 1
    return SharedForm(
        name=recipe.name,
        recipe=recipe,
        kind="own" if alone else members[0].kind,
        members=tuple(_member(held, place, alone=alone) for held, place in zip(members, places, strict=True)),
        layers=recipe.layer_count,
        layers_apart=sum(held.recipe.layer_count for held in members),
    )


def _member(held: Candidate, place: Placed, *, alone: bool) -> Member:
    pressing = held.pressing if alone else as_made(held.pressing, place.made)
    return Member(
        opening=held.opening,
        pressing=pressing,
        asked_radius_mm=held.pressing.arch.target.tightest_radius_mm,
        made_radius_mm=place.made.tightest_radius_mm,
        gives_up_mm=place.gives_up_mm,
        tolerance_mm=held.tolerance_mm,
    )
