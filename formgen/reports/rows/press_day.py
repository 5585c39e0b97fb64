"""Stage `reports`: the rows of the press day and of the form's load: vacuum, glue, bag, strength, weight.

In: a Form. Out: (what, answer) rows in the recipe's units; nothing is computed here but the units.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from formgen.amounts import (
    air_text,
    altitude_text,
    area_text,
    force_text,
    glue_text,
    pressure_text,
    spread_text,
    stress_text,
    temperature_text,
    time_text,
    weight_text,
)
from formgen.findings import phrase
from formgen.holding.model import Holding
from formgen.lengths import Units, write_fine, write_length
from formgen.press.caul import CaulPressure
from formgen.press.drawing_down import DrawingDown, EndLift
from formgen.press.setup import Pressing
from formgen.press.squeeze import Bag
from formgen.press.vacuum import Vacuum
from formgen.recipe.catalogue import cautions
from formgen.recipe.entries import USUAL_VALUE
from formgen.recipe.schema import Way

Row = tuple[str, str]

#: What goes into the bag, as a foreman says it.
WAY_TEXT: Mapping[Way, str] = MappingProxyType(
    {
        "part-bagged": "the bag round the part alone, the form outside it; clamps bend, the bag presses ply on ply",
        "form-bagged": "form and part in one bag",
        "clamped": "no bag; clamps on cauls press the plies on the form",
    }
)


def lying_rows(pressing: Pressing) -> Iterable[Row]:
    """Side, what lies on both faces, and the film's folds."""
    units = pressing.recipe.units
    reason = "" if pressing.side_reason == "as asked" else f": {pressing.side_reason}"
    yield "pressed", WAY_TEXT[pressing.way]
    yield "form side", f"{pressing.side}{reason}"
    for what, items in (("between part and form", pressing.between), ("over the part", pressing.over)):
        yield what, ", ".join(f"{name} {write_fine(mm, units)}" for name, mm in items) or "nothing"
    film = pressing.film
    if film.most_mm:
        gathered = write_length(film.gathered_mm, units)
        most = f"0 to {write_fine(film.most_mm, units)} on the form's side"
        share = f"on up to {100.0 * film.covered_share:.1f} % of the length"
        yield "folds in the bag", f"{most}, {share} ({gathered} of sheet gathers there at the most)"
    elif pressing.way == "part-bagged":
        yield "folds in the bag", "none on the form's side"


def press_rows(pressing: Pressing) -> Iterable[Row]:
    """List what presses the plies and what that does, glue and bag."""
    vacuum, bag = pressing.vacuum, pressing.bag
    if vacuum is not None:
        yield from _vacuum(pressing, vacuum)
    if pressing.caul is not None:
        yield from _caul(pressing, pressing.caul)
    if pressing.drawing_down is not None:
        yield from _drawing_down(pressing, pressing.drawing_down)
    yield from _hollows(pressing)
    yield from _glue(pressing)
    if bag is not None:
        yield from _bag(pressing, bag)
    yield from _care((*(() if vacuum is None else vacuum.cautions), *pressing.glue.cautions), pressing.recipe.units)


def burden_rows(form: Holding) -> Iterable[Row]:
    """List what the form bears and weighs."""
    units = form.recipe.units
    strength, weights = form.strength, form.weights
    for check in strength.checks:
        limit = "" if check.stress_limit_mpa is None else f" of {stress_text(check.stress_limit_mpa, units)}"
        what = phrase("form.gives", "check", units, check.what)
        gives = (
            f"{what}: gives {write_fine(check.deflection_mm, units)} of "
            f"{write_fine(check.deflection_limit_mm, units)}, "
            f"stress {stress_text(check.stress_mpa, units)}{limit}"
        )
        yield "strength" if check is strength.checks[0] else "", gives
    if strength.pressure_kpa:
        force, air = force_text(strength.broadest_face_kn, units), pressure_text(strength.pressure_kpa, units)
        yield "air on its front", f"{force} at {air}"
    weight = (
        f"form {weight_text(weights.form_kg, units)}, heaviest piece {weights.heaviest_piece} "
        f"{weight_text(weights.heaviest_piece_kg, units)}, part {'about ' if weights.part_guessed else ''}"
        f"{weight_text(weights.part_kg, units)}; one person lifts {weight_text(weights.limit_kg, units)} at most"
    )
    yield "weight", weight
    sheets = (
        f"at least {weights.sheets_at_least} by area alone ({area_text(weights.board_m2, units)}); "
        "a layout may take more"
    )
    yield "sheets", sheets
    yield from _care((*strength.cautions, *weights.cautions), units)


def _vacuum(pressing: Pressing, vacuum: Vacuum) -> Iterable[Row]:
    shop, units = pressing.recipe.shop, pressing.recipe.units
    asked = f"{pressure_text(vacuum.asked_kpa, units)} {'asked' if vacuum.asked_in_recipe else 'as the pump holds'}"
    yield "vacuum", f"{pressure_text(vacuum.held_kpa, units)} counted on, {asked}"
    most = (
        f"{pressure_text(vacuum.practical_kpa, units)} in practice of "
        f"{pressure_text(vacuum.atmosphere_kpa, units)} of air at {altitude_text(shop.altitude_mm, units)}"
    )
    yield "most there is", most
    yield "squeeze on the plies", force_text(vacuum.part_force_kn, units)
    bags = "1 bag" if vacuum.bags == 1 else f"{vacuum.bags} bags"
    air = air_text(vacuum.air_l, units)
    yield "pump-down", f"{vacuum.pump_down_s:.0f} s for {bags} with {air} of air each, at the least"
    how = "tested" if vacuum.loss_tested else "at most"
    lost = f"{how} {pressure_text(vacuum.loss_kpa_per_min, units)} lost in a minute"
    if vacuum.on_s is None:
        held = pressure_text(vacuum.balance_kpa, units)
        yield "leak", f"{lost}; the pump never stops, since at {held} the leak brings in all that it draws"
    else:
        runs = f"runs {vacuum.on_s:.1f} s and rests {vacuum.off_s:.0f} s ({100 * vacuum.duty:.1f} % of the time)"
        yield "leak", f"{lost}; on its switch the pump {runs}"


