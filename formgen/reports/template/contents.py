"""Stage `reports`: what the full-size template shows, without the names: edges that are cut, holes, lines.

In: a Form. Out: strokes at full size in the form's axes, mm, and the same things as points with their names, so that
each page can name what it shows of them. `names` writes the names, `cut` marks the wood.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.dimension import centre_mark, datum
from formgen.drafting.field import segments_of
from formgen.drafting.ink import BAR, CENTRE, EDGE, HIDDEN, SPRINGING, TRIM, Ink, Pen, Stroke, circle, line
from formgen.drafting.numbers import said
from formgen.drafting.signs import trim_line
from formgen.drafting.view import View
from formgen.fixed import fixed
from formgen.form.stack import Layer
from formgen.geometry.arcspline import pose_past
from formgen.geometry.outline import Edge, Outline, Point
from formgen.makes.on_form import middle_mm
from formgen.makes.parts import has_middle_mark, trim_lines
from formgen.reports.drawing.shapes import cut_line
from formgen.reports.drawing.subject import APART_MM, Subject, dowel_name
from formgen.reports.template.cut import CutLine, edges_of, wood_of
from formgen.reports.template.fewest import along
from formgen.reports.template.tiles import Bounds, bounds_of

Array = NDArray[np.float64]

#: How far a centre, springing or trim line runs past the edge that it crosses, and into the form (mm).
PAST_MM, INTO_MM = 12.0, 45.0
#: Between the points that stand for a line where it is asked what a page shows of it (mm).
STEP_MM = 3.0
#: Arms of the cross in a dowel hole past its edge (mm).
CROSS_MM = 3.0


@fixed
class NamedHole:
    """A hole with its name, and a shorter one for where there is little room.

    Args:
        names: what it is called, the fullest first.
        edge: points along it, (n, 2), anticlockwise.
        round_mm: how far the ink round it reaches past its edge.
        height_mm: of the name's capitals.
    """

    names: tuple[str, ...]
    edge: Array
    round_mm: float
    height_mm: float


@fixed
class NamedLine:
    """A line to be marked, or an edge of some layers only, with what it is called.

    Args:
        text: its name.
        points: along it, (n, 2), in the order in which its name's place is looked for.
        away_rad: direction in which the name stands off; any where None.
        head: with an arrow at the line.
    """

    text: str
    points: Array
    away_rad: float | None = None
    head: bool = True


@dataclass(frozen=True)
class Contents:
    """All that the template of a form shows."""

    subject: Subject

    @cached_property
    def guides(self) -> tuple[tuple[Pen, str, Point, Point], ...]:
        """Springing and trim lines: pen, name, end outside the face, end in the form; trim lines of several by mark."""
        return tuple(_guides(self.subject))

    @cached_property
    def through(self) -> tuple[tuple[Pen, tuple[Point, Point]], ...]:
        """Centre line and bar's line where they cross the form, run on past its edges: the rest is left white."""
        subject, base = self.subject, self.subject.whole
        lines: list[tuple[Pen, tuple[Point, Point]]] = []
        if subject.two_legged:
            upright = base.chords((0.0, 0.0), 0.0, 1.0)
            lines += [(CENTRE, ((0.0, a - PAST_MM), (0.0, b + PAST_MM))) for a, b in upright]
        if subject.form.bar is not None:
            y = subject.form.bar.touch.height_mm
            lines += [(BAR, ((a - PAST_MM, y), (b + PAST_MM, y))) for a, b in base.chords((0.0, y), 1.0, 0.0)]
        return tuple(lines)

    @cached_property
    def cut(self) -> tuple[Stroke, ...]:
        """List what pages are needed for: all edges, full or dashed, and the joints of pieces."""
        subject = self.subject
        found = [Stroke(pen=HIDDEN, vertices=((*e.a, e.bulge), (*e.b, 0.0))) for e, _ in subject.other_edges]
        found.append(_closed(EDGE, subject.whole))
        found += [_closed(HIDDEN, groove.cleared) for groove in subject.grooves]
        found += [line(pen, *joint) for pen, _, joint in _joints(subject)]
        found += [_closed(EDGE, opening.outline) for opening in subject.reliefs]
        return (*found, *(circle(EDGE, hole.centre, hole.diameter_mm / 2) for hole in subject.dowels))

    @cached_property
    def marked(self) -> tuple[Ink, ...]:
        """Lines that are marked, crosses in the dowel holes, the datum."""
        subject = self.subject
        view = View(scale=1.0, units=subject.units, strict=False)
        for pen, _, tip, back in self.guides:
            if pen is TRIM:
                trim_line(view, back, tip)
            else:
                view.line(pen, back, tip)
        for pen, ends in self.through:
            view.line(pen, *ends)
        for hole in subject.dowels:
            centre_mark(view, hole.centre, hole.diameter_mm / 2 + CROSS_MM)
        if subject.two_legged and subject.whole.contains((0.0, 0.0)):
            datum(view, (0.0, 0.0))
        return tuple(view.paper.inks)

    @cached_property
    def segments(self) -> Array:
        """Chords of what is cut."""
        return np.concatenate([segments_of(stroke) for stroke in self.cut])

    @cached_property
    def edges(self) -> tuple[CutLine, ...]:
        """The edge of the largest layer: face, back and ends."""
        return edges_of(self.subject)

    @cached_property
    def wood(self) -> tuple[CutLine, ...]:
        """Every edge that has wood on one side: of the largest layer, of the others, of the reliefs."""
        return (*self.edges, *wood_of(self.subject))

    @cached_property
    def holes(self) -> tuple[NamedHole, ...]:
        """Reliefs with their numbers, dowels with their letters."""
        subject, shop = self.subject, self.subject.recipe.shop
        wide = said(shop.dowel.diameter_mm, shop.units)
        found = [
            NamedHole(names=(str(number),), edge=_ring(_closed(EDGE, opening.outline)), round_mm=0.0, height_mm=5.0)
            for number, opening in enumerate(subject.reliefs, 1)
        ]
        for number, hole in enumerate(subject.dowels):
            name = dowel_name(number)
            edge = _ring(circle(EDGE, hole.centre, hole.diameter_mm / 2), STEP_MM / 3)
            found.append(NamedHole(names=(f"{name}  ⌀ {wide}", name), edge=edge, round_mm=CROSS_MM, height_mm=3.5))
        return tuple(found)

    @cached_property
    def holes_at(self) -> tuple[Bounds, ...]:
        """Bounds of the holes."""
        return tuple(bounds_of(hole.edge) for hole in self.holes)

    @cached_property
    def lines_at(self) -> tuple[Bounds, ...]:
        """Bounds of the lines that have names."""
        return tuple(bounds_of(named.points) for named in self.lines)

    @cached_property
    def lines(self) -> tuple[NamedLine, ...]:
        """Lines and dashed edges with their names."""
        subject = self.subject
        found = [_guide(name, tip, back) for _, name, tip, back in self.guides]
        for pen, (start, end) in self.through:
            name = "centre line" if pen is CENTRE else "bar"
            found.append(NamedLine(text=name, points=_run(end, start), head=False))
        for _, name, (start, end) in _joints(subject):
            found.append(NamedLine(text=f"joint, {name} layers", points=_from_middle(_run(start, end))))
        return (*found, *_other_edges(subject), *_ports(subject))


