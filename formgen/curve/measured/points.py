"""Stage `curve`: the arch `points`, measured at the opening by ordinates or by x, y pairs.

In: the recipe's readings, mm, from left to right or from right to left. Out: the curve from the right to the left in
the axes of the readings (of an arch with a point its right half, in the axes of the arch), how far it misses them, and
how far every other curve would; a reading that does not belong to the others is named, and has its say all the same.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from formgen.curve.arch import Fit, LeftOut
from formgen.curve.measured.compare import Taken, Tried, every_fit, off_mm, table, take, whole
from formgen.curve.measured.doubt import Doubt, doubtful
from formgen.curve.measured.given import Readings, out_of_order, readings_of
from formgen.curve.measured.near import should_be
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline
from formgen.lengths import Units, write_length
from formgen.recipe.arch_kinds import Points

#: What readings may miss where the recipe says nothing, if that is more than the part's tolerance (mm): what an old
#: opening wanders under a tape; common practice, no source.
USUAL_WITHIN_MM = 3.0


def measured_points(ask: Points, tolerance_mm: float, units: Units) -> tuple[ArcSpline, Fit, tuple[Finding, ...]]:
    """The curve fitted to readings, from the foot of the rightmost reading to that of the leftmost.

    Args:
        ask: the readings and the kind of curve.
        tolerance_mm: the part's tolerance; a reading farther off than this is a finding.
        units: how findings write lengths.

    Returns:
        The curve; of a four-centred arch the right half, from the springing to the point, the axis at x = 0. Its fit.
        What there is to know of the readings.

    Raises:
        CurveError: too few readings, one twice, one out of order, or all on a straight line; no curve that comes near
            enough.
    """
    given = readings_of(ask)
    doubt = doubtful(given.points, tolerance_mm)
    muddle = out_of_order(given)
    if muddle is not None and doubt is None:
        raise muddle
    tries = every_fit(given.points)
    usual_mm = max(tolerance_mm, USUAL_WITHIN_MM)
    try:
        taken = take(ask, tries, given, None if doubt is None else doubt.at, usual_mm, units)
    except CurveError as err:
        if doubt is None:
            raise
        raise CurveError(f"{err}; {_said(given, doubt, units)}") from err
    fit = _fit(taken, tries, given)
    findings: tuple[Finding, ...] = ()
    if doubt is not None:
        findings = (_bad_reading(given, doubt, taken.fit, tolerance_mm, units),)
    elif fit.worst_mm > tolerance_mm:
        findings = (_off_the_curve(given, fit, taken.fit, tries, tolerance_mm, units),)
    curve = taken.curve
    return (curve.moved(-curve.end.x_mm, 0.0) if taken.fit.shape.halves else curve), fit, findings


def _fit(taken: Taken, tries: tuple[Tried, ...], given: Readings) -> Fit:
    off = taken.fit.off_mm
    worst = int(np.argmax(off))
    x, y = (float(v) for v in given.points[worst])
    curves = whole(taken.fit.shape, taken.curve)
    left_out = given.typed[[n - 1 for n in given.left_out]]
    return Fit(
        worst_mm=float(off[worst]),
        at_mm=(x - taken.curve.end.x_mm, y) if taken.fit.shape.halves else (x, y),
        count=len(given.points),
        what=taken.fit.shape.what,
        worst_reading=given.numbers[worst],
        compared=table(tries, given),
        taken=taken.why,
        within_mm=taken.within_mm,
        left_out=tuple(
            LeftOut(number=n, off_mm=float(mm))
            for n, mm in zip(given.left_out, off_mm(curves, left_out) if given.left_out else (), strict=True)
        ),
    )


def _bad_reading(given: Readings, doubt: Doubt, fit: Tried, tolerance_mm: float, units: Units) -> Finding:
    """The finding on a reading that the others speak against; which one to leave out stands in it, ready to type."""
    number = given.numbers[doubt.at]
    x, y = given.at(number)
    near = should_be(given, doubt)
    numbers = ", ".join(str(n) for n in sorted((*given.left_out, number)))
    between = 1 < number < len(given.typed)
    found = finding(
        "curve.bad-reading",
        units,
        value=near.misses_mm,
        limit=tolerance_mm,
        which=given.word,
        number=number,
        x=x,
        y=y,
        others_mm=doubt.others_mm,
        should=near.along,
        near=near.value_mm,
        curve=fit.shape.what,
        pulled=float(np.delete(fit.off_mm, doubt.at).max()),
        mend="between" if between else "end",
        numbers=numbers,
    )
    return replace(found, setting=f'"part.arch.leave_out=[{numbers}]"') if between else found


def _said(given: Readings, doubt: Doubt, units: Units) -> str:
    near = should_be(given, doubt)
    value = "" if near.value_mm is None else f": it should be near {write_length(near.value_mm, units)}"
    return f"look at {given.name(given.numbers[doubt.at], units)} first, which the others speak against{value}"


def _off_the_curve(
    given: Readings, fit: Fit, taken: Tried, tries: tuple[Tried, ...], tolerance_mm: float, units: Units
) -> Finding:
    """The finding on a reading that lies off the curve, with the curve that would do better, if there is one."""
    number = fit.worst_reading or 0
    x, y = given.at(number)
    keeps = [tried for tried in tries if tried.worst_mm <= tolerance_mm]
    other = keeps[0] if keeps else min(tries, key=lambda tried: tried.worst_mm)
    better = other.worst_mm < taken.worst_mm
    found = finding(
        "curve.fit-residual",
        units,
        value=fit.worst_mm,
        limit=tolerance_mm,
        which=given.word,
        number=number,
        x=x,
        y=y,
        curve=fit.what,
        mend="other" if better else "none",
        other=other.shape.name,
        other_mm=other.worst_mm,
    )
    return replace(found, setting=f"part.arch.fit={other.shape.name}") if keeps and better else found
