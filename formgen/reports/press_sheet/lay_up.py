"""Stage `reports`: the press day from the glue to the stack in its bag.

In: a Holding. Out: things to tick and to write down, in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.amounts import pressure_text, spread_text, temperature_text
from formgen.holding.model import Holding
from formgen.recipe.figures import figure
from formgen.reports.press_sheet import facts, told
from formgen.reports.press_sheet.items import Item, Tick
from formgen.reports.press_sheet.prepare import middles_meet
from formgen.reports.press_sheet.words import capital, listed, many, tape
from formgen.reports.rows.makes import is_shared


def glue(holding: Holding) -> Iterable[Item]:
    """Gloves and air, the clock, the glue, the stack and its marks."""
    yield Tick(text="Gloves on, air moving, the glue's sheet read.")
    yield _warm(holding)
    yield Tick(text="Clock started.", write=("glue begun at", *_deadlines(holding)))
    lines = holding.pressing.glue.lines
    grams = holding.pressing.glue.spread_g_per_m2
    spread = f", {spread_text(grams, facts.units(holding))}" if grams is not None and facts.glue_chosen(holding) else ""
    yield Tick(text=f"Glue on {many(lines, 'line')}{spread}, even to both edges.")
    yield Tick(text=_order(holding))
    there = (
        "it shows where the stack lies on the form" if holding.pressing.form_in_bag else "the first clamp goes there"
    )
    yield Tick(text=f"A line across all edges at {_mark(holding)}: {there}.")
    yield Tick(text="Written on the stack: part no., right, left, up, inside.")
    yield Tick(text=_pin(holding))
    yield Tick(text="Tape round loosely, its glue never on the wood; sharp ends carded.")


def into_the_bag(holding: Holding) -> Iterable[Item]:
    """The part alone into its bag, and the bag just snug."""
    yield Tick(text=f"Round the stack: {lying(holding)}. Mesh or breather laps over both long edges and to the port.")
    yield Tick(
        text="Into the bag, which is longer than the outer face. No film drawn in between two plies; pleats lengthwise "
        "at the feet, none under a clamp."
    )
    reading = told.just_snug(holding)
    needle = "barely off" if holding.soft_vacuum is None or holding.soft_vacuum.shows else "still on"
    yield Tick(
        text=f"Bag just snug ({reading}): the needle {needle} its stop, the pump off. Under more the plies do not "
        "slide as they bend, and the part comes out wide.",
        write="gauge",
    )


def onto_the_form_in_the_bag(holding: Holding) -> Iterable[Item]:
    """Plies at their mark on the form, both into one bag."""
    yield Tick(text=f"Stack on the form: {at_the_mark(holding)}.")
    yield Tick(text=f"From the form outward: {lying(holding)}. No film drawn in between two plies.")
    yield Tick(text="Bag over both, sealed; the form's ports open to it.")


def legs_down(holding: Holding) -> Iterable[Item]:
    """Bent by hand under a soft vacuum, form and part in one bag."""
    shop = holding.recipe.shop
    most = pressure_text(figure("bend_in_bag_kpa", shop).value, facts.units(holding))
    yield Tick(
        text=f"{capital(told.ends(holding))} {told.inward(holding)} together by hand, straps or clamps, at no more "
        f"than {most}. {told.foot_force(holding)}",
        write="gauge",
    )
    yield Tick(text="Slack film pleated where it would bridge: into hollows and at the ends.")


def _warm(holding: Holding) -> Item:
    at = temperature_text(holding.pressing.glue.temperature_celsius, facts.units(holding))
    if facts.glue_chosen(holding):
        return Tick(
            text=f"Shop and plies at {at}, never colder than the glue's sheet allows.",
            write="read",
        )
    return Tick(text=f"Shop and plies at {at}.", write=("read", "glue's sheet: not below"))


def _deadlines(holding: Holding) -> tuple[str, ...]:
    """All clamps on, and full vacuum: both by the clock that starts at the first glue."""
    vacuum = holding.pressing.vacuum
    clamps = ["all clamps on by"] if facts.way(holding) != "form-bagged" else []
    both = [*clamps, *(["full vacuum by"] if vacuum is not None else [])]
    ready = facts.ready_min(holding)
    if ready is None:
        return tuple(both)
    pump = 0.0 if vacuum is None else math.ceil(vacuum.pump_down_s / 60.0)
    times = {"full vacuum by": ready, "all clamps on by": max(ready - pump, 1)}
    return tuple(f"{label} (begun + {times[label]:.0f} min)" for label in both)


def _order(holding: Holding) -> str:
    """Say which ply lies on the form, and which faces the part shows."""
    count = len(holding.laminate.plies)
    if holding.pressing.side == "male":
        return f"Stacked in order: ply 1 lies on the form and shows on the inside of the part, ply {count} outside."
    return f"Stacked in order: ply {count} lies on the form, outside; ply 1 shows on the inside of the part."


def _mark(holding: Holding) -> str:
    return "the middle marks" if middles_meet(holding) else "the right end"


def at_the_mark(holding: Holding) -> str:
    """Say where the stack lies along the form."""
    if middles_meet(holding):
        return "middle marks on the form's centre line"
    waste = tape(holding.arch.waste_mm[0], facts.units(holding))
    return f"right ends {waste} past the {'opening' if is_shared(holding) else 'form'}'s right trim line"


def _pin(holding: Holding) -> str:
    """A wood pin keeps the plies from shifting, where an edge has the waste for it."""
    laminate = holding.laminate
    recipe = laminate.recipe
    least, waste = figure("pin_edge_waste_mm", recipe.shop).value, recipe.part.edge_trim_mm
    if waste < least:
        edge = tape(waste, facts.units(holding)) if waste else "nothing"
        need = tape(least, facts.units(holding))
        return f"No pin through the plies: the edges have {edge} of waste, a pin takes {need}."
    return (
        f"Where plies may shift: one wood pin on that line, in the {tape(waste, facts.units(holding))} of waste on an "
        "edge, cut flush and taped over. No other: the plies must slide toward the ends."
    )


def lying(holding: Holding) -> str:
    """Say what lies on both sides of the stack."""
    pressing = holding.pressing
    between = listed([name for name, _ in pressing.between]) if pressing.between else "nothing"
    over = listed([name for name, _ in pressing.over]) if pressing.over else "nothing"
    return f"{between} on both sides" if between == over else f"{between} on the form's side, {over} on the other"