def _guides(subject: Subject) -> Iterator[tuple[Pen, str, Point, Point]]:
    into = abs(subject.pressing.face_offset_mm) + INTO_MM
    out = subject.laminate.thickness_mm / 2 + PAST_MM
    for station, lean, pen, name in _crossings(subject):
        pose = pose_past(subject.laminate.pressed, station)
        if subject.male:
            a, b = cut_line(pose, lean, into, out)
        else:
            b, a = cut_line(pose, lean, out, into)
        yield pen, name, b, a


def _crossings(subject: Subject) -> Iterator[tuple[float, float, Pen, str]]:
    """Stations across which a line is drawn: how it leans, its pen, and what it is called."""
    for cut in trim_lines(subject.form.makes):
        yield cut.station_mm, cut.lean_rad, TRIM, f"trim {', '.join(cut.marks)}" if cut.marks else "trim"
    for station, lean, name in subject.crossings():
        if not name.endswith("trim"):
            yield station, lean, SPRINGING, name
    if has_middle_mark(subject.pressing):
        laminate = subject.laminate
        yield middle_mm(laminate.arch, laminate.springing_mm), 0.0, CENTRE, "centre line"


def _joints(subject: Subject) -> Iterator[tuple[Pen, str, tuple[Point, Point]]]:
    for layer, pen, name in zip(subject.form.layers[:2], (CENTRE, HIDDEN), ("odd", "even"), strict=False):
        yield from ((pen, name, joint) for joint in layer.joints)


