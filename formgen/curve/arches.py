"""Stage `curve`: the table of arches, a row for each that a recipe can name; and the builders of those by sizes.

In: a model of the recipe, mm and rad. Out: the measured curve from the right springing point over the crown to the
left one, without legs; origin at midspan on the springing line, y up. An arch with a point gives its right half only,
from the springing to the point: the part is made twice and the second is turned over. All that the stage asks of a
kind of arch stands in its row; every picture of one is drawn from the curve that it gives.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from enum import StrEnum
from typing import Any, NamedTuple

from formgen.curve import struck
from formgen.curve.arch import Fit, impossible, size
from formgen.curve.drawn.path import read_drawing
from formgen.curve.measured.points import measured_points
from formgen.errors import CurveError
from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.biarc import FIT_TOLERANCE_MM, ellipse_curve, fit_biarcs, mirrored
from formgen.geometry.pose import Pose
from formgen.recipe.arch_kinds import (
    Chain,
    Drawing,
    Ellipse,
    FourCentred,
    Ogee,
    Pointed,
    Points,
    Quarter,
    Segmental,
    Semicircle,
    Serpentine,
    ThreeCentred,
)
from formgen.recipe.model import Recipe
from formgen.recipe.strict import Strict

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
        Textbook construction: r₁ = s/4, R₂ = s/4 + s/√2.
    """
    s, a = ask.span_mm, ask.span_mm / 2.0
    if ask.rise_mm is None or ask.springing_radius_mm is None or ask.crown_radius_mm is None:
        r, R = s / 4.0, s / 4.0 + s / math.sqrt(2.0)
        upper = (-s / 4.0, -s / 2.0)
    else:
        r, R = ask.springing_radius_mm, ask.crown_radius_mm
        upper = _upper_centre(a, ask.rise_mm, r, R)
    return struck.four_centred(a, r, R, upper)


def _upper_centre(a: float, h: float, r: float, R: float) -> tuple[float, float]:
    """Centre of the upper right arc of a four-centred arch, from half the span, rise and both radii."""
    if r >= min(a, h):
        raise impossible(
            "springing_radius",
            r,
            f"under half the span and under the rise ({size(min(a, h))})",
            "use a smaller springing radius",
        )
    least = struck.least_crown_radius_mm(a, h, r)
    if not least < R:
        raise impossible(
            "crown_radius",
            R,
            f"above {size(least)} for this span, rise and springing radius",
            "below that the arcs make no point; use a larger crown radius",
        )
    return struck.upper_centre(a, h, r, R)


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
        _refuse_high(h, a)
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


def _refuse_high(h: float, a: float) -> None:
    """Refuses a rise of half the span or more, under which no flatter arch than a semicircle fits."""
    if h >= a:
        raise impossible(
            "rise", h, f"under half the span ({size(a)})", "use a semicircle, an ellipse or a pointed arch"
        )


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
        _refuse_high(h, a)
        if r is None:
            d = math.hypot(a, h)
            r = d * (d - a + h) / (2.0 * a)
        elif r >= h:
            raise impossible("springing_radius", r, f"under the rise ({size(h)})", "use a smaller springing radius")
        R, lean = struck.crown(a, h, r)
    return struck.three_centred(a, r, R, lean)


def ellipse(ask: Ellipse) -> ArcSpline:
    """Half an ellipse, in arcs within 0.005 mm of it; the left half mirrors the right one exactly."""
    a, b = ask.span_mm / 2.0, ask.rise_mm
    if math.isclose(a, b, rel_tol=1e-12):
        return ArcSpline(Pose(a, 0.0, _UP), ((math.pi * a, 1.0 / a),))
    return mirrored(fit_biarcs(ellipse_curve(a, b, 0.0, math.pi / 2.0), FIT_TOLERANCE_MM))


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


class Springs(StrEnum):
    """The springings of an arch before the recipe gives it legs."""

    LEVEL_PAIR = "two level springing points"
    HALF = "one springing point, and a mitre at the crown: the opening takes two such parts"
    ONE = "one springing point"
    NONE = "two ends that stand on nothing"
    AS_ENDS_LIE = "whatever its two ends are found to be, which settle where it is level too"
    AS_LEGS_LEAN = "whatever straight runs it ends in, which settle where it is level too"

    @property
    def to_level(self) -> bool:
        """Its place in the plane is settled by where its ends lie."""
        return self in {Springs.AS_ENDS_LIE, Springs.AS_LEGS_LEAN}


class Given(NamedTuple):
    """A measured curve as built, fitted or read, how well it fits, and what was found on the way.

    Args:
        curve: from the right end to the left.
        fit: how well it fits; None for an arch by sizes.
        findings: what was found on the way.
        springs: what it stands on, where that follows from what was fitted; None: as its kind does.
    """

    curve: ArcSpline
    fit: Fit | None = None
    findings: tuple[Finding, ...] = ()
    springs: Springs | None = None


@fixed
class ArchKind:
    """A row of the table.

    Args:
        model: what a recipe gives of it.
        make: its measured curve, from its model, its recipe's tolerance, units and folder.
        springs: what it stands on.
    """

    model: type[Strict]
    make: Callable[[Any, Recipe], Given]
    springs: Springs


def _measured(ask: Points, recipe: Recipe) -> Given:
    """A curve fitted to readings; an arch with a point is a half, whatever its readings cover."""
    curve, fit, findings = measured_points(ask, recipe.part.tolerance_mm, recipe.units)
    return Given(curve, fit, findings, Springs.HALF if fit.what == "four-centred arch" else None)


def _by_sizes(model: type[Strict], build: Callable[[Any], ArcSpline], springs: Springs) -> ArchKind:
    return ArchKind(model=model, make=lambda ask, _: Given(build(ask)), springs=springs)


#: Every arch that a recipe can name.
ARCHES: tuple[ArchKind, ...] = (
    _by_sizes(Semicircle, semicircle, Springs.LEVEL_PAIR),
    _by_sizes(Segmental, segmental, Springs.LEVEL_PAIR),
    _by_sizes(ThreeCentred, three_centred, Springs.LEVEL_PAIR),
    _by_sizes(Ellipse, ellipse, Springs.LEVEL_PAIR),
    _by_sizes(Pointed, pointed, Springs.HALF),
    _by_sizes(FourCentred, four_centred, Springs.HALF),
    _by_sizes(Ogee, ogee, Springs.HALF),
    _by_sizes(Quarter, quarter, Springs.ONE),
    _by_sizes(Serpentine, serpentine, Springs.NONE),
    _by_sizes(Chain, chain, Springs.AS_LEGS_LEAN),
    ArchKind(
        model=Points,
        make=_measured,
        springs=Springs.AS_ENDS_LIE,
    ),
    ArchKind(
        model=Drawing,
        make=lambda ask, recipe: Given(*read_drawing(ask, recipe.folder, recipe.units, recipe.part.measured_on)),
        springs=Springs.AS_ENDS_LIE,
    ),
)


def kind_of(ask: Strict) -> ArchKind:
    """The row of an arch.

    Raises:
        LookupError: an arch that a recipe can name has no row.
    """
    for row in ARCHES:
        if row.model is type(ask):
            return row
    raise LookupError(f"ARCHES has no row for {type(ask).__name__}: add what makes it and what it stands on")
