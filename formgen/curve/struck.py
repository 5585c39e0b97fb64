"""Stage `curve`: arches struck from three and from four centres, by half the span, rise and radii.

In: mm, sizes between which such an arch exists: who asks for one looks at that first. Out: arcs, the origin at midspan
on the springing line; of the four-centred arch its right half.
"""

from __future__ import annotations

import math

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose

_UP = math.pi / 2.0


def crown(a: float, h: float, r: float) -> tuple[float, float]:
    """Radius and half the sweep of the arc over the crown that is tangent to arcs of radius r at both springings.

    Args:
        a: half the span.
        h: rise, above r.
        r: springing radius.
    """
    R = (a * a + h * h - 2.0 * a * r) / (2.0 * (h - r))
    return R, math.atan2(a - r, R - h)


def three_centred(a: float, r: float, R: float, lean: float) -> ArcSpline:
    """The basket-handle arch of half span a, springing radius r and crown radius R, which turns twice the lean."""
    haunch = (r * (_UP - lean), 1.0 / r)
    return ArcSpline(Pose(a, 0.0, _UP), (haunch, (2.0 * R * lean, 1.0 / R), haunch))


def four_centred(a: float, r: float, R: float, upper: tuple[float, float]) -> ArcSpline:
    """The right half of the arch of half span a and radii r and R.

    Args:
        a: half the span.
        r: springing radius.
        R: radius up to the point; where it is r, the arch is a pointed one of two centres.
        upper: centre of the upper arc, as from `upper_centre`.
    """
    cx, cy = upper
    lower = math.atan2(-cy, a - r - cx)  # the lower arc turns from level to the line of both centres
    turn = math.acos(-cx / R) - lower
    return ArcSpline.of(Pose(a, 0.0, _UP), ((r * lower, 1.0 / r), (R * turn, 1.0 / R)))


def upper_centre(a: float, h: float, r: float, R: float) -> tuple[float, float]:
    """Centre of the upper right arc of a four-centred arch, from half the span, rise and both radii.

    Reference:
        It is where the circle of radius R about the point crosses the circle of radius R − r about the lower centre.
    """
    # From the lower centre (a − r, 0) to the point (0, h), and the crossing of the two circles to its left.
    px, py = r - a, h
    apart = math.hypot(px, py)
    along = (apart * apart + (R - r) ** 2 - R * R) / (2.0 * apart)
    across = math.sqrt(max((R - r) ** 2 - along * along, 0.0))
    return a - r + (along * px - across * py) / apart, (along * py + across * px) / apart


def least_crown_radius_mm(a: float, h: float, r: float) -> float:
    """The radius above which two upper arcs make a point."""
    return max(crown(a, h, r)[0], (a * a + h * h) / (2.0 * a), r)
