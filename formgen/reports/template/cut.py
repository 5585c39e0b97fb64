"""Stage `reports`: the edge of the form told apart, and the ticks that show on which side of it the wood is.

In: a Form. Out: face, back and ends as points, each with the wood on its left, and strokes; mm, in the form's axes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.field import segments_of
from formgen.drafting.ink import EDGE, SIZES, Pen, Stroke
from formgen.fixed import fixed
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Edge
from formgen.reports.drawing.subject import APART_MM, Subject
from formgen.reports.template.fewest import along
from formgen.reports.template.tiles import Bounds, bounds_of, meets

Array = NDArray[np.float64]

#: The pen of ticks.
TICK: Pen = SIZES
#: Between ticks along an edge, and how far one reaches into the wood and along the edge (mm).
TICKS_MM, INTO_MM, ALONG_MM = 40.0, 3.5, 3.5
#: Between the points that stand for an edge (mm).
STEP_MM = 3.0
#: Shorter edges of single layers go without ticks (mm).
LEAST_MM = 20.0


@fixed
class CutLine:
    """A stretch of a cut edge, the wood on its left.

    Args:
        name: `face`, `back` or `end`; empty for the edge of a hole.
        points: along it, (n, 2).
        ahead: unit vectors along it, (n, 2).
        at: bounds of the points.
    """

    name: str
    points: Array
    ahead: Array
    at: Bounds

    def ticks(self, at: Sequence[int]) -> Array:
        """The slanted ticks at some of the points, (n, 4); at its end they lean back, off the corner."""
        p, ahead = self.points[at], self.ahead[at]
        into = np.column_stack([-ahead[:, 1], ahead[:, 0]])
        lean = np.where(np.array(at) < len(self.points) - 2, ALONG_MM, -ALONG_MM)[:, None]
        return np.hstack([p, p + lean * ahead + INTO_MM * into])


def edges_of(subject: Subject) -> tuple[CutLine, ...]:
    """The edge of the largest layer: the face, the straight edges that begin at its ends, and the back."""
    edges = subject.whole.edges
    faces = distances_mm(np.array([edge.at(0.5) for edge in edges]), subject.form.face.edges) < APART_MM
    names = ["face" if face else "back" for face in faces]
    if names.count("back") > 2:
        for i, edge in enumerate(edges):
            beside = names[i - 1], names[(i + 1) % len(edges)]
            if names[i] == "back" and "face" in beside and not edge.bulge:
                names[i] = "end"
    first = next((i for i, name in enumerate(names) if name != names[i - 1]), 0)
    turned = [*zip(names, edges, strict=True)]
    turned = [*turned[first:], *turned[:first]]
    return tuple(
        _cut_line(name, [edge for _, edge in run]) for name, run in groupby(turned, key=lambda named: named[0])
    )


def wood_of(subject: Subject) -> tuple[CutLine, ...]:
    """The edges of the other layers, and those of the reliefs: their wood lies outside."""
    others = [_cut_line("", [edge]) for edge, _ in subject.other_edges if edge.length_mm > LEAST_MM]
    return (*others, *(_cut_line("", opening.outline.turned_round().edges) for opening in subject.reliefs))


def _cut_line(name: str, edges: Sequence[Edge]) -> CutLine:
    vertices = (*((*edge.a, edge.bulge) for edge in edges), (*edges[-1].b, 0.0))
    chords = segments_of(Stroke(pen=EDGE, vertices=vertices))
    points = along(chords, STEP_MM)
    ahead = np.roll(points, -1, axis=0) - points
    ahead[-1] = chords[-1, 2:] - points[-1]
    return CutLine(name=name, points=points, ahead=ahead / np.hypot(*ahead.T)[:, None], at=bounds_of(points))


def ticks(lines: Sequence[CutLine], windows: Sequence[Bounds]) -> Array:
    """Ticks along edges, and one more wherever a page would show a stretch without any; (n, 4).

    Args:
        lines: cut edges.
        windows: what the pages show.
    """
    found = []
    for cut in lines:
        length = len(cut.points)
        count = max(1, round(length * STEP_MM / TICKS_MM))
        at = {int((i + 0.5) * length / count) for i in range(count)}
        for window in windows:
            if meets(cut.at, window):
                at.update(run[len(run) // 2] for run in seen(cut.points, window) if at.isdisjoint(run))
        found.append(cut.ticks(sorted(at)))
    return np.concatenate(found)


def seen(points: Array, window: Bounds) -> Iterator[list[int]]:
    """Runs of points that lie in a window."""
    x0, y0, x1, y1 = window
    x, y = points.T
    inside = np.flatnonzero((x > x0) & (x < x1) & (y > y0) & (y < y1))
    if len(inside):
        for run in np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1):
            yield run.tolist()
