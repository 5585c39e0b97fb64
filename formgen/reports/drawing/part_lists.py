"""Stage `reports`: the lists beside the finished part: plies to cut, how they are laid up, what checks the part.

In: a Form. Out: Tables in the recipe's units, of numbers that the stages found.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from formgen.curve.ordinates import Height, ordinates
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.reports.drawing.numbers import fine, said, size
from formgen.reports.drawing.table import Table, parted


def part_lists(form: Holding) -> tuple[Table, ...]:
    """Every list of the part."""
    units = form.pressing.laminate.arch.recipe.asked.units
    part = Table(title="Part", rows=tuple(_part(form, units)))
    lay_up = Table(title="Lay-up", rows=tuple(_lay_up(form, units)))
    return (part, *parted(_plies(form, units)), lay_up, _check(form, units))


def _part(form: Holding, units: Units) -> Iterator[tuple[str, str]]:
    arch = form.pressing.laminate.arch
    asked = arch.recipe.asked.part
    face = "its centre line" if asked.measured_on == "centre" else f"its {asked.measured_on} face"
    yield "arch", f"{asked.arch.kind}, measured on {face}"
    yield "section", f"{fine(arch.thickness_mm, units)} thick, {said(asked.depth_mm, units)} deep"
    yield "length", f"{said(arch.target.length_mm, units)} on its centre line"
    yield "sweep", f"{math.degrees(abs(arch.target.sweep_rad)):.2f}°"
    for lean, end in zip(arch.mitre_rad, ("right", "left"), strict=True):
        if lean:
            yield f"{end} end", f"cut {math.degrees(abs(lean)):.2f}° off square"
    if arch.copies > 1:
        yield "make", f"{arch.copies}, the second turned over"


def _plies(form: Holding, units: Units) -> Table:
    rows = tuple(
        (
            str(cut.ply) if cut.ply else "spare",
            str(cut.count),
            fine(cut.thickness_mm, units),
            size(cut.width_mm, units),
            size(cut.length_mm, units),
            cut.wood,
        )
        for cut in form.pressing.laminate.materials.cuts
    )
    heads = ("ply", "cut", "thick", "wide", "long", "of")
    return Table(title="Plies to cut, 1 is innermost", heads=heads, rows=rows, numbers=(1, 2, 3, 4))


def _lay_up(form: Holding, units: Units) -> Iterator[tuple[str, str]]:
    pressing = form.pressing
    yield "on the form", ", ".join(name for name, _ in reversed(pressing.between)) or "nothing"
    first = "ply 1" if pressing.side == "male" else f"ply {len(pressing.laminate.plies)}"
    lines = "1 glue line" if pressing.glue.lines == 1 else f"{pressing.glue.lines} glue lines"
    yield "then", f"{first} first, {lines} of {pressing.glue.adhesive or 'glue, not chosen'}"
    if pressing.over:
        yield "over it", ", ".join(name for name, _ in pressing.over)
    yield "ends", "centre the plies on the centre or trim lines; trim after release"
    if form.bar_setting is not None:
        yield "bar", f"{form.bar_setting.action} to {said(form.bar_setting.between_legs_mm, units)}"
    if form.clamps is not None and form.clamps.release:
        order = "; ".join(" and ".join(str(n) for n in step) for step in form.clamps.release)
        yield "release", f"clamps {order}"


def _check(form: Holding, units: Units) -> Table:
    """Heights above the line A to B, inside and outside, where a tape reads them."""
    found = ordinates(form.pressing.laminate.arch)
    rows = tuple(
        (size(row.from_a_mm, units), _height(row.inside, units), _height(row.outside, units)) for row in found.rows
    )
    title = f"Check, ± {size(found.tolerance_mm, units)}: heights over A–B"
    return Table(title=title, heads=("from A", "inside", "outside"), rows=rows, numbers=(0, 1, 2))


def _height(height: Height | None, units: Units) -> str:
    return "–" if height is None or not math.isfinite(height.play_mm) else size(height.height_mm, units)
