"""Stage `curve`: the end of a part that meets its like at the point of an arch.

In: the centre line of the right half, mm. Out: the same line, ended exactly on the upright plane x = 0 in
which both halves meet, and the lean of the saw cut there.
"""

from __future__ import annotations

import math

from formgen.curve.impossible import size
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline
from formgen.lengths import Units


def to_the_plane(
    half: ArcSpline, thickness_mm: float, end_trim_mm: float, units: Units
) -> tuple[ArcSpline, float, tuple[Finding, ...]]:
    """The half with its last arc run on or cut back to x = 0, the lean of the mitre, and what to know of it.

    An ogee is upright at its point, along the plane instead of across it. Where its centre line never
    reaches the plane it stays as it is, ends square, and the finding says so.

    Args:
        half: centre line from the right springing to the point; its last piece is an arc.
        thickness_mm: of the part.
        end_trim_mm: how far the part is made longer than its centre line.
        units: in which the findings are written.

    Returns:
        The centre line; the angle in rad between the plane x = 0 and the square section there, 0 for a square end;
        findings.

    Raises:
        CurveError: the last arc lies wholly beyond the plane: the part is thicker than the half arch has room for.
    """
    *before, (_, curvature) = half.pieces
    begin = half.knots[-2]
    # x(s) = x₀ + [sin(h + κs) − sin h]/κ is 0 where the heading has this sine, on the way up to the left.
    sine = math.sin(begin.heading_rad) - curvature * begin.x_mm
    if abs(sine) >= 1.0 - 1e-9:
        return half, 0.0, (finding("curve.square-point", units),)
    heading = math.pi - math.asin(sine)
    length = (heading - begin.heading_rad) / curvature
    if length <= 0.0 or begin.x_mm <= 0.0:
        raise CurveError(
            f"laminate.thickness = {size(thickness_mm)}, expected less: the centre line passes midspan before its "
            "last arc begins; make the part thinner or measure on another face"
        )
    mitre = math.pi - heading
    ended = ArcSpline(half.start, (*before, (length, curvature)))
    reach = thickness_mm / 2.0 * math.tan(mitre)
    if reach <= end_trim_mm:
        return ended, mitre, ()
    return ended, mitre, (finding("curve.mitre-trim", units, value=reach, limit=end_trim_mm, mitre=mitre),)
