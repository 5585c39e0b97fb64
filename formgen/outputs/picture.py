"""Stage `outputs`: a picture of the stack for a quote or a page: an axonometric drawing, seen from above and in front.

In: a `Form`. Out: one SVG file, in mm on paper, not to scale. Layers are painted from the bench up, in each the walls
that face the viewer and then the upper face, so that what is nearer hides what is behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

from formgen.form.model import Form
from formgen.form.stack import Layer, Piece
from formgen.geometry.outline import Outline, Point
from formgen.holding.do_not_press import mark_lines
from formgen.outputs.svg import Svg, picture, run, tag, text
from formgen.verdict import MARK

#: The view: turned about the upright axis, and looked down on, both in rad.
TURN, TILT = math.radians(-24.0), math.radians(48.0)
#: Width of the drawing (mm on paper), the white round it, and how finely arcs are drawn on it.
WIDE, MARGIN, FINE = 180.0, 4.0, 0.15
#: From the darkest wall to the lightest, and the upper face: MDF in plain light.
WALLS = ("#8d7350", "#9a7f5a", "#a78c66", "#b49973", "#c1a680")
FACE, INK = "#dcc7a1", "#3d3225"
#: Sizes of the letters of a mark and of its reasons (mm), and letters on a line of these.
STAMP, REASON, STAMP_LETTERS = 9.0, 3.0, 100


@dataclass(frozen=True)
class _View:
    """From the form's axes to the paper: scale, and the corner that lies at the margin."""

    scale: float
    left: float
    top: float

    def at(self, p: Point, z_mm: float) -> Point:
        x, y = _turned(p, z_mm)
        return (x - self.left) * self.scale + MARGIN, (y - self.top) * self.scale + MARGIN


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


def svg(form: Form) -> Svg:
    """The picture of a form, as SVG text."""
    reach = [
        _turned(p, z)
        for layer in form.layers
        for z in (layer.front_mm, layer.front_mm + layer.thickness_mm)
        for p in layer.outline.flattened(1.0)
    ]
    xs, ys = [c[0] for c in reach], [c[1] for c in reach]
    scale = WIDE / (max(xs) - min(xs))
    stamp, band = _stamp(form)
    view = _View(scale, min(xs), min(ys) - band / scale)
    wide, high = WIDE + 2 * MARGIN, band + (max(ys) - min(ys)) * scale + 2 * MARGIN
    layers = (line for layer in form.layers for line in _layer(layer, view, top=layer is form.layers[-1]))
    drawn = tag("g", *layers, stroke=INK, stroke_width=0.18, stroke_linejoin="round", stroke_linecap="round")
    mark = f"{MARK}: " if mark_lines(form) else ""
    return picture(wide, high, f"{mark}Form {form.recipe.name}, {len(form.layers)} layers", *stamp, drawn)


def _stamp(form: Form) -> tuple[list[Svg], float]:
    """The mark and the reasons above the picture, and the paper (mm) that they take: none where it may be pressed."""
    if not mark_lines(form):
        return [], 0.0
    mark, *lines = mark_lines(form, STAMP_LETTERS)
    down = MARGIN + STAMP
    found = [text(str(MARGIN), str(down), mark, str(STAMP), font_weight="bold")]
    for line in lines:
        down += 1.5 * REASON
        found.append(text(str(MARGIN), down, line, str(REASON)))
    return [tag("g", *found, fill=INK, font_family="sans-serif")], down


def _layer(layer: Layer, view: _View, *, top: bool) -> Iterable[Svg]:
    low, high = layer.front_mm, layer.front_mm + layer.thickness_mm
    walls = [
        wall for piece in layer.pieces for ring in _rings(piece, view.scale) for wall in _walls(ring, low, high, view)
    ]
    yield from (line for _, line in sorted(walls))
    for piece in layer.pieces:
        shape = " ".join(run([view.at(p, high) for p in ring], closed=True) for ring in _rings(piece, view.scale))
        yield tag("path", fill=FACE, fill_rule="evenodd", d=shape)
        if top:
            drawn = [s for label in piece.labels for s in label.strokes] + [(m.start, m.end) for m in piece.marks]
            strokes = " ".join(run([view.at(p, high) for p in stroke]) for stroke in drawn)
            yield tag("path", fill="none", stroke_width="0.1", d=strokes)


def _rings(piece: Piece, scale: float) -> list[list[Point]]:
    """Closed rings of a piece: the edge anticlockwise, its holes clockwise, the body to the left of both."""
    fine = FINE / scale
    holes = [o.outline for o in piece.openings]
    holes += [Outline.obround(h.centre, (1.0, 0.0), h.diameter_mm, h.diameter_mm) for h in piece.holes]
    return [piece.outline.flattened(fine), *(hole.flattened(fine)[::-1] for hole in holes)]


def _walls(ring: Sequence[Point], low: float, high: float, view: _View) -> Iterable[tuple[float, Svg]]:
    """The stretches of a ring's wall that face the viewer, each with the depth it is painted by, farthest first."""
    steps = list(pairwise([*ring, ring[0]]))
    for tone, alike in groupby(steps, key=_tone):
        if tone is None:
            continue
        edges = list(alike)
        points = [edges[0][0], *(b for _, b in edges)]
        foot = [view.at(p, low) for p in points]
        strip = run([*(view.at(p, high) for p in points), *reversed(foot)], closed=True)
        near = max(_turned(p, 0.0)[1] for p in points)
        wall = tag("path", fill=WALLS[tone], stroke=WALLS[tone], d=strip)
        yield near, Svg(wall + tag("path", fill="none", d=run(foot)))


def _tone(step: tuple[Point, Point]) -> int | None:
    """Find which tone a wall has, None where it faces away: the outward normal lies to the right of travel."""
    (ax, ay), (bx, by) = _turned(step[0], 0.0), _turned(step[1], 0.0)
    away = math.sin(TILT)
    nx, ny = -(by - ay) / away, bx - ax  # to the right of travel, on a paper whose y runs down
    length = math.hypot(nx, ny)
    if length == 0 or ny / length <= 1e-9:
        return None
    light = (ny + 0.6 * nx) / length / math.hypot(1.0, 0.6)
    return min(max(int((light + 0.55) / 1.55 * len(WALLS)), 0), len(WALLS) - 1)


def _turned(p: Point, z_mm: float) -> Point:
    """The view without its scale; y runs down the paper."""
    c, s = math.cos(TURN), math.sin(TURN)
    x, y = c * p[0] - s * p[1], s * p[0] + c * p[1]
    return x, -(y * math.sin(TILT) + z_mm * math.cos(TILT))
