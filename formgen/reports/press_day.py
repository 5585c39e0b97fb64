"""Stage `reports`: the rows of the press day and of the form's load: vacuum, glue, bag, strength, weight.

In: a Form. Out: (what, answer) rows in the recipe's units; nothing is computed here but the units.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formgen.holding.model import Holding
from formgen.lengths import Units, write_fine, write_length
from formgen.press.amounts import (
    air_text,
    altitude_text,
    area_text,
    force_text,
    glue_text,
    pressure_text,
    spread_text,
    stress_text,
    temperature_text,
    weight_text,
)
from formgen.press.ends import EndLift
from formgen.press.setup import Pressing
from formgen.recipe.catalogue import cautions

Row = tuple[str, str]


def lying_rows(pressing: Pressing) -> Iterable[Row]:
    """Side, what lies on both faces, and the film's folds."""
    units = pressing.laminate.arch.recipe.asked.units
    where = "inside" if pressing.form_in_bag else "outside"
    reason = "" if pressing.side_reason == "as asked" else f": {pressing.side_reason}"
    yield "form side", f"{pressing.side}, {where} the bag{reason}"
    for what, items in (("between part and form", pressing.between), ("over the part", pressing.over)):
        yield what, ", ".join(f"{name} {write_fine(mm, units)}" for name, mm in items) or "nothing"
    film = pressing.film
    gathered = f"({write_length(film.gathered_mm, units)} of film gathers there)"
    most = f"0 to {write_fine(film.most_mm, units)} on the form's side {gathered}"
    yield "folds in the film", most if film.most_mm else "none on the form's side"


def press_rows(pressing: Pressing) -> Iterable[Row]:
    """Vacuum, what it does, glue and bag."""
    yield from _vacuum(pressing)
    yield from _closing(pressing)
    yield from _glue(pressing)
    yield from _bag(pressing)
    yield from _care((*pressing.vacuum.cautions, *pressing.glue.cautions))


def burden_rows(form: Holding) -> Iterable[Row]:
    """What the form bears and weighs."""
    units = form.pressing.laminate.arch.recipe.asked.units
    strength, weights = form.strength, form.weights
    for check in strength.checks:
        limit = "" if check.stress_limit_mpa is None else f" of {stress_text(check.stress_limit_mpa, units)}"
        yield (
            "strength" if check is strength.checks[0] else "",
            (
                f"{check.what}: gives {write_fine(check.deflection_mm, units)} of "
                f"{write_fine(check.deflection_limit_mm, units)}, "
                f"stress {stress_text(check.stress_mpa, units)}{limit}"
            ),
        )
    if strength.pressure_kpa:
        yield (
            "air on its front",
            f"{force_text(strength.broadest_face_kn, units)} at {pressure_text(strength.pressure_kpa, units)}",
        )
    yield (
        "weight",
        (
            f"form {weight_text(weights.form_kg, units)}, heaviest piece {weights.heaviest_piece} "
            f"{weight_text(weights.heaviest_piece_kg, units)}, part {'about ' if weights.part_guessed else ''}"
            f"{weight_text(weights.part_kg, units)}; one person lifts {weight_text(weights.limit_kg, units)} at most"
        ),
    )
    yield (
        "sheets",
        (
            f"at least {weights.sheets_at_least} by area alone ({area_text(weights.board_m2, units)}); "
            "a layout may take more"
        ),
    )
    yield from _care((*strength.cautions, *weights.cautions))


def _vacuum(pressing: Pressing) -> Iterable[Row]:
    shop, units = pressing.laminate.arch.recipe.shop, pressing.laminate.arch.recipe.asked.units
    vacuum = pressing.vacuum
    asked = f"{pressure_text(vacuum.asked_kpa, units)} {'asked' if vacuum.asked_in_recipe else 'as the pump holds'}"
    yield "vacuum", f"{pressure_text(vacuum.held_kpa, units)} counted on, {asked}"
    yield (
        "most there is",
        (
            f"{pressure_text(vacuum.practical_kpa, units)} in practice of "
            f"{pressure_text(vacuum.atmosphere_kpa, units)} of air at {altitude_text(shop.altitude_mm, units)}"
        ),
    )
    yield "force on the part", force_text(vacuum.part_force_kn, units)
    bags = "1 bag" if vacuum.bags == 1 else f"{vacuum.bags} bags"
    yield (
        "pump-down",
        f"{vacuum.pump_down_s:.0f} s for {bags} with {air_text(vacuum.air_l, units)} of air each, at the least",
    )
    how = "tested" if vacuum.loss_tested else "at most"
    lost = f"{how} {pressure_text(vacuum.loss_kpa_per_min, units)} lost in a minute"
    if vacuum.on_s is None:
        held = pressure_text(vacuum.balance_kpa, units)
        yield "leak", f"{lost}; the pump never stops, since at {held} the leak brings in all that it draws"
    else:
        runs = f"runs {vacuum.on_s:.1f} s and rests {vacuum.off_s:.0f} s ({100 * vacuum.duty:.1f} % of the time)"
        yield "leak", f"{lost}; on its switch the pump {runs}"