def _guide(name: str, tip: Point, back: Point) -> NamedLine:
    away = math.atan2(tip[1] - back[1], tip[0] - back[0])
    return NamedLine(text=name, points=_run(tip, back), away_rad=away, head=False)


def _other_edges(subject: Subject) -> Iterator[NamedLine]:
    """The dashed edges, each run of them once, with what they are for."""
    for outline in dict.fromkeys(layer.outline for layer in subject.form.layers):
        layers = [layer for layer in subject.form.layers if layer.outline == outline]
        if outline == subject.whole:
            continue
        for is_channel, edges in groupby(subject.beside(outline), lambda edge: _set_back(subject, edge)):
            for run in _runs(list(edges)):
                points = along(np.concatenate([_chords(edge) for edge in run]), STEP_MM)
                yield NamedLine(text=_what(subject, layers, channel=is_channel), points=_from_middle(points))


def _what(subject: Subject, layers: Sequence[Layer], *, channel: bool) -> str:
    numbers = [layer.number for layer in layers]
    if channel:
        return f"layer {_numbers(numbers)}: cut here"
    return f"layers {_numbers(numbers)} {'end here' if subject.male else 'are notched here'}"


def _numbers(numbers: Sequence[int]) -> str:
    first, last = numbers[0], numbers[-1]
    if len(numbers) > 2 and last - first == len(numbers) - 1:
        return f"{first} to {last}"
    return ", ".join(map(str, numbers))


def _set_back(subject: Subject, edge: Edge) -> bool:
    """Tell whether an edge is the channel's, which lies behind the face."""
    back = subject.set_back_mm
    return back > 0.0 and abs(abs(subject.form.face.nearest(*edge.at(0.5))[1]) - back) < APART_MM


def _runs(edges: Sequence[Edge]) -> Iterator[list[Edge]]:
    """Edges that follow one another."""
    run: list[Edge] = []
    for edge in edges:
        if run and math.dist(run[-1].b, edge.a) > APART_MM:
            yield run
            run = []
        run.append(edge)
    if run:
        yield run


def _ports(subject: Subject) -> Iterator[NamedLine]:
    for number, groove in enumerate(subject.grooves, 1):
        yield NamedLine(text=f"port {number}", points=_from_middle(_ring(_closed(HIDDEN, groove.cleared))))


def _closed(pen: Pen, outline: Outline) -> Stroke:
    return Stroke(pen=pen, vertices=outline.vertices, closed=True)


def _chords(edge: Edge) -> Array:
    return segments_of(Stroke(pen=HIDDEN, vertices=((*edge.a, edge.bulge), (*edge.b, 0.0))))


def _ring(stroke: Stroke, step_mm: float = STEP_MM) -> Array:
    return along(segments_of(stroke), step_mm)


def _run(start: Point, end: Point) -> Array:
    count = max(2, math.ceil(math.dist(start, end) / STEP_MM) + 1)
    return np.linspace(start, end, count)


def _from_middle(points: Array) -> Array:
    """The same points in the order of their distance from the middle one."""
    return points[np.argsort(np.abs(np.arange(len(points)) - len(points) // 2), kind="stable")]
