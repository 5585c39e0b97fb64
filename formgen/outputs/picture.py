"""Stage `outputs`: a picture of the stack for a quote or a page: an axonometric drawing, seen from above and in front.

In: a `Form`. Out: one SVG file, in mm on paper, not to scale, with the form's name and size below it. Layers are
painted from the bench up, in each the walls that face the viewer and then the upper face, so that what is nearer hides
what is behind it. Circles seen aslant are ellipses: arcs stay arcs. A wall has one tone as far as it turns no corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

from formgen.drafting.paper import HATCH_MM, HEAD_MM, TEXT_MM, THICK_MM, THIN_MM
from formgen.form.marking.lettering import strokes_of
from formgen.form.model import Form
from formgen.form.stack import Layer, Piece
from formgen.geometry.outline import Edge, Outline, Point
from formgen.holding.do_not_press import mark_lines
from formgen.lengths import write_sizes
from formgen.outputs.html.paint import LETTERED, alone, paint
from formgen.outputs.svg import CAPITAL, Svg, picture, run, tag, text, traced
from formgen.outputs.templates import asset
from formgen.verdict import MARK

#: The view: turned about the upright axis, and looked down on, both in rad.
TURN, TILT = math.radians(-24.0), math.radians(48.0)
#: Width of the drawing and the white round it (mm on paper).
WIDE, MARGIN = 180.0, 4.0
#: Two stretches of a wall meet in a corner from this turn on, and a wall is round that turns by more in all (rad).
CORNER, ROUND = math.radians(10.0), math.radians(15.0)
#: Height of the mark (mm), and letters on a line of its reasons.
STAMP, STAMP_LETTERS = 7.0, 100


@dataclass(frozen=True)
class _View:
    """From the form's turned axes to the paper: scale, and the corner that lies at the margin."""

    scale: float
    left: float
    top: float

    def at(self, p: Point, z_mm: float) -> Point:
        x, y = p[0], -(p[1] * math.sin(TILT) + z_mm * math.cos(TILT))
        return (x - self.left) * self.scale + MARGIN, (y - self.top) * self.scale + MARGIN

    def path(self, edges: Iterable[Edge], z_mm: float, *, closed: bool = False) -> str:
        """The `d` of a path at one height."""
        wide, high = self.scale, self.scale * math.sin(TILT)
        return traced(edges, lambda p: self.at(p, z_mm), wide, high, closed=closed)


def check_picture(path: Path, form: Form) -> Iterator[str]:
    """The picture shows each piece once from above, as many faces as pieces."""
    try:
        root = ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 -- our own file, hash compared
    except (ET.ParseError, ValueError) as err:
        yield f"cannot be read ({err}), expected SVG: build again"
        return
    faces = [e for e in root.iter() if e.get("fill-rule") == "evenodd"]
    if len(faces) != len(form.pieces):
        yield f"shows {len(faces)} pieces, expected {len(form.pieces)}: build again"


def picture_file(form: Form) -> Svg:
    """The picture as a file of its own, which holds its colours, dark and by day."""
    wide, high, said, *drawn = _drawn(form)
    return alone(wide, high, said, asset("outputs/html/look.css"), *drawn)


def svg(form: Form) -> Svg:
    """The picture for a page, which has the colours."""
    wide, high, said, *drawn = _drawn(form)
    return picture(wide, high, said, *drawn, **paint(fill="ink"))


def _drawn(form: Form) -> tuple[float, float, str, Svg, Svg, Svg]:
    """Width and height of the picture (mm), what it shows in words, the mark, the stack, and the words below it."""
    reach = [_turned(layer.outline) for layer in form.layers]
    x0, x1 = min(o.bounds[0] for o in reach), max(o.bounds[2] for o in reach)
    up, lean = math.cos(TILT), math.sin(TILT)
    lows = [(-o.bounds[1] * lean - layer.front_mm * up) for o, layer in zip(reach, form.layers, strict=True)]
    tops = [
        (-o.bounds[3] * lean - (layer.front_mm + layer.thickness_mm) * up)
        for o, layer in zip(reach, form.layers, strict=True)
    ]
    scale = WIDE / (x1 - x0)
    mark, band = _stamp(form)
    view = _View(scale, x0, min(tops) - band / scale)
    low = MARGIN + band + (max(lows) - min(tops)) * scale
    title, size = form.recipe.name, f"{_size(form)}, {len(form.layers)} layers"
    below = (*_lettered(title, HEAD_MM, low + 2.4 * HEAD_MM), *_lettered(size, TEXT_MM, low + 4.2 * HEAD_MM))
    high = low + 4.2 * HEAD_MM + 2 * MARGIN
    stack = tag(
        "g", *(line for layer in form.layers for line in _layer(layer, view, top=layer is form.layers[-1])), id="stack"
    )
    pen = {**paint(stroke="ink"), "stroke_linejoin": "round", "stroke_linecap": "round"}
    # the silhouette: all of it once in a heavy line, half of which stays visible round what is painted over it
    uses = (tag("use", href="#stack", stroke_width=width) for width in (2 * THICK_MM, HATCH_MM))
    drawn = tag("g", tag("defs", stack), *uses, **pen)
    words = tag("path", fill="none", d=" ".join(run(s) for s in below), **{**pen, "stroke_width": THIN_MM})
    said = f"{f'{MARK}: ' if band else ''}Form {title}, {size}"
    return WIDE + 2 * MARGIN, high, said, mark, drawn, words


def _size(form: Form) -> str:
    """Length, width and height over all."""
    boxes = [layer.outline.bounds for layer in form.layers]
    low, high = [[pick(b[i] for b in boxes) for i in ends] for pick, ends in ((min, (0, 1)), (max, (2, 3)))]
    return write_sizes([high[0] - low[0], high[1] - low[1], form.depth_mm], form.recipe.units)


