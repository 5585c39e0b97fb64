"""Stage `curve`: from the recipe to the arch: the measured curve, and the centre line that the part must end up with.

In: a `Recipe`. Out: an `Arch`, its curves in mm in the arch's axes: origin at midspan on the springing line,
which for an arch with a point is the foot of the upright plane that the halves meet in. It knows nothing of
plies but their thickness together, and nothing of spring-back.

Last come the two ends. At the point of an arch the centre line of the right half ends exactly on that plane, with the
lean of the saw cut there. The straight legs that are bent in one with the arch run on as the curve ends; a leg that
stands plumb under an arch that springs at an angle makes a corner that plies cannot take: the head is then a part of
its own.
"""

from __future__ import annotations

import math
from dataclasses import replace

from formgen.amounts import angle_text
from formgen.curve.arch import LONGEST_MM, Arch, carried, levelled, size
from formgen.curve.arches import Springs, kind_of
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import crossing
from formgen.lengths import Units, read_length, write_length
from formgen.recipe.model import Recipe
from formgen.recipe.schema import Legs, PartAsk

#: Springing points this near level, as a share of the span between them, count as level.
_LEVEL_SHARE = 0.01

#: Share of its turning that an arch may turn the other way (a fair curve through readings wavers).
_WAVER_SHARE = 0.02

#: A piece that bows by less than this is straight (mm).
_STRAIGHT_MM = 1e-6

#: An arch that springs within half a degree of plumb springs plumb: 3 mm on a leg of 340 mm.
PLUMB_WITHIN_RAD = math.radians(0.5)
_ENDS = ("right", "left")


def make_arch(recipe: Recipe) -> Arch:
    """The arch: measured curve, centre line of the part, where it springs.

    Raises:
        CurveError: a curve that does not exist, a straight one, or one too tight for the part's thickness.
    """
    part = recipe.part
    thickness = thickness_mm(recipe)
    kind = kind_of(part.arch)
    given = kind.make(part.arch, recipe)
    springs = given.springs or kind.springs
    leans = off_plumb_rad(given.curve, to_level=springs.to_level)
    right_mm, left_mm, in_a_corner = standing_legs(part, springs, leans, recipe.units)
    measured = given.curve.with_legs(right_mm, left_mm)
    springing = _springing(measured)
    two_legged = _two_legged(springs, measured, springing)
    fit = given.fit
    if springs.to_level:
        before = measured.start
        measured = levelled(measured, springing, two_legged)
        fit = fit and replace(fit, at_mm=carried(fit.at_mm, before, measured.start))
    try:
        _refuse_impossible(part, springs, measured, thickness)
    except CurveError as err:
        slip = next((found for found in given.findings if found.code == "curve.bad-reading"), None)
        raise err if slip is None else CurveError(f"{err}; likely cause: {slip.message}") from err
    target = measured.parallel({"inside": -0.5, "centre": 0.0, "outside": 0.5}[part.measured_on] * thickness)
    findings, mitre = (*given.findings, *in_a_corner), 0.0
    if springs is Springs.HALF:
        target, mitre, more = to_the_plane(target, thickness, part.end_trim_mm, recipe.units)
        findings = (*findings, *more)
    return Arch(
        recipe=recipe,
        measured=measured,
        target=target,
        thickness_mm=thickness,
        # legs are straight, so that the centre line has them at their full length; without a leg the end itself springs
        springing_mm=(springing[0], target.length_mm - (measured.length_mm - springing[1])),
        two_legged=two_legged,
        copies=2 if springs is Springs.HALF else 1,
        mitre_rad=(0.0, mitre),
        fit=fit,
        findings=findings,
    )


def thickness_mm(recipe: Recipe) -> float:
    """Thickness of the part: the sum of its ply groups, or the thickness given for equal plies."""
    laminate = recipe.asked.laminate
    if isinstance(laminate.plies, tuple):
        return math.fsum(group.count * group.thickness_mm for group in laminate.plies)
    if laminate.thickness_mm is None:
        raise CurveError(
            "laminate.thickness is missing, expected the part's thickness beside a number of plies; add it"
        )
    return laminate.thickness_mm


def _springing(curve: ArcSpline) -> tuple[float, float]:
    """Stations where the straight run at the start ends and where the one at the far end begins."""
    straight = [abs(k) * n * n / 8.0 < _STRAIGHT_MM for n, k in curve.pieces]
    if all(straight):
        raise CurveError("part.arch is straight, expected a curve; a straight part needs no bending form")
    first, last = straight.index(False), len(straight) - straight[::-1].index(False)
    return float(curve.stations_mm[first]), float(curve.stations_mm[last])


def _two_legged(springs: Springs, curve: ArcSpline, springing: tuple[float, float]) -> bool:
    """Tell whether a bar can hold both legs: level springing points under a curve that bends one way."""
    if springs not in {Springs.AS_ENDS_LIE, Springs.AS_LEGS_LEAN}:
        return springs is Springs.LEVEL_PAIR
    other_way = math.fsum(-n * k for n, k in curve.pieces if k < 0.0)
    if curve.sweep_rad <= 0.0 or other_way > _WAVER_SHARE * curve.sweep_rad:
        return False
    right, left = (curve.pose(s) for s in springing)
    across, up = right.x_mm - left.x_mm, right.y_mm - left.y_mm
    if springs is Springs.AS_ENDS_LIE:
        return across > 0.0 and abs(up) <= _LEVEL_SHARE * across
    # Such an arch has no level of its own: it has two legs where straight runs lean alike at both its ends.
    leans = right.heading_rad + left.heading_rad - 2.0 * math.atan2(up, across)
    has_legs = springing[0] > 0.0 and springing[1] < curve.length_mm
    return has_legs and abs(math.remainder(leans, 2.0 * math.pi)) <= 2.0 * _LEVEL_SHARE


