"""Stage `sheets`: what an engine is given and what it gives back: shapes to lay out, and where they went; mm.

An engine knows outlines and counts, not parts: parts that are cut alike are one kind.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from formgen.fixed import fixed
from formgen.geometry.outline import Outline
from formgen.sheets.model import Stock
from formgen.sheets.motion import Motion


@fixed
class Room:
    """A size of sheet as an engine sees it.

    Args:
        stock: which.
        edge_mm: what outlines keep from its edges.
    """

    stock: Stock
    edge_mm: float

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Length and width inside the margins."""
        return self.stock.length_mm - 2 * self.edge_mm, self.stock.width_mm - 2 * self.edge_mm

    @property
    def area_mm2(self) -> float:
        """Area inside the margins, 0 where there is none."""
        length, width = self.sides_mm
        return max(length, 0.0) * max(width, 0.0)


@fixed
class Task:
    """The shapes to be laid out on sheets of one board.

    Args:
        kinds: outlines, the largest first.
        counts: how many of each.
        rooms: sheets in the order in which they are used.
        gap_mm: least distance between outlines.
        rotations_deg: how they may be turned.
    """

    kinds: tuple[Outline, ...]
    counts: tuple[int, ...]
    rooms: tuple[Room, ...]
    gap_mm: float
    rotations_deg: tuple[float, ...]


@fixed
class Spot:
    """A shape's place: its kind, and its move from where the kind's outline lies."""

    kind: int
    motion: Motion


@fixed
class Filled:
    """One sheet with what went on it."""

    room: Room
    spots: tuple[Spot, ...]

    def used_mm2(self, task: Task) -> float:
        """Area of the shapes on it."""
        return sum(task.kinds[spot.kind].area_mm2 for spot in self.spots)


def fits(outline: Outline, room: Room, rotations_deg: tuple[float, ...]) -> bool:
    """Tell whether a shape fits on an empty sheet in one of its rotations."""
    length, width = room.sides_mm
    for angle in rotations_deg:
        x0, y0, x1, y1 = Motion(angle).outline(outline).bounds
        if x1 - x0 <= length + 1e-9 and y1 - y0 <= width + 1e-9:
            return True
    return False


def layout_cost(filled: Sequence[Filled], task: Task) -> tuple[float, float]:
    """Find what a layout is judged by: area left out, then area of new sheets (mm², rounded)."""
    used = math.fsum(sheet.used_mm2(task) for sheet in filled)
    wanted = math.fsum(n * kind.area_mm2 for n, kind in zip(task.counts, task.kinds, strict=True))
    new = math.fsum(sheet.room.stock.area_mm2 for sheet in filled if not sheet.room.stock.offcut)
    return round(wanted - used, 3), round(new, 3)
