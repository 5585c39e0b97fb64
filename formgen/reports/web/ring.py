"""Stage `reports`: a ring in a drawing that shows one place of it larger, with sizes as on paper.

In: places in the drawing's frame, y down. Out: SVG elements. The ring lies where there is room, else below.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.distance import Lines
from formgen.geometry.outline import Point
from formgen.outputs.svg import Svg, tag, text
from formgen.reports.web.drawing import WIDE, path

#: How many times as large the ring shows its place, its radius, and the least white round it, in units of the frame.
TIMES, RADIUS, WHITE = 5.0, 180.0, 18.0
#: Length and half width of an arrow's head; how far its line runs on where the heads stand outside.
HEAD, HALF, TAIL = 18.0, 4.0, 34.0
#: Steps in which a place is looked for.
_STEP = 40.0


@fixed
class Size:
    """What is measured in the ring: its letter, what it says, and both ends in the frame."""

    letter: str
    said: str
    begin: Point
    end: Point


@fixed
class Ring:
    """A ring.

    Args:
        of: middle of what it shows.
        at: its own middle.
    """

    of: Point
    at: Point

    @property
    def bottom(self) -> float:
        """Its lowest place in the frame."""
        return self.at[1] + RADIUS + WHITE

    def shown(self, p: Point) -> Point:
        """The place in the ring of a point of the drawing."""
        return self.at[0] + TIMES * (p[0] - self.of[0]), self.at[1] + TIMES * (p[1] - self.of[1])

    def picture(self, drawn: str, sizes: Sequence[Size]) -> Iterator[Svg]:
        """Yield the ring on a drawing.

        Args:
            drawn: name of the group that is drawn in it once more.
            sizes: what is measured in it.
        """
        (x, y), (left, top) = self.at, self.shown((0.0, 0.0))
        along = math.atan2(y - self.of[1], x - self.of[0])
        c, s = math.cos(along), math.sin(along)
        near, far = RADIUS / TIMES, math.dist(self.of, self.at) - RADIUS
        yield tag("g", _circle(self.of, near), path("", _line(self.of, (c, s), near, far)), class_="ring")
        yield tag("g", _circle(self.at, RADIUS), class_="ring ground")
        larger = tag("use", href=f"#{drawn}", transform=f"matrix({TIMES} 0 0 {TIMES} {left:.2f} {top:.2f})")
        measured = [arrow for size in sizes for arrow in self._size(size)]
        yield tag("g", larger, *measured, clip_path=f"circle({RADIUS}px at {x:.1f}px {y:.1f}px) view-box")
        yield tag("g", _circle(self.at, RADIUS), class_="ring")

    def _size(self, size: Size) -> Iterator[Svg]:
        a, b = self.shown(size.begin), self.shown(size.end)
        yield tag("g", arrows(a, b), class_="dimension")
        apart = math.dist(a, b)
        c, s = ((b[0] - a[0]) / apart, (b[1] - a[1]) / apart) if apart else (1.0, 0.0)
        x, y = b[0] + (TAIL + 18.0) * c, b[1] + (TAIL + 18.0) * s
        yield text(round(x, 1), round(y + 10.0, 1), size.letter, None, class_="key")


def ring_place(lines: Iterable[Sequence[Point]], high: float) -> Point:
    """The middle of a ring that keeps clear of a drawing: where it has the most white, else below.

    Args:
        lines: of the drawing, through points in the frame.
        high: the drawing's height.
    """
    steps = [step for line in lines for step in pairwise(line)]
    drawn = Lines([a for a, _ in steps], [b for _, b in steps])
    xs = np.arange(RADIUS + WHITE, WIDE - RADIUS - WHITE, _STEP)
    ys = np.arange(RADIUS + WHITE, max(high - RADIUS - WHITE, RADIUS + WHITE + 1.0), _STEP)
    places = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    clear = drawn.distances_mm(places).min(axis=1)
    best = int(np.argmax(clear - 1e-3 * np.abs(places[:, 0] - WIDE / 2.0)))
    if clear[best] >= RADIUS + WHITE and places[best, 1] + RADIUS <= high:
        return float(places[best, 0]), float(places[best, 1])
    return WIDE / 2.0, high + RADIUS


def arrows(a: Point, b: Point) -> Svg:
    """A dimension line with slender filled heads at both ends, pointing in from outside where there is no room."""
    apart = math.dist(a, b)
    c, s = ((b[0] - a[0]) / apart, (b[1] - a[1]) / apart) if apart else (1.0, 0.0)
    inside = apart > 3.0 * HEAD
    way = 1.0 if inside else -1.0
    line = _line(a, (c, s), 0.0, apart) if inside else _line(a, (c, s), -TAIL, 0.0) + _line(b, (c, s), 0.0, TAIL)
    heads = _head(a, (way * c, way * s)) + _head(b, (-way * c, -way * s))
    return tag("g", path("", line), path("head", heads))


def _head(tip: Point, way: Point) -> str:
    (x, y), (c, s) = tip, way
    back, side = (x + HEAD * c, y + HEAD * s), (-HALF * s, HALF * c)
    (ax, ay), (bx, by) = (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])
    return f"M{x:.1f} {y:.1f}L{ax:.1f} {ay:.1f}L{bx:.1f} {by:.1f}Z"


def _line(p: Point, way: Point, begin: float, end: float) -> str:
    (x, y), (c, s) = p, way
    return f"M{x + begin * c:.1f} {y + begin * s:.1f}L{x + end * c:.1f} {y + end * s:.1f}"


def _circle(at: Point, radius: float) -> Svg:
    return tag("circle", cx=at[0], cy=at[1], r=radius)