def _refuse_impossible(part: PartAsk, springs: Springs, measured: ArcSpline, thickness: float) -> None:
    """Refuses a curve that crosses itself, or of which a face of the part would turn inside out."""
    if measured.length_mm > LONGEST_MM:
        raise CurveError(
            f"part.arch and part.legs are {size(measured.length_mm)} long together, expected at most "
            f"{LONGEST_MM // 1000} m; look at the units"
        )
    faces = {"inside": (0.0, -thickness), "centre": (thickness / 2.0, -thickness / 2.0), "outside": (thickness, 0.0)}
    for offset in faces[part.measured_on]:
        for curvature in measured.curvature_range_per_mm:
            if curvature * offset >= 1.0 - 1e-9:
                where = {"inside": "inside face", "outside": "outside face", "centre": "centre line"}[part.measured_on]
                raise CurveError(
                    f"part.arch has a radius of {size(1.0 / abs(curvature))} on its {where}, expected more than "
                    f"{size(abs(offset))}, or the other face of a part {size(thickness)} thick turns inside out; "
                    "make the part thinner or the curve wider"
                )
    crossed = crossing(measured)
    if crossed is not None:
        what, remedy = ("part.arch", "its pieces") if springs is Springs.AS_LEGS_LEAN else ("part.legs", "the legs")
        raise CurveError(
            f"{what}: the curve crosses itself at x {size(crossed[0])}, y {size(crossed[1])}, expected one that does "
            f"not; shorten {remedy}"
        )


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


def standing_legs(
    part: PartAsk, springs: Springs, leans_rad: tuple[float, float], units: Units
) -> tuple[float, float, tuple[Finding, ...]]:
    """The legs that are bent in one with the arch.

    Args:
        part: what the recipe says of the part.
        springs: what the arch springs from. Halves are made on one form; where the right end alone springs (half an
            arch, a quarter) one length means that end.
        leans_rad: how far the curve leans from plumb at its right and its left end, without legs.
        units: the recipe's.

    Returns:
        Lengths of the right and the left leg, 0 for none; a finding on legs that were asked for and stand in a corner.

    Raises:
        CurveError: the arch springs at an angle and the recipe does not say how the legs run; or halves with unlike
            legs.
    """
    asked = part.legs if isinstance(part.legs, Legs) else Legs.model_construct(length_mm=part.legs)
    right, left = asked.right_and_left_mm
    halves = springs is Springs.HALF
    if halves and right != left:
        raise CurveError(
            f"part.legs = {size(right)} right and {size(left)} left, expected both alike: the halves of an "
            "arch with a point are made on one form; make two recipes"
        )
    if halves or (springs is Springs.ONE and asked.length_mm is not None):
        left = 0.0
    ends = zip(_ENDS, (right, left), leans_rad, strict=True)
    corners = {end: (mm, lean) for end, mm, lean in ends if mm > 0.0 and lean > PLUMB_WITHIN_RAD}
    if not corners or asked.run == "tangent":
        return right, left, ()
    lean = max(lean for _, lean in corners.values())
    if asked.run is None:
        raise CurveError(_what_to_type(asked, lean, units))
    found = finding(
        "curve.plumb-legs",
        units,
        value=math.degrees(lean),
        limit=math.degrees(PLUMB_WITHIN_RAD),
        lean=lean,
        ends="both" if len(corners) == 2 else next(iter(corners)),
        run_on=part.end_trim_mm,
        legs=tuple(dict.fromkeys(mm for mm, _ in corners.values())),
    )
    return 0.0 if "right" in corners else right, 0.0 if "left" in corners else left, (found,)


def off_plumb_rad(curve: ArcSpline, *, to_level: bool) -> tuple[float, float]:
    """Find how far the curve leans from plumb at its right and its left end (0 to π/2, whichever way it leans).

    Args:
        curve: from the right end to the left, without legs.
        to_level: it has no axes of its own yet, and is level along its springing points.
    """
    level = 0.0
    if to_level:
        right, left = (curve.pose(s) for s in _springing(curve))
        level = math.atan2(right.y_mm - left.y_mm, right.x_mm - left.x_mm)
    at_right, at_left = (
        abs(math.remainder(end.heading_rad - level - math.pi / 2.0, math.pi)) for end in (curve.start, curve.end)
    )
    return at_right, at_left


def _what_to_type(asked: Legs, angle_rad: float, units: Units) -> str:
    """The refusal of legs that may stand either way, with both lines to type."""
    given = (("length", asked.length_mm), ("right", asked.right_mm), ("left", asked.left_mm))
    sizes = ", ".join(f"{key}: {_typed(length, units)}" for key, length in given if length is not None)
    got = _typed(asked.length_mm, units) if asked.length_mm is not None else f"{{{sizes}}}"
    return (
        f"part.legs = {got}, expected {{{sizes}, run: plumb}} or {{{sizes}, run: tangent}}: "
        f"this arch springs {angle_text(angle_rad)} from plumb"
    )


def _typed(length_mm: float, units: Units) -> str:
    """The length as the recipe could write it, nothing rounded away."""
    text = write_length(length_mm, units)
    exact = units == "in" and math.isclose(read_length(text, units), length_mm, abs_tol=1e-6)
    return text if exact else f"{length_mm:.10g} mm"
