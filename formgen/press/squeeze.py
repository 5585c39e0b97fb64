"""Stage `press`: what presses ply on ply: a bag round the part, a bag round form and part, or clamps through a caul.

In: a Laminate, what lies on either face, the form's side. Out: vacuum and bag, or clamps, and the pressure; kPa, mm.
Of the bag girth, length, the areas of film and cloths in m², and the air inside in litres. Last: what lies on
either face, by the recipe: the bag's sheeting, breather, caul, release; names and thicknesses, counted from the part.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal

import numpy as np

from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.laminate.plies import Laminate
from formgen.press.caul import CaulPressure, caul_pressure
from formgen.press.film import Side
from formgen.press.vacuum import Vacuum, plan_vacuum
from formgen.recipe.catalogue import BAG, between, folds
from formgen.recipe.figures import figure
from formgen.recipe.model import Recipe
from formgen.recipe.schema import BetweenItem, ReliefAsk, Way
from formgen.recipe.shop import Shop

#: A curve's box is found by so many of its points: within 0.01 % of a half circle's height.
BOX_POINTS = 241
#: What lies against the form when the recipe does not say: the part in a bag of its own lies on the bag; a form that
#: the plies lie on is waxed or taped, which takes no room. Common practice, no source.
USUAL_BETWEEN: Mapping[Way, tuple[str, ...]] = MappingProxyType(
    {"part-bagged": (BAG,), "form-bagged": ("release",), "clamped": ("release",)}
)
#: The same for the other face: air must find its way to the pump, and a clamp's load its way to the whole glue line.
#: Common practice, no source.
USUAL_OVER: Mapping[Way, tuple[str, ...]] = MappingProxyType(
    {
        "part-bagged": ("breather", BAG),
        "form-bagged": ("release", "breather", BAG),
        "clamped": ("release", "stiff caul"),
    }
)


@fixed
class Lying:
    """One thing on the part: its thickness pressed flat, and whether it is the bag itself, drawn round the part."""

    name: str
    thickness_mm: float
    is_bag: bool


@fixed
class Cloth:
    """Something cut to the part's face: breather, mesh, release, caul."""

    name: str
    area_m2: float


@fixed
class Bag:
    """The bag, a tube laid flat and sealed at both ends.

    Args:
        holds: `part` or `form and part`.
        girth_mm: round the section, slack included.
        flat_width_mm: half of it: the width to cut two sheets to, seals at the sides not counted.
        length_mm: with slack and a seal at each end.
        film_m2: both sides.
        cloths: what is cut to the part's face, on either side of the part.
        air_l: air before pumping, litres.
    """

    holds: Literal["part", "form and part"]
    girth_mm: float
    flat_width_mm: float
    length_mm: float
    film_m2: float
    cloths: tuple[Cloth, ...]
    air_l: float


@fixed
class Squeeze:
    """The pressure of the plies on each other, and what gives it.

    Args:
        vacuum: what vacuum is held, pump-down, leak and duty; None without a bag.
        bag: its sizes; None without one.
        caul: what the clamps press; None with a bag.
        pressure_kpa: of ply on ply.
    """

    vacuum: Vacuum | None
    bag: Bag | None
    caul: CaulPressure | None
    pressure_kpa: float


def plan_squeeze(
    laminate: Laminate, near: Sequence[Lying], far: Sequence[Lying], side: Side
) -> tuple[Squeeze, tuple[Finding, ...]]:
    """Return what presses this part, and what to know about it.

    Args:
        laminate: the plies.
        near: on the form's side, from the part to the form.
        far: on the other side, from the part outward.
        side: the form's.

    Raises:
        PressError: bags that leak more than the pump draws.
    """
    recipe = laminate.recipe
    ask, shop, units = recipe.asked.press, recipe.shop, recipe.units
    if ask.way == "clamped":
        asked = recipe.asked.form.clamp_reliefs
        reliefs = asked if isinstance(asked, ReliefAsk) else None
        caul = caul_pressure(together_mm(far), face_size_mm(laminate)[1], reliefs, shop)
        return Squeeze(vacuum=None, bag=None, caul=caul, pressure_kpa=caul.pressure_kpa), ()
    bag = _bag(laminate, near, far, side)
    vacuum, found = plan_vacuum(ask.vacuum_kpa, shop, ask.bags, bag.air_l, face_mm2(laminate), units)
    return Squeeze(vacuum=vacuum, bag=bag, caul=None, pressure_kpa=vacuum.held_kpa), found


def face_size_mm(laminate: Laminate) -> tuple[float, float]:
    """Mean length of the plies with their waste, and the depth with edge trim."""
    part = laminate.recipe.part
    return laminate.pressed.length_mm + sum(laminate.arch.waste_mm), part.pressed_depth_mm


