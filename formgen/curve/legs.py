"""Stage `curve`: which straight legs stand below an arch, and which make a corner that plies cannot take.

In: how the measured curve springs without the recipe's legs, rad, and what the recipe says of legs, mm. Out: the legs
that are bent in one with the arch, each running on as the curve ends. A leg that stands plumb under an arch that
springs at an angle is not one of them: the head is then a part of its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from formgen.curve.impossible import size
from formgen.errors import CurveError
from formgen.findings import Finding, finding
from formgen.geometry.arcspline import ArcSpline
from formgen.lengths import Units, read_length, write_length
from formgen.recipe.schema import Legs, PartAsk

#: An arch that springs within half a degree of plumb springs plumb: 3 mm on a leg of 340 mm.
PLUMB_WITHIN_RAD = math.radians(0.5)
_ENDS = ("right", "left")


@dataclass(frozen=True, kw_only=True)
class StandingLegs:
    """The legs that are bent in one with the arch.

    Args:
        right_mm, left_mm: their lengths, 0 for none.
        findings: legs that were asked for and stand in a corner.
    """

    right_mm: float
    left_mm: float
    findings: tuple[Finding, ...] = ()


def standing_legs(
    part: PartAsk, off_plumb_rad: tuple[float, float], units: Units, *, halves: bool, one_springing: bool
) -> StandingLegs:
    """The legs of an arch.

    Args:
        part: what the recipe says of the part.
        off_plumb_rad: how far the curve leans from plumb at its right and its left end, without legs.
        units: the recipe's.
        halves: a point splits the opening into two halves, which are made on one form.
        one_springing: only the right end springs (half an arch, a quarter): one length means that end alone.

    Raises:
        CurveError: the arch springs at an angle and the recipe does not say how the legs run; or halves with unlike
            legs.
    """
    asked = part.legs if isinstance(part.legs, Legs) else Legs.model_construct(length_mm=part.legs)
    lengths = asked.right_and_left_mm
    if halves and lengths[0] != lengths[1]:
        raise CurveError(
            f"part.legs = {size(lengths[0])} right and {size(lengths[1])} left, expected both alike: the halves of an "
            "arch with a point are made on one form; make two recipes"
        )
    if halves or (one_springing and asked.length_mm is not None):
        lengths = (lengths[0], 0.0)
    corners = [length > 0.0 and angle > PLUMB_WITHIN_RAD for length, angle in zip(lengths, off_plumb_rad, strict=True)]
    if not any(corners) or asked.run == "tangent":
        return StandingLegs(right_mm=lengths[0], left_mm=lengths[1])
    angle = max(angle for angle, corner in zip(off_plumb_rad, corners, strict=True) if corner)
    if asked.run is None:
        raise CurveError(_what_to_type(asked, angle, units))
    right, left = (0.0 if corner else length for length, corner in zip(lengths, corners, strict=True))
    return StandingLegs(right_mm=right, left_mm=left, findings=(_corner(part, lengths, corners, angle, units),))


def off_plumb_rad(curve: ArcSpline, level_rad: float = 0.0) -> tuple[float, float]:
    """Find how far the curve leans from plumb at its right and its left end (0 to π/2, whichever way it leans).

    Args:
        curve: from the right end to the left.
        level_rad: direction of the springing line, from the left springing point to the right one.
    """
    return _lean(curve.start.heading_rad - level_rad), _lean(curve.end.heading_rad - level_rad)


def _lean(heading_rad: float) -> float:
    """The lean from upright of a line in this direction, 0 to π/2."""
    return abs(math.remainder(heading_rad - math.pi / 2.0, math.pi))


def _degrees(angle_rad: float) -> str:
    degrees = math.degrees(angle_rad)
    return f"{degrees:.0f}°" if degrees >= 10.0 else f"{degrees:.1f}°"


def _what_to_type(asked: Legs, angle_rad: float, units: Units) -> str:
    """The refusal of legs that may stand either way, with both lines to type."""
    given = (("length", asked.length_mm), ("right", asked.right_mm), ("left", asked.left_mm))
    sizes = ", ".join(f"{key}: {_typed(length, units)}" for key, length in given if length is not None)
    got = _typed(asked.length_mm, units) if asked.length_mm is not None else f"{{{sizes}}}"
    return (
        f"part.legs = {got}, expected {{{sizes}, run: plumb}} or {{{sizes}, run: tangent}}: "
        f"this arch springs {_degrees(angle_rad)} from plumb"
    )


def _typed(length_mm: float, units: Units) -> str:
    """The length as the recipe could write it, nothing rounded away."""
    text = write_length(length_mm, units)
    exact = units == "in" and math.isclose(read_length(text, units), length_mm, abs_tol=1e-6)
    return text if exact else f"{length_mm:.10g} mm"


def _corner(
    part: PartAsk, lengths: tuple[float, float], corners: list[bool], angle_rad: float, units: Units
) -> Finding:
    left_out = {end: length for end, length, corner in zip(_ENDS, lengths, corners, strict=True) if corner}
    return finding(
        "curve.plumb-legs",
        units,
        value=math.degrees(angle_rad),
        limit=math.degrees(PLUMB_WITHIN_RAD),
        lean=angle_rad,
        ends="both" if len(left_out) == 2 else next(iter(left_out)),
        run_on=part.end_trim_mm,
        legs=tuple(dict.fromkeys(left_out.values())),
    )
