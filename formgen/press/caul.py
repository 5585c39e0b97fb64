"""Stage `press`: the pressure that clamps give a glue line through a stiff caul.

In: force of a clamp in N, spacing, depth, jaw and caul in mm. Out: kPa on the glue line, mm.
Who pushes on whom: each clamp pushes the caul on the plies and the plies on the form, square to the face; the caul
spreads that at 45° on its way down. Between the reaches of two clamps nothing presses. Nothing here bends the plies.
"""

from __future__ import annotations

import math

from formgen.fixed import fixed
from formgen.recipe.figures import figure
from formgen.recipe.schema import ReliefAsk
from formgen.recipe.shop import Shop


@fixed
class CaulPressure:
    """Clamps on a caul.

    Args:
        caul_mm: thickness of all that lies between jaw and part.
        clamp_n: force of one clamp.
        side_by_side: clamps across the part's depth, so that their reaches meet there.
        reach_mm: length along the part that one of them presses.
        spacing_mm: from one to the next along the part, as asked or as the reach sets it.
        pressure_kpa: mean pressure where they press.
    """

    caul_mm: float
    clamp_n: float
    side_by_side: int
    reach_mm: float
    spacing_mm: float
    pressure_kpa: float


def spread_mm(jaw_mm: float, caul_mm: float) -> float:
    """Length of glue line that one clamp presses through a caul: jaw + 2 × caul.

    Clamps that stand no further apart than that press the glue line everywhere: it is their greatest spacing.

    Assumptions:
        The load spreads at 45° through a stiff caul (common practice, no source); the form behind the plies is stiff.
    """
    return jaw_mm + 2.0 * caul_mm


def clamps_across(depth_mm: float, jaw_mm: float, caul_mm: float) -> int:
    """Count how many clamps stand side by side across the depth of the part, at least 1.

    Assumptions:
        A jaw is as wide across the part as along it, and its load spreads as for `spread_mm`.
    """
    return max(1, math.ceil(depth_mm / spread_mm(jaw_mm, caul_mm) - 1e-9))


def clamp_pressure_kpa(force_n: float, spacing_mm: float, depth_mm: float, jaw_mm: float, caul_mm: float) -> float:
    """Pressure on the glue line where the clamps press it.

    Clamps closer than `spread_mm` share the line between them; clamps further apart press their own spread and
    leave the rest without pressure, so that a wider spacing takes nothing from what is under them.

    Args:
        force_n: of one clamp, above 0.
        spacing_mm: along the part from clamp to clamp.
        depth_mm: of the part, which the caul covers.
        jaw_mm: width of a jaw, or of the block under it.
        caul_mm: thickness of the caul.

    Assumptions:
        As for `spread_mm`; even under the spread; `clamps_across` clamps at each place.

    Reference:
        Equilibrium: force over area.
    """
    pressed_mm = min(spacing_mm, spread_mm(jaw_mm, caul_mm))
    return 1000.0 * clamps_across(depth_mm, jaw_mm, caul_mm) * force_n / (pressed_mm * depth_mm)


def spacing_for_mm(pressure_kpa: float, force_n: float, depth_mm: float, jaw_mm: float, caul_mm: float) -> float:
    """Greatest spacing at which the glue line has that pressure everywhere: `clamp_pressure_kpa` turned round."""
    by_force = 1000.0 * clamps_across(depth_mm, jaw_mm, caul_mm) * force_n / (pressure_kpa * depth_mm)
    return min(by_force, spread_mm(jaw_mm, caul_mm))


def caul_for_mm(spacing_mm: float, jaw_mm: float) -> float:
    """Thickness of the caul through which clamps at that spacing press the glue line everywhere, 0 or more."""
    return max(0.0, (spacing_mm - jaw_mm) / 2.0)


def caul_pressure(caul_mm: float, depth_mm: float, asked: ReliefAsk | None, shop: Shop) -> CaulPressure:
    """Return what the shop's clamps press.

    Args:
        caul_mm: thickness of all that lies between jaw and part.
        depth_mm: of the plies, edge trim included.
        asked: the reliefs that the recipe describes, which say the spacing; None sets it to the reach.
        shop: jaw and clamp force.
    """
    jaw, force = shop.clamp.jaw_mm, figure("clamp_force_n", shop).value
    reach = spread_mm(jaw, caul_mm)
    spacing = reach if asked is None else asked.spacing_mm
    return CaulPressure(
        caul_mm=caul_mm,
        clamp_n=force,
        side_by_side=clamps_across(depth_mm, jaw, caul_mm),
        reach_mm=reach,
        spacing_mm=spacing,
        pressure_kpa=clamp_pressure_kpa(force, spacing, depth_mm, jaw, caul_mm),
    )
