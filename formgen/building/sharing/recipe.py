"""Building: the recipe of a form that several openings share.

In: the opening whose plies push hardest, the curve, and what all of them need of length, legs, depth and bar. Out: a
recipe that the program builds, records and verifies like any other. What the program was left to choose (side, number
of plies) is written as it was chosen for the openings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from formgen.building.sharing.families import Candidate
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.recipe.arch_kinds import ArchAsk, Chain, Segmental, Semicircle
from formgen.recipe.model import Recipe
from formgen.recipe.schema import BarAsk, Legs
from formgen.recipe.strict import fields_of

_MM = {"units": "mm"}
#: An arc this near to half a circle is written as one.
_HALF_TURN_RAD = 1e-9


def stiffest(members: Sequence[Candidate]) -> Candidate:
    """The member whose loose plies push hardest on the form, the first of those that are alike."""

    def push(held: Candidate) -> float:
        part = held.recipe.part
        return part.depth_mm * loose_stiffness_n_mm(held.pressing.laminate.plies)

    return max(members, key=push)


def arc_recipe(name: str, members: Sequence[Candidate], pressed_radius_mm: float) -> Recipe:
    """The recipe of a form for plain arcs.

    Args:
        name: the form's.
        members: openings of one family, arcs without or with legs.
        pressed_radius_mm: radius of their centre lines in the press.
    """
    lead = stiffest(members)
    radius = pressed_radius_mm / lead.release
    if lead.kind == "arc":
        length = max(held.arc[1] for held in members if held.arc is not None)
        legs = (0.0, 0.0)
    else:
        own_radius, own_length = lead.arc or (math.inf, 0.0)
        length = radius * own_length / own_radius
        legs = _longest([held.legs_mm for held in members])
    return _written(name, members, lead, _arc(radius, length), legs)


def curve_recipe(
    name: str, members: Sequence[Candidate], form: Candidate, past_mm: Sequence[tuple[float, float]]
) -> Recipe:
    """The recipe of a form with one member's own curve, its legs as long as the members need.

    Args:
        name: the form's.
        members: openings of one family.
        form: the one whose curve it is.
        past_mm: how far each member reaches past the ends of that one's part.
    """
    asked = form.recipe.part.legs
    right, left = asked.right_and_left_mm if isinstance(asked, Legs) else (asked, asked)
    more = _longest(past_mm)
    legs = (right + more[0] if form.legs_mm[0] > 0.0 else right, left + more[1] if form.legs_mm[1] > 0.0 else left)
    return _written(name, members, form, None, legs if any(more) else None)


def without_bar(recipe: Recipe) -> Recipe | None:
    """The recipe of a shared form without the bar that was set here; None where it has none, or an opening asked."""
    asked = recipe.asked.form.spreader_bar
    if asked is None or any(held.asked.form.spreader_bar is not None for held in recipe.makes) or not recipe.makes:
        return None
    form = recipe.asked.form.model_copy(update={"spreader_bar": False})
    return replace(recipe, asked=recipe.asked.model_copy(update={"form": form}))


def _written(
    name: str, members: Sequence[Candidate], lead: Candidate, arch: ArchAsk | None, legs: tuple[float, float] | None
) -> Recipe:
    asked, laminate = lead.recipe.asked, lead.pressing.laminate
    parts = [held.recipe.part for held in members]
    part: dict[str, Any] = {
        "depth_mm": max(part.depth_mm for part in parts),
        "tolerance_mm": min(part.tolerance_mm for part in parts),
    }
    if arch is not None:
        part |= {"arch": arch, "measured_on": "centre"}
    if legs is not None:
        # half an arch has one leg, and its recipe one number for it
        run = asked.part.legs.run if isinstance(asked.part.legs, Legs) else None
        both = (legs[0], legs[0]) if lead.pressing.arch.copies > 1 else legs
        part |= {"legs": _as_asked(both, run)}
    plies = asked.laminate.plies
    form = asked.form
    height = _bar_height_mm(members)
    if height is not None:
        form = form.model_copy(update={"spreader_bar": BarAsk.model_validate({"height": height}, context=_MM)})
    marks = ", ".join(held.opening.mark for held in members)
    shared = asked.model_copy(
        update={
            "name": name,
            "note": f"Form for the openings {marks}.",
            "part": asked.part.model_copy(update=part),
            "laminate": asked.laminate.model_copy(update={"plies": len(laminate.plies) if plies == "auto" else plies}),
            "press": asked.press.model_copy(update={"side": lead.pressing.side}),
            "form": form,
        }
    )
    return replace(
        lead.recipe,
        quantity=1,
        makes=tuple(replace(held.recipe, findings=()) for held in members),
        asked=shared,
        # its arch and legs have not all the fields of the lead's
        taken=tuple(field for field in fields_of(shared) if field in lead.recipe.taken),
    )


def _arc(radius_mm: float, length_mm: float) -> ArchAsk:
    """The arch that is one arc, whichever name it has at that length."""
    sweep = length_mm / radius_mm
    if abs(sweep - math.pi) <= _HALF_TURN_RAD:
        return Semicircle.model_validate({"kind": "semicircle", "span": 2.0 * radius_mm}, context=_MM)
    if sweep < math.pi:
        written = f"{Decimal(repr(sweep)):f} rad"
        return Segmental.model_validate({"kind": "segmental", "radius": radius_mm, "sweep": written}, context=_MM)
    pieces = [{"length": length_mm, "radius": radius_mm}]
    return Chain.model_validate({"kind": "chain", "pieces": pieces}, context=_MM)


def _as_asked(legs: tuple[float, float], run: str | None) -> float | Legs:
    """Legs as a recipe says them; a length alone where they are alike and nobody said how they run."""
    if legs[0] == legs[1] and (run is None or legs[0] == 0.0):
        return legs[0]
    sizes = {"length": legs[0]} if legs[0] == legs[1] else {"right": legs[0], "left": legs[1]}
    return Legs.model_validate(sizes if run is None else {**sizes, "run": run}, context=_MM)


def _longest(legs: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return max(right for right, _ in legs), max(left for _, left in legs)


def _bar_height_mm(members: Sequence[Candidate]) -> float | None:
    """As low as the whole bar still bears on every member's shorter leg; None where the form settles it alike."""
    if not all(held.holds_bar for held in members) or len({held.legs_mm for held in members}) == 1:
        return None
    if members[0].recipe.asked.form.spreader_bar not in (None, True):
        return None
    bar = members[0].recipe.shop.bar.height_mm
    ends = [
        pose.y_mm
        for held in members
        for pose in (held.pressing.laminate.pressed.start, held.pressing.laminate.pressed.end)
    ]
    return max(ends) + bar / 2.0
