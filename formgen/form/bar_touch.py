"""Stage `form`: where a bar across the legs touches the pressed part at a height; mm, rad.

In: a Laminate, the side of the form, a height. Out: the two stations and the faces that it touches. It sets no length
for the shop: that is the holding stage's, which knows what lies between jaw and wood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from formgen.errors import PressError
from formgen.geometry.across import same_place
from formgen.laminate.plies import Laminate
from formgen.press.film import Side


@dataclass(frozen=True, kw_only=True)
class BarTouch:
    """The two places where a bar bears on the part as it is pressed.

    Args:
        height_mm: y of the bar's centre line, from the springing line up.
        stations_mm: stations on the pressed centre line, right and left.
        face_offset_mm: from the centre line to the faces that the bar touches, positive toward the inside.
        between_mm: distance between those two faces, wood to wood.
        lean_rad: greater lean from upright of the two legs there.
    """

    height_mm: float
    stations_mm: tuple[float, float]
    face_offset_mm: float
    between_mm: float
    lean_rad: float


def bar_touch(laminate: Laminate, side: Side, height_mm: float) -> BarTouch:
    """Find where a bar at that height bears: on the outside faces for a male form, the inside faces for a female one.

    Raises:
        PressError: the part does not reach that height on two legs.
    """
    offset = (-1 if side == "male" else 1) * laminate.thickness_mm / 2.0
    held = laminate.pressed.parallel(offset)
    crossings = held.at_height(height_mm)
    if len(crossings) < 2:
        raise PressError(
            f"spreader bar at {height_mm:.0f} mm: the part does not reach that height on both legs, "
            "expected a height that it passes twice; move the bar or lengthen the legs"
        )
    poses = [held.pose(s) for s in (crossings[0], crossings[-1])]
    right, left = (same_place(held, laminate.pressed, s) for s in (crossings[0], crossings[-1]))
    return BarTouch(
        height_mm=height_mm,
        stations_mm=(right, left),
        face_offset_mm=offset,
        between_mm=poses[0].x_mm - poses[1].x_mm,
        lean_rad=max(math.asin(min(1.0, abs(math.cos(p.heading_rad)))) for p in poses),
    )
