"""Stage `makes`: what kind of curve a part has, which decides how it lies on a form that was made for several.

In: an Arch. Out: its one arc, its legs, its middle; mm.
"""

from __future__ import annotations

import math

from formgen.curve.arch import Arch

_STRAIGHT_PER_MM = 1e-12
#: A sweep past half a turn by less than this is half a turn (rad).
_HALF_TURN_RAD = 1e-9


def one_arc(arch: Arch) -> tuple[float, float] | None:
    """Radius and length of the one arc on the centre line after release; None for any other curve."""
    bent = [piece for piece in arch.target.merged().pieces if abs(piece[1]) > _STRAIGHT_PER_MM]
    if len(bent) != 1 or bent[0][1] < 0.0 or arch.copies > 1 or any(arch.mitre_rad):
        return None
    return 1.0 / bent[0][1], bent[0][0]


def legs_mm(arch: Arch) -> tuple[float, float]:
    """Straight runs at the right and the left end."""
    pieces = arch.target.pieces
    right, left = (length if abs(k) <= _STRAIGHT_PER_MM else 0.0 for length, k in (pieces[0], pieces[-1]))
    return right, left


def is_arc_on_legs(arch: Arch) -> bool:
    """Tell whether it is one arc of at most half a turn between two legs: such arcs share a form by their sweep."""
    arc = one_arc(arch)
    if arc is None or not all(legs_mm(arch)):
        return False
    return arc[1] / arc[0] <= math.pi + _HALF_TURN_RAD and arch.two_legged


def middle_mm(arch: Arch, springing_mm: tuple[float, float]) -> float:
    """Station that is laid on the other's: the point of half an arch, else midway between the springing points."""
    right, left = springing_mm
    return left if arch.copies > 1 else 0.5 * (right + left)
