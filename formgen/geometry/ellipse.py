"""A stretch of an ellipse as a smooth curve, which `biarc` fits arcs to; and the other half of a half that is alike.

In: half axes and parameters, mm and rad. Out: a `Smooth`, or an arc spline.
"""

from __future__ import annotations

import numpy as np

from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import Smooth


def ellipse_curve(a_mm: float, b_mm: float, begin_rad: float, end_rad: float, centre_x_mm: float = 0.0) -> Smooth:
    """A stretch of the ellipse (x₀ + a cos u, b sin u) over its parameter u, anticlockwise."""

    def point(u: Array) -> Array:
        return np.column_stack([centre_x_mm + a_mm * np.cos(u), b_mm * np.sin(u)])

    def tangent(u: Array) -> Array:
        return np.column_stack([-a_mm * np.sin(u), b_mm * np.cos(u)])

    return Smooth(point=point, tangent=tangent, begin=begin_rad, end=end_rad)


def mirrored(right_half: ArcSpline) -> ArcSpline:
    """A curve that ends level at its crown, and the same pieces again down to the left."""
    *rest, (length, curvature) = right_half.pieces
    back = tuple(reversed(rest))
    return ArcSpline(right_half.start, (*rest, (2.0 * length, curvature), *back))
