"""Stage `reports`: the numbers that decide, in the order in which a shop asks for them.

In: a Form. Out: titled rows of text in the recipe's units, for a table on the screen. Nothing is computed here
that the stages did not compute; lengths are rounded only in being written.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from formgen.curve.arcspline import ArcSpline
from formgen.form.model import Form
from formgen.laminate.plies import Laminate, Ply
from formgen.lengths import Units, write_fine, write_length
from formgen.reports.holding import holding_rows
from formgen.reports.press_day import burden_rows, lying_rows, press_rows


@dataclass(frozen=True, kw_only=True)
class Section:
    """One question and the rows that answer it."""

    title: str
    rows: tuple[tuple[str, str], ...]


def decisions(form: Form) -> tuple[Section, ...]:
    """The answers, question by question."""
    return (
        Section(title="Part", rows=tuple(_part(form))),
        Section(title="Plies", rows=tuple(_plies(form))),
        Section(title="Press", rows=tuple(_press(form))),
        Section(title="Form", rows=tuple(_form(form))),
    )


def _part(form: Form) -> Iterable[tuple[str, str]]:
    arch = form.pressing.laminate.arch
    asked, units = arch.recipe.asked, arch.recipe.asked.units
    on = "its centre line" if asked.part.measured_on == "centre" else f"the {asked.part.measured_on} face"
    yield "arch", f"{asked.part.arch.kind}, measured on {on}"
    if arch.fit is not None:
        x, y = arch.fit.at_mm
        yield (
            "fit",
            (
                f"{arch.fit.what} through {arch.fit.count} points, worst {write_length(arch.fit.worst_mm, units)} "
                f"at x {write_length(x, units)}, y {write_length(y, units)}"
            ),
        )
    yield "measured radius", radius_text(arch.measured, units)
    yield "centre-line radius", radius_text(arch.target, units)
    yield "sweep", f"{math.degrees(arch.target.sweep_rad):.2f}°"
    yield "length on the centre line", write_length(arch.target.length_mm, units)
    yield "thickness × depth", f"{write_length(arch.thickness_mm, units)} × {write_length(asked.part.depth_mm, units)}"
    if arch.copies > 1:
        lean = max(abs(m) for m in arch.mitre_rad)
        cut = f"they meet in a saw cut {math.degrees(lean):.2f}° off square" if lean > 0 else "ends cut square"
        yield "parts to make", f"{arch.copies}, the second turned over; {cut}"


def _plies(form: Form) -> Iterable[tuple[str, str]]:
    laminate = form.pressing.laminate
    units = laminate.arch.recipe.asked.units
    number = 1
    for (wood, thickness), alike in groupby(laminate.plies, key=lambda p: (p.wood, p.thickness_mm)):
        count = len(list(alike))
        where = f"ply {number}" if count == 1 else f"plies {number}–{number + count - 1}"
        yield f"{where} from inside", f"{count} × {write_length(thickness, units)} {wood}"
        number += count
    tightest = min(laminate.plies, key=lambda p: p.radius_mm)
    yield "tightest ply", f"R {write_length(tightest.radius_mm, units)} in the press"
    if laminate.tightest.varies:
        at = laminate.tightest
        more = f", and {at.alike - 1} more as tight" if at.alike > 1 else ""
        yield (
            "tightest stretch",
            (
                f"R {write_length(at.radius_mm, units)} on the pressed centre line, "
                f"{write_length(at.from_mm, units)} to {write_length(at.to_mm, units)} from the right end, "
                f"{write_length(at.height_mm, units)} up at its middle{more}"
            ),
        )
    yield "bend", bend_text(laminate)
    yield (
        "ply lengths with trim",
        (
            f"{write_length(laminate.plies[0].length_mm, units)} inside, "
            f"{write_length(laminate.plies[-1].length_mm, units)} outside, "
            f"{write_length(laminate.ply_step_mm, units)} from ply to ply"
        ),
    )
    yield from _springing(laminate)
    yield "ends under pressure", tail_text(laminate)
    if laminate.strength is not None:
        strength = laminate.strength
        yield (
            "if it carries load",
            (
                f"t/R 1/{1.0 / strength.ratio:.0f} (limit 1/{1.0 / strength.ratio_limit:.0f}), "
                f"curvature factor {strength.curvature_factor:.3f}, k_r {strength.k_r:.3f}"
            ),
        )
    yield from _boards(laminate)


def _springing(laminate: Laminate) -> Iterable[tuple[str, str]]:
    """What the curvature does from the press to the finished part."""
    text = f"{100 * laminate.spring_back:.2f} % of the curvature"
    if (laminate.glue_line_stiffness, laminate.relaxation) != (1.0, 1.0):
        text += (
            f", {100 * laminate.spring_back_elastic:.2f} % before glue-line stiffness "
            f"{laminate.glue_line_stiffness:g} and relaxation {laminate.relaxation:g}"
        )
    yield "spring-back", text
    glue = laminate.arch.recipe.asked.laminate.adhesive
    if laminate.moisture is None:
        why = "name laminate.adhesive" if glue is None else "density or swelling of a ply is not known"
        yield "moisture pull-in", f"not known: {why}"
        return
    wet, units = laminate.moisture, laminate.arch.recipe.asked.units
    yield (
        "moisture pull-in",
        (
            f"radius {100 * wet.radius_change:+.2f} % at most, ends {write_length(abs(wet.chord_change_mm), units)} "
            f"{'nearer' if wet.chord_change_mm <= 0 else 'further apart'}, "
            f"as {wet.adhesive} at {wet.spread_g_per_m2:.0f} g/m² dries (moisture {wet.moisture_rise_pct:+.1f} %)"
        ),
    )
    way = "tighter" if wet.curvature_change_from_press > 0 else "more open"
    change = 100 * wet.curvature_change_from_press
    yield "from press to dry part", f"{change:+.2f} % of the curvature: {way} than the form"


def _boards(laminate: Laminate) -> Iterable[tuple[str, str]]:
    """Plies to cut and the boards for them."""
    units = laminate.arch.recipe.asked.units
    cuts = laminate.materials.cuts
    spares = sum(c.count for c in cuts if c.ply == 0)
    yield (
        "plies to cut",
        (
            f"{sum(c.count for c in cuts)} with {spares} spare, {write_length(cuts[0].width_mm, units)} wide, "
            f"up to {write_length(max(c.length_mm for c in cuts), units)} long"
        ),
    )
    for plan in laminate.materials.resaw:
        boards = "" if plan.boards is None else f", {plan.boards} of the shop's boards"
        yield (
            f"boards of {plan.wood}",
            (
                f"{plan.plies} plies of {write_length(plan.thickness_mm, units)}, {plan.from_a_strip} from a strip of "
                f"{write_length(plan.board_thickness_mm, units)} (yield {100 * plan.yield_ratio:.0f} %): "
                f"{plan.strips} strips{boards}, {plan.board_feet:.1f} board feet"
            ),
        )


def _press(form: Form) -> Iterable[tuple[str, str]]:
    pressing = form.pressing
    laminate, units = pressing.laminate, pressing.laminate.arch.recipe.asked.units
    yield from lying_rows(pressing)
    yield (
        "pressed centre line",
        f"{radius_text(laminate.pressed, units)}, sweep {math.degrees(laminate.pressed.sweep_rad):.2f}°",
    )
    yield "form face", radius_text(pressing.face, units)
    ends = [laminate.pressed.pose(s) for s in laminate.springing_mm]
    if laminate.arch.two_legged:
        target = [laminate.arch.target.pose(s) for s in laminate.springing_mm]
        span = [math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) for a, b in (ends, target)]
        yield (
            "springing, pressed / finished",
            f"{write_length(span[0], units)} / {write_length(span[1], units)} on the centre line",
        )
    yield from holding_rows(form)
    yield from press_rows(pressing)


def _form(form: Form) -> Iterable[tuple[str, str]]:
    recipe = form.pressing.laminate.arch.recipe
    units = recipe.asked.units
    yield "body", f"{form.body}, {write_length(recipe.asked.form.backing_mm, units)} behind the face"
    yield (
        "layers",
        (
            f"{len(form.layers)} of {recipe.sheet_name}, {write_fine(recipe.sheet.thickness_mm, units)} as measured; "
            f"stack {write_length(form.depth_mm, units)} deep"
        ),
    )
    x0, y0, x1, y1 = form.layers[0].outline.bounds
    yield "size", f"{write_length(x1 - x0, units)} × {write_length(y1 - y0, units)}"
    pieces = form.pieces
    yield "pieces", f"{len(pieces)}, {max(len(layer.pieces) for layer in form.layers)} to a layer"
    reliefs = {o for _, p in pieces for o in p.openings}
    yield "clamp reliefs", f"{len(reliefs)} right through the stack" if reliefs else "none"
    channels = [layer.number for layer in form.layers if layer.channel]
    if channels:
        ports = sum(len(p.grooves) for _, p in pieces)
        yield (
            "vacuum channel",
            f"{'layer' if len(channels) == 1 else 'layers'} {', '.join(map(str, channels))} set back, {ports} ports",
        )
    if form.bar is not None:
        yield "bar seat", f"layers {form.bar.layers[0]}–{form.bar.layers[-1]} cut away"
    holes = {h for _, p in pieces for h in p.holes}
    yield "dowels", f"{len(holes)} of {write_length(recipe.shop.dowel.diameter_mm, recipe.shop.units)}"
    yield from burden_rows(form)


def radius_text(curve: ArcSpline, units: Units) -> str:
    """The radius of a curve, or its least and greatest; straight runs aside."""
    bends = sorted(1.0 / abs(k) for _, k in curve.pieces if abs(k) > 1e-9)
    if not bends:
        return "straight"
    if bends[-1] - bends[0] < 1e-6:
        return f"R {write_length(bends[0], units)}"
    return f"R {write_length(bends[0], units)} to {write_length(bends[-1], units)}"


def tail_text(laminate: Laminate) -> str:
    """How far the ends stand off without clamps, against the trim that is cut off."""
    units = laminate.arch.recipe.asked.units
    if not any(t.length_mm for t in laminate.tails):
        return "straight legs hold them to the form"
    said = [
        f"{t.end} {write_length(t.length_mm, units)} off, {write_length(t.trim_mm, units)} trim, "
        f"gap {write_fine(t.gap_at_tip_mm, units)} at the tip, {write_fine(t.gap_at_end_mm, units)} at the finished end"
        if t.length_mm
        else f"{t.end} held by its leg"
        for t in laminate.tails
    ]
    return "; ".join(said)


def bend_text(laminate: Laminate) -> str:
    """The ply nearest to its breaking strain, or to the least radius of a panel."""
    panels = [p for p in laminate.plies if p.radius_limit_mm is not None]
    if panels and all(p.strain_limit is None for p in laminate.plies):
        tight = min(panels, key=lambda p: p.radius_mm / (p.radius_limit_mm or p.radius_mm))
        units, least = laminate.arch.recipe.asked.units, tight.radius_limit_mm or 0.0
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
