"""Stage `curve`: the result, an arch as the part must end up."""

from __future__ import annotations

import math

from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.recipe.model import Recipe

#: No part is longer, legs included: a slip of units.
LONGEST_MM = 30_000


@fixed
class Fit:
    """The fit of a curve to the points or the drawing that it was made from.

    Args:
        worst_mm: greatest distance of a given point from the measured line.
        at_mm: (x, y) of that point, in the arch's axes.
        count: how many points were given.
        what: `circle`, `ellipse`, `fair curve` or `drawing`.
    """

    worst_mm: float
    at_mm: tuple[float, float]
    count: int
    what: str


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