def _closing(pressing: Pressing) -> Iterable[Row]:
    units, closing = pressing.laminate.arch.recipe.asked.units, pressing.closing
    word = "enough" if closing.needed_kpa <= closing.held_kpa else "not enough"
    yield (
        "bends to the form",
        f"{word}: needs {pressure_text(closing.needed_kpa, units)} of {pressure_text(closing.held_kpa, units)}",
    )
    yield "ends on the form", "; ".join(_end(end, units) for end in closing.ends)
    yield (
        "plies close",
        "the glue bridges the hollows that planing leaves"
        if closing.hollow_mm == 0.0
        else f"{'yes' if closing.plies_close else 'no'}: on hollows of "
        f"{write_length(closing.hollow_mm, units)} and longer, likely {write_length(closing.hollow_likely_mm, units)}",
    )


def _end(end: EndLift, units: Units) -> str:
    if end.zone_mm == 0.0:
        return f"{end.where} straight"
    where = " at the springing" if end.on_leg else ""
    gap = write_fine(end.gap_mm, units)
    return f"{end.where} stands off over {write_length(end.zone_mm, units)}{where}, in the part by {gap}"


def _glue(pressing: Pressing) -> Iterable[Row]:
    glue, units = pressing.glue, pressing.laminate.arch.recipe.asked.units
    at = temperature_text(glue.temperature_celsius, units)
    yield (
        "glue",
        (
            f"{glue_text(glue.mixed_kg, units)} of {glue.adhesive} with waste: {glue.lines} lines at "
            f"{spread_text(glue.spread_g_per_m2, units)} take {glue_text(glue.net_kg, units)}"
        ),
    )
    people = pressing.laminate.arch.recipe.shop.people
    yield (
        "laying up",
        (
            f"{glue.lay_up_min:.0f} min with {people} {'person' if people == 1 else 'people'}; open for "
            f"{glue.open_least_min:.0f} to {glue.open_most_min:.0f} min at {at}"
        ),
    )
    hours = f"{hours_text(glue.press_least_min)} to {hours_text(glue.press_most_min)}"
    rule = "" if glue.temperature_celsius == glue.reference_celsius else ", by a rule of thumb"
    yield "in the bag", f"{hours} at {at}{rule}"
    yield (
        "glue pressure",
        (
            f"{stress_text(glue.available_mpa, units)} of {stress_text(glue.asked_least_mpa, units)} to "
            f"{stress_text(glue.asked_most_mpa, units)} in handbooks"
        ),
    )


def _bag(pressing: Pressing) -> Iterable[Row]:
    bag, units = pressing.bag, pressing.laminate.arch.recipe.asked.units
    yield (
        f"bag round {'the part' if bag.holds == 'part' else 'form and part'}",
        (
            f"girth {write_length(bag.girth_mm, units)} (lies {write_length(bag.flat_width_mm, units)} wide), "
            f"{write_length(bag.length_mm, units)} long; film {area_text(bag.film_m2, units)}"
        ),
    )
    if bag.cloths:
        yield "on the part's face", ", ".join(f"{cloth.name} {area_text(cloth.area_m2, units)}" for cloth in bag.cloths)


def _care(names: Sequence[str]) -> Iterable[Row]:
    for i, name in enumerate(dict.fromkeys(names)):
        yield "take care" if i == 0 else "", cautions()[name].line


def hours_text(minutes: float) -> str:
    """A time: minutes up to two hours, else hours."""
    return f"{minutes:.0f} min" if minutes < 120.0 else f"{minutes / 60.0:.1f} h"
