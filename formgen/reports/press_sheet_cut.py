"""Stage `reports`: the first steps of the press-day sheet: plies to cut with their lengths, and what to lay out.

In: a Form. Out: things to tick, in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from formgen.holding.clamps import alike_at_both_ends
from formgen.holding.model import Holding
from formgen.laminate.boards import PlyCut
from formgen.lengths import Units, write_fine, write_length, write_tape
from formgen.press.amounts import area_text, glue_text, spread_text, weight_text
from formgen.reports.makes_rows import has_list, is_shared
from formgen.reports.press_sheet_items import Grid, Item, Say, Tick

#: Plies of one run whose lengths are listed one by one; on a brief sheet fewer.
LISTED, LISTED_BRIEFLY = 24, 8


def cut_items(form: Holding, brief: int) -> Iterable[Item]:
    """Every ply with its length, then the spares."""
    if is_shared(form):
        yield from _shared_items(form)
        return
    laminate = form.pressing.laminate
    units, copies = laminate.arch.recipe.asked.units, laminate.arch.copies
    for run in _runs([cut for cut in laminate.materials.cuts if cut.ply]):
        yield from _run(run, units, copies, brief)
    for spare in (cut for cut in laminate.materials.cuts if not cut.ply):
        word = "spare" if spare.count == 1 else "spares"
        yield Tick(text=f"{spare.count} {word} of {_kind(spare, units)}, {write_length(spare.length_mm, units)} long")
    mark = "its middle marked" if middles_meet(form) else "its right end marked"
    yield Tick(text=f"Every ply numbered, {mark}.")


def _shared_items(form: Holding) -> Iterable[Item]:
    """Plies of each opening: how many of what; how wide and how long they are stands in the opening's row."""
    units = form.pressing.laminate.arch.recipe.asked.units
    where = "behind" if has_list(form) else "above"
    yield Say(text=f"Find your opening in the list {where}; its row says how wide and how long its plies are.")
    kinds: dict[str, list[str]] = {}
    for part in form.makes:
        runs = _runs([cut for cut in part.pressing.laminate.materials.cuts if cut.ply])
        plies = "; ".join(
            f"{len(run)} of {run[0].wood}, {write_fine(run[0].thickness_mm, units)} thick" for run in runs
        )
        kinds.setdefault(plies, []).append(part.mark)
    for plies, marks in kinds.items():
        yield Tick(text=f"{', '.join(marks)}: {plies} for each part.")
    spares = form.pressing.laminate.arch.recipe.asked.laminate.spares
    if spares:
        yield Tick(text=f"{spares} {'spare' if spares == 1 else 'spares'} of each kind, as long as the longest ply.")
    mark = "its middle marked" if middles_meet(form) else "its right end marked"
    yield Tick(text=f"Every ply numbered, ply 1 on the inside, {mark}.")


def lay_out_items(form: Holding) -> Iterable[Item]:
    """Glue, film, cloths, clamps, bar, and what measures."""
    pressing = form.pressing
    units, glue, bag = pressing.laminate.arch.recipe.asked.units, pressing.glue, pressing.bag
    if glue.mixed_kg is None or glue.spread_g_per_m2 is None or glue.adhesive is None:
        yield Tick(text=f"Glue: not chosen, for {lines_text(glue.lines)}", write="name, weight, batch")
    else:
        yield Tick(
            text=f"Glue: {glue_text(glue.mixed_kg, units)} of {glue.adhesive}, for {lines_text(glue.lines)} at "
            f"{spread_text(glue.spread_g_per_m2, units)} with waste",
            write="batch",
        )
    if bag is not None:
        holds = "the part" if bag.holds == "part" else "form and part"
        yield Tick(
            text=f"Bag: a tube for {holds} {write_tape(bag.flat_width_mm, units)} wide laid flat, "
            f"{write_tape(bag.length_mm, units)} long ({area_text(bag.film_m2, units)})"
        )
    width = pressing.laminate.materials.cuts[0].width_mm
    length = pressing.laminate.pressed.length_mm + sum(pressing.laminate.arch.waste_mm)
    cut = () if bag is None else bag.cloths
    for name, alike in groupby(sorted(cut, key=lambda cloth: cloth.name), key=lambda cloth: cloth.name):
        cloths = list(alike)
        count = f"{len(cloths)} of " if len(cloths) > 1 else ""
        yield Tick(
            text=f"{name[:1].upper()}{name[1:]}: {count}{write_tape(width, units)} × {write_tape(length, units)} "
            f"({area_text(cloths[0].area_m2, units)})"
        )
    yield Tick(text=f"Form: {len(form.layers)} layers on their dowels, {weight_text(form.weights.form_kg, units)}")
    held = []
    if form.clamps is not None:
        clamps = len(form.clamps.places)
        held.append("1 clamp" if clamps == 1 else f"{clamps} clamps")
    if form.bar is not None:
        held.append("the bar")
    yield Tick(text=", ".join([*held, "a tape, a clock, a vacuum gauge, the gauge plate (gauge.dxf)"]).capitalize())


def _run(run: Sequence[PlyCut], units: Units, copies: int, brief: int) -> Iterable[Item]:
    each = "" if copies == 1 else f", {copies} of each length"
    first, last = run[0], run[-1]
    if len(run) == 1:
        yield Tick(text=f"Ply {first.ply}: {_kind(first, units)}, {write_length(first.length_mm, units)} long{each}")
        return
    named = f"Plies {first.ply} to {last.ply}: {_kind(first, units)}"
    if len({write_length(cut.length_mm, units) for cut in run}) == 1:
        yield Tick(text=f"{named}, all {write_length(first.length_mm, units)} long{each}")
        return
    if len(run) > (LISTED_BRIEFLY if brief else LISTED):
        ends = f"{write_length(first.length_mm, units)} rising evenly to {write_length(last.length_mm, units)} long"
        yield Tick(text=f"{named}, {ends}{each}")
        return
    yield Say(text=f"{named}{each}. Lengths:")
    yield Grid(cells=tuple(f"{cut.ply}:  {write_length(cut.length_mm, units)}" for cut in run))


def _kind(cut: PlyCut, units: Units) -> str:
    return f"{cut.wood}, {write_fine(cut.thickness_mm, units)} thick, {write_length(cut.width_mm, units)} wide"


def lines_text(count: int) -> str:
    """So many glue lines."""
    return "1 line" if count == 1 else f"{count} lines"


def middles_meet(form: Holding) -> bool:
    """Whether the middle of every ply lies at the form's centre line: both ends of each part are alike."""
    return all(alike_at_both_ends(part.pressing.laminate) for part in form.makes)


def _runs(cuts: Sequence[PlyCut]) -> list[list[PlyCut]]:
    """Neighbouring plies of one kind."""
    runs: list[list[PlyCut]] = []
    for cut in cuts:
        if runs and (runs[-1][-1].wood, runs[-1][-1].thickness_mm) == (cut.wood, cut.thickness_mm):
            runs[-1].append(cut)
        else:
            runs.append([cut])
    return runs
