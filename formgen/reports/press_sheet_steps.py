"""Stage `reports`: what stands on the press-day sheet: the steps of the day in their order, each with its cautions.

In: a Form. Out: steps of things to tick, to read and to write down, in the recipe's units. Nothing is computed here.
What to cut and lay out is in `press_sheet_cut.py`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from formgen.holding.clamps import ClampPlan
from formgen.holding.model import Holding
from formgen.lengths import write_fine, write_length, write_tape
from formgen.makes.model import Made
from formgen.press.amounts import altitude_text, pressure_text, temperature_text
from formgen.press.vacuum import Vacuum
from formgen.reports.makes_rows import code_text, has_list, is_shared
from formgen.reports.press_day import hours_text
from formgen.reports.press_sheet_care import care_of
from formgen.reports.press_sheet_check import measured_tables
from formgen.reports.press_sheet_cut import cut_items, lay_out_items, lines_text, middles_meet
from formgen.reports.press_sheet_items import Grid, Item, Reading, Say, Tick, Write


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step: its title, what to do, and what to take care of."""

    title: str
    items: tuple[Item, ...]
    cautions: tuple[str, ...] = ()


def heading(form: Holding) -> tuple[str, tuple[str, ...]]:
    """The part's name, and lines that say what it is and how to read the sheet."""
    laminate = form.pressing.laminate
    asked = laminate.arch.recipe.asked
    units = asked.units
    on = "its centre line" if asked.part.measured_on == "centre" else f"the {asked.part.measured_on} face"
    parts = f"; {laminate.arch.copies} parts, a sheet for each, the second turned over" * (laminate.arch.copies > 1)
    where = {"part-bagged": "outside the bag", "form-bagged": "inside the bag", "clamped": "clamped, no bag"}
    what = (
        f"{asked.part.arch.kind}, measured on {on}; {write_fine(laminate.thickness_mm, units)} thick, "
        f"{write_length(asked.part.depth_mm, units)} deep; {form.pressing.side} form, {where[form.pressing.way]}{parts}"
    )
    to = "1/64 in" if units == "in" else "0.1 mm"
    how = (
        f"Tick each box in turn. Lengths to the nearest {to}. Ply 1 is on the inside of the curve. "
        "Right and left as seen on the side with the labels."
    )
    if is_shared(form):
        what = (
            f"form for {len(form.makes)} openings, {write_fine(laminate.thickness_mm, units)} thick; "
            f"{form.pressing.side} form, {where[form.pressing.way]}{parts}; glue and bag are enough for the longest"
        )
    return asked.name, (f"Code {code_text(form)}. {what[:1].upper()}{what[1:]}", how)


def steps_of(form: Holding, brief: int = 0) -> tuple[Step, ...]:
    """The day, from the saw to the tape.

    Args:
        form: the form.
        brief: 0 says all; 1 sums up the lengths of like plies and leaves out remarks; 2 leaves out
            warnings, too, but no problem and no caution.
    """
    steps: list[tuple[str, str, Iterable[Item]]] = [
        ("cut", "Cut the plies", cut_items(form, brief)),
        ("lay out", "Lay out", lay_out_items(form)),
        ("dry run", "Dry run, without glue", _dry_run(form, brief)),
        ("glue", "Glue", _glue(form)),
    ]
    if form.pressing.vacuum is not None:
        steps.append(("vacuum", "Vacuum", _vacuum(form, form.pressing.vacuum)))
    if form.bar is not None:  # in the bag it must be set before the bag is closed
        steps.insert(4 if form.pressing.form_in_bag else 5, ("bar", "Spreader bar", _bar(form)))
    if form.clamps is not None:
        steps.append(("clamps", "Clamps on", _clamps_on(form.clamps, brief)))
    steps += [
        ("wait", "Wait", _wait(form, brief)),
        ("release", "Release", _release(form)),
        ("measure", "Trim and measure", _measure(form, brief)),
    ]
    return tuple(
        Step(title=title, items=tuple(items), cautions=tuple(care_of(form, key, brief))) for key, title, items in steps
    )


