"""Mending: the body of the form, what is cut into it, and its sheet.

In: a Holding and the finding. Out: values to try.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from formgen.findings import Finding
from formgen.form.bar import LOST_SHARE
from formgen.holding.model import Holding
from formgen.mending.trial import Try, length, word
from formgen.press.caul import spread_mm
from formgen.recipe.catalogue import sheets
from formgen.recipe.entries import StockSheet
from formgen.recipe.schema import BarAsk, ReliefAsk
from formgen.recipe.shop import Sheet

#: A backing is said in these: 5 mm, a quarter of an inch.
BACKING_MARKS = {"mm": 5, "in": 4}
#: No form is made deeper behind its face than so many times what was asked for.
MOST_DEEPER = 4.0
#: Clamps are set so much closer than they must be, since a relief that clashes is moved along the face.
CLOSER = 0.9


def backing(form: Holding, mm: float, *, up: bool = True) -> Try:
    """Return a backing to try, on a round mark of the tape."""
    return length("form.backing", mm, form.recipe.units, up=up, marks=BACKING_MARKS[form.recipe.units])


def stiffer(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the backing at which the body bears the plies' own bending."""
    recipe, now = form.recipe, form.recipe.backing_mm
    if _use(form, now) <= 1.0:  # then it is another wall that gives
        return
    step = 5.0 if recipe.units == "mm" else 6.35
    for n in range(1, math.floor((MOST_DEEPER - 1.0) * now / step)):
        if _use(form, now + n * step) <= 1.0:
            yield backing(form, now + n * step)
            yield backing(form, 1.1 * (now + n * step))
            return


def _use(form: Holding, deep: float) -> float:
    """Share of what the body may take under the plies' own bending, at another backing: it gives as 1/(b³ − r³)."""
    recipe, now = form.recipe, form.recipe.backing_mm
    check = next((c for c in form.strength.checks if c.what in {"body", "block"}), None)
    if check is None:
        return 0.0
    cut = any(piece.openings for _, piece in form.pieces)
    relief = recipe.shop.clamp.jaw_mm + recipe.shop.clamp.play_mm if cut else 0.0
    less = (now**3 - min(relief, 0.9 * now) ** 3) / (deep**3 - min(relief, 0.9 * deep) ** 3)
    gives = check.deflection_mm * less / check.deflection_limit_mm
    return max(gives, check.stress_mpa * (deep / now) * less / (check.stress_limit_mpa or math.inf))


def usual_backing(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the least backing in which a relief keeps its walls, where the recipe asked for less."""
    recipe = form.recipe
    asked = recipe.asked.form.model_copy(update={"backing_mm": None})
    usual = replace(recipe, asked=recipe.asked.model_copy(update={"form": asked})).backing_mm
    if usual > recipe.backing_mm:
        yield backing(form, usual)
    yield backing(form, 1.25 * max(usual, recipe.backing_mm))


def whole_body(_form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield a body down to its base line."""
    yield word("form.body", "block")


def lighter(form: Holding, found: Finding) -> Iterator[Try]:
    """Yield a band instead of a block, or a narrower band, where that can be light enough."""
    recipe, limit = form.recipe, found.limit or 0.0
    if form.body == "block":
        if _band_kg(form) <= limit:
            yield word("form.body", "band")
        return
    asked = recipe.asked.form.model_copy(update={"backing_mm": None})
    usual = replace(recipe, asked=recipe.asked.model_copy(update={"form": asked})).backing_mm
    narrower = recipe.backing_mm * limit / (found.value or math.inf)
    if usual <= narrower < recipe.backing_mm and _use(form, narrower) <= 1.0:
        yield backing(form, narrower, up=False)


def _band_kg(form: Holding) -> float:
    """Weight of a band behind the same face: L b − b²/2 · ∫κ between parallel curves, less reliefs as they are now."""
    deep, inward = form.recipe.backing_mm, 1.0 if form.pressing.side == "male" else -1.0
    band_mm2 = form.face.length_mm * deep - inward * form.face.sweep_rad * deep**2 / 2.0
    cut_mm3 = math.fsum(o.outline.area_mm2 * layer.thickness_mm for layer, piece in form.pieces for o in piece.openings)
    return (band_mm2 * form.depth_mm - cut_mm3) * form.recipe.sheet.density_kg_per_m3 * 1e-9


def thinner_sheet(form: Holding, found: Finding) -> Iterator[Try]:
    """Yield the thickest sheet of shop and catalogue that makes layers enough."""
    recipe = form.recipe
    known: dict[str, StockSheet | Sheet] = {**sheets(), **recipe.shop.sheets}
    for name, sheet in sorted(known.items(), key=lambda pair: -pair[1].thickness_mm):
        if math.ceil(recipe.part.pressed_depth_mm / sheet.thickness_mm - 1e-9) >= (found.limit or 0):
            yield word("form.sheet", name)


def lower_bar(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield the height at which the bar's seat leaves half the face of both legs, else no bar."""
    laminate, bar = form.laminate, form.recipe.shop.bar
    pressed, (first, last) = laminate.pressed, laminate.springing_mm
    legs = [(pressed.start.y_mm, first), (pressed.end.y_mm, pressed.length_mm - last)]
    above = min((foot + LOST_SHARE * long for foot, long in legs if long > 0.0), default=-math.inf)
    height = above - bar.height_mm / 2.0 - bar.play_mm
    if height >= max(foot for foot, _ in legs) + bar.height_mm / 2.0:
        one = length("form.spreader_bar", height, form.recipe.units, up=False)
        value = BarAsk.model_construct(height_mm=one.value)
        yield Try(key="form.spreader_bar.height", text=one.text, section="form", field="spreader_bar", value=value)
    yield word("form.spreader_bar", value=False)


def closer_clamps(form: Holding, mm: float) -> Iterator[Try]:
    """Yield reliefs no further apart than that, and somewhat closer."""
    asked = form.recipe.asked.form.clamp_reliefs
    held = asked if isinstance(asked, ReliefAsk) else ReliefAsk()
    for share in (CLOSER, CLOSER**3):
        one = length("form.spacing", share * mm, form.recipe.units, up=False)
        value = held.model_copy(update={"spacing_mm": one.value})
        key = "form.clamp_reliefs.spacing"
        yield Try(key=key, text=one.text, section="form", field="clamp_reliefs", value=value)


def within_reach(form: Holding, _found: Finding) -> Iterator[Try]:
    """Yield clamps as far apart as one presses through the caul."""
    caul = form.pressing.caul
    if caul is not None:
        yield from closer_clamps(form, spread_mm(form.recipe.shop.clamp.jaw_mm, caul.caul_mm))
