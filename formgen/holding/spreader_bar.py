"""Stage `holding`: the spreader bar's setting, a length that a tape measures, and what it does to the span.

In: a Laminate, the side of the form and the bar's height. Out: mm, and how far the finished span moves with the bar.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from formgen.curve.arcspline import ArcSpline
from formgen.form.bar_touch import bar_touch
from formgen.laminate.plies import Laminate
from formgen.lengths import write_tape
from formgen.press.film import Side
from formgen.units import MM_PER_IN

Array = NDArray[np.float64]

#: Marks on a tape in inches: sixteenths.
MARKS_PER_IN = 16
#: Change of all curvatures, as a share, by which slopes of closed forms are taken, to both sides of 0.
SMALL = 1e-5


@dataclass(frozen=True, kw_only=True)
class BarSetting:
    """What the bar holds, with the part as it is pressed.

    Args:
        height_mm: y of the bar's centre line.
        action: `pulls in` (male form) or `pushes out` (female form).
        between_legs_mm: distance between the legs' outside faces (male) or inside faces (female) at that height.
        tape: the nearest mark on the shop's tape, `≈` where that changed it.
        tape_error_mm: what that rounding adds to the distance.
        stations_mm: stations on the pressed centre line that the bar holds, right and left.
        face_offset_mm: from the centre line to the faces that the bar touches, positive toward the inside.
        lean_rad: greater lean from upright of the two legs there.
        span_per_bar: how far the finished span moves for each mm that the bar is moved: positive where both open.
    """

    height_mm: float
    action: Literal["pulls in", "pushes out"]
    between_legs_mm: float
    tape: str
    tape_error_mm: float
    stations_mm: tuple[float, float]
    face_offset_mm: float
    lean_rad: float
    span_per_bar: float

    @property
    def span_mm_per_sixteenth(self) -> float:
        """How far the finished span moves, mm, where the bar is 1/16 in out."""
        return self.span_per_bar * float(MM_PER_IN) / MARKS_PER_IN


def bar_setting(laminate: Laminate, side: Side, height_mm: float) -> BarSetting:
    """The bar's setting at a height: the distance between the faces that it touches on the pressed legs.

    `span_per_bar` is that of geometry: lengths stay, and all curvatures of the part and of the finished curve
    change by one and the same share. So it is on the form, and off it while friction locks the plies.

    Args:
        laminate: the plies, pressed.
        side: `male` (the bar pulls the outside faces in) or `female` (it pushes the inside faces out).
        height_mm: y of the bar's centre line, from the springing line up.

    Raises:
        PressError: the part does not reach that height on two legs.
    """
    touch, units = bar_touch(laminate, side, height_mm), laminate.arch.recipe.asked.units
    return BarSetting(
        height_mm=height_mm,
        action="pulls in" if side == "male" else "pushes out",
        between_legs_mm=touch.between_mm,
        tape=write_tape(touch.between_mm, units),
        tape_error_mm=_on_the_tape(touch.between_mm, units) - touch.between_mm,
        stations_mm=touch.stations_mm,
        face_offset_mm=touch.face_offset_mm,
        lean_rad=touch.lean_rad,
        span_per_bar=_span_per_bar(laminate, touch.stations_mm, touch.face_offset_mm),
    )


def measured_offset_mm(laminate: Laminate) -> float:
    """From the part's centre line to the face that the opening was measured on, positive toward the inside."""
    sign = {"inside": 1.0, "outside": -1.0, "centre": 0.0}[laminate.arch.recipe.asked.part.measured_on]
    return sign * laminate.thickness_mm / 2.0


def apart_mm(curve: ArcSpline, stations_mm: tuple[float, float], offset_mm: float) -> float:
    """Distance between two points set off to the left of a curve."""
    a, b = (curve.pose(s).beside(offset_mm) for s in stations_mm)
    return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)


def _span_per_bar(laminate: Laminate, held_mm: tuple[float, float], offset_mm: float) -> float:
    """Slope of the finished span by the bar, both closed by one share of curvature; NaN where the bar feels nothing."""
    finished, face = laminate.arch.target, measured_offset_mm(laminate)
    bar, span = (
        apart_mm(curve.scaled_curvature(1.0 + SMALL), stations, offset)
        - apart_mm(curve.scaled_curvature(1.0 - SMALL), stations, offset)
        for curve, stations, offset in (
            (laminate.pressed, held_mm, offset_mm),
            (finished, laminate.springing_mm, face),
        )
    )
    return span / bar if bar else math.nan


def _on_the_tape(mm: float, units: Literal["in", "mm"]) -> float:
    step = float(MM_PER_IN) / MARKS_PER_IN if units == "in" else 1.0
    return round(mm / step) * step
