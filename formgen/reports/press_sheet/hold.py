"""Stage `reports`: the press day from the form to the wait: over the form, clamps on, full vacuum, clamps off, bar.

In: a Holding. Out: things to tick, to read and to write down, in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formgen.amounts import pressure_text
from formgen.holding.model import Holding
from formgen.recipe.figures import figure
from formgen.reports.press_sheet import facts, told
from formgen.reports.press_sheet.grids import Grid
from formgen.reports.press_sheet.items import Item, Say, Table, Tick, Write
from formgen.reports.press_sheet.lay_up import at_the_mark, lying
from formgen.reports.press_sheet.prepare import middles_meet
from formgen.reports.press_sheet.words import capital, feeler, listed, numbers


def over_the_form(holding: Holding) -> Iterable[Item]:
    """The first clamp at the mark, then both legs together: hands bend the stack, nothing else does."""
    if facts.way(holding) == "clamped":
        yield Tick(text=f"Round the stack: {lying(holding)}. No wax and no squeeze-out between form and wood.")
    yield Tick(text=f"Stack over the form: {at_the_mark(holding)}. First clamp there, snug.")
    yield Tick(text=f"{capital(told.ends(holding))} {told.inward(holding)} together. {told.foot_force(holding)}")


def clamps_on(holding: Holding) -> Iterable[Item]:
    """From the mark outward, snug, then tight; the pairs at the ends of the arc; then feet or bar."""
    held = facts.clamps_of(holding)
    if holding.pressing.caul is not None:
        yield Tick(text=told.caul(holding, holding.pressing.caul))
    if held is not None:
        yield from _along_the_curve(holding, held)
        yield from _pairs_on(holding)
        if held.feet:
            yield Tick(text=f"Then the feet: {numbers(held.feet)}.")
    else:
        yield Tick(text=f"The form has no reliefs: clamps or straps round the form, {outward(holding)}.")
    if facts.bar(holding) is not None and not facts.comes_off(holding):
        yield from bar(holding)
    yield Write(labels=("all clamps on at",))
    if facts.way(holding) == "clamped":
        yield from _again(holding)


def _along_the_curve(holding: Holding, held: facts.Clamps) -> Iterable[Item]:
    feet = set(held.feet)
    groups = [kept for group in held.on if (kept := tuple(n for n in group if n not in feet))]
    yield Say(text=f"{capital(outward(holding))}; numbers from the right end. All snug first:")
    yield in_order(groups)
    slack = f"no slack between two clamps{told.slack_costs(holding)}"
    yield Tick(text=f"Then all tight, in the same order: {slack}.")
    curved = [p.number for p in holding.clamps.places if p.on_curve] if holding.clamps is not None else []
    if curved and facts.way(holding) != "clamped":
        yield Tick(text=f"Blocks cut to the curve under {numbers(curved)}.")


def _pairs_on(holding: Holding) -> Iterable[Item]:
    """The clamps that will stay at the ends of the arc, with what closing the leg takes there."""
    yield from (Tick(text=text) for text in told.extra_clamps(holding))
    force = told.closing_force(holding)
    if force:
        yield Say(text=force)


def _again(holding: Holding) -> Iterable[Item]:
    """Glue gives way under the clamps: they are tightened again."""
    shop = holding.recipe.shop
    first, last = (figure(name, shop).value for name in ("retighten_from_min", "retighten_to_min"))
    yield Tick(text=f"Tightened again after {first:g} to {last:g} min, in the same order. All stay on.", write="at")


def full_vacuum(holding: Holding) -> Iterable[Item]:
    """Only now the pump: the plies are pressed on each other where the clamps hold them."""
    pressing, units = holding.pressing, facts.units(holding)
    vacuum = pressing.vacuum
    if vacuum is None:
        return
    wanted = pressure_text(vacuum.held_kpa, units)
    yield Tick(text=f"Pump on, to {wanted}.", write=("gauge", "at"))
    if pressing.drawing_down is not None:
        yield Say(text=told.drawn_down(holding, pressing.drawing_down))
    part = pressing.recipe.part
    yield Tick(
        text=f"Look along the edge for light, {listed(_where_to_look(holding))}: the "
        f"{feeler(part.tolerance_mm, units)} feeler passes nowhere. {_if_it_passes(holding)}"
    )
    yield Tick(text="Across the ends, as in the dry run.", write="glued")
    if vacuum.bags > 1:
        yield _more_bags()


def _if_it_passes(holding: Holding) -> str:
    if facts.way(holding) == "form-bagged":
        return "Where it passes: vacuum off, the slack pleated there, the ends down again."
    return "Where it passes: back to just snug, that clamp tight, vacuum again."


def _more_bags() -> Item:
    return Tick(
        text="To add a bag: shut the cock of the working one and watch its gauge; bend and clamp the new one, draw it "
        "to the same reading, then open both. A low vacuum beside a full one needs a bleed on the new bag's branch. "
        "A bag that leaks is shut off before it pulls the others down."
    )


def clamps_off(holding: Holding) -> Iterable[Item]:
    """List which may come off, which stay and where; and when to look again."""
    held = facts.clamps_of(holding)
    stays = facts.stays(holding)
    if held is None:
        return
    if not facts.clamps_come_off(holding):
        yield Tick(text=told.why_all_stay(holding))
        return
    yield Tick(
        text=f"Clamps {numbers(held.off)} off, from the mark outward." if held.off else "No other clamp to take off."
    )
    texts = list(dict.fromkeys(told.place(holding, s) for s in stays))
    if told.stay_alike(holding):
        yield Tick(text=f"{told.distance(holding, stays[0])} {told.pair_place(holding)}")
    else:
        yield from (Tick(text=f"Stays, on a block: {text}.") for text in texts)
    others = told.others_stay(holding, held)
    if others:
        yield Say(text=others)
    yield _look_again(holding)


def _look_again(holding: Holding) -> Item:
    recipe = holding.recipe
    first, last = facts.looks_again_min(holding)
    gap = feeler(recipe.part.tolerance_mm, recipe.units)
    return Tick(
        text=f"Look again; a clamp goes back where the {gap} feeler passes.",
        write=(f"{first:g} min", f"{last:g} min"),
    )


def off_the_form(holding: Holding) -> Iterable[Item]:
    """The bar on before the clamps come off; the part in its bag leaves the form and is measured."""
    held_by = told.bar_word(holding)
    yield from bar(holding)
    yield Tick(text=f"Clamps off, from the mark outward; the {held_by} holds the ends.")
    yield Tick(text=f"The part in its bag off the form, the pump on; hose and {held_by} go with it.")
    first, last = facts.looks_again_min(holding)
    times = ("at once", f"{first:g} min", f"{last:g} min")
    rows = told.in_the_bag_rows(holding)
    if rows:
        yield Table(head=("across, over the bag", "wanted", *times), rows=rows)
    else:
        yield Tick(text="Measured across the ends, over the bag.", write=times)
    yield Tick(text=f"Moved by more than {told.off_tolerance(holding)}: back on the form, clamps as before.")


def bar(holding: Holding) -> Iterable[Item]:
    """The setting, which stands large in the band at the head, and the setting as found."""
    setting = facts.bar(holding)
    if setting is None:
        return
    yield Tick(text=told.bar_setting(holding, setting), write="read")


def outward(holding: Holding) -> str:
    """The order in which clamps go on, in words."""
    if middles_meet(holding):
        return "from the crown outward, never from both ends inward"
    return "from the stop end to the other, never from both ends inward"


def in_order(groups: Sequence[Sequence[int]]) -> Item:
    """Groups of clamps to tick, in reading order."""
    return Grid(cells=tuple(" and ".join(str(n) for n in sorted(group)) for group in groups), across=True)


def _where_to_look(holding: Holding) -> list[str]:
    laminate = holding.laminate
    legs = laminate.springing_mm[0] > 0.0
    places = ["at both spring lines" if legs else "at both ends"]
    return [*places, "at the crown" if laminate.arch.two_legged else "along the curve"]
