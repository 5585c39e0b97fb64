"""Stage `form`: the body behind the face: a block down to a base line, or a band of one width.

In: a Pressing. Out: a Body, which gives the outline of a layer, whole or in part, plain or set back; mm.
"""

from __future__ import annotations

import math
from typing import Literal

from formgen.errors import CurveError, FormError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import OUTLINE_MM, Outline, Point, crossing, outline_crossing
from formgen.lengths import Units, write_length
from formgen.press.setup import Pressing

#: A band narrower than this is no form (mm). Common practice, no source.
NARROWEST_MM = 40.0
#: Ends nearer to each other than this are one (mm).
SAME_MM = 1e-6


@fixed
class Body:
    """The material behind the form face.

    Args:
        kind: `block` or `band`.
        face: the form face with its run-on, from the right end to the left.
        inward: +1 where the body lies to the left of the face (male), −1 to the right (female).
        backing_mm: width of a band, least depth of a block.
        reach: of a block: (x least, x greatest, y) of its far side: the base line below a male form, the back above
            a female one.
    """

    kind: Literal["block", "band"]
    face: ArcSpline
    inward: int
    backing_mm: float
    reach: tuple[float, float, float]

    def layer_face(self, set_back_mm: float = 0.0) -> ArcSpline:
        """The face, or the face of a channel layer, which stands back into the body."""
        return self.face.parallel(self.inward * set_back_mm) if set_back_mm else self.face

    @property
    def back(self) -> ArcSpline:
        """The far side of a band, same number of pieces as the face.

        Raises:
            CurveError: the band is wider than the tightest radius allows.
        """
        return self.face.parallel(self.inward * self.backing_mm)

    @property
    def is_sound(self) -> bool:
        """True if the outline exists and runs nowhere through itself."""
        try:
            outline = self.outline()
        except CurveError:
            return False
        return math.fsum(n * abs(k) for n, k in self.face.pieces) < math.pi or outline_crossing(outline) is None

    def outline(self, set_back_mm: float = 0.0) -> Outline:
        """A whole layer."""
        face = self.layer_face(set_back_mm)
        if self.kind == "band":
            return Outline.of(face, self.back.reversed())
        return self._block(face)

    @property
    def corners(self) -> tuple[Point, ...]:
        """Corners of a block, from below (or beside) the face's left end to its right end."""
        right, left = self.face.start, self.face.end
        x0, x1, far = self.reach
        if self.inward > 0:
            return (left.x_mm, far), (right.x_mm, far)
        return (x0, left.y_mm), (x0, far), (x1, far), (x1, right.y_mm)

    def _block(self, face: ArcSpline) -> Outline:
        """A layer of a block, cut off where the block ends: a face that climbs to its end is set back past it."""
        right, left, (x0, x1, far) = self.face.start, self.face.end, self.reach
        begin, end = face.start, face.end
        if self.inward > 0:
            past = end.x_mm < left.x_mm - SAME_MM or begin.x_mm > right.x_mm + SAME_MM
            ample: tuple[Point, ...] = ((min(left.x_mm, end.x_mm), far), (max(right.x_mm, begin.x_mm), far))
            walls = (((left.x_mm, far), 0.0, -1.0), ((right.x_mm, far), 0.0, 1.0))
        else:
            past = min(end.y_mm - left.y_mm, begin.y_mm - right.y_mm) < -SAME_MM
            low = min(left.y_mm, end.y_mm), min(right.y_mm, begin.y_mm)
            ample = ((x0, low[0]), (x0, far), (x1, far), (x1, low[1]))
            walls = (((x0, left.y_mm), 1.0, 0.0), ((x1, right.y_mm), 1.0, 0.0))
        if not past:
            return Outline.of(face, *self.corners)
        outline = Outline.of(face, *ample)
        for wall in walls:
            outline = max(outline.cut(*wall), key=lambda part: part.area_mm2)
        return outline

    def stretch(self, begin_mm: float, end_mm: float, set_back_mm: float = 0.0) -> Outline:
        """The part of a band's layer between two stations of the plain face, cut square to the face."""
        face, back = self.layer_face(set_back_mm), self.back
        return Outline.of(
            face.part(self.carried(begin_mm, face), self.carried(end_mm, face)),
            back.part(self.carried(begin_mm, back), self.carried(end_mm, back)).reversed(),
        )

    def carried(self, station_mm: float, parallel: ArcSpline) -> float:
        """The station on a curve parallel to the face that lies square across from a station on the face."""
        for i, (length, _) in enumerate(self.face.pieces):
            along = station_mm - float(self.face.stations_mm[i])
            if along <= length or i == len(self.face.pieces) - 1:
                return float(parallel.stations_mm[i]) + min(along / length, 1.0) * parallel.pieces[i][0]
        raise AssertionError("a curve has at least one piece")

    def behind(self, station_mm: float, depth_mm: float) -> Point:
        """The point `depth_mm` behind the face at a station."""
        p = self.face.pose(station_mm).beside(self.inward * depth_mm)
        return p.x_mm, p.y_mm

    def inward_normal(self, station_mm: float) -> Point:
        """Unit vector from the face into the body."""
        nx, ny = self.face.pose(station_mm).left
        return self.inward * nx, self.inward * ny


