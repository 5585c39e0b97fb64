"""Stage `curve`: the arch `points`, measured at the opening by ordinates or by x, y pairs.

In: the recipe's readings, mm, from left to right or from right to left. Out: the curve from the right to the
left in the axes of the readings, and how far it misses them.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from formgen.curve.arch import Fit
from formgen.curve.impossible import size
from formgen.curve.measured import fitting
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.lengths import Units
from formgen.recipe.arch_kinds import Points

#: Fitter, name for people and least number of points of every fit.
_FITS = {
    "circle": (fitting.circle, "circle", 3),
    "ellipse": (fitting.ellipse, "ellipse", 4),
    "fair": (fitting.fair, "fair curve", 5),
}

#: Readings closer together than this are one reading written twice (mm).
_SAME_MM = 0.01


def measured_points(ask: Points, tolerance_mm: float, units: Units) -> tuple[ArcSpline, Fit, tuple[Finding, ...]]:
    """The curve fitted to readings, from the foot of the rightmost reading to that of the leftmost.

    Args:
        ask: the readings and the kind of curve.
        tolerance_mm: the part's tolerance; a reading farther off than this is a finding.
        units: how the finding writes lengths.

    Raises:
        CurveError: too few readings, one twice, one out of order, or all on a straight line.
    """
    fit, what, least = _FITS[ask.fit]
    given = _readings(ask)
    if len(given) < least:
        raise CurveError(
            f"part.arch = {len(given)} points, expected at least {least} for a {what}; measure more, evenly spread"
        )
    _refuse_muddle(given)
    rightward = given[-1, 0] > given[0, 0]
    points = given[::-1] if rightward else given
    curve = _between_feet(fit(points), points)
    off = np.array([abs(curve.nearest(float(x), float(y))[1]) for x, y in given])
    worst = int(np.argmax(off))
    result = Fit(
        worst_mm=float(off[worst]), at_mm=(float(given[worst, 0]), float(given[worst, 1])), count=len(given), what=what
    )
    findings = () if result.worst_mm <= tolerance_mm else (_too_far(result, worst + 1, tolerance_mm, units),)
    return curve, result, findings


def _readings(ask: Points) -> Array:
    """The readings in the order given, (n, 2) in mm."""
    if ask.xy_mm is not None:
        return np.array(ask.xy_mm, dtype=float)
    if ask.ordinates is None:
        raise CurveError("part.arch = points without readings, expected ordinates or x, y pairs")
    heights = np.array(ask.ordinates.heights_mm, dtype=float)
    return np.column_stack([ask.ordinates.spacing_mm * np.arange(len(heights)), heights])


def _refuse_muddle(given: Array) -> None:
    """Refuses a point given twice and points that are not in order along the curve."""
    for i in range(len(given)):
        for j in range(i):
            if math.dist(given[i], given[j]) < _SAME_MM:
                raise CurveError(
                    f"part.arch point {i + 1} = point {j + 1} ({size(given[i, 0])}, {size(given[i, 1])}), "
                    "expected every point once; take one of them out"
                )
    steps = np.diff(given, axis=0)
    for i, (one, other) in enumerate(pairwise(steps)):
        if float(one @ other) <= 0.0:
            raise CurveError(
                f"part.arch point {i + 3} = ({size(given[i + 2, 0])}, {size(given[i + 2, 1])}) doubles back from "
                f"point {i + 2}, expected points in order along the curve; put them in order or check the reading"
            )


def _between_feet(curve: ArcSpline, points: Array) -> ArcSpline:
    """The curve from the foot of the first point to the foot of the last (it may be fitted a little past them)."""
    begin, end = (curve.nearest(float(x), float(y))[0] for x, y in points[[0, -1]])
    whole = begin < 1e-6 and curve.length_mm - end < 1e-6
    return curve if whole else curve.part(begin, end)


def _too_far(fit: Fit, number: int, tolerance_mm: float, units: Units) -> Finding:
    return finding(
        "curve.fit-residual",
        units,
        value=fit.worst_mm,
        limit=tolerance_mm,
        number=number,
        x=fit.at_mm[0],
        y=fit.at_mm[1],
        curve=fit.what,
    )
