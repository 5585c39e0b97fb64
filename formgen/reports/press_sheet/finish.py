"""Stage `reports`: the end of the press day and the day after: wait, release, measure, trim, write down.

In: a Holding. Out: things to tick and to write down, in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from formgen.amounts import temperature_text, time_text
from formgen.holding.model import Holding
from formgen.makes.model import Made
from formgen.reports.press_sheet import facts, told
from formgen.reports.press_sheet.hold import in_order
from formgen.reports.press_sheet.items import Item, Say, Tick, Write
from formgen.reports.press_sheet.words import capital, checked, tape
from formgen.reports.rows.makes import has_list, is_shared
from formgen.reports.rows.makes_table import measured_tables, spacer_mm


def wait(holding: Holding) -> Iterable[Item]:
    """One time in the press, at the glue line's temperature, as long as the data sheet asks."""
    press = "under vacuum" if holding.pressing.vacuum is not None else "in the clamps"
    at = temperature_text(holding.pressing.glue.temperature_celsius, facts.units(holding))
    if facts.glue_chosen(holding):
        time = time_text(holding.pressing.glue.press_min)
        yield Say(text=f"{time} {press}, glue line at {at}{told.usual(holding, 'time in the press')}.")
        yield Write(labels=("time in", f"not out before (in + {time})"))
    else:
        yield Say(text=f"Glue: not chosen. Its data sheet says how long {press}, at what temperature of the glue line.")
        yield Write(labels=("hours", "at", "time in", "not out before"))
    yield Tick(text="Squeeze-out scraped at the gel, none on the form.")
    if holding.pressing.vacuum is not None:
        yield Write(labels=("gauge after an hour", "at the end"))


def release(holding: Holding) -> Iterable[Item]:
    """Vacuum off, then feet, then the pairs at the ends of the arc; a spacer until the next day."""
    yield Write(labels=("time out",))
    if holding.pressing.vacuum is not None:
        yield Tick(text="Vacuum off, slowly.")
    held = facts.clamps_of(holding)
    if facts.comes_off(holding):
        yield Tick(text=f"{capital(told.bar_word(holding))} off slowly, hands clear of the ends; then the bag.")
    elif held is not None:
        yield from _clamps(holding, held)
    elif facts.bar(holding) is not None:
        yield Tick(text="Bar off slowly, hands clear of the ends.")
    elif facts.way(holding) == "form-bagged":
        yield Tick(text="Straps or clamps at the ends off, slowly, hands clear.")
    if holding.arch.two_legged and not is_shared(holding):
        feet = "the feet" if holding.laminate.springing_mm[0] > 0.0 else "the ends"
        between = tape(spacer_mm(holding), facts.units(holding))
        yield Tick(text=f"Spacer of {between} between {feet} until next day.")


def _clamps(holding: Holding, held: facts.Clamps) -> Iterable[Item]:
    """In the order in which the hand lets go: feet or bar first, what holds the arc last."""
    if facts.bar(holding) is not None:
        yield Tick(text="Bar off slowly, hands clear of the ends.")
    if held.release:
        first = "the feet first, " if held.feet and len(held.release) > 1 else ""
        yield Say(text=f"{'Then the' if facts.bar(holding) is not None else 'The'} clamps slowly, {first}hands clear:")
        yield in_order(held.release)
    if any(stay.clamp is None for stay in facts.stays(holding)):
        yield Tick(text="Last the pairs at the ends of the arc.")


def next_day(holding: Holding, *, brief: bool) -> Iterable[Item]:
    """Measured before the spacer goes; trimmed and planed after full cure."""
    if has_list(holding):
        yield Say(text="Spans and rise are written in the opening's table behind this page.")
    else:
        yield from measured_tables(holding, brief=brief)
    own = "this opening's own trim lines, by its row in the list" if is_shared(holding) else "the trim lines"
    mitres = _each(holding, _mitre_text)
    mitred = f", the mitred one {mitres} off square" if mitres else ""
    yield Tick(text=f"After full cure: ends sawn at {own}{mitred}; edges planed to {_each(holding, _depth_text)}.")
    yield Tick(text="Written down: plies, glue, times, all readings.")


def _mitre_text(part: Made) -> str:
    """Say how far the saw cut of a mitred end leans; nothing where both ends are square."""
    lean = max(abs(rad) for rad in part.pressing.arch.mitre_rad)
    return f"{math.degrees(lean):.2f}°" if lean > 0.0 else ""


def _depth_text(part: Made) -> str:
    asked = part.recipe.asked
    return checked(asked.part.depth_mm, asked.units)


def _each(holding: Holding, said: Callable[[Made], str]) -> str:
    """Say it of the part; of several openings each thing that is said, with their marks."""
    marks: dict[str, list[str]] = {}
    for part in holding.makes:
        marks.setdefault(said(part), []).append(part.mark)
    if len(marks) == 1:
        return next(iter(marks))
    return "; ".join(f"{text} for {', '.join(alike)}" for text, alike in marks.items())
