"""Stage `curve`: the readings as they were typed, and how one is named.

In: the recipe's model. Out: points in mm, (n, 2), in the order and in the axes in which they were typed, with which of
them are left out. Numbers count from 1.
"""

from __future__ import annotations

import math
from functools import cached_property
from itertools import pairwise

import numpy as np

from formgen.curve.arch import size
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import Array
from formgen.lengths import Units, write_length
from formgen.recipe.arch_kinds import Points

#: Readings closer together than this are one reading written twice (mm).
_SAME_MM = 0.01


@fixed
class Readings:
    """The points that were measured.

    Args:
        typed: all points, (n, 2), in the order typed; of ordinates x counts from the first.
        by_ordinates: heights at equal steps, not x, y pairs.
        left_out: numbers of the points that are not to be fitted to, rising.
    """

    typed: Array
    by_ordinates: bool
    left_out: tuple[int, ...]

    @cached_property
    def numbers(self) -> tuple[int, ...]:
        """Numbers of the points that are fitted to, in order of travel: from the right end to the left."""
        kept = [n for n in range(1, len(self.typed) + 1) if n not in self.left_out]
        return tuple(kept[::-1] if self.typed[-1, 0] > self.typed[0, 0] else kept)

    @cached_property
    def points(self) -> Array:
        """Those points, (n, 2)."""
        return np.asarray(self.typed[[n - 1 for n in self.numbers]])

    def at(self, number: int) -> tuple[float, float]:
        """Place of a point as it was typed, (x, y)."""
        x, y = self.typed[number - 1]
        return float(x), float(y)

    @property
    def word(self) -> str:
        """Key of the wordings of one in the registry, by the way it was typed."""
        return "ordinate" if self.by_ordinates else "pair"

    @property
    def noun(self) -> str:
        """Name for one: a reading or a point."""
        return "reading" if self.by_ordinates else "point"

    def name(self, number: int, units: Units) -> str:
        """`reading 7 (at 24 in, height 12 1/2 in)`, or `point 7 (x 24 in, y 12 1/2 in)`."""
        x, y = (write_length(v, units) for v in self.at(number))
        return f"{self.noun} {number} ({f'at {x}, height {y}' if self.by_ordinates else f'x {x}, y {y}'})"


def readings_of(ask: Points) -> Readings:
    """The readings that a recipe gives.

    Raises:
        CurveError: there are none, or one was given twice.
    """
    if ask.xy_mm is not None:
        typed = np.array(ask.xy_mm, dtype=float)
    elif ask.ordinates is not None:
        heights = np.array(ask.ordinates.heights_mm, dtype=float)
        typed = np.column_stack([ask.ordinates.spacing_mm * np.arange(len(heights)), heights])
    else:
        raise CurveError("part.arch = points without readings, expected ordinates or x, y pairs")
    left_out = tuple(sorted(set(ask.leave_out)))
    given = Readings(typed=typed, by_ordinates=ask.xy_mm is None, left_out=left_out)
    _refuse_twice(given)
    return given


def _refuse_twice(given: Readings) -> None:
    typed = given.typed
    for i in range(len(typed)):
        for j in range(i):
            if math.dist(typed[i], typed[j]) < _SAME_MM:
                raise CurveError(
                    f"part.arch point {i + 1} = point {j + 1} ({size(typed[i, 0])}, {size(typed[i, 1])}), "
                    "expected every point once; take one of them out"
                )


def out_of_order(given: Readings) -> CurveError | None:
    """The refusal of pairs that are not in order along the curve; None for those that are, and for ordinates.

    Ordinates are in order by the way they are taken: one that leaps up and down is a slip, or the point of an arch.
    """
    if given.by_ordinates:
        return None
    order = sorted(given.numbers)
    steps = np.diff(given.typed[[n - 1 for n in order]], axis=0)
    for i, (one, other) in enumerate(pairwise(steps)):
        if float(one @ other) <= 0.0:
            x, y = given.at(order[i + 2])
            return CurveError(
                f"part.arch point {order[i + 2]} = ({size(x)}, {size(y)}) doubles back from point {order[i + 1]}, "
                "expected points in order along the curve; put them in order or check the reading"
            )
    return None
