"""Stage `curve`: putting a curve level in the axes of the arch.

In: a curve anywhere in the plane, mm. Out: the same curve, moved and turned but never mirrored or bent.
"""

from __future__ import annotations

import math

from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose


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
