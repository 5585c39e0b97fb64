"""Stage `reports`: a small picture on the sheet: a scale, a place on the paper, and the pen that draws there.

In: points of the thing (mm, x along the span, y up), marks in mm of paper. Out: strokes on a canvas whose unit is mm,
of a picture that shows a part of a thing only what lies inside its cell.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from formgen.drafting.paper import HATCH_MM, PLAIN, TEXT_MM, THIN_MM, face_size
from formgen.drafting.text import showable, wide


def cut_ring(ring: Sequence[Point], window: Box) -> list[Point]:
    """The part of a closed shape that lies inside; empty where none does.

    Reference:
        Cutting by one edge after another (Sutherland and Hodgman 1974, from memory).
    """
    points = list(ring)
    for axis, bound, sign in ((0, window[0], 1.0), (1, window[1], 1.0), (0, window[2], -1.0), (1, window[3], -1.0)):
        points = _cut_by(points, lambda p, axis=axis, bound=bound, sign=sign: sign * (p[axis] - bound))  # type: ignore[misc]
    return points


def cut_chain(chain: Sequence[Point], window: Box) -> list[list[Point]]:
    """The runs of an open chain that lie inside."""
    runs: list[list[Point]] = []
    for a, b in pairwise(chain):
        span = _inside_span(a, b, window)
        if span is None:
            continue
        p, q = (_between(a, b, t) for t in span)
        if runs and runs[-1][-1] == p:
            runs[-1].append(q)
        else:
            runs.append([p, q])
    return runs


def _cut_by(points: Sequence[Point], depth: Callable[[Point], float]) -> list[Point]:
    """List what of a closed shape has a depth of 0 or more."""
    kept: list[Point] = []
    for a, b in zip(points, [*points[1:], *points[:1]], strict=True):
        da, db = depth(a), depth(b)
        if da >= 0.0:
            kept.append(a)
        if (da >= 0.0) != (db >= 0.0):
            kept.append(_between(a, b, da / (da - db)))
    return kept


def _inside_span(a: Point, b: Point, window: Box) -> tuple[float, float] | None:
    """Shares of a straight line between which it lies inside."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step = b[axis] - a[axis]
        for bound, sign in ((window[axis], 1.0), (window[axis + 2], -1.0)):
            depth, change = sign * (a[axis] - bound), sign * step
            if change == 0.0:
                if depth < 0.0:
                    return None
            elif change > 0.0:
                low = max(low, -depth / change)
            else:
                high = min(high, -depth / change)
    return (low, high) if low < high else None


def _between(a: Point, b: Point, share: float) -> Point:
    if share in (0.0, 1.0):
        return b if share else a
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


Point = tuple[float, float]
Box = tuple[float, float, float, float]

#: White round letters in a picture, length and width of an arrow's head, and the pen of what is under load (mm).
CLEAR_MM, ARROW_MM, ARROW_WIDE_MM, HEAVY_MM = 0.6, 2.2, 1.1, 0.6


