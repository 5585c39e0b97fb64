"""Building: the fewest points that stab every interval, and where in an overlap to put a form's radius.

In: intervals and, for the place, what each member accepts by the share of its tolerance. Out: groups of indices, a
radius. Knows nothing of openings.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

Interval = tuple[float, float]

_HALVINGS = 60


def stabbed(intervals: Sequence[Interval]) -> list[list[int]]:
    """Groups of intervals with a point in common, as few groups as there can be.

    The interval that ends first must be stabbed by something, and its end stabs every other that it could share a point
    with; so take that end, set aside all that it stabs, and go on with the rest. The groups are in order of their ends,
    indices within one rising.

    Reference:
        Greedy stabbing of intervals on a line is optimal: the ends taken belong to intervals no two of which overlap,
        so that no fewer points can do (textbook argument).
    """
    left = sorted(range(len(intervals)), key=lambda i: (intervals[i][1], intervals[i][0], i))
    groups = []
    while left:
        point = intervals[left[0]][1]
        groups.append(sorted(i for i in left if intervals[i][0] <= point))
        left = [i for i in left if intervals[i][0] > point]
    return groups


def fairest(accepts: Sequence[Callable[[float], Interval]]) -> float:
    """The point at which the greatest share of a tolerance that any member uses is least.

    Args:
        accepts: for each member, the interval that it accepts by the share of its tolerance, 0 to 1; it grows with the
            share, and the members' intervals at 1 have a point in common.
    """
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        begin, end = _common(accepts, middle)
        if begin <= end:
            high = middle
        else:
            low = middle
    begin, end = _common(accepts, high)
    return begin if math.isinf(end) else 0.5 * (begin + end)


def _common(accepts: Sequence[Callable[[float], Interval]], share: float) -> Interval:
    intervals = [accept(share) for accept in accepts]
    return max(begin for begin, _ in intervals), min(end for _, end in intervals)


def covered(fits: Sequence[Sequence[bool]]) -> list[tuple[int, list[int]]]:
    """List which of a few make do for all, taking the one that covers most of what is left each time.

    Args:
        fits: `fits[j][i]` says whether i comes off the form of j; every one comes off its own.

    Returns:
        (j, those that it is taken for), in the order taken. Few, but not proven the fewest: covering is hard in
        general.
    """
    left = set(range(len(fits)))
    groups = []
    while left:
        most = max(range(len(fits)), key=lambda j: (sum(fits[j][i] for i in left), j in left, -j))
        taken = sorted(i for i in left if fits[most][i])
        groups.append((most, taken))
        left -= set(taken)
    return groups