def _caul(pressing: Pressing, caul: CaulPressure) -> Iterable[Row]:
    units = pressing.recipe.units
    each = "one" if caul.side_by_side == 1 else f"{caul.side_by_side} side by side"
    press = (
        f"{stress_text(caul.pressure_kpa / 1000.0, units)} through {write_length(caul.caul_mm, units)} of caul: "
        f"{each} every {write_length(caul.spacing_mm, units)}, {force_text(caul.clamp_n / 1000.0, units)} each, "
        f"over {write_length(caul.reach_mm, units)}"
    )
    yield "clamps press", press


def _drawing_down(pressing: Pressing, drawn: DrawingDown) -> Iterable[Row]:
    units = pressing.recipe.units
    word = "enough" if drawn.needed_kpa <= drawn.held_kpa else "not enough"
    legs = f"{pressure_text(drawn.legs_down_kpa, units)} at most until the legs are down"
    needs = f"needs {pressure_text(drawn.needed_kpa, units)} of {pressure_text(drawn.held_kpa, units)}"
    yield "draws down to the form", f"{word}: {needs}; {legs}"
    yield "ends on the form", "; ".join(_end(end, units) for end in drawn.ends)


def _hollows(pressing: Pressing) -> Iterable[Row]:
    units, hollows = pressing.recipe.units, pressing.hollows
    if hollows.shortest_mm == 0.0:
        yield "plies close", "the glue bridges the hollows that planing leaves"
        return
    shortest, likely = write_length(hollows.shortest_mm, units), write_length(hollows.likely_mm, units)
    close = "yes" if hollows.plies_close else "no"
    yield "plies close", f"{close}: on hollows of {shortest} and longer, likely {likely}"


def _end(end: EndLift, units: Units) -> str:
    if end.zone_mm == 0.0:
        return f"{end.where} straight"
    where = " at the springing" if end.on_leg else ""
    gap = write_fine(end.gap_mm, units)
    return f"{end.where} stands off over {write_length(end.zone_mm, units)}{where}, in the part by {gap}"


def _glue(pressing: Pressing) -> Iterable[Row]:
    """Of a glue that is chosen; of none the time that days are planned with, and what is missing."""
    glue, units = pressing.glue, pressing.recipe.units
    at = temperature_text(glue.temperature_celsius, units)
    people = pressing.recipe.shop.people
    who = f"{people} {'person' if people == 1 else 'people'}"
    yield "glue", _glue_weight(pressing)
    open_for = (
        ""
        if glue.open_least_min is None or glue.open_most_min is None
        else f"; open for {glue.open_least_min:.0f} to {glue.open_most_min:.0f} min at {at}"
    )
    yield "first glue to pressure", f"{glue.lay_up_min:.0f} min with {who}{open_for}"
    rule = "" if glue.temperature_celsius == glue.reference_celsius else ", by a rule of thumb"
    planned = "" if glue.chosen else "planned with "
    yield "in the press", f"{planned}{time_text(glue.press_min)} at {at}{rule}"
    if glue.asked_least_mpa is not None and glue.asked_most_mpa is not None:
        asked = f"{stress_text(glue.asked_least_mpa, units)} to {stress_text(glue.asked_most_mpa, units)}"
        yield "glue pressure", f"{stress_text(glue.available_mpa, units)} of {asked} usually asked for"
    if glue.usual:
        yield "not from a data sheet", f"{', '.join(glue.usual)}: {USUAL_VALUE}"


def _glue_weight(pressing: Pressing) -> str:
    glue, units = pressing.glue, pressing.recipe.units
    lines = "1 line" if glue.lines == 1 else f"{glue.lines} lines"
    name = glue.adhesive or "not chosen: laminate.adhesive, or adhesive in shop.yaml"
    if glue.net_kg is None or glue.mixed_kg is None or glue.spread_g_per_m2 is None:
        return f"{name}; {lines} of {area_text(glue.line_m2, units)}"
    return (
        f"{name}; {glue_text(glue.mixed_kg, units)} with waste: {lines} at {spread_text(glue.spread_g_per_m2, units)} "
        f"take {glue_text(glue.net_kg, units)}"
    )


def _bag(pressing: Pressing, bag: Bag) -> Iterable[Row]:
    units = pressing.recipe.units
    size = (
        f"girth {write_length(bag.girth_mm, units)} (lies {write_length(bag.flat_width_mm, units)} wide), "
        f"{write_length(bag.length_mm, units)} long; sheeting {area_text(bag.film_m2, units)}"
    )
    yield f"bag round {'the part' if bag.holds == 'part' else 'form and part'}", size
    if bag.cloths:
        yield "on the part's face", ", ".join(f"{cloth.name} {area_text(cloth.area_m2, units)}" for cloth in bag.cloths)


def _care(names: Sequence[str], units: Units) -> Iterable[Row]:
    for i, name in enumerate(dict.fromkeys(names)):
        yield "take care" if i == 0 else "", cautions()[name].said(units)
