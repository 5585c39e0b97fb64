"""Stage `holding`: what to set bar or tie to, jaw to jaw over what lies on the part, and what it does to the span.

In: a Pressing, the bar's height and the faces that it bears on. Out: mm, and how far the finished span moves with it.
The pressed curve already holds the spring-back: nothing is added for it here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.form.bar import at_height
from formgen.holding.off_form.standing import across_mm
from formgen.laminate.plies import Laminate
from formgen.lengths import write_tape
from formgen.press.setup import Pressing
from formgen.units import MM_PER_IN

#: Marks on a tape in inches: sixteenths.
MARKS_PER_IN = 16
#: Change of all curvatures, as a share, by which slopes of closed forms are taken, to both sides of 0.
SMALL = 1e-5

Faces = Literal["outside", "inside"]


@fixed
class BarSetting:
    """The setting of the bar, or of a tie across the two ends, with the part as it is pressed and in its bag.

    Args:
        height_mm: y of the bar's centre line; of a tie, y midway between the two places.
        action: `pulls in` (across the outside faces) or `pushes out` (between the inside faces).
        jaw_to_jaw_mm: what the shop sets: over film, breather and the like on both faces, as pressed, the bag on.
        lies: (name, thickness mm) of what lies under each jaw, from the part outward.
        between_legs_mm: wood to wood at that height.
        tape: the mark on the shop's tape nearest to jaw_to_jaw_mm.
        tape_error_mm: what that rounding adds to the distance.
        stations_mm: stations on the pressed centre line that are held, right and left.
        face_offset_mm: from the centre line to the wood's faces there, positive toward the inside.
        lean_rad: greater lean of the two faces from square to the bar.
        span_per_bar: how far the finished span moves for each mm that the bar is moved: positive where both open.
    """

    height_mm: float
    action: Literal["pulls in", "pushes out"]
    jaw_to_jaw_mm: float
    lies: tuple[tuple[str, float], ...]
    between_legs_mm: float
    tape: str
    tape_error_mm: float
    stations_mm: tuple[float, float]
    face_offset_mm: float
    lean_rad: float
    span_per_bar: float

    @property
    def span_mm_per_sixteenth(self) -> float:
        """The move of the finished span, mm, for 1/16 in of bar."""
        return self.span_per_bar * float(MM_PER_IN) / MARKS_PER_IN


def bar_on_form(pressing: Pressing, height_mm: float) -> BarSetting:
    """The bar on the form: across the outside of a male form's part, between the legs of a female form's.

    Raises:
        PressError: the part does not reach that height on two legs.
    """
    return bar_setting(pressing, "outside" if pressing.side == "male" else "inside", height_mm)


def bar_setting(pressing: Pressing, faces: Faces, height_mm: float) -> BarSetting:
    """The bar's setting at a height, on the outside or between the inside faces of the pressed legs.

    `span_per_bar` is that of geometry: lengths stay, and all curvatures of the part and of the finished curve
    change by one and the same share. So it is on the form.

    Args:
        pressing: the part on its form, with what lies on either face.
        faces: the faces that the bar bears on.
        height_mm: y of the bar's centre line, from the springing line up.

    Raises:
        PressError: the part does not reach that height on two legs.

    Assumptions:
        What lies under a jaw is as thick as the bag presses it; the jaw itself presses it no thinner.
    """
    laminate, lies = pressing.laminate, lying_on(pressing, faces)
    outward = -1.0 if faces == "outside" else 1.0
    face = outward * laminate.thickness_mm / 2.0
    wood, stations, _ = at_height(laminate, face, height_mm)
    jaws, _, _ = at_height(laminate, face + outward * math.fsum(mm for _, mm in lies), height_mm)
    leans = (math.asin(min(1.0, abs(math.cos(laminate.pressed.pose(s).heading_rad)))) for s in stations)
    return _setting(laminate, faces, height_mm, lies, (wood, jaws), stations, face, max(leans))


def tie_setting(pressing: Pressing) -> BarSetting:
    """The setting of a tie across the two ends, corner to corner on the outside.

    The lean is that of the ends' faces from square to the tie: half the sweep of an arch, less a quarter turn.
    """
    laminate, lies = pressing.laminate, lying_on(pressing, "outside")
    face = -laminate.thickness_mm / 2.0
    ends = (0.0, laminate.pressed.length_mm)
    over = face - math.fsum(mm for _, mm in lies)
    wood, jaws = (across_mm(laminate.pressed, ends, offset) for offset in (face, over))
    start, end = laminate.pressed.start, laminate.pressed.end
    chord = math.atan2(end.y_mm - start.y_mm, end.x_mm - start.x_mm)
    lean = max(abs(math.pi / 2.0 - abs(math.remainder(p.heading_rad - chord, math.tau))) for p in (start, end))
    height = (start.y_mm + end.y_mm) / 2.0
    return _setting(laminate, "outside", height, lies, (wood, jaws), ends, face, lean)


def tape_findings(setting: BarSetting, laminate: Laminate) -> list[Finding]:
    """List where setting the bar to the nearest mark alone moves the finished span past the tolerance."""
    if not math.isfinite(setting.span_per_bar):
        return []
    part, units = laminate.recipe.part, laminate.recipe.units
    moved = abs(setting.tape_error_mm * setting.span_per_bar)
    if moved <= part.tolerance_mm:
        return []
    case = "usual" if {"part.tolerance_mm", "form.spreader_bar"} <= set(laminate.recipe.taken) else "asked"
    return [finding("press.bar-tape", units, case, value=moved, limit=part.tolerance_mm, mark=setting.jaw_to_jaw_mm)]


def lying_on(pressing: Pressing, faces: Faces) -> tuple[tuple[str, float], ...]:
    """List what lies on the part's outside or inside face: the form's side carries `between`, the other `over`."""
    near: Faces = "inside" if pressing.side == "male" else "outside"
    return pressing.between if faces == near else pressing.over


def measured_offset_mm(laminate: Laminate) -> float:
    """From the part's centre line to the face that the opening was measured on, positive toward the inside."""
    sign = {"inside": 1.0, "outside": -1.0, "centre": 0.0}[laminate.recipe.part.measured_on]
    return sign * laminate.thickness_mm / 2.0


