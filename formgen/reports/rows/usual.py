"""Stage `reports`: what nobody typed: the values that the program chose or took as usual, listed once.

In: a Holding. Out: rows (key, value) in the recipe's units; the keys are those to type where another value is wanted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from formgen.amounts import altitude_text, pressure_text
from formgen.holding.model import Holding
from formgen.lengths import write_fine, write_length
from formgen.recipe.schema import ReliefAsk

Rows = Iterable[tuple[str, str]]


def usual_rows(form: Holding) -> Iterator[tuple[str, str]]:
    """List the recipe's keys, then the shop's."""
    taken = set(form.recipe.taken)
    yield from ((key, value) for fields, key, value in _of_recipe(form) if fields <= taken)
    yield from _of_shop(form)


def _of_recipe(form: Holding) -> Iterator[tuple[set[str], str, str]]:
    """Each key with its fields, none of which may have been typed."""
    recipe, pressing = form.recipe, form.pressing
    asked, units, plies = recipe.asked, recipe.units, pressing.laminate.plies
    yield {"laminate.plies"}, "laminate.plies", f"{len(plies)} of {write_fine(plies[0].thickness_mm, units)}"
    yield {"press.side"}, "press.side", pressing.side
    yield {"press.way"}, "press.way", pressing.way
    if recipe.shop.sheet is None:
        yield {"form.sheet"}, "form.sheet", f"{recipe.sheet_name}, {write_fine(recipe.sheet.thickness_mm, units)}"
    yield {"form.body"}, "form.body", form.body
    yield {"form.backing_mm"}, "form.backing", write_length(recipe.backing_mm, units)
    reliefs = asked.form.clamp_reliefs
    if isinstance(reliefs, ReliefAsk) and form.relief_stations_mm:
        spacing = f"{write_length(reliefs.spacing_mm, units)} apart at the most"
        yield {"form.clamp_reliefs"}, "form.clamp_reliefs.spacing", spacing
    yield {"part.end_trim_mm"}, "part.end_trim", write_length(asked.part.end_trim_mm, units)
    yield {"part.edge_trim_mm"}, "part.edge_trim", write_length(asked.part.edge_trim_mm, units)
    yield {"part.tolerance_mm"}, "part.tolerance", write_fine(asked.part.tolerance_mm, units)
    if asked.laminate.allow_for_moisture:
        yield {"laminate.allow_for_moisture"}, "laminate.allow_for_moisture", "true"


def _of_shop(form: Holding) -> Rows:
    """Sizes of the shop that its file does not give, where this form needs them."""
    shop, units, asked = form.recipe.shop, form.recipe.units, form.recipe.asked
    if form.pressing.vacuum is not None:
        if "thickness_mm" not in shop.bag.model_fields_set:
            yield "bag", f"{shop.bag.sheeting}, {write_fine(shop.bag.thickness_mm, units)}"
        if "vacuum_kpa" not in shop.pump.model_fields_set and asked.press.vacuum_kpa is None:
            yield "pump.vacuum", pressure_text(form.pressing.vacuum.pump_kpa, units)
        if "altitude_mm" not in shop.model_fields_set:
            yield "altitude", altitude_text(shop.altitude_mm, units)
    if "jaw_mm" not in shop.clamp.model_fields_set:
        yield "clamp.jaw", f"{write_length(shop.clamp.jaw_mm, units)}, play {write_length(shop.clamp.play_mm, units)}"
    if form.bar is not None and "height_mm" not in shop.bar.model_fields_set:
        yield "bar", f"{write_length(shop.bar.height_mm, units)} × {write_length(shop.bar.width_mm, units)}"
    if "diameter_mm" not in shop.dowel.model_fields_set:
        yield "dowel", write_length(shop.dowel.diameter_mm, units)
    if "diameter_mm" not in shop.cutter.model_fields_set:
        yield "cutter", write_length(shop.cutter.diameter_mm, units)
