"""Stage `sheets`: the quick engine: sheet after sheet is filled in several ways, and the fullest filling is kept.

In: a Task and a budget. Out: filled sheets. A filling takes shapes in an order, the largest first, and puts each where
it fits best on a grid of places: arcs slip inside one another by themselves. It needs no library beside numpy and
scipy, runs on every Python, and gives the same layout for the same task: no clock, no chance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import islice

import numpy as np

from formgen.geometry.distance import Mask
from formgen.sheets.grid import Ground, Shape
from formgen.sheets.model import Effort
from formgen.sheets.motion import Motion
from formgen.sheets.task import Filled, Room, Spot, Task, layout_cost

#: Side of a grid cell (mm), and fillings tried for each sheet, in rising budgets: a greater one tries the lesser, too.
BUDGETS: dict[Effort, tuple[float, tuple[int, ...]]] = {
    "preview": (8.0, (3,)),
    "normal": (8.0, (3, 12)),
    "most": (4.0, (3, 12, 36)),
}
#: Areas that differ by less than this share are one: then the filling tried first is kept.
EVEN = 1e-9

Value = tuple[float, ...]
Rule = Callable[[Mask, Shape, float], tuple[Value, int, int]]
#: Orders of shapes and rules for placing them, to try on one sheet.
Ways = Callable[[Sequence[int]], Iterator[tuple[list[int], Rule]]]


def quick_layout(task: Task, effort: Effort = "normal") -> list[Filled]:
    """The best of several layouts, each filled sheet after sheet, offcuts first.

    Shapes for which there is no more stock are left out.
    """
    cell_mm, budgets = BUDGETS[effort]
    filler = _Filler(task=task, cell_mm=cell_mm)
    plans: list[Ways] = [partial(_ways, budget=budget) for budget in budgets]
    if len(budgets) > 1:
        plans += [partial(_one_way, rule=rule) for rule in RULES]
    layouts = [_filled(filler, ways) for ways in plans]
    return min(layouts, key=lambda layout: (*layout_cost(layout, task), layout[-1].used_mm2(task) if layout else 0.0))


def _filled(filler: _Filler, ways: Ways) -> list[Filled]:
    """Sheets filled one after another until nothing is left or nothing goes on any sheet."""
    task = filler.task
    left, taken = list(task.counts), [0] * len(task.rooms)
    sheets: list[Filled] = []
    while any(left):
        there = [
            i for i, room in enumerate(task.rooms) if room.stock.quantity is None or taken[i] < room.stock.quantity
        ]
        made = _next_sheet(filler, left, there, ways)
        if made is None:
            break
        index, filled = made
        taken[index] += 1
        for spot in filled.spots:
            left[spot.kind] -= 1
        sheets.append(filled)
    return sheets


def _next_sheet(filler: _Filler, left: Sequence[int], there: Sequence[int], ways: Ways) -> tuple[int, Filled] | None:
    """The fullest filling of the sheets that come next, offcuts before new ones; None where nothing goes on any."""
    rooms = filler.task.rooms
    for priority in sorted({rooms[i].stock.priority for i in there}):
        best: tuple[float, int, Filled] | None = None
        for index in (i for i in there if rooms[i].stock.priority == priority):
            for order, rule in ways(left):
                filled = filler.fill(rooms[index], order, rule)
                share = filled.used_mm2(filler.task) / rooms[index].stock.area_mm2
                if filled.spots and (best is None or share > best[0] * (1 + EVEN)):
                    best = (share, index, filled)
        if best is not None:
            return best[1], best[2]
    return None


def _one_way(left: Sequence[int], rule: Rule) -> Iterator[tuple[list[int], Rule]]:
    """The largest first, by one rule."""
    yield [k for k, count in enumerate(left) for _ in range(count)], rule


def _ways(left: Sequence[int], budget: int) -> Iterator[tuple[list[int], Rule]]:
    """Orders of shapes and rules to try, the most promising first, as many as the budget allows.

    The largest shape always goes first, since it is the hardest to place later; what comes second is varied.
    """
    kinds = [k for k, count in enumerate(left) if count]
    orders = [[k for k in kinds for _ in range(left[k])]]
    for second in kinds[1:]:
        tail = [k for k in kinds[1:] if k != second for _ in range(left[k])]
        first = [kinds[0]] * (left[kinds[0]] - 1)
        orders.append([kinds[0], *[second] * left[second], *first, *tail])
        orders.append([kinds[0], second, *first, *[second] * (left[second] - 1), *tail])
    yield from islice(((order, rule) for order in orders for rule in RULES), budget)


@dataclass(kw_only=True)
class _Filler:
    """Fills sheets, and keeps the shapes on the grid from one filling to the next."""

    task: Task
    cell_mm: float
    _shapes: dict[int, list[Shape]] = field(default_factory=dict)

    def fill(self, room: Room, order: Sequence[int], rule: Rule) -> Filled:
        """Shapes laid down in an order, each in its best place by a rule, until none fits."""
        ground = Ground(*room.sides_mm, self.cell_mm)
        room_left = room.area_mm2
        spots: list[Spot] = []
        shapes = {kind: list(self._turned(kind)) for kind in dict.fromkeys(order)}  # rotations that may still go on
        for kind in order:
            area = self.task.kinds[kind].area_mm2
            if area > room_left:
                continue
            spot = self._lay(ground, room, kind, shapes[kind], rule)
            if spot is not None:
                spots.append(spot)
                room_left -= area
        return Filled(room=room, spots=tuple(spots))

    def _lay(self, ground: Ground, room: Room, kind: int, shapes: list[Shape], rule: Rule) -> Spot | None:
        """The best place for a kind; rotations that have no place any more are taken from the list."""
        best: tuple[Value, int, int, Shape] | None = None
        for shape in tuple(shapes):
            free = ground.free(shape)
            if not free.any():
                shapes.remove(shape)
                continue
            value, ix, iy = rule(free, shape, self.cell_mm)
            if best is None or value < best[0]:
                best = (value, ix, iy, shape)
        if best is None:
            return None
        _, ix, iy, shape = best
        ground.put(shape, ix, iy)
        x0, y0 = shape.corner_mm
        dx, dy = (room.edge_mm + i * self.cell_mm - c for i, c in ((ix, x0), (iy, y0)))
        return Spot(kind=kind, motion=Motion(shape.angle_deg, dx, dy))

    def _turned(self, kind: int) -> list[Shape]:
        if kind not in self._shapes:
            task = self.task
            self._shapes[kind] = [
                Shape(task.kinds[kind], angle, self.cell_mm, task.gap_mm) for angle in task.rotations_deg
            ]
        return self._shapes[kind]


def _leftmost(free: Mask) -> tuple[int, int]:
    """The place farthest left, of those the lowest."""
    ix = int(np.argmax(free.any(axis=1)))
    return ix, int(np.argmax(free[ix]))


def _nearest_end(free: Mask, shape: Shape, cell_mm: float) -> tuple[Value, int, int]:
    """Far left; of the rotations that which ends soonest, then lowest, then has its mass nearest the corner."""
    ix, iy = _leftmost(free)
    x, y = ix * cell_mm, iy * cell_mm
    mass = x + shape.mass_mm[0] + y + shape.mass_mm[1]
    return (round(x + shape.length_mm, 3), round(y + shape.width_mm, 3), round(mass, 3)), ix, iy


def _nearest_mass(free: Mask, shape: Shape, cell_mm: float) -> tuple[Value, int, int]:
    """Far left; of the rotations that whose mass lies farthest left, then lowest."""
    ix, iy = _leftmost(free)
    return (round(ix * cell_mm + shape.mass_mm[0], 3), round(iy * cell_mm + shape.mass_mm[1], 3)), ix, iy


def _nearest_corner(free: Mask, shape: Shape, cell_mm: float) -> tuple[Value, int, int]:
    """Mass as near to the corner as it goes, by the sum of both distances."""
    ix, iy = np.nonzero(free)
    i = int(np.argmin(ix + iy))
    mass = (int(ix[i]) + int(iy[i])) * cell_mm + sum(shape.mass_mm)
    return (round(mass, 3),), int(ix[i]), int(iy[i])


#: What decides between places, in the order in which they are tried.
RULES: tuple[Rule, ...] = (_nearest_end, _nearest_mass, _nearest_corner)
