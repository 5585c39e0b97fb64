"""Stage `curve`: arches with a round crown, and the table from every arch model to its builder.

In: the models of the recipe, mm and rad. Out: the measured curve from the right springing point over the
crown to the left one, without legs; origin at midspan on the springing line, y up. Curves fitted to points
or read from a drawing are made elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from formgen.curve import pointed
from formgen.curve.impossible import impossible, size
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import FIT_TOLERANCE_MM, Smooth, fit_biarcs
from formgen.geometry.pose import Pose
from formgen.recipe.arch_kinds import (
    Chain,
    Ellipse,
    FourCentred,
    Ogee,
    Pointed,
    Quarter,
    Segmental,
    Semicircle,
    Serpentine,
    ThreeCentred,
)

_UP = math.pi / 2.0


def semicircle(ask: Semicircle) -> ArcSpline:
    """Half a circle."""
    a = ask.span_mm / 2.0
    return ArcSpline(Pose(a, 0.0, _UP), ((math.pi * a, 1.0 / a),))


def segmental(ask: Segmental) -> ArcSpline:
    """One arc of less than half a circle (of just half, where the radius is half the span).

    Raises:
        CurveError: a rise of half the span or more, a radius under half the span, a sweep of 180° or more.

    Reference:
        Textbook construction: R = (a² + h²)/(2h), a half the span; sweep 4 atan(h/a).
    """
    if ask.span_mm is not None and ask.rise_mm is not None:
        a, h = ask.span_mm / 2.0, ask.rise_mm
        if h >= a:
            raise impossible(
                "rise", h, f"under half the span ({size(a)})", "use a semicircle, an ellipse or a pointed arch"
            )
        radius, sweep = (a * a + h * h) / (2.0 * h), 4.0 * math.atan2(h, a)
    elif ask.span_mm is not None and ask.radius_mm is not None:
        radius, a = ask.radius_mm, ask.span_mm / 2.0
        if radius < a:
            raise impossible("radius", radius, f"at least half the span ({size(a)})", "use a larger radius")
        sweep = 2.0 * math.asin(a / radius)
    elif ask.radius_mm is not None and ask.sweep_rad is not None:
        radius, sweep = ask.radius_mm, ask.sweep_rad
        if sweep >= math.pi:
            raise CurveError(
                f"part.arch.sweep = {math.degrees(sweep):.2f} deg, expected under 180 deg; use a semicircle with legs"
            )
        a = radius * math.sin(sweep / 2.0)
    else:
        raise CurveError(
            "part.arch = segmental without two of its sizes, expected span and rise, span and radius, or radius "
            "and sweep"
        )
    return ArcSpline(Pose(a, 0.0, math.pi - sweep / 2.0), ((radius * sweep, 1.0 / radius),))


def three_centred(ask: ThreeCentred) -> ArcSpline:
    """Basket-handle: a small arc at each springing, tangent to a large one over the crown.

    Raises:
        CurveError: a rise of half the span or more, a springing radius of the rise or more or given without a rise.

    Reference:
        Textbook constructions. In thirds: radii s/3 and 2s/3, every arc turns 60°. With a rise:
        r₁ = d(d − a + h)/(2a), d = √(a² + h²). With any r₁ the arcs are tangent where R = (a² + h² − 2ar₁)/(2(h − r₁)).
    """
    a, h, r = ask.span_mm / 2.0, ask.rise_mm, ask.springing_radius_mm
    if h is None:
        if r is not None:
            raise CurveError(
                f"part.arch.springing_radius = {size(r)} without a rise, expected a rise with it; add the rise or "
                "leave it out"
            )
        r, R, lean = 2.0 * a / 3.0, 4.0 * a / 3.0, math.pi / 6.0
    else:
        if h >= a:
            raise impossible(
                "rise", h, f"under half the span ({size(a)})", "use a semicircle, an ellipse or a pointed arch"
            )
        if r is None:
            d = math.hypot(a, h)
            r = d * (d - a + h) / (2.0 * a)
        elif r >= h:
            raise impossible("springing_radius", r, f"under the rise ({size(h)})", "use a smaller springing radius")
        R = (a * a + h * h - 2.0 * a * r) / (2.0 * (h - r))
        lean = math.atan2(a - r, R - h)
    haunch = (r * (_UP - lean), 1.0 / r)
    return ArcSpline(Pose(a, 0.0, _UP), (haunch, (2.0 * R * lean, 1.0 / R), haunch))


def ellipse(ask: Ellipse) -> ArcSpline:
    """Half an ellipse, in arcs within 0.005 mm of it; the left half mirrors the right one exactly."""
    a, b = ask.span_mm / 2.0, ask.rise_mm
    if math.isclose(a, b, rel_tol=1e-12):
        return ArcSpline(Pose(a, 0.0, _UP), ((math.pi * a, 1.0 / a),))
    return mirrored(fit_biarcs(ellipse_curve(a, b, 0.0, math.pi / 2.0), FIT_TOLERANCE_MM))


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


def chain(ask: Chain) -> ArcSpline:
    """Lines and arcs as listed, starting upright at the origin: where it stands is settled with its ends."""
    pieces = [
        (p.length_mm, 0.0 if p.radius_mm is None else _curvature(i, p.radius_mm)) for i, p in enumerate(ask.pieces)
    ]
    return ArcSpline.of(Pose(0.0, 0.0, _UP), pieces)


def _curvature(index: int, radius_mm: float) -> float:
    if radius_mm == 0.0:
        raise CurveError(
            f"part.arch.pieces[{index}].radius = 0, expected a radius of either sign; leave it out for a straight piece"
        )
    return 1.0 / radius_mm


#: The builder of every arch that is given by its sizes.
BUILDERS: Mapping[type, Callable[[Any], ArcSpline]] = {
    Semicircle: semicircle,
    Segmental: segmental,
    ThreeCentred: three_centred,
    Ellipse: ellipse,
    Pointed: pointed.pointed,
    FourCentred: pointed.four_centred,
    Ogee: pointed.ogee,
    Quarter: pointed.quarter,
    Serpentine: pointed.serpentine,
    Chain: chain,
}

#: Arches of which the builder gives the right half, up to the point at the crown.
WITH_A_POINT = (Pointed, FourCentred, Ogee)
