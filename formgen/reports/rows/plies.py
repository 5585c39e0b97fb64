"""Stage `reports`: the rows of the plies: how they bend, how long they are, what springs back, what to cut them from.

In: a Form. Out: (what, answer) rows in the recipe's units; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from formgen.amounts import spread_text
from formgen.holding.model import Holding
from formgen.laminate.moisture import range_text
from formgen.laminate.plies import Laminate, Ply
from formgen.laminate.tails import EndTail
from formgen.lengths import Units, write_fine, write_length


def ply_rows(form: Holding) -> Iterable[tuple[str, str]]:
    """The plies from the inside out, and all that follows from bending them."""
    laminate = form.laminate
    units = laminate.recipe.units
    number = 1
    for (wood, thickness), alike in groupby(laminate.plies, key=lambda p: (p.wood, p.thickness_mm)):
        count = len(list(alike))
        where = f"ply {number}" if count == 1 else f"plies {number}–{number + count - 1}"
        yield f"{where} from inside", f"{count} × {write_fine(thickness, units)} {wood}"
        number += count
    tightest = min(laminate.plies, key=lambda p: p.radius_mm)
    yield "tightest ply", f"R {write_length(tightest.radius_mm, units)} in the press"
    if laminate.tightest.varies:
        at = laminate.tightest
        more = f", and {at.alike - 1} more as tight" if at.alike > 1 else ""
        stretch = (
            f"R {write_length(at.radius_mm, units)} on the pressed centre line, "
            f"{write_length(at.from_mm, units)} to {write_length(at.to_mm, units)} from the right end, "
            f"{write_length(at.height_mm, units)} up at its middle{more}"
        )
        yield "tightest stretch", stretch
    yield "bend", bend_text(laminate)
    lengths = (
        f"{write_length(laminate.plies[0].length_mm, units)} inside, "
        f"{write_length(laminate.plies[-1].length_mm, units)} outside, "
        f"{write_length(laminate.ply_step_mm, units)} from ply to ply"
    )
    yield "ply lengths with trim", lengths
    yield from _springing(laminate)
    if laminate.tails is not None:
        yield "ends under pressure", tail_text(laminate.tails, units)
    if laminate.strength is not None:
        strength = laminate.strength
        load = (
            f"t/R 1/{1.0 / strength.ratio:.0f} (limit 1/{1.0 / strength.ratio_limit:.0f}), "
            f"curvature factor {strength.curvature_factor:.3f}, k_r {strength.k_r:.3f}"
        )
        yield "if it carries load", load
    yield from _boards(laminate)


def _springing(laminate: Laminate) -> Iterable[tuple[str, str]]:
    """List what the curvature does from the press to the finished part."""
    text = f"opens {100 * laminate.spring_back:.2f} % of the curvature"
    if (laminate.glue_line_stiffness, laminate.relaxation) != (1.0, 1.0):
        text += (
            f", {100 * laminate.spring_back_elastic:.2f} % before glue-line stiffness "
            f"{laminate.glue_line_stiffness:g} and relaxation {laminate.relaxation:g}"
        )
    yield "spring-back", text
    glue = laminate.recipe.asked.laminate.adhesive or laminate.recipe.shop.adhesive
    if laminate.moisture is None:
        lacks = "name the glue (laminate.adhesive)" if glue is None else "density or swelling of a ply is not known"
        yield "moisture pull-in", f"not calculated: {lacks}"
        return
    wet, units = laminate.moisture, laminate.recipe.units
    radii = ", ".join(f"{100 * held.radius_change:+.2f}" for held in (wet.least, wet.middle, wet.most))
    pull_in = (
        f"radius {radii} % at the least, in the middle and at the most, as {wet.adhesive} at "
        f"{spread_text(wet.spread_g_per_m2, units)} dries (moisture {wet.middle.moisture_rise_pct:+.1f} % in the "
        "middle)"
    )
    yield "moisture pull-in", pull_in
    left = "left with the middle built into the form" if wet.allowed_for else "not allowed for"
    yield "ends as it dries", f"{range_text(wet, units)}; {left}"
    way = "tighter" if wet.curvature_change_from_press > 0 else "more open"
    change = 100 * wet.curvature_change_from_press
    yield "from press to dry part", f"{change:+.2f} % of the curvature: {way} than the form"


def _boards(laminate: Laminate) -> Iterable[tuple[str, str]]:
    """Plies to cut and the boards for them."""
    units = laminate.recipe.units
    cuts = laminate.materials.cuts
    spares = sum(c.count for c in cuts if c.ply == 0)
    to_cut = (
        f"{sum(c.count for c in cuts)} with {spares} spare, {write_length(cuts[0].width_mm, units)} wide, "
        f"up to {write_length(max(c.length_mm for c in cuts), units)} long"
    )
    yield "plies to cut", to_cut
    for plan in laminate.materials.resaw:
        boards = "" if plan.boards is None else f", {plan.boards} of the shop's boards"
        sawn = (
            f"{plan.plies} plies of {write_fine(plan.thickness_mm, units)}, {plan.from_a_strip} from a strip of "
            f"{write_length(plan.board_thickness_mm, units)} (yield {100 * plan.yield_ratio:.0f} %): "
            f"{plan.strips} strips{boards}, {plan.board_feet:.1f} board feet"
        )
        yield f"boards of {plan.wood}", sawn


def tail_text(tails: Sequence[EndTail], units: Units) -> str:
    """Say how far the ends stand off a form in the bag without clamps, against the trim that is cut off."""
    if not any(t.length_mm for t in tails):
        return "straight legs hold them to the form"
    said = [
        f"{t.end} {write_length(t.length_mm, units)} off, {write_length(t.trim_mm, units)} trim, "
        f"gap {write_fine(t.gap_at_tip_mm, units)} at the tip, {write_fine(t.gap_at_end_mm, units)} at the finished end"
        if t.length_mm
        else f"{t.end} held by its leg"
        for t in tails
    ]
    return "; ".join(said)


def bend_text(laminate: Laminate) -> str:
    """The ply nearest to its breaking strain, or to the least radius of a panel."""
    panels = [p for p in laminate.plies if p.radius_limit_mm is not None]
    if panels and all(p.strain_limit is None for p in laminate.plies):
        tight = min(panels, key=lambda p: p.radius_mm / (p.radius_limit_mm or p.radius_mm))
        units, least = laminate.recipe.units, tight.radius_limit_mm or 0.0
        return (
            f"R {write_length(tight.radius_mm, units)}, published least {write_length(least, units)} for {tight.wood}"
        )

    def share(ply: Ply) -> float:
        return ply.strain / ply.strain_limit if ply.strain_limit else 0.0

    worst = max(laminate.plies, key=share)
    if worst.strain_limit is None:
        return f"strain {100 * worst.strain:.2f} %; strength not known"
    limit = f"{100 * worst.strain_limit:.2f} %"
    return f"strain {100 * worst.strain:.2f} % of {limit} at which {worst.wood} is likely to break"
