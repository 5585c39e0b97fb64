"""Stage `reports`: the first steps of the press day: plies to cut, what to lay out, the dry run.

In: a Holding. Out: things to tick, in the recipe's units. Nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from formgen.amounts import area_text, glue_text, pressure_text, spread_text, weight_text
from formgen.holding.clamps import alike_at_both_ends
from formgen.holding.model import Holding
from formgen.laminate.boards import PlyCut
from formgen.lengths import Units, write_tape
from formgen.recipe.figures import figure
from formgen.reports.press_sheet import facts, told
from formgen.reports.press_sheet.grids import Cuts
from formgen.reports.press_sheet.items import Item, Say, Tick
from formgen.reports.press_sheet.words import capital, feeler, listed, many, tape, thin
from formgen.reports.rows.makes import has_list, is_shared

#: Plies of one run whose lengths are listed one by one; on a brief sheet fewer.
LISTED, LISTED_BRIEFLY = 24, 8


def cut_items(holding: Holding, *, brief: bool) -> Iterable[Item]:
    """Every ply with its length, then the spares."""
    if is_shared(holding):
        yield from _shared_items(holding)
    else:
        yield from _own_items(holding, brief=brief)
    mark = "middles" if middles_meet(holding) else "right ends"
    yield Tick(text=f"Numbered from the inside; {mark} marked.")
    within = figure("ply_moisture_within_pct", holding.recipe.shop).value
    yield Tick(
        text=f"Plies, form and glue in the shop overnight; moisture of the plies within {within:g} % of each other.",
        write=("driest", "wettest"),
    )


def _own_items(holding: Holding, *, brief: bool) -> Iterable[Item]:
    """The plies of one opening."""
    laminate = holding.laminate
    units, copies = laminate.recipe.units, laminate.arch.copies
    for run in _runs([cut for cut in laminate.materials.cuts if cut.ply]):
        yield _run(run, units, copies, LISTED_BRIEFLY if brief else LISTED)
    plies = {(_kind(cut, units), tape(cut.length_mm, units)): cut.ply for cut in laminate.materials.cuts if cut.ply}
    for spare in (cut for cut in laminate.materials.cuts if not cut.ply):
        long = tape(spare.length_mm, units)
        like = plies.get((_kind(spare, units), long))
        said = f"like ply {like}" if like else f"of {_kind(spare, units)}, {long} long"
        yield Tick(text=f"{many(spare.count, 'spare')} {said}.")


def _shared_items(holding: Holding) -> Iterable[Item]:
    """Plies of each opening: how many of what; how wide and how long they are stands in the opening's row."""
    units = facts.units(holding)
    where = "behind" if has_list(holding) else "above"
    yield Say(text=f"Find your opening in the list {where}; its row says how wide and how long its plies are.")
    kinds: dict[str, list[str]] = {}
    for part in holding.makes:
        runs = _runs([cut for cut in part.pressing.laminate.materials.cuts if cut.ply])
        plies = "; ".join(f"{len(run)} of {run[0].wood}, {thin(run[0].thickness_mm, units)} thick" for run in runs)
        kinds.setdefault(plies, []).append(part.mark)
    for plies, marks in kinds.items():
        yield Tick(text=f"{', '.join(marks)}: {plies} for each part. A spare is as long as the last ply.")


def lay_out_items(holding: Holding) -> Iterable[Item]:
    """Form, glue, bag, cloths, clamps, bar, and what measures."""
    units = facts.units(holding)
    faced = "face sealed or waxed, none on the wood"
    vented = "; corners rounded, ports open" if facts.way(holding) == "form-bagged" else ""
    weight = weight_text(holding.weights.form_kg, units)
    yield Tick(text=f"Form: {many(len(holding.layers), 'layer')} on dowels, {weight}; {faced}{vented}.")
    yield _glue(holding)
    yield from _bag(holding)
    if facts.way(holding) == "clamped":
        depth = tape(holding.recipe.part.depth_mm, units)
        yield Tick(text=f"Cauls: waxed, stiff, {depth} wide like the part, cut to its curve.")
    held = []
    if holding.clamps is not None:
        held.append(many(len(holding.clamps.places), "clamp"))
        if any(p.on_curve for p in holding.clamps.places) and facts.way(holding) != "clamped":
            held.append("blocks cut to the curve")
    if facts.bar(holding) is not None:
        held.append(told.bar_word(holding))
    gauge = [] if holding.pressing.vacuum is None else ["vacuum gauge"]
    part = holding.recipe.part
    tools = ["tape", "clock", *gauge, f"feeler of {feeler(part.tolerance_mm, units)}", "gauge plate"]
    yield Tick(text=f"{capital(listed([*held, *tools]))}.")


def _glue(holding: Holding) -> Item:
    """Return what to mix; blanks where nobody has chosen the glue."""
    glue, units = holding.pressing.glue, facts.units(holding)
    if glue.mixed_kg is None or glue.spread_g_per_m2 is None or glue.adhesive is None:
        return Tick(
            text=f"Glue for {many(glue.lines, 'line')}, {area_text(glue.lines * glue.line_m2, units)}.",
            write=("Glue: not chosen:", "spread", "to mix", "batch"),
        )
    return Tick(
        text=f"Glue: {glue_text(glue.mixed_kg, units)} of {glue.adhesive}, waste included, for "
        f"{many(glue.lines, 'line')} at {spread_text(glue.spread_g_per_m2, units)}{_data_sheet(holding)}.",
        write="batch",
    )


