"""Stage `curve`: what a reading in doubt should be, in the datum that it was typed in.

In: the readings and the doubt, mm. Out: the height at its place, as the curve through the others has it; of an x, y
pair on a steep stretch the x at its height.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np

from formgen.curve.measured.doubt import Doubt
from formgen.curve.measured.given import Readings

#: Places that are looked at along the line on which the reading was taken, over twice the width of what was read.
_PLACES = 400


class Near(NamedTuple):
    """The value that a reading should have.

    Args:
        along: which of the numbers typed this is; `none` where the others' curve does not pass there.
        value_mm: what it should be; None likewise.
        misses_mm: how far the one typed is from that, or from the others' curve.
    """

    along: Literal["height", "x", "y", "none"]
    value_mm: float | None
    misses_mm: float


def should_be(given: Readings, doubt: Doubt) -> Near:
    """The value that the others would have the reading in doubt have."""
    from scipy.optimize import brentq

    points, i = given.points, doubt.at
    typed = points[i]
    beside = points[[j for j in (i - 1, i + 1) if 0 <= j < len(points)]]
    across, up = np.abs(np.ptp(np.vstack([beside, typed]) if len(beside) == 1 else beside, axis=0))
    axis = 0 if up > across and not given.by_ordinates else 1

    def off(value: float) -> float:
        at = typed.copy()
        at[axis] = value
        return float(doubt.others.off(at[None])[0])

    expected = float(beside[:, axis].mean())
    reach = 2.0 * float(np.max(np.ptp(points, axis=0)))
    places = np.linspace(expected - reach, expected + reach, _PLACES)
    at = np.repeat(typed[None], _PLACES, axis=0)
    at[:, axis] = places
    outside = doubt.others.off(at) > 0.0
    turns = np.flatnonzero(outside[1:] != outside[:-1])
    if not len(turns):
        return Near("none", None, abs(off(float(typed[axis]))))
    values = [float(brentq(off, places[j], places[j + 1], xtol=1e-6)) for j in turns]
    value = min(values, key=lambda v: abs(v - expected))
    return Near("height" if given.by_ordinates else "x" if axis == 0 else "y", value, abs(value - float(typed[axis])))
