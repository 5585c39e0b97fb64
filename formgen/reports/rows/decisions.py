"""Stage `reports`: the numbers that decide, in the order in which a shop asks for them.

In: a Form. Out: titled rows of text in the recipe's units, for a table on the screen. Nothing is computed here
that the stages did not compute; lengths are rounded only in being written.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.model import Holding
from formgen.lengths import Units, write_fine, write_length
from formgen.reports.rows.holding import holding_rows
from formgen.reports.rows.plies import ply_rows
from formgen.reports.rows.press_day import burden_rows, lying_rows, press_rows
from formgen.reports.rows.usual import usual_rows


@fixed
class Section:
    """One question and the rows that answer it."""

    title: str
    rows: tuple[tuple[str, str], ...]


def decisions(form: Holding) -> tuple[Section, ...]:
    """The answers, question by question."""
    usual = tuple(usual_rows(form))
    return (
        Section(title="Part", rows=tuple(_part(form))),
        Section(title="Plies", rows=tuple(ply_rows(form))),
        Section(title="Press", rows=tuple(_press(form))),
        Section(title="Form", rows=tuple(_form(form))),
        *([Section(title="Taken as usual", rows=usual)] if usual else []),
    )


def _part(form: Holding) -> Iterable[tuple[str, str]]:
    arch = form.arch
    asked, units = arch.recipe.asked, arch.recipe.units
    on = "its centre line" if asked.part.measured_on == "centre" else f"the {asked.part.measured_on} face"
    yield "arch", f"{asked.part.arch.kind}, measured on {on}"
    if arch.fit is not None:
        x, y = arch.fit.at_mm
        fit = (
            f"{arch.fit.what} through {arch.fit.count} points, worst {write_length(arch.fit.worst_mm, units)} "
            f"at x {write_length(x, units)}, y {write_length(y, units)}"
        )
        yield "fit", fit
    yield "measured radius", radius_text(arch.measured, units)
    yield "centre-line radius", radius_text(arch.target, units)
    yield "sweep", f"{math.degrees(arch.target.sweep_rad):.2f}°"
    yield "length on the centre line", write_length(arch.target.length_mm, units)
    yield "thickness × depth", f"{write_length(arch.thickness_mm, units)} × {write_length(asked.part.depth_mm, units)}"
    if arch.copies > 1:
        lean = max(abs(m) for m in arch.mitre_rad)
        cut = f"they meet in a saw cut {math.degrees(lean):.2f}° off square" if lean > 0 else "ends cut square"
        yield "parts to make", f"{arch.copies}, the second turned over; {cut}"


def _press(form: Holding) -> Iterable[tuple[str, str]]:
    pressing = form.pressing
    laminate, units = pressing.laminate, pressing.recipe.units
    yield from lying_rows(pressing)
    sweep = f"sweep {math.degrees(laminate.pressed.sweep_rad):.2f}°"
    yield "pressed centre line", f"{radius_text(laminate.pressed, units)}, {sweep}"
    yield "form face", radius_text(pressing.face, units)
    if laminate.arch.two_legged:
        ends = ([curve.pose(s) for s in laminate.springing_mm] for curve in (laminate.pressed, laminate.arch.target))
        spans = (write_length(math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)), units) for a, b in ends)
        yield "springing, pressed / finished", f"{' / '.join(spans)} on the centre line"
    yield from holding_rows(form)
    yield from press_rows(pressing)


def _form(form: Holding) -> Iterable[tuple[str, str]]:
    recipe = form.recipe
    units = recipe.units
    yield "body", f"{form.body}, {write_length(recipe.backing_mm, units)} behind the face"
    stack = (
        f"{len(form.layers)} of {recipe.sheet_name}, {write_fine(recipe.sheet.thickness_mm, units)} as measured; "
        f"stack {write_length(form.depth_mm, units)} deep"
    )
    yield "layers", stack
    x0, y0, x1, y1 = form.layers[0].outline.bounds
    yield "size", f"{write_length(x1 - x0, units)} × {write_length(y1 - y0, units)}"
    pieces = form.pieces
    yield "pieces", f"{len(pieces)}, {max(len(layer.pieces) for layer in form.layers)} to a layer"
    reliefs = {o for _, p in pieces for o in p.openings}
    yield "clamp reliefs", f"{len(reliefs)} right through the stack" if reliefs else "none"
    channels = [layer.number for layer in form.layers if layer.channel]
    if channels:
        ports = sum(len(p.grooves) for _, p in pieces)
        set_back = f"{'layer' if len(channels) == 1 else 'layers'} {', '.join(map(str, channels))} set back"
        yield "vacuum channel", f"{set_back}, {ports} ports"
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
