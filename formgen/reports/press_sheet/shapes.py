"""Stage `reports`: the things that the sheet's pictures show, from the part's own geometry: form, plies, bag, clamps.

In: a Holding. Out: points of the thing, mm, x along the span and y up, as seen on the labelled side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.model import Holding
from formgen.reports.press_sheet.prepare import middles_meet
from formgen.reports.press_sheet.scene import Point

Array = NDArray[np.float64]

#: Points along a curve in a picture, and within what share of the part's length a flattened outline keeps to it.
POINTS, FLAT_SHARE = 160, 1e-4
#: How much of its bend the stack has in the picture in which it goes over the form: onto a male and into a female one.
HALF_BENT = {"male": 0.62, "female": 0.86}


@fixed
class Shapes:
    """The form and the part on it.

    Args:
        holding: where they come from.
    """

    holding: Holding

    @cached_property
    def blank(self) -> ArcSpline:
        """Centre line of the plies with their waste, in the press."""
        laminate = self.holding.laminate
        return laminate.pressed.extended(*laminate.arch.waste_mm)

    @property
    def before_mm(self) -> float:
        """Station on the blank at which the pressed centre line begins."""
        return self.holding.arch.waste_mm[0]

    @property
    def half_mm(self) -> float:
        """Half the thickness."""
        return self.holding.laminate.thickness_mm / 2.0

    @property
    def away(self) -> float:
        """Sign of an offset (positive to the left) that leads away from the form."""
        return -1.0 if self.holding.pressing.side == "male" else 1.0

    @property
    def mark_mm(self) -> float:
        """Station on the blank where the first clamp goes: the middle, or the right end."""
        if middles_meet(self.holding):
            return self.blank.length_mm / 2.0
        return self.before_mm

    @cached_property
    def form(self) -> list[Point]:
        """Outline of a plain layer of the form."""
        layers = self.holding.layers
        plain = next((one for one in layers if not one.channel and not one.bar_seat), layers[0])
        return plain.outline.flattened(FLAT_SHARE * self.blank.length_mm + 0.05)

    @cached_property
    def reliefs(self) -> list[Point]:
        """Middles of the clamp reliefs."""
        outlines = {o.outline for _, piece in self.holding.pieces for o in piece.openings}
        boxes = [outline.bounds for outline in outlines]
        return [((x0 + x1) / 2, (y0 + y1) / 2) for x0, y0, x1, y1 in boxes]

    @cached_property
    def half_bent(self) -> ArcSpline:
        """The stack on its way to the form: held at the mark, off the form where it would run into it."""
        share = HALF_BENT[self.holding.pressing.side]
        pose = self.blank.pose(self.mark_mm)
        bent = self.blank.scaled_curvature(share).held_at(self.mark_mm, pose)
        out = (self.away * pose.left[0], self.away * pose.left[1])
        step = self.blank.length_mm / 200.0
        for i in range(200):
            moved = bent.moved(i * step * out[0], i * step * out[1])
            if not inside(np.array(beside(moved, -self.away * self.half_mm)), self.form).any():
                return moved
        return bent


@lru_cache(maxsize=64)
def beside(curve: ArcSpline, offset_mm: float, begin_mm: float = 0.0, end_mm: float | None = None) -> tuple[Point, ...]:
    """Points along a stretch of a curve, set off to its left; most pictures show the same few."""
    stop = curve.length_mm if end_mm is None else end_mm
    knots = [float(s) for s in curve.stations_mm if begin_mm < s < stop]
    stations = sorted({*np.linspace(begin_mm, stop, POINTS).tolist(), *knots})
    return tuple((p.x_mm, p.y_mm) for p in (curve.pose(s).beside(offset_mm) for s in stations))


def ring(curve: ArcSpline, half_mm: float, past_mm: float = 0.0) -> list[Point]:
    """A closed band about a curve, run on past both ends."""
    run = curve.extended(past_mm, past_mm) if past_mm else curve
    return [*beside(run, half_mm), *reversed(beside(run, -half_mm))]


def plies(holding: Holding, curve: ArcSpline) -> list[Sequence[Point]]:
    """Lines between plies, from the inside outward."""
    down = holding.laminate.thickness_mm / 2.0
    lines: list[Sequence[Point]] = []
    for ply in holding.laminate.plies[:-1]:
        down -= ply.thickness_mm
        lines.append(beside(curve, down))
    return lines


def inside(points: Array, ring_points: Sequence[Point]) -> NDArray[np.bool_]:
    """Return which points (n, 2) lie inside a closed chain, by crossings of a ray."""
    corners = np.asarray(ring_points, dtype=float)
    a, b = corners, np.roll(corners, -1, axis=0)
    x, y = points[:, 0:1], points[:, 1:2]
    over = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    crossing = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / rise
    return np.asarray((over & (x < crossing)).sum(axis=1) % 2 == 1)


def hull(points: Sequence[Point], out_mm: float) -> list[Point]:
    """A loose ring round points: their convex hull, moved out."""
    ordered = sorted(set(points))
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    corners = [*lower[:-1], *upper[:-1]]
    circle = [(out_mm * math.cos(t), out_mm * math.sin(t)) for t in np.linspace(0.0, 2.0 * math.pi, 24, endpoint=False)]
    if out_mm == 0.0:
        return corners
    return hull([(x + dx, y + dy) for x, y in corners for dx, dy in circle], 0.0)


def _chain(ordered: Sequence[Point]) -> list[Point]:
    chain: list[Point] = []
    for p in ordered:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0.0:
            chain.pop()
        chain.append(p)
    return chain


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
