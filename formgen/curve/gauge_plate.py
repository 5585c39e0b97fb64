"""Stage `curve`: a gauge plate, a flat board with one edge cut to a face of the finished part and a straight back.

In: the part's `Ordinates`. Out: a closed outline with true arcs, and ticks where the stations are; mm, in the axes of
the base line. It is laid against the part: where light shows, the part is off.
"""

from __future__ import annotations

import math
from typing import Literal

from formgen.curve.ordinates import Ordinates, face_of
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point

#: Board left behind the lowest point of the face, or above its highest: room for a hand and for the label (mm).
BACK_MM = 50.0
#: Legs shorter than this are left off the plate (mm).
SHORT_LEG_MM = 20.0
#: A band is made no narrower than half of this, however near the part comes to itself (mm).
LEAST_BAND_MM = 4.0
#: Length of a station's tick (mm).
TICK_MM = 8.0


@fixed
class Tick:
    """A station on the plate: from the face straight into the board."""

    from_a_mm: float
    start: Point
    end: Point


@fixed
class GaugePlate:
    """The plate.

    Args:
        face: which face of the part its edge is: the measured one; the inside where the centre line was measured.
        outline: its edge all round.
        straight_back: whether its back is a line parallel to the base line; else it is a band along the face, since
            the part hooks round behind its own end.
        back_mm: y of the back, or of the lowest point of the band.
        ticks: at the stations between A and B.
    """

    face: Literal["inside", "outside"]
    outline: Outline
    straight_back: bool
    back_mm: float
    ticks: tuple[Tick, ...]


def gauge_plate(found: Ordinates) -> GaugePlate:
    """The plate for the face that was measured."""
    outside = found.measured_on == "outside"
    curve = _edge_curve(found, outside=outside)
    x0, y0, x1, y1 = curve.bounds
    straight = not _hooked(curve, outside=outside)
    back = y1 + BACK_MM if outside else y0 - BACK_MM
    right, left = curve.start, curve.end
    if not straight:
        outline = Outline.of(curve, _band_back(curve, outside=outside).reversed())
        back = outline.bounds[1]
    elif outside:
        sides = ((x0 - BACK_MM, left.y_mm), (x0 - BACK_MM, back), (x1 + BACK_MM, back), (x1 + BACK_MM, right.y_mm))
        outline = Outline.of(curve, *sides)
    elif _on_legs(found) and abs(right.y_mm - left.y_mm) < 1e-6:
        back = left.y_mm
        outline = Outline.of(curve)
    else:
        outline = Outline.of(curve, (left.x_mm, back), (right.x_mm, back))
    return GaugePlate(
        face="outside" if outside else "inside",
        outline=outline,
        straight_back=straight,
        back_mm=back,
        ticks=_ticks(found, outside=outside),
    )


def _on_legs(found: Ordinates) -> bool:
    """Tell whether the plate runs down on both legs."""
    right, left = found.springing_mm[0], found.centre.length_mm - found.springing_mm[1]
    return found.base == "springing line" and min(right, left) >= SHORT_LEG_MM


def _edge_curve(found: Ordinates, *, outside: bool) -> ArcSpline:
    """The face between A and B, run on a little down both legs."""
    offset = (-0.5 if outside else 0.5) * found.thickness_mm
    if found.base != "springing line":
        return face_of(found.centre, offset, found.mitre_rad)
    begin, end = found.springing_mm
    more = min(BACK_MM, begin, found.centre.length_mm - end) if _on_legs(found) else 0.0
    return found.centre.part(begin - more, end + more).parallel(offset)


def _hooked(curve: ArcSpline, *, outside: bool) -> bool:
    """Tell whether a straight cut from either end to the back would meet the face again."""
    for end, way in ((curve.start, 1.0), (curve.end, -1.0)):
        if outside:  # outward, level
            beyond = [way * (curve.pose(s).x_mm - end.x_mm) > 1e-6 for s in curve.at_height(end.y_mm)]
        else:  # straight down
            upright = curve.moved(0.0, 0.0, math.pi / 2.0)
            beyond = [curve.pose(s).y_mm < end.y_mm - 1e-6 for s in upright.at_height(end.x_mm)]
        if any(beyond):
            return True
    return False


def _band_back(curve: ArcSpline, *, outside: bool) -> ArcSpline:
    """The back of a band, halved in width until it keeps clear of the rest of the face."""
    width = min(BACK_MM, 0.5 * curve.tightest_radius_mm)
    while True:
        back = curve.parallel(-width if outside else width)
        near = min(abs(curve.nearest(float(x), float(y))[1]) for x, y in back.sampled(1.0))
        if near > 0.999 * width or width < LEAST_BAND_MM:
            return back
        width /= 2.0


def _ticks(found: Ordinates, *, outside: bool) -> tuple[Tick, ...]:
    into = TICK_MM if outside else -TICK_MM
    ticks = []
    for row in found.rows:
        height = row.outside if outside else row.inside
        if height is not None and 0.0 < row.from_a_mm < found.span_mm:
            start = (row.from_a_mm, height.height_mm)
            ticks.append(Tick(from_a_mm=row.from_a_mm, start=start, end=(start[0], start[1] + into)))
    return tuple(ticks)
