"""Stage `press`: whether the plies are pressed shut on each other, whatever presses them.

In: plies, the pressure between them, what the glue bridges. Out: the shortest hollow that closes; mm, kPa.
Who pushes on whom: bag or clamps press each ply on its neighbours, square to the faces. Nothing here bends the stack.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.laminate.ply import Ply, loose_stiffness_n_mm
from formgen.lengths import Units
from formgen.recipe.figures import figure
from formgen.recipe.shop import Shop


@fixed
class Hollows:
    """The hollows in the plies under the pressure.

    Args:
        pressure_kpa: of ply on ply.
        ply: number of the ply that is hardest to press flat.
        shortest_mm: shortest hollow in it that closes to what the glue bridges; 0 where the glue bridges all of it.
        likely_mm: length of the hollows that planing leaves.
        bridged_mm: how much of a hollow's depth the glue bridges; 0 while no glue is chosen.
    """

    pressure_kpa: float
    ply: int
    shortest_mm: float
    likely_mm: float
    bridged_mm: float

    @property
    def plies_close(self) -> bool:
        """True if the plies bend shut on the hollows that they are likely to have."""
        return self.shortest_mm <= self.likely_mm


def closed_hollow_mm(stiffness_n_mm: float, depth_mm: float, pressure_mpa: float) -> float:
    """Shortest hollow of a depth that pressure closes: L = (384 D w/q)^¼.

    Assumptions:
        A strip of the ply held fast at both rims of the hollow.

    Reference:
        Clamped strip under uniform load, w = qL⁴/(384D) (Timoshenko and Woinowsky-Krieger, Theory of Plates and
        Shells, 2nd ed., ch. 1).
    """
    return float((384.0 * stiffness_n_mm * max(depth_mm, 0.0) / pressure_mpa) ** 0.25)


def plan_hollows(plies: Sequence[Ply], pressure_kpa: float, bridged_mm: float, shop: Shop) -> Hollows:
    """Tell whether these plies close.

    Args:
        plies: the stack.
        pressure_kpa: of ply on ply, above 0.
        bridged_mm: what the glue bridges, 0 where none is chosen.
        shop: for the figures of hollows.
    """
    stiffest = max(plies, key=lambda p: loose_stiffness_n_mm([p]))
    depth = figure("ply_hollow_depth_mm", shop).value - bridged_mm
    return Hollows(
        pressure_kpa=pressure_kpa,
        ply=stiffest.number,
        shortest_mm=closed_hollow_mm(loose_stiffness_n_mm([stiffest]), depth, pressure_kpa / 1000.0),
        likely_mm=figure("ply_hollow_length_mm", shop).value,
        bridged_mm=bridged_mm,
    )


def hollow_finding(hollows: Hollows, what: str, units: Units) -> Finding:
    """Plies that close, or that gape.

    Args:
        hollows: what was found.
        what: what presses them: `bag` or `clamps`.
        units: in which it is written.
    """
    if hollows.shortest_mm == 0.0:
        return finding("press.plies-close", units, "bridged", presses=what, bridged=hollows.bridged_mm)
    numbers = {"value": hollows.shortest_mm, "limit": hollows.likely_mm}
    if hollows.plies_close:
        return finding("press.plies-close", units, "bent", **numbers, presses=what, ply=hollows.ply)
    glue = {"glue": hollows.bridged_mm > 0.0, "bridged": hollows.bridged_mm}
    return finding("press.plies-gape", units, **numbers, presses=what, ply=hollows.ply, **glue)
