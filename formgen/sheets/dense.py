"""Stage `sheets`: the dense engine: irregular nesting by the library `packingsolver`, on Python 3.12 or newer.

In: a Task and a budget. Out: filled sheets, or None where the library is not installed. Arcs go in as arcs. The budget
is a number of moves, never a time, and its deterministic mode gives the same layout every time. The library has had
faults, so what it returns is held against the rules (`gate`) before anything else sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from typing import Any

from formgen.geometry.outline import Outline
from formgen.sheets.model import Effort
from formgen.sheets.motion import Motion
from formgen.sheets.task import Filled, Room, Spot, Task, fits

#: Moves of the local search, as a factor that the library multiplies by the size of the task.
MOVES: dict[Effort, int] = {"preview": 4, "normal": 64, "most": 512}
#: What is asked for beyond the gap, so that rounding inside the library does not take from it (mm).
SPARE_MM = 1e-3


def dense_installed() -> bool:
    """Tell whether the library is there."""
    return find_spec("packingsolver") is not None


def dense_version() -> str:
    """The library's version, by which its layouts may differ."""
    try:
        return version("packingsolver")
    except PackageNotFoundError:
        return "not installed"


def dense_layout(task: Task, effort: Effort = "normal") -> list[Filled] | None:
    """Offcuts filled one by one with as much as goes on each, then new sheets, as few or as small as can be found.

    Returns:
        The sheets; shapes for which there is no more stock are left out; None where the library found nothing.
    """
    left = list(task.counts)
    sheets: list[Filled] = []
    for room in (room for room in task.rooms if room.stock.offcut):
        for _ in range(room.stock.quantity if room.stock.quantity is not None else sum(left)):
            filled = _solved(task, left, [room], 1, "Knapsack", MOVES[effort]) if any(left) else []
            if not filled:
                break
            sheets += filled
            _take(left, filled)
    new = [room for room in task.rooms if not room.stock.offcut]
    if not any(left) or not new:
        return sheets
    objective = "BinPacking" if len(new) == 1 else "VariableSizedBinPacking"
    filled = _solved(task, left, new, sum(left), objective, MOVES[effort])
    return sheets + filled if filled else None


def _take(left: list[int], filled: Sequence[Filled]) -> None:
    for sheet in filled:
        for spot in sheet.spots:
            left[spot.kind] -= 1


def _solved(
    task: Task, left: Sequence[int], rooms: Sequence[Room], most: int, objective: str, moves: int
) -> list[Filled]:
    """Have the library lay it out; nothing where it finds no layout."""
    import packingsolver.irregular as solver

    instance = solver.InstanceBuilder()
    instance.set_objective(getattr(solver.Objective, objective))
    instance.set_item_item_minimum_spacing(task.gap_mm + SPARE_MM)
    for room in rooms:
        stock = room.stock
        instance.add_bin_type(
            solver.build_rectangle(stock.length_mm, stock.width_mm),
            cost=stock.area_mm2,
            item_bin_minimum_spacing=room.edge_mm,
            copies=most if stock.quantity is None else min(stock.quantity, most),
        )
    # one shape that goes on no sheet empties the library's whole answer
    kinds = [
        k
        for k, count in enumerate(left)
        if count and any(fits(task.kinds[k], room, task.rotations_deg) for room in rooms)
    ]
    for kind in kinds:
        turns = [(angle, angle, False) for angle in task.rotations_deg]
        instance.add_item_type(_shape(solver, task.kinds[kind]), copies=left[kind], allowed_rotations=turns)
    if not kinds:
        return []
    solution = solver.optimize(instance.build(), _parameters(solver, moves)).solution
    filled: list[Filled] = []
    for i in range(solution.number_of_different_bins()):
        sheet = solution.bin(i)
        spots = tuple(_spot(kinds, item) for item in sheet.items)
        if spots:
            filled += [Filled(room=rooms[sheet.bin_type_id], spots=spots)] * sheet.copies
    return filled


def _parameters(solver: Any, moves: int) -> Any:
    parameters = solver.OptimizeParameters()
    parameters.optimization_mode = solver.OptimizationMode.NotAnytimeDeterministic
    parameters.verbosity_level = 0
    parameters.use_local_search_direct_trigonometry = True
    parameters.not_anytime_local_search_maximum_number_of_moves_factor = moves
    return parameters


def _shape(solver: Any, outline: Outline) -> Any:
    """The outline, arcs as arcs."""
    elements = []
    for e in outline.edges:
        a, b = solver.Point(*e.a), solver.Point(*e.b)
        if e.bulge:
            way = solver.ShapeElementOrientation
            turn = way.Anticlockwise if e.bulge > 0 else way.Clockwise
            elements.append(solver.build_circular_arc(a, b, solver.Point(*e.centre), turn))
        else:
            elements.append(solver.build_line_segment(a, b))
    return solver.build_shape(elements)


def _spot(kinds: Sequence[int], item: Any) -> Spot:
    return Spot(kind=kinds[item.item_type_id], motion=Motion(item.angle, item.bl_corner.x, item.bl_corner.y))
