"""Stage `holding`: the least of a quadratic energy over lifts that are nowhere below 0.

In: a symmetric matrix and a load. Out: lifts. Knows nothing of plies.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from formgen.errors import PressError

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

#: All at once is tried so many times, one front after another so many more.
PIVOTS, STEPS = 25, 400
#: How far below 0 a lift (mm) may be from rounding, and how far a form may seem to pull (N/mm).
LIFT_EPS_MM, PULL_EPS_N = 1e-11, 1e-9


def least_energy(stiffness: Array, load: Array, held: Mask, start: Array) -> Array:
    """w ≥ 0 for which ½ w·Q·w − f·w is least, with w = 0 where held.

    Args:
        stiffness: (m, m) Q, symmetric and positive for every w that is asked about.
        load: (m,) f, positive where it lifts.
        held: (m,) where a clamp keeps it down.
        start: (m,) lifts from which the search begins, 0 or more.

    Raises:
        PressError: no least energy is found.
    """
    free = (start > 0.0) & ~held
    found = _pivoted(stiffness, load, held, free)
    return found if found is not None else _descended(stiffness, load, held, np.where(held, 0.0, start))


def _pivoted(Q: Array, f: Array, held: Mask, free: Mask) -> Array | None:
    """All joints that want to change side change it at once; None where that goes round in circles."""
    fewest, left = len(f) + 1, 4
    for _ in range(PIVOTS):
        w = _free_only(Q, f, free)
        wrong = (free & (w < -LIFT_EPS_MM)) | (~free & ~held & (Q @ w - f < -PULL_EPS_N))
        count = int(np.count_nonzero(wrong))
        if count == 0:
            return np.maximum(w, 0.0)
        if count < fewest:
            fewest, left = count, 4
        elif (left := left - 1) < 0:
            return None
        free = free ^ wrong
    return None


def _descended(Q: Array, f: Array, held: Mask, w: Array) -> Array:
    """Newton's method with its steps cut off at 0: the energy falls at each."""
    for _ in range(STEPS):
        slope = Q @ w - f
        free = ~held & ((w > 0.0) | (slope < 0.0))
        target = _free_only(Q, f, free)
        if float(np.min(target)) >= -LIFT_EPS_MM:
            lies = ~free & ~held
            if not np.any(lies & (Q @ target - f < -PULL_EPS_N)):
                return np.maximum(target, 0.0)
        step, energy = 1.0, 0.5 * w @ Q @ w - f @ w
        while True:
            tried = np.where(free, np.maximum(w + step * (target - w), 0.0), 0.0)
            if 0.5 * tried @ Q @ tried - f @ tried <= energy - 1e-4 * slope @ (w - tried):
                break
            step /= 2.0
            if step < 1e-9:
                return w
        w = tried
    raise PressError(
        "no shape at rest was found for the part on its form, expected one where it lies still; "
        "leave all clamps on, and tell us of this recipe"
    )


def _free_only(Q: Array, f: Array, free: Mask) -> Array:
    """The lifts with which the free joints are at rest, all others on the form."""
    w = np.zeros(len(f))
    chosen = np.flatnonzero(free)
    if len(chosen):
        w[chosen] = np.linalg.solve(Q[np.ix_(chosen, chosen)], f[chosen])
    return w
