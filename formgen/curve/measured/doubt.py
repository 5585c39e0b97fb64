"""Stage `curve`: the one reading that does not belong to the others: a slip of the tape or of the pen.

In: points in order of travel, (n, 2) in mm. Out: which of them, and the curve that the others lie on. It changes
nothing and leaves nothing out.

Each suspect is left out in turn and the others are fitted anew with every shape. It is named if what it adds to the sum
of squares is more than chance does: if the best of the fits to all readings, whichever shape that is, is worse than the
best fit without it by more than the scatter of the others allows. A curve that is of no shape at all (an old arch that
has settled) is not taken for a slip, since a freehand line is among the shapes.

Reference:
    The mean-shift model of one outlier: R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982, 2.2.2,
    with Bonferroni's bound for the greatest of n (both from memory). How often it is right and how often it cries wolf
    is counted in `tests/validation/test_bad_reading.py`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np

from formgen.curve.measured.circle import Round, circle
from formgen.curve.measured.fair import READING_ERROR_MM
from formgen.curve.measured.shapes import SHAPES, Settled
from formgen.errors import CurveError
from formgen.geometry.arcspline import Array

#: How often a set of fair readings may be doubted by chance: common practice is 0.05; a joiner measures again for it.
FALSE_ALARMS = 0.001
#: The others must outnumber what is fitted to them by this many, or nothing says that they agree.
LEAST_FREE = 2
#: Heights read on a steep stretch hide their error, so that the scatter of all looks less than it is by up to this.
_HIDDEN = 1.3
#: Robust fits weigh a reading down from this many reading errors on.
_ROBUST = 3.0
#: Highest powers of the freehand lines.
_POWERS = (4, 6)


class Doubt(NamedTuple):
    """A reading that the others speak against.

    Args:
        at: index of the point.
        others: the curve through the other points.
        others_mm: how far the worst of those lies off it.
    """

    at: int
    others: Settled
    others_mm: float


class Freehand(NamedTuple):
    """A circle and how far a line runs off it, as a polynomial of the direction from its centre."""

    base: Round
    middle_rad: float
    half_rad: float
    coefficients: Array

    def off(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from the line along the radius, positive outside: (n,)."""
        bow = np.polynomial.chebyshev.chebval(self.share(points), self.coefficients)
        return np.asarray(self.base.off(points) - bow)

    def share(self, points: Array) -> Array:
        """Places of points round the centre, −1 to 1 for those it was fitted to."""
        off = points - self.base.centre
        angles = np.arctan2(off[:, 1], off[:, 0]) - self.middle_rad
        return np.asarray(np.clip(((angles + math.pi) % (2.0 * math.pi) - math.pi) / self.half_rad, -1.2, 1.2))


def _freehand(points: Array, power: int) -> Freehand:
    base = circle(points)
    x, y = points.mean(axis=0) - base.centre
    line = Freehand(base, math.atan2(y, x), math.pi, np.zeros(1))
    line = line._replace(half_rad=float(np.abs(line.share(points)).max()) * math.pi)
    columns = np.polynomial.chebyshev.chebvander(line.share(points), power)
    return line._replace(
        coefficients=np.asarray(np.linalg.lstsq(columns, base.off(points), rcond=None)[0], dtype=float)
    )


class _Kind(NamedTuple):
    unknowns: int
    settle: Callable[..., Any]
    is_shape: bool


_SHAPES = tuple(_Kind(s.unknowns, s.settle, is_shape=True) for s in SHAPES if s.settle is not None)
_LINES = tuple(_Kind(n + 1, lambda points, n=n: _freehand(points, n), is_shape=False) for n in _POWERS)


def doubtful(points: Array, least_mm: float) -> Doubt | None:
    """The point that does not belong to the others; None where all do, or too few are left to tell.

    Args:
        points: (n, 2), in order of travel.
        least_mm: what a reading may be off without anybody asking (the part's tolerance).
    """
    count = len(points)
    kinds = [k for k in (*_SHAPES, *_LINES) if count - k.unknowns > (0 if k.is_shape else LEAST_FREE)]
    if not any(count - 1 - k.unknowns >= LEAST_FREE for k in kinds):
        return None
    whole = _least_squares(kinds, points, least_mm)
    if whole is None:
        return None
    best: tuple[float, float, int, Doubt] | None = None
    for index in _suspects(points):
        others = np.delete(points, index, axis=0)
        for kind in kinds:
            free = len(others) - kind.unknowns
            if free < LEAST_FREE or not (kind.is_shape or 0 < index < count - 1):  # a freehand line ends where it ends
                continue
            fit = _settled(kind, others)
            if fit is None:
                continue
            off = fit.off(others)
            squares = float(off @ off)
            scatter = max(squares / free, READING_ERROR_MM**2)
            if best is None or scatter < best[0]:
                best = scatter, squares, free, Doubt(index, fit, float(np.abs(off).max()))
    if best is None:
        return None
    scatter, squares, free, doubt = best
    added = whole - squares
    misses = abs(float(doubt.others.off(points[[doubt.at]])[0]))
    return doubt if misses > least_mm and added > _most_by_chance(free, count) ** 2 * scatter else None


def _least_squares(kinds: Sequence[_Kind], points: Array, least_mm: float) -> float | None:
    """The least sum of squared distances of all points; None where a shape has all of them as near as is asked."""
    least = None
    for kind in kinds:
        fit = _settled(kind, points)
        if fit is not None:
            off = fit.off(points)
            if kind.is_shape and np.abs(off).max() <= least_mm:
                return None
            least = min(float(off @ off), math.inf if least is None else least)
    return least


def _most_by_chance(free: int, count: int) -> float:
    """Student's t that the greatest of `count` readings passes in a share of `FALSE_ALARMS` of all fair sets."""
    from scipy.special import stdtrit

    return _HIDDEN * float(stdtrit(free, 1.0 - FALSE_ALARMS / (2.0 * count)))


def _suspects(points: Array) -> Iterable[int]:
    """The readings that lie farthest off curves that heed a single bad one little."""
    extent = float(np.max(np.ptp(points, axis=0)))
    found = set()
    for kind in _SHAPES[:3]:
        scale = _ROBUST * READING_ERROR_MM / (extent if kind.settle is circle else 1.0)
        fit = _settled(kind, points, loss="cauchy", f_scale=scale)
        if fit is not None:
            found.add(int(np.argmax(np.abs(fit.off(points)))))
    return sorted(found)


def _settled(kind: _Kind, points: Array, **loss: Any) -> Any:
    """The kind of curve fitted to points; None where no such curve comes near them."""
    try:
        return kind.settle(points, **loss)
    except CurveError:
        return None
