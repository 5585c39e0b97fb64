"""Stage `holding`: the least of a quadratic energy over lifts that are nowhere below 0.

In: a symmetric matrix and a load. Out: lifts. Knows nothing of plies.
"""

from __future__ import annotations

import numpy as np

from formgen.geometry.distance import Array, Mask

#: Tries of either way at most.
PIVOTS, STEPS = 60, 60
#: The mean of lift times push (N for each mm of depth) at which the search from inside ends.
GAP_N_MM = 1e-11
#: How far each step aims below the mean, how much of the way to 0 it goes, and what tells a lift from a push.
CENTRING, STOP_SHORT, SOFT_MM2_PER_N = 0.08, 0.99, 1e-3
#: How far below 0 a lift (mm) may be from rounding, and how far a form may seem to pull (N/mm).
LIFT_EPS_MM, PULL_EPS_N = 1e-11, 1e-8


def least_energy(stiffness: Array, load: Array, held: Mask, start: Array) -> Array:
    """Lifts w ≥ 0 for which ½ w·Q·w − f·w is least, with w = 0 where held.

    Args:
        stiffness: (m, m) Q, symmetric and positive for every w that is asked about.
        load: (m,) f, positive where it lifts.
        held: (m,) where a clamp keeps it down.
        start: (m,) lifts near those looked for: joints where they are above 0 are free at first.

    Reference:
        Block principal pivoting for the linear complementarity problem w ≥ 0, Q·w − f ≥ 0, w·(Q·w − f) = 0, and where
        it does not end a primal-dual interior-point method; both computed.
    """
    found = _pivoted(stiffness, load, held, (start > 0.0) & ~held)
    return found if found is not None else _from_inside(stiffness, load, held)


def _pivoted(Q: Array, f: Array, held: Mask, free: Mask) -> Array | None:
    """All joints that want to change side change it at once; once they grow no fewer, only those at the borders.

    A beam that is let go, or caught, along a whole run swings past the form, and the next try would undo it. None where
    that goes round in circles.
    """
    fewest, at_once, tried = len(f) + 1, True, set[bytes]()
    for _ in range(PIVOTS):
        if free.tobytes() in tried:
            return None
        tried.add(free.tobytes())
        w = _free_only(Q, f, free)
        wrong = (free & (w < -LIFT_EPS_MM)) | (~free & ~held & (Q @ w - f < -PULL_EPS_N))
        count = int(np.count_nonzero(wrong))
        if count == 0:
            return np.maximum(w, 0.0)
        at_once = at_once and count < fewest
        fewest = count
        free = free ^ (wrong if at_once else _at_borders(wrong, free))
    return None


def _at_borders(wrong: Mask, free: Mask) -> Mask:
    """Of each run of wrong joints the ends beside a joint that is on the other side; where none is, both ends."""
    out = np.zeros(len(wrong), dtype=bool)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], wrong, [False]]))).tolist()
    for first, beyond in zip(edges[::2], edges[1::2], strict=True):
        ends = [first, beyond - 1]
        borders = [i for i, j in zip(ends, (first - 1, beyond), strict=True)
                   if 0 <= j < len(free) and free[i] != free[j]]  # fmt: skip
        out[borders or ends] = True
    return out


def _from_inside(Q: Array, f: Array, held: Mask) -> Array:
    """The same by an interior-point method: lift and push of the form on the way to w·λ = 0, both above 0."""
    chosen = np.flatnonzero(~held)
    Q, f = Q[np.ix_(chosen, chosen)], f[chosen]
    w = np.full(len(f), 1.0)
    push = np.full(len(f), max(float(np.max(np.abs(f))), 1e-6))
    for _ in range(STEPS):
        gap = float(w @ push) / len(f)
        rest = f - Q @ w + push
        if gap < GAP_N_MM and float(np.max(np.abs(rest))) < PULL_EPS_N:
            break
        aim = CENTRING * gap / w - push
        way = np.linalg.solve(Q + np.diag(push / w), rest + aim)
        pushed = aim - push / w * way
        by = min(1.0, STOP_SHORT * _reach(w, way), STOP_SHORT * _reach(push, pushed))
        w, push = w + by * way, push + by * pushed
    out = np.zeros(len(held))
    lifts = w > push * SOFT_MM2_PER_N
    exact = _free_only(Q, f, lifts)
    out[chosen] = np.where(lifts, w, 0.0) if float(np.min(exact)) < -LIFT_EPS_MM else exact
    return out


def _reach(values: Array, step: Array) -> float:
    """Find how much of a step leaves all values at 0 or above."""
    falls = step < 0.0
    return float(np.min(-values[falls] / step[falls], initial=np.inf))


def _free_only(Q: Array, f: Array, free: Mask) -> Array:
    """The lifts with which the free joints are at rest, all others on the form."""
    w = np.zeros(len(f))
    chosen = np.flatnonzero(free)
    if len(chosen):
        w[chosen] = np.linalg.solve(Q[np.ix_(chosen, chosen)], f[chosen])
    return w
