"""Drafting: the grid of a sheet: lists in columns of one width, the last of them at the right; views in what is left.

In: blocks of ink of known size, and the room inside the frame. Out: where each goes; mm on paper. Nothing is packed:
each thing has its place, and what does not fit it goes to a sheet of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.drafting.field import reach_of
from formgen.drafting.ink import Ink, moved
from formgen.drafting.paper import STEP_MM
from formgen.drafting.table import WIDE_MM, Table, drawn, height_mm
from formgen.fixed import fixed

#: White between blocks, between columns, and between a list and the next at the least and at the most (mm on paper).
APART_MM, BETWEEN_MM, UNDER_MM, AIRY_MM = STEP_MM, 2 * STEP_MM, 3.5, 2 * STEP_MM

#: x least, y least, x greatest, y greatest.
Room = tuple[float, float, float, float]


@fixed
class Block:
    """Ink that stays together, and its bounds."""

    inks: tuple[Ink, ...]
    reach: Room

    @property
    def wide(self) -> float:
        """Its width."""
        return self.reach[2] - self.reach[0]

    @property
    def high(self) -> float:
        """Its height."""
        return self.reach[3] - self.reach[1]

    def shifted(self, by: tuple[float, float]) -> tuple[Ink, ...]:
        """The ink shifted."""
        return tuple(moved(ink, *by) for ink in self.inks)


def block(inks: Sequence[Ink]) -> Block:
    """A block of ink."""
    return Block(inks=tuple(inks), reach=reach_of(inks))


def beside_lists(room: Room) -> Room:
    """The room that the right column leaves of a sheet for views."""
    return room[0], room[1], room[2] - WIDE_MM - BETWEEN_MM, room[3]


def columns(tables: Sequence[Table], high_mm: float) -> list[list[Table]]:
    """Lists, none higher than a column, in their order in as many columns as they need."""
    held: list[list[Table]] = []
    left = 0.0
    for table in tables:
        needs = height_mm(table)
        if not held or left < UNDER_MM + needs:
            held.append([table])
            left = high_mm - needs
        else:
            held[-1].append(table)
            left -= UNDER_MM + needs
    return held


def column_inks(tables: Sequence[Table], left_mm: float, room: Room) -> list[Ink]:
    """Lists one below the other, in line at the left, as far apart as the room's height allows."""
    inks: list[Ink] = []
    top = room[3]
    spare = top - room[1] - sum(height_mm(table) for table in tables)
    white = min(AIRY_MM, spare / max(1, len(tables) - 1))
    for table in tables:
        inks += [moved(ink, left_mm, top) for ink in drawn(table)]
        top -= height_mm(table) + white
    return inks


def lefts_mm(room: Room) -> list[float]:
    """Left edges of the columns that a sheet holds, from the left; the last is the one beside the views."""
    step = WIDE_MM + BETWEEN_MM
    count = max(1, int((room[2] - room[0] + BETWEEN_MM + 1e-9) / step))
    return [room[2] - WIDE_MM - step * i for i in reversed(range(count))]


def in_views(blocks: Sequence[Block], room: Room) -> list[tuple[float, float]] | None:
    """The shifts of three views to their places; None where they do not fit.

    The first lies at the top, the other two in a row at the foot; a first view that is too high for that has the other
    two beside it, one above the other.
    """
    x0, y0, x1, y1 = room
    first, second, third = blocks
    foot = max(second.high, third.high)
    wide, high = x1 - x0, y1 - y0
    if first.wide <= wide and second.wide + APART_MM + third.wide <= wide and first.high + APART_MM + foot <= high:
        free = (wide - second.wide - third.wide) / 3
        spare = high - first.high - foot
        return [
            _to(first, x0 + (wide - first.wide) / 2, y1 - spare / 3),
            _to(second, x0 + free, y0 + second.high),
            _to(third, x1 - free - third.wide, y0 + third.high),
        ]
    side = max(second.wide, third.wide)
    if first.high <= high and second.high + APART_MM + third.high <= high and first.wide + APART_MM + side <= wide:
        left = x0 + (wide - first.wide - side) * 2 / 3 + first.wide
        return [
            _to(first, x0 + (wide - first.wide - side) / 3, y1 - (high - first.high) / 2),
            _to(second, left, y1),
            _to(third, left, y0 + third.high),
        ]
    return None


def in_row(blocks: Sequence[Block], room: Room) -> list[tuple[float, float]] | None:
    """The shifts of views that stand side by side in the middle of a room, or one above the other; None: no room."""
    x0, y0, x1, y1 = room
    wide, high = x1 - x0, y1 - y0
    white = APART_MM * (len(blocks) - 1)
    shifts, at = [], 0.0
    if sum(b.wide for b in blocks) + white <= wide and max(b.high for b in blocks) <= high:
        free = (wide - sum(b.wide for b in blocks)) / (len(blocks) + 1)
        for item in blocks:
            at += free
            shifts.append(_to(item, x0 + at, (y0 + y1 + item.high) / 2))
            at += item.wide
        return shifts
    if sum(b.high for b in blocks) + white <= high and max(b.wide for b in blocks) <= wide:
        free = (high - sum(b.high for b in blocks)) / (len(blocks) + 1)
        for item in blocks:
            at += free
            shifts.append(_to(item, (x0 + x1 - item.wide) / 2, y1 - at))
            at += item.high
        return shifts
    return None


def _to(item: Block, left: float, top: float) -> tuple[float, float]:
    """The shift that brings a block's upper left corner to a place."""
    return left - item.reach[0], top - item.reach[3]