def _data_sheet(holding: Holding) -> str:
    """A remark where a figure of the glue is only usual."""
    return " (usual values: see your data sheet)" if holding.pressing.glue.usual else ""


def _bag(holding: Holding) -> Iterable[Item]:
    bag, units = holding.pressing.bag, facts.units(holding)
    if bag is None:
        return
    holds = "the part alone" if bag.holds == "part" else "form and part"
    yield Tick(
        text=f"Bag for {holds}: a tube {write_tape(bag.flat_width_mm, units)} wide laid flat, "
        f"{write_tape(bag.length_mm, units)} long; its cock, check valve and gauge; leak test passed."
    )
    width = holding.laminate.materials.cuts[0].width_mm
    length = holding.laminate.pressed.length_mm + sum(holding.arch.waste_mm)
    for name, alike in groupby(sorted(bag.cloths, key=lambda cloth: cloth.name), key=lambda cloth: cloth.name):
        cloths = list(alike)
        count = f"{len(cloths)} of " if len(cloths) > 1 else ""
        laps = ", wider by the laps" if name in ("breather", "mesh") else ""
        yield Tick(text=f"{capital(name)}: {count}{write_tape(width, units)} × {write_tape(length, units)}{laps}.")


def dry_run(holding: Holding) -> Iterable[Item]:
    """Everything but the glue, against the clock."""
    pressing, units = holding.pressing, facts.units(holding)
    last = "all clamps are on" if pressing.vacuum is None else "full vacuum"
    timed = ("it took",) if pressing.glue.open_least_min is not None else ("it took", "open time of the glue")
    yield Tick(text=f"Without glue until {last}.", write=timed)
    if pressing.glue.open_least_min is not None:
        takes, people = f"{pressing.glue.open_least_min:.0f} min", pressing.recipe.shop.people
        reckoned = f"{pressing.glue.lay_up_min:.0f} min with {'1 person' if people == 1 else f'{people} people'}"
        yield Say(
            text=f"It must stay under {takes}, the open time{told.usual(holding, 'open time')}; expected, with the "
            f"spreading: {reckoned}."
        )
    yield Tick(text=_gaps(holding))
    if pressing.vacuum is not None:
        lost = pressure_text(pressing.vacuum.loss_kpa_per_min, units)
        yield Tick(text=f"Pump off a minute: the gauge drops {lost} at most.", write="drop")
    yield Tick(text="Measured across the ends; with glue the tape must read the same.", write="dry")
    yield Tick(text="Taken apart; plies in order, all within reach.")


def _gaps(holding: Holding) -> str:
    part = holding.recipe.part
    return f"The {feeler(part.tolerance_mm, facts.units(holding))} feeler passes nowhere at the edges."


def _run(run: Sequence[PlyCut], units: Units, copies: int, most: int) -> Item:
    """Plies of one kind with their lengths; of more than `most` the first and the last."""
    first, last = run[0], run[-1]
    lengths = [(str(cut.ply), tape(cut.length_mm, units)) for cut in run]
    named = f"Ply {first.ply}" if len(run) == 1 else f"Plies {first.ply} to {last.ply}"
    rising = ""
    if len(run) > 1 and len({long for _, long in lengths}) == 1:
        lengths = [(f"{first.ply} to {last.ply}", lengths[0][1])]
    elif len(run) > most:
        lengths, rising = [lengths[0], lengths[-1]], ", rising evenly"
    each = "" if copies == 1 else f", {copies} of each length"
    thick, broad = thin(first.thickness_mm, units), tape(first.width_mm, units)
    plain = [(ply, long.removesuffix(f" {units}")) for ply, long in lengths]
    if len(plain) == 1:
        (ply, long), unit = plain[0], f" {units}"
        sizes = f"{thick.removesuffix(unit)} × {broad.removesuffix(unit)} × {long}{unit}"
        return Cuts(
            of=f"{named}: {first.wood}{each}. Thick\u00a0×\u00a0wide\u00a0×\u00a0long:", lengths=((ply, sizes),)
        )
    return Cuts(
        of=f"{named}: {first.wood}{rising}{each}. Lengths in {'inches' if units == 'in' else 'mm'}:",
        sizes=f"{thick} thick, {broad} wide",
        lengths=tuple(plain),
    )


def _kind(cut: PlyCut, units: Units) -> str:
    return f"{cut.wood}, {thin(cut.thickness_mm, units)} thick, {tape(cut.width_mm, units)} wide"


def middles_meet(holding: Holding) -> bool:
    """Tell whether the middle of every ply lies at the form's centre line: both ends of each part are alike."""
    return all(alike_at_both_ends(part.pressing.laminate) for part in holding.makes)


def _runs(cuts: Sequence[PlyCut]) -> list[list[PlyCut]]:
    """Neighbouring plies of one kind."""
    return [list(alike) for _, alike in groupby(cuts, key=lambda cut: (cut.wood, cut.thickness_mm))]
