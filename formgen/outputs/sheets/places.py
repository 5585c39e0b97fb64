"""Stage `outputs`: where the numbers stand in a picture of a sheet: inside their pieces, clear of every line.

In: placements. Out: for each number a point of its piece and the room round it; where the piece is too narrow, a
place on the board beside it. All in mm of the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.distance import Array, distances_mm
from formgen.geometry.outline import Outline, Point
from formgen.sheets.model import CutSheet, Placement

#: Width of a figure over its height (common faces; from memory).
FIGURE = 0.8
#: Places beside a narrow piece are tried on a grid of so many columns.
GRID = 80


@fixed
class Place:
    """The place of a number.

    Args:
        inside: a point of the piece, as far from its edges as there is one.
        clear_mm: from there to the nearest edge.
        beside: where the number stands instead, with a line to `inside`; None where it stands inside.
    """

    inside: Point
    clear_mm: float
    beside: Point | None = None


@fixed
class Number:
    """The number of a piece, upright inside it.

    Args:
        text: the number.
        at: lower left corner of it.
        height_mm: of its figures.
    """

    text: str
    at: Point
    height_mm: float


def numbers_on(sheet: CutSheet, most_mm: float) -> tuple[Number, ...]:
    """The numbers of a sheet's pieces, each at the clearest point of its piece and no higher than fits there.

    Args:
        sheet: with its pieces.
        most_mm: height of the figures where there is room.
    """
    found = []
    for number, placement in enumerate(sheet.placements, 1):
        place, wide = _inside(placement), FIGURE * len(str(number))
        high = min(most_mm, 0.9 * place.clear_mm / (math.hypot(wide, 1.0) / 2))
        x, y = place.inside
        found.append(Number(text=str(number), at=(x - wide * high / 2, y - high / 2), height_mm=high))
    return tuple(found)


def places_on(sheet: CutSheet, needs_mm: Sequence[float]) -> tuple[Place, ...]:
    """The places of a sheet's numbers, in the order of its pieces.

    Args:
        sheet: with its pieces.
        needs_mm: clear ground round the middle of each number, in mm of the sheet.
    """
    found = [_inside(placement) for placement in sheet.placements]
    narrow = [i for i, place in enumerate(found) if place.clear_mm < needs_mm[i]]
    if narrow:
        need_mm = max(needs_mm)
        for i, at in _beside([found[i].inside for i in narrow], _free(sheet, need_mm), 2 * need_mm):
            place = found[narrow[i]]
            found[narrow[i]] = Place(inside=place.inside, clear_mm=place.clear_mm, beside=at)
    return tuple(found)


def _beside(points: Sequence[Point], free: Array, apart_mm: float) -> Iterator[tuple[int, Point]]:
    """Give each point a free place, the nearest pair first, and all places so far apart; points are left if none is."""
    far = np.hypot(*(np.array(points)[:, None] - free[None]).transpose(2, 0, 1))
    for _ in points:
        if not np.isfinite(far).any():
            return
        i, j = (int(n) for n in np.unravel_index(np.argmin(far), far.shape))
        yield i, (float(free[j][0]), float(free[j][1]))
        far[i] = np.inf
        far[:, np.hypot(*(free - free[j]).T) < apart_mm] = np.inf


def _free(sheet: CutSheet, need_mm: float) -> Array:
    """Points of the board, (n, 2), with so much clear ground round them."""
    length, width = sheet.stock.length_mm, sheet.stock.width_mm
    step = length / GRID
    xs, ys = np.arange(need_mm, length - need_mm, step), np.arange(need_mm, width - need_mm, step)
    points = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    for placement in sheet.placements:
        outline = placement.outline
        points = points[distances_mm(points, outline.edges) >= need_mm]
        points = points[[not outline.contains((float(x), float(y))) for x, y in points]]
    return points


def _inside(placement: Placement) -> Place:
    """The clearest point of a piece; found once for all pieces that are cut alike."""
    piece = placement.part.piece
    inside, clear_mm = _clearest(piece.outline, tuple(opening.outline for opening in piece.openings))
    return Place(inside=placement.motion.point(inside), clear_mm=clear_mm)


@lru_cache(maxsize=1024)
def _clearest(outline: Outline, openings: tuple[Outline, ...]) -> tuple[Point, float]:
    """Of the middles of the stretches inside a shape at some heights and widths, that farthest from every edge."""
    x0, y0, x1, y1 = outline.bounds
    points: list[Point] = []
    for share in (i / 16 for i in range(1, 16)):
        x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        points += [((a + b) / 2, y) for a, b in outline.chords((0.0, y), 1.0, 0.0)]
        points += [(x, (a + b) / 2) for a, b in outline.chords((x, 0.0), 0.0, 1.0)]
    points = [q for q in points if not any(opening.contains(q) for opening in openings)] or points
    rings = (outline, *openings)
    clear = np.round(np.min([distances_mm(np.array(points), ring.edges) for ring in rings], axis=0), 3)
    best = int(np.argmax(clear))
    return points[best], float(clear[best])
