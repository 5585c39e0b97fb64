"""Stage `form`: lines drawn on the pieces: centre line, springing lines, trim lines, the spreader bar.

In: the pressing, the body and the bar. Out: the lines on the whole form, and what of them falls on one piece; mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from formgen.fixed import fixed
from formgen.form.body import Body
from formgen.form.model import BarSeat
from formgen.form.stack import Mark, MarkKind, Opening
from formgen.geometry.arcspline import pose_past
from formgen.geometry.outline import Outline, Point
from formgen.makes.on_form import middle_mm
from formgen.makes.parts import TrimLine, has_middle_mark
from formgen.press.setup import Pressing

#: How far a springing or trim line runs behind the face (mm); a piece that ends sooner ends the line.
LINE_MM = 60.0
#: Shorter remains of a line are left out (mm).
SHORTEST_MM = 2.0


@fixed
class Guide:
    """A line to be marked: through a point along a unit vector, between two distances; for some openings or for all."""

    kind: MarkKind
    origin: Point
    direction: Point
    begin_mm: float = -math.inf
    end_mm: float = math.inf
    openings: tuple[str, ...] = ()


def guides(pressing: Pressing, body: Body, bar: BarSeat | None, trims: Sequence[TrimLine]) -> tuple[Guide, ...]:
    """Every line that is marked on the form.

    Springing and trim lines stand square to the face, a trim line at the lean of the saw cut where the end is
    mitred; the centre line is the axis between the springing points of a two-legged part, or stands square to the
    face in its middle where several openings are laid on the form by it.
    """
    laminate = pressing.laminate
    found: list[Guide] = []
    if laminate.arch.two_legged:
        found.append(Guide(kind="centre line", origin=(0.0, 0.0), direction=(0.0, 1.0)))
    elif has_middle_mark(pressing):
        middle = middle_mm(laminate.arch, laminate.springing_mm)
        found.append(_behind(pressing, body, middle, "centre line", 0.0))
    ends = laminate.pressed.length_mm
    found.extend(
        _behind(pressing, body, station, "springing line", 0.0)
        for station in laminate.springing_mm
        if 0.0 < station < ends
    )
    found.extend(
        replace(_behind(pressing, body, trim.station_mm, "trim line", trim.lean_rad), openings=trim.marks)
        for trim in trims
    )
    if bar is not None:
        found.append(Guide(kind="spreader bar", origin=(0.0, bar.touch.height_mm), direction=(1.0, 0.0)))
    return tuple(found)


def marks_on(piece: Outline, openings: Sequence[Opening], lines: Sequence[Guide]) -> tuple[Mark, ...]:
    """Return what of the lines falls on a piece, interrupted where it is cut through."""
    return tuple(
        Mark(kind=line.kind, start=_at(line, begin), end=_at(line, end), openings=line.openings)
        for line in lines
        for begin, end in _uncovered(line, piece, openings)
        if end - begin >= SHORTEST_MM
    )


def _behind(pressing: Pressing, body: Body, station_mm: float, kind: MarkKind, lean_rad: float) -> Guide:
    """A line from the part's centre line into the body, square to the curve or leaning from square."""
    pose = pose_past(pressing.laminate.pressed, station_mm)
    nx, ny = pose.left
    c, s = math.cos(lean_rad), math.sin(lean_rad)
    direction = (body.inward * (c * nx - s * ny), body.inward * (s * nx + c * ny))
    begin = abs(pressing.face_offset_mm) / c
    return Guide(kind=kind, origin=(pose.x_mm, pose.y_mm), direction=direction, begin_mm=0.0, end_mm=begin + LINE_MM)


def _uncovered(line: Guide, piece: Outline, openings: Sequence[Opening]) -> Iterable[tuple[float, float]]:
    spans = [
        (max(a, line.begin_mm), min(b, line.end_mm))
        for a, b in piece.chords(line.origin, *line.direction)
        if a < line.end_mm and b > line.begin_mm
    ]
    for opening in openings:
        for a, b in opening.outline.chords(line.origin, *line.direction):
            spans = [
                part
                for begin, end in spans
                for part in ((begin, min(end, a)), (max(begin, b), end))
                if part[1] > part[0]
            ]
    return spans


def _at(line: Guide, t: float) -> Point:
    return line.origin[0] + t * line.direction[0], line.origin[1] + t * line.direction[1]
