"""Stage `holding`: what Coulomb friction holds along the part, of clamps on the form and of plies on each other.

In: forces that would hold everything still, and how much friction can change them from place to place. Out: the forces
that it holds, in the unit given, and where it slips.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from formgen.fixed import fixed
from formgen.geometry.distance import Array

#: Weight that pins the force to nothing before the first place, against the weight of a place.
END_WEIGHT = 1e9
#: A step this near to its bound, as a share of it, slips.
AT_BOUND = 1.0 - 1e-9


@fixed
class Held:
    """The forces that friction holds.

    Args:
        forces: (n,).
        groups: (n,) number of the group of each place: places between which all slips change by one and the same
            amount; −1 for those that slip all the way to a free end, which do not change at all.
    """

    forces: Array
    groups: NDArray[np.intp]


def held_by_friction(weights: Array, wanted: Array, bounds: Array) -> Held:
    """The forces nearest to the wanted ones, in weighted least squares, that friction can hold.

    Args:
        weights: (n,) above 0.
        wanted: (n,) the forces if nothing slipped.
        bounds: (n + 1,) by how much friction can change the force from one place to the next, 0 or more; before the
            first place and after the last the force is 0, unless the last bound is infinite: then it is free.

    Assumptions:
        Friction acts once, as the clamps come off, and every slip goes one way: the energy of stretch and slip is then
        least where its dual, this fit, is best.

    Reference:
        Dynamic programming over the derivative of the misfit, a broken line that rises from piece to piece; computed.
    """
    if np.all(np.abs(_steps(wanted)) < AT_BOUND * bounds):  # nothing slips
        return Held(forces=wanted, groups=np.arange(len(wanted)))
    bounds = np.minimum(bounds, 4.0 * float(np.max(np.abs(wanted))) + 1e-12)  # more than that never binds
    ends = _best_ends(weights / float(np.max(weights)), wanted, bounds)
    held, after = [], 0.0
    for end, bound in zip(reversed(ends), bounds[:0:-1].tolist(), strict=True):
        after = min(max(end, after - bound), after + bound)
        held.append(after)
    forces = np.array(held[::-1])
    slips = np.abs(_steps(forces)) >= AT_BOUND * bounds
    groups = np.cumsum(~slips[:-1]) - 1
    if slips[-1]:
        groups = np.where(groups == groups[-1], -1, groups)
    return Held(forces=forces, groups=groups)


def _steps(forces: Array) -> Array:
    """(n + 1,) from each place to the next, from nothing before the first and to nothing after the last."""
    return np.diff(np.concatenate([[0.0], forces, [0.0]]))


def _best_ends(weights: Array, wanted: Array, bounds: Array) -> list[float]:
    """For each place the force with which the best fit up to there ends, if nothing came after it.

    One step along the part lays a level stretch of twice the bound where the derivative of the misfit was 0 and adds a
    straight line to the whole. Knots to the left and right of the level stretch only shift with the bounds.
    """
    left: list[tuple[float, float]] = []  # (knot + shift, base of the line beyond it), the nearest last
    right: list[tuple[float, float]] = []  # (knot − shift, base of the line beyond it)
    total, shift, root, base, best = 0.0, 0.0, 0.0, -END_WEIGHT, []
    for w, m, b in zip(weights.tolist(), wanted.tolist(), bounds.tolist(), strict=False):
        shift += b
        left.append((root - b + shift, base))
        right.append((root + b - shift, base))
        base, root = total, m
        total += w
        while right and root > (knot := right[-1][0] + shift):
            passed, slope = base, total - base
            base = right.pop()[1]
            left.append((knot + shift, passed))
            root = knot + (root - knot) * slope / (total - base)
        while left and root < (knot := left[-1][0] - shift):
            passed, slope = base, total - base
            base = left.pop()[1]
            right.append((knot - shift, passed))
            root = knot + (root - knot) * slope / (total - base)
        best.append(root)
    return best
