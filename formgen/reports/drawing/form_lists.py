"""Stage `reports`: the lists beside the form's views: what it is made of, and where everything lies on it.

In: a Form. Out: Tables; x to the right and y up from the datum, in the recipe's units.
"""

from __future__ import annotations

from collections.abc import Iterator

from formgen.curve.arcspline import ArcSpline
from formgen.curve.circle import whole_circle
from formgen.curve.outline import Outline, Point
from formgen.form.model import Form
from formgen.lengths import Units
from formgen.reports.drawing.front import MOST_ARCS, dowel_name, dowels, middle, reliefs
from formgen.reports.drawing.numbers import fine, said, size
from formgen.reports.drawing.shapes import arcs, bounds, passing_x
from formgen.reports.drawing.table import Table

#: Steps of a list of ordinates (mm), and the most rows in it.
STEPS_MM: dict[Units, tuple[float, ...]] = {"in": (25.4, 50.8, 101.6, 203.2), "mm": (20.0, 25.0, 50.0, 100.0, 200.0)}
MOST_ROWS = 26


def form_lists(form: Form) -> tuple[Table, ...]:
    """Every list of the form."""
    units = form.pressing.laminate.arch.recipe.asked.units
    tables = [Table(title="Form", rows=tuple(_made_of(form, units))), _face(form, units), _holes(form, units)]
    joints = tuple(_joints(form, units))
    if joints:
        heads = ("layers", "from x", "y", "to x", "y")
        tables.append(Table(title="Joints", heads=heads, rows=joints, numbers=(1, 2, 3, 4)))
    ports = tuple(_ports(form, units))
    if ports:
        heads = ("port", "from x", "y", "to x", "y")
        tables.append(Table(title="Ports of the channel", heads=heads, rows=ports, numbers=(1, 2, 3, 4)))
    return tuple(table for table in tables if table.rows)


def _made_of(form: Form, units: Units) -> Iterator[tuple[str, str]]:
    recipe = form.pressing.laminate.arch.recipe
    ask = recipe.asked.form
    where = "in the bag" if form.pressing.form_in_bag else "outside the bag"
    yield "kind", f"{form.pressing.side}, {form.body}, {where}"
    yield "sheet", f"{recipe.sheet_name}, {fine(recipe.sheet.thickness_mm, units)} as measured"
    yield "layers", f"{len(form.layers)}, stack {said(form.depth_mm, units)}"
    if len(form.pieces) > len(form.layers):
        yield "pieces", f"{len(form.pieces)}, {max(len(y.pieces) for y in form.layers)} to a layer"
    yield "backing", f"{said(ask.backing_mm, units)} {'all along' if form.body == 'band' else 'behind the face'}"
    yield "run-on", f"face runs {said(ask.run_on_mm, units)} past the ply"
    found = reliefs(form)
    if found:
        yield "reliefs", f"{len(found)}, {_relief(found[0].outline, units)}, right through"
    holes = dowels(form)
    if holes:
        shop = recipe.shop.units
        yield "dowels", f"{len(holes)}, ⌀ {said(recipe.shop.dowel.diameter_mm, shop)}, right through"
    yield from _features(form, units)


def _relief(outline: Outline, units: Units) -> str:
    circle = whole_circle(outline)
    if circle:
        return f"⌀ {said(2 * circle[1], units)}"
    r = min(e.radius_mm for e in outline.edges if e.bulge)
    length = max(e.length_mm for e in outline.edges if not e.bulge) + 2 * r
    return f"slots {size(2 * r, units)} × {said(length, units)} along the face"


def _features(form: Form, units: Units) -> Iterator[tuple[str, str]]:
    if form.bar is not None:
        setting, numbers = form.bar.setting, form.bar.layers
        faces = "outside" if setting.action == "pulls in" else "inside"
        yield "bar", f"{setting.action}; {said(setting.between_legs_mm, units)} between the legs' {faces} faces"
        cut = "end above it" if setting.action == "pulls in" else "notched at its height"
        yield "bar seat", f"layers {numbers[0]} to {numbers[-1]} {cut}"
    channel = [layer for layer in form.layers if layer.channel]
    if channel:
        back = abs(form.face.nearest(channel[0].face.start.x_mm, channel[0].face.start.y_mm)[1])
        numbers_text = ", ".join(str(layer.number) for layer in channel)
        yield "channel", f"layer {numbers_text} stands back {said(back, units)}"
        grooves = [g for _, p in form.pieces for g in p.grooves]
        if grooves:
            yield (
                "ports",
                f"{len(grooves)}, {size(grooves[0].width_mm, units)} wide, {said(grooves[0].depth_mm, units)} deep",
            )


def _face(form: Form, units: Units) -> Table:
    """The face from its right end: each stretch with its radius, its centre and where it ends; or ordinates."""
    face = form.face.merged()
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


def _ordinates(face: ArcSpline, units: Units) -> Iterator[Point]:
    x0, _, x1, _ = bounds(face)
    step = next((s for s in STEPS_MM[units] if (x1 - x0) / s < MOST_ROWS), STEPS_MM[units][-1])
    yield face.end.x_mm, face.end.y_mm
    n = int(x0 / step) - 1
    while n * step < x1:
        if n * step > x0:
            yield from passing_x(face, n * step)
        n += 1
    yield face.start.x_mm, face.start.y_mm


def _holes(form: Form, units: Units) -> Table:
    rows = [(str(n), *_xy(middle(o.outline), units)) for n, o in enumerate(reliefs(form), 1)]
    rows += [(dowel_name(n), *_xy(h.centre, units)) for n, h in enumerate(dowels(form))]
    return Table(title="Reliefs and dowels, middles", heads=("", "x", "y"), rows=tuple(rows), numbers=(1, 2))


def _joints(form: Form, units: Units) -> Iterator[tuple[str, ...]]:
    for layer, name in zip(form.layers[:2], ("odd", "even"), strict=False):
        for start, end in layer.joints:
            yield name, *_xy(start, units), *_xy(end, units)


def _ports(form: Form, units: Units) -> Iterator[tuple[str, ...]]:
    grooves = dict.fromkeys(g for _, p in form.pieces for g in p.grooves)
    for number, groove in enumerate(grooves, 1):
        v = groove.outline.vertices
        ends = [((v[i][0] + v[j][0]) / 2, (v[i][1] + v[j][1]) / 2) for i, j in ((0, 3), (1, 2))]
        a, b = ends
        length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
        direction = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        inside = next(iter(groove.cleared.chords(a, *direction)), (0.0, length))
        yield str(number), *(c for t in inside for c in _xy((a[0] + t * direction[0], a[1] + t * direction[1]), units))


def _xy(p: Point, units: Units) -> tuple[str, str]:
    return size(p[0], units), size(p[1], units)
