"""Stage `form`: the body behind the face: a block down to a base line, or a band of one width.

In: a Pressing. Out: a Body, which gives the outline of a layer, whole or in part, plain or set back; mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from formgen.curve.arcspline import ArcSpline
from formgen.curve.outline import Edge, Outline, Point
from formgen.errors import CurveError, FormError
from formgen.press.setup import Pressing


@dataclass(frozen=True, kw_only=True)
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
            FormError: the band is wider than the tightest radius allows.
        """
        try:
            return self.face.parallel(self.inward * self.backing_mm)
        except CurveError as err:
            raise FormError(
                f"form.backing = {self.backing_mm:.1f} mm is too wide for a band on this face: {err}; "
                "use a narrower band or body: block"
            ) from err

    def outline(self, set_back_mm: float = 0.0) -> Outline:
        """A whole layer."""
        face = self.layer_face(set_back_mm)
        if self.kind == "band":
            return Outline.of(face, self.back.reversed())
        right, left = (face.start.x_mm, face.start.y_mm), (face.end.x_mm, face.end.y_mm)
        x0, x1, far = self.reach
        if self.inward > 0:
            corners = [(left[0], far), (right[0], far)]
        else:
            corners = [(x0, left[1]), (x0, far), (x1, far), (x1, right[1])]
        _refuse_crossing(face, [left, *corners, right])
        return Outline.of(face, *corners)

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
        FormError: the run-on turns the face inside out, or the sides of a block would cut through its face.
    """
    ask = pressing.laminate.arch.recipe.asked.form
    try:
        face = pressing.laminate.pressed.extended(before_mm, after_mm).parallel(pressing.face_offset_mm)
    except CurveError as err:
        raise FormError(f"the form face cannot run on past the part: {err}") from err
    inward = 1 if pressing.side == "male" else -1
    shape = [Edge(a[:2], b[:2], a[2]) for a, b in pairwise(face.vertices())]
    x0, x1 = -max(e.farthest(-1, 0) for e in shape), max(e.farthest(1, 0) for e in shape)
    y0, y1 = -max(e.farthest(0, -1) for e in shape), max(e.farthest(0, 1) for e in shape)
    deep = ask.backing_mm
    reach = (x0 - deep, x1 + deep, y0 - deep if inward > 0 else y1 + deep)
    return Body(kind=ask.body, face=face, inward=inward, backing_mm=deep, reach=reach)


def _refuse_crossing(face: ArcSpline, sides: list[Point]) -> None:
    """A block's straight sides may meet the face at its ends only."""
    vertices = face.vertices()
    shape = [Edge(a[:2], b[:2], a[2]) for a, b in pairwise(vertices)]
    for a, b in ((sides[0], sides[1]), (sides[-2], sides[-1])):
        length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
        if length < 1e-9:
            continue
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        for e in shape:
            for t in e.crossings(a, ux, uy):
                x, y = e.at(t)
                along = (x - a[0]) * ux + (y - a[1]) * uy
                if 1e-6 < along < length - 1e-6:
                    raise FormError(
                        f"the side of the block would cut through its own face at x {x:.0f}, y {y:.0f} mm: "
                        "use body: band for this curve"
                    )
