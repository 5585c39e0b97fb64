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
from formgen.lengths import Units, write_length


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
    yield "arch", f"{asked.part.arch.kind}, measured on {'its centre line' if asked.part.measured_on == 'centre' else f'the {asked.part.measured_on} face'}"
    if arch.fit is not None:
        x, y = arch.fit.at_mm
        yield "fit", (f"{arch.fit.what} through {arch.fit.count} points, worst {write_length(arch.fit.worst_mm, units)} "
                      f"at x {write_length(x, units)}, y {write_length(y, units)}")
    yield "measured radius", radius_text(arch.measured, units)
    yield "centre-line radius", radius_text(arch.target, units)
    yield "sweep", f"{math.degrees(arch.target.sweep_rad):.2f}°"
    yield "length on the centre line", write_length(arch.target.length_mm, units)
    yield "thickness × depth", f"{write_length(arch.thickness_mm, units)} × {write_length(asked.part.depth_mm, units)}"
    if arch.copies > 1:
        lean = max(abs(m) for m in arch.mitre_rad)
        yield "parts to make", f"{arch.copies}, the second turned over; they meet in a saw cut {math.degrees(lean):.2f}° off square"


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
    yield "bend", bend_text(laminate)
    yield "ply lengths with trim", f"{write_length(laminate.plies[0].length_mm, units)} inside, {write_length(laminate.plies[-1].length_mm, units)} outside"
    yield "spring-back", f"{100 * laminate.spring_back:.2f} % of the curvature"


def _press(form: Form) -> Iterable[tuple[str, str]]:
    pressing = form.pressing
    laminate, units = pressing.laminate, pressing.laminate.arch.recipe.asked.units
    yield "form side", f"{pressing.side}, {'inside' if pressing.form_in_bag else 'outside'} the bag"
    yield "between part and form", ", ".join(f"{name} {write_length(mm, units)}" for name, mm in pressing.between) or "nothing"
    yield "pressed centre line", f"{radius_text(laminate.pressed, units)}, sweep {math.degrees(laminate.pressed.sweep_rad):.2f}°"
    yield "form face", radius_text(pressing.face, units)
    ends = [laminate.pressed.pose(s) for s in laminate.springing_mm]
    if laminate.arch.two_legged:
        target = [laminate.arch.target.pose(s) for s in laminate.springing_mm]
        span = [math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) for a, b in (ends, target)]
        yield "springing, pressed / finished", f"{write_length(span[0], units)} / {write_length(span[1], units)} on the centre line"
    if form.bar is not None:
        yield "spreader bar", f"{form.bar.action} to {write_length(form.bar.between_legs_mm, units)} at {write_length(form.bar.height_mm, units)} from the springing line"


def _form(form: Form) -> Iterable[tuple[str, str]]:
    recipe = form.pressing.laminate.arch.recipe
    units = recipe.asked.units
    yield "body", f"{form.body}, {write_length(recipe.asked.form.backing_mm, units)} behind the face"
    yield "layers", (f"{len(form.layers)} of {recipe.sheet_name}, {write_length(recipe.sheet.thickness_mm, units)} as measured; "
                     f"stack {write_length(form.depth_mm, units)} deep")
    x0, y0, x1, y1 = form.layers[0].outline.bounds
    yield "size", f"{write_length(x1 - x0, units)} × {write_length(y1 - y0, units)}"
    pieces = form.pieces
    yield "pieces", f"{len(pieces)}, {max(len(layer.pieces) for layer in form.layers)} to a layer"
    reliefs = {o for _, p in pieces for o in p.openings}
    yield "clamp reliefs", f"{len(reliefs)} right through the stack" if reliefs else "none"
    channels = [layer.number for layer in form.layers if layer.channel]
    if channels:
        ports = sum(len(p.grooves) for _, p in pieces)
        yield "vacuum channel", f"{'layer' if len(channels) == 1 else 'layers'} {', '.join(map(str, channels))} set back, {ports} ports"
    if form.bar is not None:
        yield "bar seat", f"layers {form.bar.layers[0]}–{form.bar.layers[-1]} cut away"
    holes = {h for _, p in pieces for h in p.holes}
    yield "dowels", f"{len(holes)} of {write_length(recipe.shop.dowel.diameter_mm, units)}"


def radius_text(curve: ArcSpline, units: Units) -> str:
    """The radius of a curve, or its least and greatest; straight runs aside."""
    bends = sorted(1.0 / abs(k) for _, k in curve.pieces if abs(k) > 1e-9)
    if not bends:
        return "straight"
    if bends[-1] - bends[0] < 1e-6:
        return f"R {write_length(bends[0], units)}"
    return f"R {write_length(bends[0], units)} to {write_length(bends[-1], units)}"


def bend_text(laminate: Laminate) -> str:
    """The ply nearest to its breaking strain."""

    def share(ply: Ply) -> float:
        return ply.strain / ply.strain_limit if ply.strain_limit else 0.0

    worst = max(laminate.plies, key=share)
    if worst.strain_limit is None:
        return f"strain {100 * worst.strain:.2f} %; strength not known"
    return f"strain {100 * worst.strain:.2f} % of {100 * worst.strain_limit:.2f} % at which {worst.wood} is likely to break"