def _dry_run(form: Holding, brief: int) -> Iterable[Item]:
    pressing = form.pressing
    units = pressing.laminate.arch.recipe.asked.units
    near, far = ("1", str(len(pressing.laminate.plies)))
    if pressing.side == "female":
        near, far = far, near
    between = ", ".join(name for name, _ in pressing.between[::-1]) or "nothing between"
    over = ", ".join(name for name, _ in pressing.over) or "nothing over them"
    yield Tick(text=f"On the form: {between}; the plies in order, ply {near} first, ply {far} last; over them: {over}.")
    yield Tick(text=_where(form))
    held = [("vacuum", pressing.vacuum is not None), ("bar", form.bar is not None), ("clamps", form.clamps is not None)]
    *most, last = [what for what, there in held if there] or ["clamps"]
    all_of_it = f"{', '.join(most)} and {last}" if most else last
    yield Tick(text=f"{all_of_it[:1].upper()}{all_of_it[1:]} as below; look for gaps along both edges.")
    if not brief and pressing.drawing_down is not None:
        none = write_fine(0.0, units)
        ends = [(write_fine(end.gap_mm, units), end.where) for end in pressing.drawing_down.ends]
        gaps = [f"{gap} at the {where} end" for gap, where in ends if gap != none]
        if gaps:
            closed = "; clamps close them" if form.clamps is not None else ""
            yield Say(text=f"Without a clamp gaps of up to {' and '.join(gaps)} are left under vacuum{closed}.")
    if pressing.vacuum is not None:
        lost = pressure_text(pressing.vacuum.loss_kpa_per_min, units)
        yield Tick(text=f"Pump off for a minute: no more than {lost} may be lost.", write="lost")
    yield Tick(text="Take it apart; leave the plies in order, and everything within reach.")


def _where(form: Holding) -> str:
    """How the plies lie along the form."""
    laminate = form.pressing.laminate
    if middles_meet(form):
        return "Middle marks on the form's centre line."
    waste = write_length(laminate.arch.waste_mm[0], laminate.arch.recipe.asked.units)
    line = "the opening's own right trim line" if is_shared(form) else "the form's right trim line"
    return f"Right ends {waste} past {line}."


def _glue(form: Holding) -> Iterable[Item]:
    pressing = form.pressing
    units, glue = pressing.laminate.arch.recipe.asked.units, pressing.glue
    people = pressing.laminate.arch.recipe.shop.people
    who = "1 person" if people == 1 else f"{people} people"
    at = temperature_text(glue.temperature_celsius, units)
    yield Tick(text=f"The shop is at {at}: the times below hold there.", write="read")
    yield Tick(text="Clock: the first glue goes on.", write="glue begun at")
    takes = f"until the pressure is on it takes {who} about {glue.lay_up_min:.0f} min."
    if glue.open_least_min is None or glue.open_most_min is None:
        yield Tick(text=f"Glue on {lines_text(glue.lines)}; {takes}")
        yield Write(labels=("it stays open, min", "pressure on by"))
        return
    yield Tick(
        text=f"Glue on {lines_text(glue.lines)}. It stays open {glue.open_least_min:.0f} to {glue.open_most_min:.0f} "
        f"min; {takes}"
    )
    yield Write(labels=(f"pressure on by (begun + {glue.open_least_min:.0f} min)",))


def _vacuum(form: Holding, vacuum: Vacuum) -> Iterable[Item]:
    pressing = form.pressing
    recipe = pressing.laminate.arch.recipe
    units = recipe.asked.units
    bag = "form and part" if pressing.form_in_bag else "part"
    yield Tick(text=f"The {bag} in the bag, sealed; pump on. It takes at least {vacuum.pump_down_s:.0f} s.")
    yield Tick(text=f"Vacuum wanted: {pressure_text(vacuum.held_kpa, units)}.", write="read")
    at = altitude_text(recipe.shop.altitude_mm, units)
    practice, most = pressure_text(vacuum.practical_kpa, units), pressure_text(vacuum.atmosphere_kpa, units)
    yield Say(text=f"At {at} the air allows {practice} in practice, {most} at the very most.")


def _bar(form: Holding) -> Iterable[Item]:
    if form.bar_setting is None:
        return
    setting, units = form.bar_setting, form.pressing.laminate.arch.recipe.asked.units
    faces = "outside faces" if setting.action == "pulls in" else "inside faces"
    where = "below" if setting.height_mm < 0 else "above"
    over = " and ".join(name for name, _ in setting.lies) or "bare wood"
    yield Reading(
        text=setting.tape,
        under=f"jaw to jaw over {over}, on the legs' {faces}, which the bar {setting.action}; "
        f"{write_tape(abs(setting.height_mm), units)} {where} the springing line "
        f"(wood to wood {write_fine(setting.between_legs_mm, units)})",
    )
    yield Tick(text="Bar set, measured with the tape, not by eye.", write="read")