def face_mm2(laminate: Laminate) -> float:
    """Mean area of a ply."""
    length, width = face_size_mm(laminate)
    return length * width


def _bag(laminate: Laminate, near: Sequence[Lying], far: Sequence[Lying], side: Side) -> Bag:
    """Round the part alone, or round the form with the part on it."""
    recipe = laminate.recipe
    length, width = face_size_mm(laminate)
    lies = (*near, *far)
    if recipe.asked.press.way == "part-bagged":
        section = (width, laminate.thickness_mm + together_mm(near) + together_mm(far))
        return _plan_bag(section, length, (length, width), lies, recipe.shop, holds="part")
    across, along = sorted(_form_size_mm(laminate, side))
    stack = math.ceil(width / recipe.sheet.thickness_mm - 1e-9) * recipe.sheet.thickness_mm
    return _plan_bag((across, stack), along, (length, width), lies, recipe.shop, holds="form and part")


def _plan_bag(
    section_mm: tuple[float, float],
    length_mm: float,
    face_mm: tuple[float, float],
    lies: Sequence[Lying],
    shop: Shop,
    *,
    holds: Literal["part", "form and part"],
) -> Bag:
    """The bag that goes round a section with slack.

    Args:
        section_mm: width and height of the section that it goes round.
        length_mm: of what it holds, laid flat (the part) or as it stands (a form).
        face_mm: length and width of the part's face.
        lies: all that lies on the part.
        shop: for the figures.
        holds: what is inside.

    Assumptions:
        The film goes straight round the section; hollows that it must reach into need pleats beyond the slack.
    """
    slack = 1.0 + figure("bag_slack_share", shop).value
    girth = 2.0 * (section_mm[0] + section_mm[1]) * slack
    length = length_mm * slack + section_mm[1] + 2.0 * figure("bag_seal_mm", shop).value
    face_m2 = face_mm[0] * face_mm[1] * 1e-6
    cloth_share = figure("cloth_air_share", shop).value
    airy = sum(item.thickness_mm for item in lies if item.name in ("breather", "mesh"))
    film_m2 = girth * length * 1e-6
    return Bag(
        holds=holds,
        girth_mm=girth,
        flat_width_mm=girth / 2.0,
        length_mm=length,
        film_m2=film_m2,
        cloths=tuple(Cloth(name=item.name, area_m2=face_m2) for item in lies if not item.is_bag),
        air_l=film_m2 / 2.0 * figure("loose_bag_air_mm", shop).value + face_m2 * airy * cloth_share,
    )


def _form_size_mm(laminate: Laminate, side: Side) -> tuple[float, float]:
    """Width and height of the form with the part on it: the body stands `form.backing` behind the face."""
    ask = laminate.recipe.asked.form
    backing, half = laminate.recipe.backing_mm, laminate.thickness_mm / 2.0
    run_on = [ask.run_on_mm + waste for waste in laminate.arch.waste_mm]
    along = laminate.pressed.extended(run_on[0], run_on[1])
    inward = 1.0 if side == "male" else -1.0
    behind = inward * (half + backing if ask.body == "band" else half)
    stations = np.union1d(along.stations_mm, np.linspace(0.0, along.length_mm, BOX_POINTS))
    edges = [along.pose(float(s)).beside(offset) for offset in (-inward * half, behind) for s in stations]
    wide, high = (max(at) - min(at) for at in zip(*((edge.x_mm, edge.y_mm) for edge in edges), strict=True))
    if ask.body == "block":
        return (wide, high + backing) if side == "male" else (wide + 2.0 * backing, high + backing)
    return wide, high


def lying_between(recipe: Recipe) -> tuple[Lying, ...]:
    """On the form's side, from the part to the form."""
    ask = recipe.asked.press
    return _named(recipe, USUAL_BETWEEN[ask.way] if ask.between is None else ask.between)


def lying_over(recipe: Recipe) -> tuple[Lying, ...]:
    """On the other side, from the part outward."""
    ask = recipe.asked.press
    return _named(recipe, USUAL_OVER[ask.way] if ask.over is None else ask.over)


def together_mm(lies: Sequence[Lying]) -> float:
    """Thickness of all of it."""
    return math.fsum(item.thickness_mm for item in lies)


def _named(recipe: Recipe, wanted: Sequence[str | BetweenItem]) -> tuple[Lying, ...]:
    shop = recipe.shop
    own = shop.bag.sheeting
    return tuple(
        Lying(
            name=f"{own} bag" if item == BAG and BAG not in shop.between else item,
            thickness_mm=between(item, shop),
            is_bag=folds(item, shop),
        )
        if isinstance(item, str)
        else Lying(name=item.name, thickness_mm=item.thickness_mm, is_bag=item.folds)
        for item in wanted
    )
