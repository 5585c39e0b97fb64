"""Stage `holding`: lifts off the form that need no solver: circles with straight legs, loose ends, slack.

In: curvature in 1/mm, lengths in mm, sweep in rad. Out: lifts in mm. All without friction, and whatever the plies'
number, thickness and modulus.

Reference:
    Derived from a straight strip bent over a jump of curvature: computed.
"""

from __future__ import annotations

import math

#: Shares of κd² that a pair a distance d beyond a jump of curvature leaves, slope held and free to turn.
HELD_SHARE, TURNING_SHARE = 1.0 / 32.0, 0.061
#: Where the lift is greatest beyond the jump, and where it begins before it, as shares of d.
GREATEST_AT, BEGINS_AT = 0.25, 0.5
#: Beyond this distance (mm) the pull along the curve counts as well.
TRUSTED_TO_MM = 60.0


def pair_lift_mm(jump_per_mm: float, distance_mm: float, *, turns: bool = False) -> float:
    """The lift between a jump of curvature and a clamp beyond it: κd²/32, or 0.061 κd² where the part ends there.

    Args:
        jump_per_mm: by how much the curvature jumps.
        distance_mm: from the jump to the clamp.
        turns: nothing beyond the clamp keeps the plies from turning in it.
    """
    return (TURNING_SHARE if turns else HELD_SHARE) * jump_per_mm * distance_mm**2


def furthest_pair_mm(jump_per_mm: float, tolerance_mm: float) -> float:
    """The distance at which a pair, slope held, leaves a lift of just the tolerance: √(32 R tol)."""
    return math.sqrt(tolerance_mm / (HELD_SHARE * jump_per_mm))


def loose_end_mm(curvature_per_mm: float, length_mm: float) -> float:
    """Find how far the end of plies stands off that run on past the last clamp: κa²/2."""
    return curvature_per_mm * length_mm**2 / 2.0


def lift_per_slack(sweep_rad: float) -> float:
    """Lift at the crown in mm for each mm of slack, at most, where pairs stand at both ends of the arc: 2/θ."""
    return 2.0 / sweep_rad
