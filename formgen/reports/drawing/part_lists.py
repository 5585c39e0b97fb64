"""Stage `reports`: the lists beside the finished part: plies to cut, how they are laid up, what checks the part.

In: a Form. Out: Tables in the recipe's units, of numbers that the stages found.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from formgen.curve.ordinates import Height
from formgen.drafting.numbers import fine, said, size
from formgen.drafting.table import Table, parted
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.makes.model import Made
from formgen.reports.drawing.part import drawn_part
from formgen.reports.rows.makes import is_shared, makes_columns, within_text


def part_lists(form: Holding) -> tuple[Table, ...]:
    """Every list of the part."""
    units = form.recipe.units
    drawn = drawn_part(form)
    of = f" {drawn.mark}" * is_shared(form)
    part = Table(title=f"Part{of}", rows=tuple(_part(drawn, units)))
    lay_up = Table(title="Lay-up", rows=tuple(_lay_up(form, units)))
    openings = parted(_openings(form)) if is_shared(form) else []
    return (*openings, part, *parted(_plies(drawn, of, units)), lay_up, _check(drawn, of, units))


def _openings(form: Holding) -> Table:
    """The parts that come off the form."""
    heads, rows = makes_columns(form)
    origin = "centre line" if form.makes[0].trim.measured_from == "centre line" else "point"
    numbers = tuple(n for n, head in enumerate(heads) if head not in ("opening", "code", "face", "wood"))
    title = f"Parts off this form, trims from the {origin} along the face"
    return Table(title=title, heads=heads, rows=rows, numbers=numbers)


def _part(part: Made, units: Units) -> Iterator[tuple[str, str]]:
    arch = part.pressing.arch
    asked = arch.recipe.part
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


def _plies(part: Made, of: str, units: Units) -> Table:
    rows = tuple(
        (
            str(cut.ply) if cut.ply else "spare",
            str(cut.count),
            fine(cut.thickness_mm, units),
            size(cut.width_mm, units),
            size(cut.length_mm, units),
            cut.wood,
        )
        for cut in part.pressing.laminate.materials.cuts
    )
    heads = ("ply", "cut", "thick", "wide", "long", "of")
    return Table(title=f"Plies to cut{of}, 1 is innermost", heads=heads, rows=rows, numbers=(1, 2, 3, 4))


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
        yield "bar", f"{form.bar_setting.action} to {said(form.bar_setting.jaw_to_jaw_mm, units)} jaw to jaw, bag on"
    if form.clamps is not None and form.clamps.release:
        order = "; ".join(" and ".join(str(n) for n in step) for step in form.clamps.release)
        yield "release", f"clamps {order}"


def _check(part: Made, of: str, units: Units) -> Table:
    """Heights above the line A to B, inside and outside, where a tape reads them."""
    found = part.gauge
    rows = tuple(
        (size(row.from_a_mm, units), _height(row.inside, units), _height(row.outside, units)) for row in found.rows
    )
    title = f"Check{of}, ± {within_text(found.tolerance_mm, units).removesuffix(f' {units}')}: heights over A–B"
    return Table(title=title, heads=("from A", "inside", "outside"), rows=rows, numbers=(0, 1, 2))


def _height(height: Height | None, units: Units) -> str:
    return "–" if height is None or not math.isfinite(height.play_mm) else size(height.height_mm, units)
