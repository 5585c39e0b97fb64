"""Stage `curve`: every curve fitted to the readings, side by side, and which of them is taken.

In: the readings, and what the recipe asks for. Out: a table of all fits with their exact distances in mm, and the fit
that the part is made by. A reading in doubt has its say in the curve, but not in which kind of curve it is.
"""

from __future__ import annotations

import math
import re
from typing import Literal, NamedTuple

import numpy as np

from formgen.curve.arch import Compared
from formgen.curve.measured.given import Readings
from formgen.curve.measured.shapes import SHAPES, Shape
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.distance import off_piece_mm
from formgen.lengths import Units, write_length, write_measured
from formgen.recipe.arch_kinds import Points, Within

#: More radii than the four-centred arch has are said as a range.
_MOST_RADII = 3
#: Decimals of mm in the table: what two processors agree on however badly a curve suits the readings.
_MISS_PLACES, _RADIUS_PLACES = 3, 2
#: A curvature under this is straight (1/mm).
_STRAIGHT = 1e-9
#: What is allowed is rounded up to this in a message (mm), by the recipe's units: what a tape shows.
_STEP_MM = {"in": 25.4 / 64.0, "mm": 0.1}


class Tried(NamedTuple):
    """A shape as fitted to readings.

    Args:
        shape: which.
        curve: what came of it; None where none comes near them.
        off_mm: distance of each reading from it, (n,), 0 or more.
        error: why there is none.
    """

    shape: Shape
    curve: ArcSpline | None
    off_mm: Array
    error: CurveError | None = None

    @property
    def worst_mm(self) -> float:
        """Greatest distance; infinite where there is no curve."""
        return float(self.off_mm.max()) if self.curve is not None else math.inf


class Taken(NamedTuple):
    """The fit that the part is made by, and why it is."""

    fit: Tried
    curve: ArcSpline
    why: Literal["as asked", "within", "nearest"]
    within_mm: float | None


def every_fit(points: Array) -> tuple[Tried, ...]:
    """Every shape fitted to points in order of travel, (n, 2), the simplest first."""
    return tuple(_tried(shape, points) for shape in SHAPES)


def _tried(shape: Shape, points: Array) -> Tried:
    try:
        curve = shape.fitted(points)
    except CurveError as err:
        return Tried(shape, None, np.zeros(0), err)
    return Tried(shape, curve, off_mm(whole(shape, curve), points))


def whole(shape: Shape, curve: ArcSpline) -> tuple[ArcSpline, ...]:
    """The curve; or both halves of an arch with a point, which has its point at the end of the right one."""
    if not shape.halves:
        return (curve,)
    start, end = curve.start, curve.end
    left = ArcSpline(
        type(start)(2.0 * end.x_mm - start.x_mm, start.y_mm, math.pi - start.heading_rad),
        tuple((n, -k) for n, k in curve.pieces),
    )
    return curve, left


def off_mm(curves: tuple[ArcSpline, ...], points: Array) -> Array:
    """Exact distance of each point, (n, 2), from the nearest of curves: (n,)."""
    found = []
    for curve in curves:
        for pose, (length, curvature) in zip(curve.knots, curve.pieces, strict=False):
            parts = 1 + int(abs(length * curvature) / (0.99 * math.pi))  # each less than half round
            for i in range(parts):
                begin = pose.onward(length * i / parts, curvature)
                found.append(off_piece_mm(begin, length / parts, curvature, points))
    return np.asarray(np.min(found, axis=0))


def table(tries: tuple[Tried, ...], given: Readings) -> tuple[Compared, ...]:
    """A row for each fit."""
    return tuple(_compared(tried, given) for tried in tries)


def _compared(tried: Tried, given: Readings) -> Compared:
    if tried.curve is None:
        reason = re.split("[,;] expected", str(tried.error))[0].removeprefix("part.arch = ")
        return Compared(what=tried.shape.what, why_not=reason)
    curves = whole(tried.shape, tried.curve)
    radii = sorted({round(1.0 / abs(k), _RADIUS_PLACES) for _, k in tried.curve.pieces if abs(k) > _STRAIGHT})
    return Compared(
        what=tried.shape.what,
        worst_mm=round(tried.worst_mm, _MISS_PLACES),
        worst_reading=given.numbers[int(np.argmax(tried.off_mm))],
        mean_mm=round(float(tried.off_mm.mean()), _MISS_PLACES),
        radii_mm=tuple(radii if len(radii) <= _MOST_RADII else (radii[0], radii[-1])),
        arcs=sum(len(curve.pieces) for curve in curves),
    )


def take(
    ask: Points, tries: tuple[Tried, ...], given: Readings, doubted: int | None, usual_mm: float, units: Units
) -> Taken:
    """The fit that the recipe asks for.

    Args:
        ask: what it says.
        tries: every fit.
        given: the readings.
        doubted: index of the point that is in doubt.
        usual_mm: what is allowed where nothing was said.
        units: the recipe's.

    Raises:
        CurveError: the curve that is named does not come near the readings, or none keeps what is allowed.
    """
    if isinstance(ask.fit, str):
        named = next(tried for tried in tries if tried.shape.name == ask.fit)
        return Taken(named, _curve(named), "as asked", None)
    within = ask.fit.within_mm if isinstance(ask.fit, Within) else usual_mm
    judged = tries if doubted is None else every_fit(np.delete(given.points, doubted, axis=0))
    simplest = next((i for i, tried in enumerate(judged) if tried.worst_mm <= within), None)
    if simplest is not None:
        return Taken(tries[simplest], _curve(tries[simplest]), "within", within)
    nearest = min(range(len(judged)), key=lambda i: judged[i].worst_mm)
    if isinstance(ask.fit, Within):
        numbers = [n for i, n in enumerate(given.numbers) if i != doubted]
        raise _none_within(judged[nearest], numbers, given, within, units)
    return Taken(tries[nearest], _curve(tries[nearest]), "nearest", within)


def _curve(tried: Tried) -> ArcSpline:
    if tried.curve is None:
        raise tried.error or CurveError(f"part.arch = points near no {tried.shape.what}")
    return tried.curve


def _none_within(nearest: Tried, numbers: list[int], given: Readings, within_mm: float, units: Units) -> CurveError:
    _curve(nearest)
    worst = given.name(numbers[int(np.argmax(nearest.off_mm))], units)
    step = _STEP_MM[units]
    enough = write_length(step * math.ceil(nearest.worst_mm / step), units)
    return CurveError(
        f"part.arch.fit.within = {write_measured(within_mm, units)}, expected a curve that keeps it: the nearest, "
        f"{nearest.shape.a}, misses {worst} by {write_measured(nearest.worst_mm, units)}; measure that reading again, "
        f"or allow within: {enough}"
    )