def make_body(pressing: Pressing, before_mm: float, after_mm: float) -> Body:
    """The body of a form whose face runs past the finished part by these lengths, measured on the part's centre line.

    Raises:
        FormError: the face runs on into itself, or no body of that kind and width stands behind it; says which would.
    """
    recipe = pressing.recipe
    ask, units = recipe.asked.form, recipe.units
    try:
        face = pressing.laminate.pressed.extended(before_mm, after_mm).parallel(pressing.face_offset_mm)
    except CurveError as err:
        raise FormError(f"the form face cannot run on past the part: {err}") from err
    crossed = crossing(face, OUTLINE_MM)
    if crossed is not None:
        at = f"x {write_length(crossed[0], units)}, y {write_length(crossed[1], units)}"
        raise FormError(f"part.legs: the form face runs through itself at {at}, expected shorter legs; shorten them")
    body = _behind(face, 1 if pressing.side == "male" else -1, ask.body, recipe.backing_mm)
    if body.kind == "block":
        _refuse_crossing(face, body)
    if not body.is_sound:
        raise FormError(_unsound(body, units))
    return body


def _behind(face: ArcSpline, inward: int, kind: Literal["block", "band"], backing_mm: float) -> Body:
    x0, y0, x1, y1 = face.bounds
    reach = (x0 - backing_mm, x1 + backing_mm, y0 - backing_mm if inward > 0 else y1 + backing_mm)
    return Body(kind=kind, face=face, inward=inward, backing_mm=backing_mm, reach=reach)


def widest_band_mm(face: ArcSpline, inward: int, most_mm: float) -> float:
    """The widest band up to `most_mm` that stands behind a face without running through itself; 0 where none does."""
    low, high = 0.0, most_mm
    while high - low > 0.5:
        middle = (low + high) / 2.0
        low, high = (middle, high) if _behind(face, inward, "band", middle).is_sound else (low, middle)
    return low


def _unsound(body: Body, units: Units) -> str:
    """Say what is wrong with a body that runs through itself, and what would go."""
    if body.kind == "block":
        return "form.body = block, the block runs through itself on this curve, expected a band; use body: band"
    widest = widest_band_mm(body.face, body.inward, body.backing_mm)
    asked = f"form.backing = {write_length(body.backing_mm, units)}, the band runs through itself on this curve"
    if widest < NARROWEST_MM:
        other = _behind(body.face, body.inward, "block", body.backing_mm)
        if other.is_sound:
            return f"{asked}, expected a block; use body: block"
        return f"{asked}, expected shorter legs or a wider curve; no band is narrow enough"
    step = 1.0 if units == "mm" else 25.4 / 16.0
    most = write_length(step * math.floor(widest / step), units)
    return f"{asked}, expected at most {most}; use a narrower band"


def _refuse_crossing(face: ArcSpline, body: Body) -> None:
    """A block's straight sides may meet the face at its ends only."""
    right, left = (face.start.x_mm, face.start.y_mm), (face.end.x_mm, face.end.y_mm)
    corners = body.corners
    for a, b in ((left, corners[0]), (corners[-1], right)):
        length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
        if length < 1e-9:
            continue
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        for e in face.edges:
            for t in e.crossings(a, ux, uy):
                x, y = e.at(t)
                along = (x - a[0]) * ux + (y - a[1]) * uy
                if 1e-6 < along < length - 1e-6:
                    raise FormError(
                        f"form.body = block, its side would cut through its own face at x {x:.0f}, y {y:.0f} mm, "
                        "expected a band for this curve; use body: band"
                    )