def _clamps_on(plan: ClampPlan, brief: int) -> Iterable[Item]:
    begin = "the crown" if plan.from_crown else "the right end"
    pairs = (
        f"From {begin} outward, all snug first, then tight in the same order:" if len(plan.places) > 2 else "Put on:"
    )
    yield Say(text=f"One in each relief, numbered from the right end. {pairs}")
    yield _groups(plan.on_order, brief)
    curved = [str(p.number) for p in plan.places if p.on_curve]
    if curved:
        yield Tick(text=f"Blocks cut to the curve under {_listed(curved)}.")


def _wait(form: Holding, brief: int) -> Iterable[Item]:
    glue, units = form.pressing.glue, form.pressing.laminate.arch.recipe.asked.units
    yield Write(labels=("time in",))
    at = temperature_text(glue.temperature_celsius, units)
    if glue.chosen:
        hours = hours_text(glue.press_min)
        yield Say(text=f"At {at} it stays in the press {hours}; the glue's own sheet decides.")
        yield Write(labels=(f"not out before (in + {hours})",))
    else:
        yield Write(labels=("in the press, h", "not out before"))
    if form.off is not None:
        text = f"{form.off.advice[:1].upper()}{form.off.advice[1:]}"
        yield Say(text=f"{text}{'.' if brief else f': {form.off.reason}.'}")


def _release(form: Holding) -> Iterable[Item]:
    yield Write(labels=("time out",))
    if form.pressing.vacuum is not None:
        yield Tick(text="Vacuum off, slowly.")
    if form.clamps is not None:
        feet = ", the feet first" if len(form.clamps.places) > 2 else ""
        yield Say(text=f"Clamps off in this order{feet}:")
        yield _groups(form.clamps.release, 0)
    if form.bar is not None:
        yield Tick(text="Bar off; hands clear of the legs.")


def _measure(form: Holding, brief: int) -> Iterable[Item]:
    own = "this opening's own trim lines, by its row in the list" if is_shared(form) else "the trim lines"
    mitres = _each(form, _mitre_text)
    yield Tick(text=f"Ends sawn at {own}{f'; the mitred one {mitres} off square' if mitres else ''}.")
    yield Tick(text=f"Edges planed to {_each(form, _depth_text)}.")
    if has_list(form):
        yield Say(text="Spans and rise are written in the opening's table behind this page.")
    else:
        yield from measured_tables(form, brief)


def _mitre_text(part: Made) -> str:
    """How far the saw cut of a mitred end leans; nothing where both ends are square."""
    lean = max(abs(rad) for rad in part.pressing.laminate.arch.mitre_rad)
    return f"{math.degrees(lean):.2f}°" if lean > 0.0 else ""


def _depth_text(part: Made) -> str:
    asked = part.pressing.laminate.arch.recipe.asked
    return write_length(asked.part.depth_mm, asked.units)


def _each(form: Holding, said: Callable[[Made], str]) -> str:
    """What is said of the part; of several openings each thing that is said, with their marks."""
    marks: dict[str, list[str]] = {}
    for part in form.makes:
        marks.setdefault(said(part), []).append(part.mark)
    if len(marks) == 1:
        return next(iter(marks))
    return "; ".join(f"{text} for {', '.join(alike)}" for text, alike in marks.items())


def _groups(groups: Sequence[Sequence[int]], brief: int) -> Item:
    texts = tuple(" and ".join(str(n) for n in group) for group in groups)
    return Say(text=", then ".join(texts)) if brief > 1 else Grid(cells=texts, across=True)


def _listed(numbers: Sequence[str]) -> str:
    """`2, 3 and 4`; a run of three or more as `2 to 4`."""
    runs: list[list[int]] = []
    for n in map(int, numbers):
        if runs and runs[-1][-1] == n - 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    texts = [f"{r[0]} to {r[-1]}" if len(r) > 2 else " and ".join(map(str, r)) for r in runs]
    return ", ".join(texts)