def _lettered(said: str, height_mm: float, down_mm: float) -> Iterator[list[Point]]:
    """A line in the drawing board's letters, as strokes, whose base line lies so far down the paper."""
    for stroke in strokes_of(said, (MARGIN, -down_mm), height_mm):
        yield [(x, -y) for x, y in stroke]


def _stamp(form: Form) -> tuple[Svg, float]:
    """The mark and the reasons above the picture, and the paper (mm) that they take: none where it may be pressed."""
    lines = mark_lines(form, STAMP_LETTERS)
    found: list[Svg] = []
    down = 0.0
    for i, line in enumerate(lines):
        height = TEXT_MM if i else STAMP
        down += 1.8 * height
        found.append(text(MARGIN, down, line, height / CAPITAL, font_weight=None if i else "bold"))
    return tag("g", *found, **LETTERED), down + (MARGIN if found else 0.0)


def _layer(layer: Layer, view: _View, *, top: bool) -> Iterator[Svg]:
    low, high = layer.front_mm, layer.front_mm + layer.thickness_mm
    turned = [(piece, _rings(piece)) for piece in layer.pieces]
    walls = [
        wall
        for _, rings in turned
        for ring in rings
        for wall in _walls(ring, low, high, view, hole=ring is not rings[0])
    ]
    yield from (line for _, line in sorted(walls))
    for piece, rings in turned:
        shape = " ".join(view.path(ring, high, closed=True) for ring in rings)
        yield tag("path", fill_rule="evenodd", d=shape, **paint(fill="wood"))
        if top:
            drawn = [s for label in piece.labels for s in label.strokes] + [(m.start, m.end) for m in piece.marks]
            strokes = " ".join(run([view.at(_turn(p), high) for p in stroke]) for stroke in drawn)
            yield tag("path", fill="none", stroke_width="0.1", d=strokes)


def _rings(piece: Piece) -> list[list[Edge]]:
    """Closed rings of a piece as it is seen: the edge anticlockwise, its holes clockwise, the body to their left."""
    holes = [o.outline for o in piece.openings]
    holes += [Outline.obround(h.centre, (1.0, 0.0), h.diameter_mm, h.diameter_mm) for h in piece.holes]
    return [list(_turned(piece.outline).edges), *(list(_turned(hole).turned_round().edges) for hole in holes)]


def _walls(ring: list[Edge], low: float, high: float, view: _View, *, hole: bool) -> Iterator[tuple[float, Svg]]:
    """The stretches of a ring's wall that face the viewer, each with the depth it is painted by, farthest first."""
    for stretch in _facing(ring):
        back = [Edge(e.b, e.a, -e.bulge) for e in reversed(stretch)]
        down = view.path(back, low).replace("M", "L", 1)
        near = max(e.farthest(0.0, -1.0) for e in stretch)
        yield near, tag("path", d=f"{view.path(stretch, high)}{down}Z", **paint(fill=_tone(stretch, hole=hole)))


def _facing(ring: list[Edge]) -> list[list[Edge]]:
    """Stretches of a ring that face the viewer, from corner to corner: where it is travelled to the right."""
    found: list[list[Edge]] = []
    parts = [part for edge in ring for part in _halves(edge)]
    for before, part in pairwise([parts[-1], *parts]):
        if part.b[0] - part.a[0] <= 1e-9:
            continue
        if found and before.b[0] - before.a[0] > 1e-9 and _goes_on(before, part):
            found[-1].append(part)
        else:
            found.append([part])
    if len(found) > 1 and found[0][0] is parts[0] and found[-1][-1] is parts[-1] and _goes_on(parts[-1], parts[0]):
        found[0] = [*found.pop(), *found[0]]
    return found


def _halves(edge: Edge) -> Iterator[Edge]:
    """An arc cut where it turns from the viewer, at its left and right ends."""
    ends = sorted(t for t in (edge.share_of(0.0), edge.share_of(math.pi)) if 1e-9 < t < 1 - 1e-9) if edge.bulge else []
    for t0, t1 in pairwise([0.0, *ends, 1.0]):
        yield edge.between(t0, t1) if ends else edge


def _goes_on(before: Edge, after: Edge) -> bool:
    """Tell whether one edge follows another without a corner."""
    turn = _heading(after) - after.sweep_rad / 2 - _heading(before) - before.sweep_rad / 2
    return abs(math.remainder(turn, 2 * math.pi)) < CORNER


def _heading(edge: Edge) -> float:
    """Direction of an edge's chord."""
    return math.atan2(edge.b[1] - edge.a[1], edge.b[0] - edge.a[0])


def _tone(stretch: list[Edge], *, hole: bool) -> str:
    """The tone of a wall: a flat one that faces left lies in the shade, and so does what is inside a hole."""
    if hole:
        return "shade"
    flat = sum(abs(e.sweep_rad) for e in stretch) < ROUND
    left = math.atan2(stretch[-1].b[1] - stretch[0].a[1], stretch[-1].b[0] - stretch[0].a[0]) < 0
    return "shade" if flat and left else "wall"


def _turn(p: Point) -> Point:
    """A point in the view's axes: x to the right, y away from the viewer."""
    c, s = math.cos(TURN), math.sin(TURN)
    return c * p[0] - s * p[1], s * p[0] + c * p[1]


def _turned(outline: Outline) -> Outline:
    """An outline in the view's axes; bulges stay."""
    return Outline(tuple((*_turn((x, y)), bulge) for x, y, bulge in outline.vertices))
