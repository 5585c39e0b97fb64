"""Drafting: views and lists laid out on the smallest paper that holds them at a scale that can be read.

In: blocks of ink of known size and a room. Out: where each goes. Free rooms are kept as the largest rectangles that
hold nothing, and a block takes the corner of one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from formgen.drafting.field import reach_of
from formgen.drafting.ink import Ink, moved
from formgen.fixed import fixed

#: White between blocks (mm on paper).
APART_MM = 6.0

Room = tuple[float, float, float, float]


@fixed
class Block:
    """Ink that stays together.

    Args:
        inks: the ink.
        reach: its bounds.
        is_list: goes to the right, from the top; a view goes to the left.
    """

    inks: tuple[Ink, ...]
    reach: Room
    is_list: bool = False

    @property
    def size(self) -> tuple[float, float]:
        """Width and height."""
        return self.reach[2] - self.reach[0], self.reach[3] - self.reach[1]

    def shifted(self, by: tuple[float, float]) -> tuple[Ink, ...]:
        """The ink shifted."""
        return tuple(moved(ink, *by) for ink in self.inks)


def block(inks: Sequence[Ink], *, is_list: bool = False) -> Block:
    """A block of ink."""
    return Block(inks=tuple(inks), reach=reach_of(inks), is_list=is_list)


def column(lists: Sequence[Block], most_high_mm: float) -> list[Block]:
    """Lists one below the other in as many columns as they need, the last column first: it goes farthest right."""
    columns: list[list[Block]] = []
    high = math.inf
    for item in lists:
        if high + APART_MM + item.size[1] > most_high_mm:
            columns.append([])
            high = -APART_MM
        columns[-1].append(item)
        high += APART_MM + item.size[1]
    return [_stacked(held) for held in reversed(columns)]


def _stacked(held: Sequence[Block]) -> Block:
    """Blocks one below the other, in line at the left."""
    inks: list[Ink] = []
    top = 0.0
    for item in held:
        inks.extend(item.shifted((-item.reach[0], top - item.reach[3])))
        top -= item.size[1] + APART_MM
    return Block(inks=tuple(inks), reach=(0.0, top + APART_MM, max(item.size[0] for item in held), 0.0), is_list=True)


def in_line(lists: Sequence[Block]) -> list[Block]:
    """Lists that take as much width as the widest of them, so that they stand in line at the left."""
    widest = max(item.size[0] for item in lists)
    return [
        replace(held, reach=(held.reach[0], held.reach[1], held.reach[0] + widest, held.reach[3])) for held in lists
    ]


def filled(lists: Sequence[Block], room: Room) -> list[list[Block]]:
    """Lists on as many pages as they need, from the left."""
    pages: list[list[Block]] = []
    for item in (replace(held, is_list=False) for held in lists):
        if pages and placed([*pages[-1], item], room) is not None:
            pages[-1].append(item)
        else:
            pages.append([item])
    return pages


def placed(blocks: Sequence[Block], room: Room) -> list[tuple[float, float]] | None:
    """List how each block is shifted so that all lie in a room, placed in their order; None where they do not fit."""
    free = [room]
    shifts = []
    for item in blocks:
        wide, high = item.size
        fits = [r for r in free if r[2] - r[0] >= wide - 1e-9 and r[3] - r[1] >= high - 1e-9]
        if not fits:
            return None
        best = max(fits, key=_to_the_right) if item.is_list else min(fits, key=_to_the_left)
        left, top = (best[2] - wide if item.is_list else best[0]), best[3]
        shifts.append((left - item.reach[0], top - item.reach[3]))
        taken = (left - APART_MM, top - high - APART_MM, left + wide + APART_MM, top + APART_MM)
        free = _less(free, taken)
    return shifts


def may_fit(sizes_mm: Iterable[tuple[float, float]], room: Room) -> bool:
    """Tell whether a room is as large as blocks of these widths and heights together: where not, `placed` places none.

    Each block counts with the white on its right and below it, the room with as much more.
    """
    taken = math.fsum((wide + APART_MM) * (high + APART_MM) for wide, high in sizes_mm)
    return taken <= (room[2] - room[0] + APART_MM) * (room[3] - room[1] + APART_MM) + 1e-6


def _to_the_right(room: Room) -> tuple[float, ...]:
    return round(room[2], 3), round(room[3], 3)


def _to_the_left(room: Room) -> tuple[float, ...]:
    return round(room[0] - room[3], 3), room[0]


def _less(free: Sequence[Room], taken: Room) -> list[Room]:
    """The largest free rectangles when one more is taken."""
    left: list[Room] = []
    for r in free:
        if taken[0] >= r[2] or taken[2] <= r[0] or taken[1] >= r[3] or taken[3] <= r[1]:
            left.append(r)
            continue
        left += [
            part
            for part in (
                (r[0], r[1], taken[0], r[3]),
                (taken[2], r[1], r[2], r[3]),
                (r[0], r[1], r[2], taken[1]),
                (r[0], taken[3], r[2], r[3]),
            )
            if part[2] - part[0] > 5.0 and part[3] - part[1] > 5.0
        ]
    return [
        a
        for i, a in enumerate(left)
        if not any(_inside(a, b) and (a != b or j < i) for j, b in enumerate(left) if i != j)
    ]


def _inside(a: Room, b: Room) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]
