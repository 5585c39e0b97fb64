"""Stage `curve`: arches that come to a point, and those that are half an arch: one curve on one side of the crown.

In: the models of the recipe, mm. Out: the measured curve from the right springing point, without legs, in
axes whose origin is at midspan on the springing line. An arch with a point gives its right half only, from
the springing to the point: the part is made twice and the second is turned over.
"""

from __future__ import annotations

import math

from formgen.curve.impossible import impossible, size
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.recipe.arch_kinds import FourCentred, Ogee, Pointed, Quarter, Serpentine

_UP = math.pi / 2.0


def pointed(ask: Pointed) -> ArcSpline:
    """Right half of a pointed arch: one arc, its centre on the springing line.

    Raises:
        CurveError: rise or radius so small that the two arcs make no point.

    Reference:
        Textbook construction: R = (s²/4 + h²)/s; equilateral where R = s.
    """
    a = ask.span_mm / 2.0
    radius = ask.radius_mm or ask.span_mm
    if ask.radius_mm is not None and ask.radius_mm <= a:
        raise impossible(
            "radius",
            ask.radius_mm,
            f"above half the span ({size(a)})",
            "two such arcs make no point; use a larger radius, or a semicircle",
        )
    if ask.rise_mm is not None:
        if ask.rise_mm <= a:
            raise impossible(
                "rise", ask.rise_mm, f"above half the span ({size(a)})", "a lower arch with a point is four-centred"
            )
        radius = (a * a + ask.rise_mm**2) / (2.0 * a)
    sweep = math.acos(1.0 - a / radius)
    return ArcSpline(Pose(a, 0.0, _UP), ((radius * sweep, 1.0 / radius),))


def four_centred(ask: FourCentred) -> ArcSpline:
    """Right half of a four-centred arch: a small arc at the springing, a large one up to the point.

    With the span alone it is struck on the span in four: lower centres at the quarter points, upper centres
    under the opposite quarter points, half the span below the springing line.

    Raises:
        CurveError: sizes between which no such pair of arcs runs.

    Reference:
        Textbook construction: r₁ = s/4, R₂ = s/4 + s/√2. In general the upper centre is where the circle of
        radius R₂ about the point crosses the circle of radius R₂ − r₁ about the lower centre.
    """
    s, a = ask.span_mm, ask.span_mm / 2.0
    if ask.rise_mm is None or ask.springing_radius_mm is None or ask.crown_radius_mm is None:
        r, R = s / 4.0, s / 4.0 + s / math.sqrt(2.0)
        cx, cy = -s / 4.0, -s / 2.0
    else:
        r, R = ask.springing_radius_mm, ask.crown_radius_mm
        cx, cy = _upper_centre(a, ask.rise_mm, r, R)
    lower = math.atan2(-cy, a - r - cx)  # the lower arc turns from level to the line of both centres
    upper = math.acos(-cx / R) - lower
    return ArcSpline(Pose(a, 0.0, _UP), ((r * lower, 1.0 / r), (R * upper, 1.0 / R)))


def _upper_centre(a: float, h: float, r: float, R: float) -> tuple[float, float]:
    """Centre of the upper right arc of a four-centred arch, from half the span, rise and both radii."""
    if r >= min(a, h):
        raise impossible(
            "springing_radius",
            r,
            f"under half the span and under the rise ({size(min(a, h))})",
            "use a smaller springing radius",
        )
    least = max((a * a + h * h - 2.0 * a * r) / (2.0 * (h - r)), (a * a + h * h) / (2.0 * a), r)
    if not least < R:
        raise impossible(
            "crown_radius",
            R,
            f"above {size(least)} for this span, rise and springing radius",
            "below that the arcs make no point; use a larger crown radius",
        )
    # From the lower centre (a − r, 0) to the point (0, h), and the crossing of the two circles to its left.
    px, py = r - a, h
    apart = math.hypot(px, py)
    along = (apart * apart + (R - r) ** 2 - R * R) / (2.0 * apart)
    across = math.sqrt(max((R - r) ** 2 - along * along, 0.0))
    return a - r + (along * px - across * py) / apart, (along * py + across * px) / apart


def ogee(ask: Ogee) -> ArcSpline:
    """Right half of an ogee arch: a lower arc with its centre inside, an upper one reversed, upright at both ends.

    Raises:
        CurveError: a rise under half the span (the curve would dip before the point), or a lower radius
            that leaves nothing for the upper arc.

    Reference:
        Textbook construction: r₁ + r₂ = (a² + h²)/(2a), a half the span.
    """
    a, h = ask.span_mm / 2.0, ask.rise_mm
    if h < a:
        raise impossible(
            "rise",
            h,
            f"at least half the span ({size(a)})",
            "a lower ogee dips before its point; use a four-centred arch",
        )
    both = (a * a + h * h) / (2.0 * a)
    r = ask.lower_radius_mm or both / 2.0
    if r >= both:
        raise impossible(
            "lower_radius", r, f"under {size(both)}, which is both radii together", "use a smaller lower radius"
        )
    turn = 2.0 * math.atan2(a, h)
    return ArcSpline(Pose(a, 0.0, _UP), ((r * turn, 1.0 / r), ((both - r) * turn, -1.0 / (both - r))))


def quarter(ask: Quarter) -> ArcSpline:
    """A quarter of a circle about the origin, from its upright springing to its level crown at x = 0."""
    return ArcSpline(Pose(ask.radius_mm, 0.0, _UP), ((ask.radius_mm * math.pi / 2.0, 1.0 / ask.radius_mm),))


def serpentine(ask: Serpentine) -> ArcSpline:
    """Two equal arcs, the right one bending down to the left, the left one back; the origin is where they meet.

    Reference:
        R = (L² + d²)/(4d), each arc turns 2 atan(d/L); L the length between the ends, d the offset.
    """
    L, d = ask.span_mm, ask.offset_mm
    radius, turn = (L * L + d * d) / (4.0 * d), 2.0 * math.atan2(d, L)
    return ArcSpline(Pose(L / 2.0, d / 2.0, math.pi), ((radius * turn, 1.0 / radius), (radius * turn, -1.0 / radius)))
