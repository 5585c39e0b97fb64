"""Stage `reports`: the lists beside the views: what the form is made of and where everything lies on it; plies, checks.

In: a Form. Out: Tables in the recipe's units, of numbers that the stages found; on the form x to the right and y up
from the datum.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from formgen.curve.ordinates import Height
from formgen.drafting.numbers import fine, said, size
from formgen.drafting.table import Table, parted
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point, whole_circle
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.makes.model import Made
from formgen.reports.drawing.front import MOST_ARCS
from formgen.reports.drawing.part import drawn_part
from formgen.reports.drawing.shapes import arcs, bounds, passing_x
from formgen.reports.drawing.subject import Subject, dowel_name, half_width, middle
from formgen.reports.rows.makes import is_shared, makes_columns, within_text

#: Steps of a list of ordinates (mm), and the most rows in it.
STEPS_MM: dict[Units, tuple[float, ...]] = {"in": (25.4, 50.8, 101.6, 203.2), "mm": (20.0, 25.0, 50.0, 100.0, 200.0)}
MOST_ROWS = 26


def form_lists(subject: Subject) -> tuple[Table, ...]:
    """Every list of the form."""
    units = subject.units
    tables = [Table(title="Form", rows=tuple(_made_of(subject, units))), _face(subject, units), _holes(subject, units)]
    joints, ports = tuple(_joints(subject, units)), tuple(_ports(subject, units))
    for title, first, rows in (("Joints", "layers", joints), ("Ports of the channel", "port", ports)):
        if rows:
            heads = (first, "from x", "y", "to x", "y")
            tables.append(Table(title=title, heads=heads, rows=rows, numbers=(1, 2, 3, 4)))
    return tuple(part for table in tables for part in parted(table))


_WHERE = {"part-bagged": "outside the bag", "form-bagged": "in the bag", "clamped": "clamped, no bag"}


def _made_of(subject: Subject, units: Units) -> Iterator[tuple[str, str]]:
    recipe = subject.recipe
    ask = recipe.asked.form
    where = _WHERE[subject.pressing.way]
    yield "kind", f"{subject.pressing.side}, {subject.form.body}, {where}"
    yield "sheet", f"{recipe.sheet_name}, {fine(recipe.sheet.thickness_mm, units)} as measured"
    yield "layers", f"{len(subject.form.layers)}, stack {said(subject.form.depth_mm, units)}"
    if len(subject.form.pieces) > len(subject.form.layers):
        yield "pieces", f"{len(subject.form.pieces)}, {max(len(y.pieces) for y in subject.form.layers)} to a layer"
    where = "all along" if subject.form.body == "band" else "behind the face"
    yield "backing", f"{said(recipe.backing_mm, units)} {where}"
    yield "run-on", f"face runs {said(ask.run_on_mm, units)} past the ply"
    x0, y0, x1, y1 = subject.whole.bounds
    ends = "springing points" if subject.two_legged else "part's ends"
    yield "datum", f"midway between the {ends}, in the press"
    yield "reach", f"x {size(x0, units)} to {size(x1, units)}, y {size(y0, units)} to {size(y1, units)}"
    found = subject.reliefs
    if found:
        yield "reliefs", f"{len(found)}, {_relief(found[0].outline, units)}, right through"
    holes = subject.dowels
    if holes:
        shop = recipe.shop.units
        yield "dowels", f"{len(holes)}, ⌀ {said(recipe.shop.dowel.diameter_mm, shop)}, right through"
    yield from _features(subject, units)


def _relief(outline: Outline, units: Units) -> str:
    r = half_width(outline)
    if whole_circle(outline):
        return f"⌀ {said(2 * r, units)}"
    length = max(e.length_mm for e in outline.edges if not e.bulge) + 2 * r
    return f"slots {size(2 * r, units)} × {said(length, units)} along the face"


def _features(subject: Subject, units: Units) -> Iterator[tuple[str, str]]:
    if subject.form.bar_setting is not None and subject.form.bar is not None:
        setting, numbers = subject.form.bar_setting, subject.form.bar.layers
        faces = "outside" if setting.action == "pulls in" else "inside"
        yield "bar", f"{setting.action}; {said(setting.between_legs_mm, units)} between the legs' {faces} faces"
        cut = "end above it" if setting.action == "pulls in" else "notched at its height"
        yield "bar seat", f"layers {numbers[0]} to {numbers[-1]} {cut}"
    if subject.channel:
        numbers_text = ", ".join(str(number) for number in subject.channel)
        yield "channel", f"layer {numbers_text} stands back {said(subject.set_back_mm, units)}"
    if subject.grooves:
        port = subject.grooves[0]
        deep = said(port.depth_mm, units)
        yield "ports", f"{len(subject.grooves)}, {size(port.width_mm, units)} wide, {deep} deep"


def _face(subject: Subject, units: Units) -> Table:
    """The face from its right end: each stretch with its radius, its centre and where it ends; or ordinates."""
    face = subject.form.face.merged()
    if len(arcs(face)) > MOST_ARCS:
        rows = tuple((size(x, units), size(y, units)) for x, y in _ordinates(face, units))
        return Table(title="Face, ordinates", heads=("x", "y"), rows=rows, numbers=(0, 1))
    heads = ("face", "R", "centre x", "y", "ends at x", "y")
    rows_list: list[tuple[str, ...]] = [("right end", "", "", "", *_xy((face.start.x_mm, face.start.y_mm), units))]
    number = 0
    for pose, end, (_, k) in zip(face.knots, face.knots[1:], face.pieces, strict=False):
        to = _xy((end.x_mm, end.y_mm), units)
        if abs(k) <= 1e-9:
            rows_list.append(("straight", "", "", "", *to))
            continue
        number += 1
        nx, ny = pose.left
        centre = _xy((pose.x_mm + nx / k, pose.y_mm + ny / k), units)
        rows_list.append((f"R{number}", size(1 / abs(k), units), *centre, *to))
    return Table(title="Face, from its right end", heads=heads, rows=tuple(rows_list), numbers=(1, 2, 3, 4, 5))


def _ordinates(face: ArcSpline, units: Units) -> list[Point]:
    """Both ends, and between them where the face passes round distances from the middle; from the left end on."""
    x0, _, x1, _ = bounds(face)
    step = next((s for s in STEPS_MM[units] if (x1 - x0) / s < MOST_ROWS), STEPS_MM[units][-1])
    at = [n * step for n in range(math.ceil(x0 / step), math.floor(x1 / step) + 1)]
    passed = [point for x in at if x0 < x < x1 for point in passing_x(face, x)]
    passed.sort(key=lambda point: -face.nearest(*point)[0])
    return [(face.end.x_mm, face.end.y_mm), *passed, (face.start.x_mm, face.start.y_mm)]


def _holes(subject: Subject, units: Units) -> Table:
    rows = [(str(n), *_xy(middle(o.outline), units)) for n, o in enumerate(subject.reliefs, 1)]
    rows += [(dowel_name(n), *_xy(h.centre, units)) for n, h in enumerate(subject.dowels)]
    title = "Reliefs and dowels, middles" if subject.reliefs else "Dowels, middles"
    return Table(title=title, heads=("", "x", "y"), rows=tuple(rows), numbers=(1, 2))


def _joints(subject: Subject, units: Units) -> Iterator[tuple[str, ...]]:
    for layer, name in zip(subject.form.layers[:2], ("odd", "even"), strict=False):
        for start, end in layer.joints:
            yield name, *_xy(start, units), *_xy(end, units)


def _ports(subject: Subject, units: Units) -> Iterator[tuple[str, ...]]:
    for number, groove in enumerate(subject.grooves, 1):
        v = groove.outline.vertices
        a, b = (((v[i][0] + v[j][0]) / 2, (v[i][1] + v[j][1]) / 2) for i, j in ((0, 3), (1, 2)))
        length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
        direction = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        inside = next(iter(groove.cleared.chords(a, *direction)), (0.0, length))
        yield str(number), *(c for t in inside for c in _xy((a[0] + t * direction[0], a[1] + t * direction[1]), units))


def _xy(p: Point, units: Units) -> tuple[str, str]:
    return size(p[0], units), size(p[1], units)


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
