"""Stage `reports`: the lists beside the views: what the form is made of and where everything lies on it; plies, lay-up.

In: a Form. Out: Tables in the recipe's units, which the title strip names, of numbers that the stages found; on the
form x to the right and y up from the datum.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby

from formgen.drafting.numbers import fine, said, size
from formgen.drafting.table import Table
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Point, whole_circle
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.makes.model import Made
from formgen.reports.drawing.front import MOST_ARCS
from formgen.reports.drawing.names import relief_text
from formgen.reports.drawing.part import drawn_part
from formgen.reports.drawing.shapes import arcs, bounds, passing_x
from formgen.reports.drawing.subject import Subject, dowel_name, middle
from formgen.reports.press_sheet.lay_up import at_the_mark
from formgen.reports.rows.makes import is_shared, makes_columns

#: Steps of a list of ordinates (mm), and the most rows in it.
STEPS_MM: dict[Units, tuple[float, ...]] = {"in": (25.4, 50.8, 101.6, 203.2), "mm": (20.0, 25.0, 50.0, 100.0, 200.0)}
MOST_ROWS = 26
#: A stretch that turns by less is straight (rad); a curve that turns to and fro more often is not described by it.
LEAST_TURN_RAD, MOST_TURNS = 1e-4, 4


def form_lists(subject: Subject) -> tuple[Table, ...]:
    """Every list of the form, in the order in which they always stand."""
    units = subject.units
    of_holes, of_joints, ports = _hole_rows(subject, units), _joints(subject, units), _ports(subject, units)
    found = (
        Table(title="Form", rows=tuple(_made_of(subject, units))),
        _face(subject, units),
        Table(
            title="Reliefs and dowels" if subject.reliefs else "Dowels", remark=_holes_said(subject, units),
            heads=("no.", "x", "y"), rows=tuple(of_holes), numbers=(1, 2),
        ),
        Table(
            title="Joints", remark="Odd layers: full line. Even layers: dashed.",
            heads=("layers", *_FROM_TO), rows=tuple(of_joints), numbers=(1, 2, 3, 4),
        ),
        Table(
            title="Ports", remark=_ports_said(subject, units),
            heads=("port", *_FROM_TO), rows=tuple(ports), numbers=(1, 2, 3, 4),
        ),
    )  # fmt: skip
    return tuple(table for table in found if table.rows)


_FROM_TO = ("from x", "y", "to x", "y")
_WHERE = {"part-bagged": "outside the bag", "form-bagged": "in the bag", "clamped": "clamped, no bag"}


def _made_of(subject: Subject, units: Units) -> Iterator[tuple[str, str]]:
    recipe = subject.recipe
    yield "kind", f"{subject.pressing.side}, {subject.form.body}, {_WHERE[subject.pressing.way]}"
    yield "sheet", f"{recipe.sheet_name}, {fine(recipe.sheet.thickness_mm, units)} as measured"
    yield "layers", f"{len(subject.form.layers)}, stack {size(subject.form.depth_mm, units)}"
    if len(subject.form.pieces) > len(subject.form.layers):
        yield "pieces", f"{len(subject.form.pieces)}, {max(len(y.pieces) for y in subject.form.layers)} to a layer"
    where = "all along" if subject.form.body == "band" else "behind the face"
    yield "backing", f"{size(recipe.backing_mm, units)} {where}"
    yield "run-on", f"face runs {size(recipe.asked.form.run_on_mm, units)} past the ply"
    x0, y0, x1, y1 = subject.whole.bounds
    ends = "springing points" if subject.two_legged else "part's ends"
    yield "datum", f"midway between the {ends}, in the press"
    yield "reach", f"x {' to '.join(_xy((x0, x1), units))}, y {' to '.join(_xy((y0, y1), units))}"
    yield from _features(subject, units)


def _features(subject: Subject, units: Units) -> Iterator[tuple[str, str]]:
    if subject.form.bar_setting is not None and subject.form.bar is not None:
        setting, numbers = subject.form.bar_setting, subject.form.bar.layers
        faces = "outside" if setting.action == "pulls in" else "inside"
        yield "bar", f"{setting.action}; {size(setting.between_legs_mm, units)} between the legs' {faces} faces"
        cut = "end above it" if setting.action == "pulls in" else "notched at its height"
        yield "bar seat", f"layers {numbers[0]} to {numbers[-1]} {cut}"
    if subject.channel:
        numbers_text = ", ".join(str(number) for number in subject.channel)
        yield "channel", f"layer {numbers_text} stands back {size(subject.set_back_mm, units)}"


def _face(subject: Subject, units: Units) -> Table:
    """The face from its right end: each stretch with its radius, its centre and where it ends; or ordinates."""
    face = subject.form.face.merged()
    if len(arcs(face)) > MOST_ARCS:
        points = tuple(_xy(point, units) for point in _ordinates(face, units))
        remark = "Ordinates from its left end to its right end."
        return Table(title="Face", remark=remark, heads=("x", "y"), rows=points, numbers=(0, 1))
    heads = ("", "centre x", "y", "ends at x", "y")
    rows: list[tuple[str, ...]] = [("right end", "", "", *_xy((face.start.x_mm, face.start.y_mm), units))]
    number = 0
    for pose, end, (_, k) in zip(face.knots, face.knots[1:], face.pieces, strict=False):
        to = _xy((end.x_mm, end.y_mm), units)
        if abs(k) <= 1e-9:
            rows.append(("straight", "", "", *to))
            continue
        number += 1
        nx, ny = pose.left
        centre = _xy((pose.x_mm + nx / k, pose.y_mm + ny / k), units)
        rows.append((f"R{number} = {size(1 / abs(k), units)}", *centre, *to))
    remark = "From its right end to its left end."
    return Table(title="Face", remark=remark, heads=heads, rows=tuple(rows), numbers=(1, 2, 3, 4))


def _ordinates(face: ArcSpline, units: Units) -> list[Point]:
    """Both ends, and between them where the face passes round distances from the middle; from the left end on."""
    x0, _, x1, _ = bounds(face)
    step = next((s for s in STEPS_MM[units] if (x1 - x0) / s < MOST_ROWS), STEPS_MM[units][-1])
    at = [n * step for n in range(math.ceil(x0 / step), math.floor(x1 / step) + 1)]
    passed = [point for x in at if x0 < x < x1 for point in passing_x(face, x)]
    passed.sort(key=lambda point: -face.nearest(*point)[0])
    return [(face.end.x_mm, face.end.y_mm), *passed, (face.start.x_mm, face.start.y_mm)]


def _hole_rows(subject: Subject, units: Units) -> Iterator[tuple[str, ...]]:
    for number, opening in enumerate(subject.reliefs, 1):
        yield str(number), *_xy(middle(opening.outline), units)
    for number, hole in enumerate(subject.dowels):
        yield dowel_name(number), *_xy(hole.centre, units)


def _holes_said(subject: Subject, units: Units) -> str:
    """Say which numbers and letters are what, and how wide; their middles are listed."""
    told = []
    if subject.reliefs:
        numbers = _from_to("1", str(len(subject.reliefs)))
        first = subject.reliefs[0].outline
        along = "" if whole_circle(first) else " along the face"
        told.append(f"Reliefs {numbers}: {relief_text(first, units)}{along}.")
    if subject.dowels:
        shop, wide = subject.recipe.shop.units, subject.recipe.shop.dowel.diameter_mm
        names = _from_to(dowel_name(0), dowel_name(len(subject.dowels) - 1))
        told.append(f"Dowels {names}: ⌀{size(wide, units) if shop == units else said(wide, shop)}.")
    return " ".join((*told, "All go right through."))


def _from_to(first: str, last: str) -> str:
    return first if first == last else f"{first}–{last}"


def _joints(subject: Subject, units: Units) -> Iterator[tuple[str, ...]]:
    for layer, name in zip(subject.form.layers[:2], ("odd", "even"), strict=False):
        for start, end in layer.joints:
            yield name, *_xy(start, units), *_xy(end, units)


def _ports_said(subject: Subject, units: Units) -> str:
    if not subject.grooves:
        return ""
    port = subject.grooves[0]
    return f"{size(port.width_mm, units)} wide, {size(port.depth_mm, units)} deep."


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
    """Every list of the part, in the order in which they always stand."""
    units = form.recipe.units
    drawn = drawn_part(form)
    of = f" {drawn.mark}" * is_shared(form)
    part = Table(title=f"Part{of}", rows=tuple(_part(drawn, units)))
    return (*(_openings(form) if is_shared(form) else ()), part, _plies(drawn, of, units))


def lay_up(form: Holding) -> Table:
    """List how the plies are laid up: the last list."""
    return Table(title="Lay-up", rows=tuple(_lay_up(form)))


def _openings(form: Holding) -> Iterator[Table]:
    """The parts that come off the form, where their ends are sawn, and their plies."""
    heads, rows = makes_columns(form)
    origin = "centre line" if form.makes[0].trim.measured_from == "centre line" else "point"
    for title, remark, columns in (
        ("Parts off this form", "", ("opening", "code", "parts", "face", "span", "rise")),
        ("Trims", f"From the {origin} along the face.", ("opening", "trim right", "trim left")),
        ("Plies of each part", "", ("opening", "ply wide", "ply 1", "last ply", "step", "wood")),
    ):
        kept = [heads.index(head) for head in columns if head in heads]
        yield Table(
            title=title, remark=remark, heads=tuple(heads[i] for i in kept),
            rows=tuple(tuple(row[i] for i in kept) for row in rows),
            numbers=tuple(n for n, i in enumerate(kept) if heads[i] not in ("opening", "code", "face", "wood")),
        )  # fmt: skip


def _part(part: Made, units: Units) -> Iterator[tuple[str, str]]:
    arch = part.pressing.arch
    asked = arch.recipe.part
    face = "its centre line" if asked.measured_on == "centre" else f"its {asked.measured_on} face"
    yield "arch", f"{asked.arch.kind}, measured on {face}"
    yield "section", f"{fine(arch.thickness_mm, units)} thick, {size(asked.depth_mm, units)} deep"
    yield "length", f"{size(arch.target.length_mm, units)} on its centre line"
    turns = turns_rad(arch.target)
    if 0 < len(turns) <= MOST_TURNS:
        yield "turns", ", then back ".join(f"{math.degrees(turn):.2f}°" for turn in turns)
    for lean, end in zip(arch.mitre_rad, ("right", "left"), strict=True):
        if lean:
            yield f"{end} end", f"cut {math.degrees(abs(lean)):.2f}° off square"


def turns_rad(curve: ArcSpline) -> list[float]:
    """By how much a curve turns, and by how much back, each time that it bends the other way (rad)."""
    bends = [length * k for length, k in curve.pieces if abs(length * k) > LEAST_TURN_RAD]
    return [abs(math.fsum(held)) for _, held in groupby(bends, key=lambda turn: turn > 0)]


def _plies(part: Made, of: str, units: Units) -> Table:
    """List what to cut; what is alike in all rows is said once."""
    cuts = part.pressing.laminate.materials.cuts
    heads = ("ply", "cut", "long", "thick", "wide", "wood")
    rows = [
        (
            str(cut.ply) if cut.ply else "spare", str(cut.count), size(cut.length_mm, units),
            fine(cut.thickness_mm, units), size(cut.width_mm, units), cut.wood,
        )
        for cut in cuts
    ]  # fmt: skip
    alike = [i for i in (1, 3, 4, 5) if len({row[i] for row in rows}) == 1]
    kept = [i for i in range(len(heads)) if i not in alike]
    words = {1: f"{rows[0][1]} off", 3: f"{rows[0][3]} thick", 4: f"{rows[0][4]} wide", 5: rows[0][5]}
    each = f"Each {', '.join(words[i] for i in alike)};" if alike else "Ply"
    return Table(
        title=f"Plies{of}", remark=f"{each} 1 is innermost.", heads=tuple(heads[i] for i in kept),
        rows=tuple(tuple(row[i] for i in kept) for row in rows),
        numbers=tuple(n for n, i in enumerate(kept) if i in (1, 2, 3, 4)),
    )  # fmt: skip


def _lay_up(form: Holding) -> Iterator[tuple[str, str]]:
    pressing = form.pressing
    yield "on the form", ", ".join(name for name, _ in reversed(pressing.between)) or "nothing"
    first = "ply 1" if pressing.side == "male" else f"ply {len(pressing.laminate.plies)}"
    lines = "1 glue line" if pressing.glue.lines == 1 else f"{pressing.glue.lines} glue lines"
    glue = f" of {pressing.glue.adhesive}" if pressing.glue.adhesive else ", glue not chosen"
    yield "then", f"{first} first, {lines}{glue}"
    if pressing.over:
        yield "over it", ", ".join(name for name, _ in pressing.over)
    yield "plies", at_the_mark(form)
    yield "ends", "trim after release"
    if form.bar_setting is not None:
        yield "bar", f"{form.bar_setting.action} to {form.bar_setting.tape} jaw to jaw, bag on"
    if form.clamps is not None and form.clamps.release:
        order = "; ".join(" and ".join(str(n) for n in step) for step in form.clamps.release)
        yield "release", f"clamps {order}"