def bounds_of(points: Iterable[Point]) -> Box:
    """The box round points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def corners_of(box: Box) -> list[Point]:
    """The corners of a box, anticlockwise from the lower left."""
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


@dataclass(kw_only=True)
class Scene:
    """A picture in its cell.

    Args:
        canvas: the page.
        cell: lower left and upper right corner on the page (mm).
        scale: so many mm of the thing are one on paper.
        origin: the thing's point that lies at the middle of the cell.
        taken: boxes of the words that stand already, and of what they must not lie on.
        windowed: what lies outside the cell is not drawn.
    """

    canvas: Any
    cell: Box
    scale: float
    origin: Point
    taken: list[Box] = field(default_factory=list)
    windowed: bool = False

    @classmethod
    def of(cls, canvas: Any, cell: Box, thing: Box, margins_mm: Box) -> Scene:
        """The scene in which a box of the thing fits the cell inside margins (left, below, right, above)."""
        left, below, right, above = margins_mm
        wide_mm, high_mm = cell[2] - cell[0] - left - right, cell[3] - cell[1] - below - above
        scale = max((thing[2] - thing[0]) / wide_mm, (thing[3] - thing[1]) / high_mm, 1e-6)
        middle = ((thing[0] + thing[2]) / 2, (thing[1] + thing[3]) / 2)
        return cls(
            canvas=canvas,
            cell=cell,
            scale=scale,
            origin=(middle[0] - (left - right) / 2 * scale, middle[1] - (below - above) / 2 * scale),
        )

    def at(self, p: Point) -> Point:
        """A point of the thing on the page."""
        x, y = (self.cell[0] + self.cell[2]) / 2, (self.cell[1] + self.cell[3]) / 2
        return x + (p[0] - self.origin[0]) / self.scale, y + (p[1] - self.origin[1]) / self.scale

    def line(
        self,
        points: Sequence[Point],
        pen_mm: float = THIN_MM,
        *,
        close: bool = False,
        fill: float | None = None,
        dash: Sequence[float] = (),
        paper: bool = False,
    ) -> None:
        """A chain of lines through points of the thing, or of the page with `paper`; `fill` is a grey, 1 white."""
        placed = list(points) if paper else [self.at(p) for p in points]
        if not self.windowed:
            self._draw(placed, pen_mm, close=close, fill=fill, dash=dash)
            return
        if close and fill is not None:
            shown = cut_ring(placed, self.cell)
            if len(shown) > 2:
                self._draw(shown, 0.0, close=True, fill=fill, dash=())
        if pen_mm:
            for run in cut_chain([*placed, *placed[: 1 if close else 0]], self.cell):
                self._draw(run, pen_mm, close=False, fill=None, dash=dash)

    def _draw(
        self, placed: Sequence[Point], pen_mm: float, *, close: bool, fill: float | None, dash: Sequence[float]
    ) -> None:
        """A chain of lines on the page."""
        path = self.canvas.beginPath()
        path.moveTo(*placed[0])
        for p in placed[1:]:
            path.lineTo(*p)
        if close:
            path.close()
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.setLineWidth(pen_mm or HATCH_MM)
        self.canvas.setDash(list(dash))
        self.canvas.drawPath(path, stroke=1 if pen_mm else 0, fill=0 if fill is None else 1)
        self.canvas.setDash([])
        self.canvas.setFillGray(0.0)

    def dot(self, at: Point, radius_mm: float, fill: float | None = None) -> None:
        """A circle, its radius in mm of paper."""
        x, y = self.at(at)
        self.canvas.setLineWidth(THIN_MM)
        self.canvas.setFillGray(0.0 if fill is None else fill)
        self.canvas.circle(x, y, radius_mm, stroke=1, fill=0 if fill is None else 1)
        self.canvas.setFillGray(0.0)

    def arrow(self, tail: Point, tip: Point, pen_mm: float = THIN_MM, *, both: bool = False) -> None:
        """A line with a head, between points of the page; with a head at either end."""
        self.line([tail, tip], pen_mm, paper=True)
        self._head(tail, tip)
        if both:
            self._head(tip, tail)

    def _head(self, tail: Point, tip: Point) -> None:
        angle = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
        c, s, half = math.cos(angle), math.sin(angle), ARROW_WIDE_MM / 2
        x, y = tip[0] - ARROW_MM * c, tip[1] - ARROW_MM * s
        self.line(
            [tip, (x - half * s, y + half * c), (x + half * s, y - half * c)], 0.0, close=True, fill=0.0, paper=True
        )

    def words(
        self, text: str, at: Point, *, anchor: str = "middle", letter_mm: float = TEXT_MM, only_if_free: bool = False
    ) -> bool:
        """A line of text on the page, white under it, `at` its middle height; false where it found no room."""
        shown = showable(text)
        long = wide(shown, letter_mm)
        x = at[0] - {"start": 0.0, "middle": long / 2, "end": long}[anchor]
        if not only_if_free:  # what must be said is moved into the cell
            x = min(max(x, self.cell[0] + 0.4), max(self.cell[2] - 0.4 - long, self.cell[0] + 0.4))
        y = at[1] - letter_mm / 2
        if not only_if_free:
            y = min(max(y, self.cell[1] + 0.3 * letter_mm), self.cell[3] - 1.1 * letter_mm)
        box = (x - CLEAR_MM, y - CLEAR_MM - 0.25 * letter_mm, x + long + CLEAR_MM, y + letter_mm + CLEAR_MM)
        outside = box[0] < self.cell[0] or box[2] > self.cell[2] or box[1] < self.cell[1] or box[3] > self.cell[3]
        if only_if_free and (outside or any(_touch(box, other) for other in self.taken)):
            return False
        self.taken.append(box)
        self.line(corners_of(box), 0.0, close=True, fill=1.0, paper=True)
        self.canvas.setFont(PLAIN, face_size(letter_mm))
        self.canvas.drawString(x, y, shown)
        return True

    def keep_clear(self, points: Sequence[Point]) -> None:
        """No word that can stand elsewhere is put on these points of the page."""
        self.taken.append(bounds_of(points))


def _touch(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
