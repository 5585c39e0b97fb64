"""Stage `curve`: the result, an arch as the part must end up; how a curve is put level in its axes.

Lengths in mm. A curve is moved and turned, but never mirrored or bent. Also the one line that says which size of an
arch cannot be, in both units of the trade.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from formgen.errors import CurveError
from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.pose import Pose
from formgen.lengths import write_length
from formgen.recipe.model import Recipe

#: No part is longer, legs included: a slip of units.
LONGEST_MM = 30_000


@fixed
class Compared:
    """One of the curves that were fitted to readings.

    Args:
        what: as people say it.
        worst_mm: greatest distance of a reading from it; None where no such curve comes near them.
        worst_reading: number of that reading.
        mean_mm: mean distance of the readings.
        radii_mm: its radii, tightest first; of more than three the least and the greatest.
        arcs: how many arcs it is made of, over the whole opening.
        why_not: why there is none.
    """

    what: str
    worst_mm: float | None = None
    worst_reading: int | None = None
    mean_mm: float | None = None
    radii_mm: tuple[float, ...] = ()
    arcs: int = 0
    why_not: str = ""


@fixed
class LeftOut:
    """A reading that the recipe leaves out: its number, and how far it lies off the curve."""

    number: int
    off_mm: float


@fixed
class Fit:
    """The fit of a curve to the points or the drawing that it was made from.

    Args:
        worst_mm: greatest distance of a given point from the measured line.
        at_mm: (x, y) of that point, in the arch's axes.
        count: how many points it was fitted to.
        what: `circle`, `three-centred arch`, `ellipse`, `four-centred arch`, `fair curve` or `drawing`.
        worst_reading: number of that point among the readings as typed; None for a drawing.
        compared: every curve that was fitted to the readings, the simplest first.
        taken: why this one: the recipe names it, it is the simplest `within` what is allowed, or none is and it is the
            `nearest`.
        within_mm: what is allowed where it was not named.
        left_out: readings that it was not fitted to.
    """

    worst_mm: float
    at_mm: tuple[float, float]
    count: int
    what: str
    worst_reading: int | None = None
    compared: tuple[Compared, ...] = ()
    taken: Literal["as asked", "within", "nearest"] = "as asked"
    within_mm: float | None = None
    left_out: tuple[LeftOut, ...] = ()


def worst_fit(curve: ArcSpline, given: Array, count: int, what: str) -> tuple[Fit, int]:
    """The fit of a curve to points (n, 2) that it was made from, and which of them lies farthest off."""
    off = [abs(curve.nearest(float(x), float(y))[1]) for x, y in given]
    worst = int(np.argmax(off))
    at_mm = (float(given[worst, 0]), float(given[worst, 1]))
    return Fit(worst_mm=off[worst], at_mm=at_mm, count=count, what=what), worst


@fixed
class Arch:
    """The target curve.

    Args:
        recipe: the stage before.
        measured: the curve on the face that was measured, legs included, from the right leg over the crown to the left.
        target: the centre line of the part, parallel to `measured`, legs included.
        thickness_mm: thickness of the part, from which the centre line was set off.
        springing_mm: stations on `target` where the right leg ends and the left leg begins.
        two_legged: both springing points are level and belong to this one part, so that a bar can hold its legs.
        copies: 2 where a point at the crown splits the opening into two like parts (the second is turned over), else 1.
        mitre_rad: how far the saw cut at the right and the left end leans from square; 0 where the end is cut square.
        fit: how well the curve meets what was measured or drawn; None for a named arch.
        findings: what somebody must know about the curve.
    """

    recipe: Recipe
    measured: ArcSpline
    target: ArcSpline
    thickness_mm: float
    springing_mm: tuple[float, float]
    two_legged: bool
    copies: int = 1
    mitre_rad: tuple[float, float] = (0.0, 0.0)
    fit: Fit | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def waste_mm(self) -> tuple[float, float]:
        """Ply past the finished end, right and left: the trim, and what the longer face needs where the cut leans."""
        trim, half = self.recipe.part.end_trim_mm, self.thickness_mm / 2.0
        right, left = (trim + half * math.tan(abs(lean)) for lean in self.mitre_rad)
        return right, left


def levelled(curve: ArcSpline, springing_mm: tuple[float, float], two_legged: bool) -> ArcSpline:  # noqa: FBT001
    """The curve with its springing points, or its ends, level: the right one at +x, the origin midway between.

    An arch that turns left all along then stands above the line, since it runs from the right to the left.

    Args:
        curve: from the right end to the left end.
        springing_mm: stations where the right leg ends and the left leg begins.
        two_legged: level the springing points; else the curve's ends.

    Raises:
        CurveError: the two points are one, so that no line joins them.
    """
    right, left = (curve.pose(s) for s in (springing_mm if two_legged else (0.0, curve.length_mm)))
    dx, dy = right.x_mm - left.x_mm, right.y_mm - left.y_mm
    if math.hypot(dx, dy) < 1e-6:
        what = "springing points" if two_legged else "ends"
        raise CurveError(
            f"both {what} of the curve lie at one point, expected some width between them; shorten or open the curve"
        )
    turn = -math.atan2(dy, dx)  # a hair's breadth of it is none, so that a level curve stays as it is
    turned = curve.moved(0.0, 0.0, 0.0 if abs(turn) < 1e-14 else turn)
    right, left = (turned.pose(s) for s in (springing_mm if two_legged else (0.0, turned.length_mm)))
    return turned.moved(-(right.x_mm + left.x_mm) / 2.0, -(right.y_mm + left.y_mm) / 2.0)


def carried(point: tuple[float, float], before: Pose, after: Pose) -> tuple[float, float]:
    """Find where a point goes when a pose is moved bodily from `before` to `after` and takes it along."""
    turn = after.heading_rad - before.heading_rad
    dx, dy = point[0] - before.x_mm, point[1] - before.y_mm
    c, s = math.cos(turn), math.sin(turn)
    return after.x_mm + c * dx - s * dy, after.y_mm + s * dx + c * dy


def size(length_mm: float) -> str:
    """A length for a message: `609.60 mm (24 in)`."""
    return f"{length_mm:.2f} mm ({write_length(length_mm, 'in')})"


def impossible(key: str, got_mm: float, expected: str, remedy: str) -> CurveError:
    """The error for a size of the arch that no curve has.

    Args:
        key: the key under `part.arch`.
        got_mm: its value.
        expected: what it must be.
        remedy: what to do.
    """
    return CurveError(f"part.arch.{key} = {size(got_mm)}, expected {expected}; {remedy}")
