"""Stage `press`: the pressure that clamps give a glue line through a stiff caul.

In: force of a clamp in N, spacing, depth, jaw and caul in mm. Out: kPa on the glue line, mm.
Nothing here bends the plies: what is left of the clamps for that is not reckoned, as little as their number.
"""

from __future__ import annotations

import math


def spread_mm(jaw_mm: float, caul_mm: float) -> float:
    """Length of glue line that one clamp presses through a caul: jaw + 2 × caul.

    Clamps that stand no further apart than that press the glue line everywhere: it is their greatest spacing.

    Assumptions:
        The load spreads at 45° through a stiff caul (common practice, no source); the form behind the plies is stiff.
    """
    return jaw_mm + 2.0 * caul_mm


def clamps_across(depth_mm: float, jaw_mm: float, caul_mm: float) -> int:
    """How many clamps stand side by side across the depth of the part, at least 1.

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