def _setting(
    laminate: Laminate,
    faces: Faces,
    height_mm: float,
    lies: Sequence[tuple[str, float]],
    wood_and_jaws_mm: tuple[float, float],
    stations_mm: tuple[float, float],
    face_offset_mm: float,
    lean_rad: float,
) -> BarSetting:
    units = laminate.recipe.units
    wood, jaws = wood_and_jaws_mm
    return BarSetting(
        height_mm=height_mm,
        action="pulls in" if faces == "outside" else "pushes out",
        jaw_to_jaw_mm=jaws,
        lies=tuple(lies),
        between_legs_mm=wood,
        tape=write_tape(jaws, units),
        tape_error_mm=_on_the_tape(jaws, units) - jaws,
        stations_mm=stations_mm,
        face_offset_mm=face_offset_mm,
        lean_rad=lean_rad,
        span_per_bar=_span_per_bar(laminate, stations_mm, face_offset_mm),
    )


def _span_per_bar(laminate: Laminate, held_mm: tuple[float, float], offset_mm: float) -> float:
    """Slope of the finished span by the bar, both closed by one share of curvature; NaN where the bar feels nothing."""
    finished, face = laminate.arch.target, measured_offset_mm(laminate)
    bar, span = (
        across_mm(curve.scaled_curvature(1.0 + SMALL), stations, offset)
        - across_mm(curve.scaled_curvature(1.0 - SMALL), stations, offset)
        for curve, stations, offset in ((laminate.pressed, held_mm, offset_mm), (finished, laminate.springing_mm, face))
    )
    return span / bar if bar else math.nan


def _on_the_tape(mm: float, units: Literal["in", "mm"]) -> float:
    step = float(MM_PER_IN) / MARKS_PER_IN if units == "in" else 1.0
    return round(mm / step) * step
