"""Stage `form`: layers longer than the sheet: into how many pieces, and where the joints lie.

In: a Body and the sheet. Out: two sets of joints, for odd and even layers, so far apart that no joint lies over
another; mm. A band is cut square to its face, a block by upright lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from formgen.errors import FormError
from formgen.fixed import fixed
from formgen.form.body import Body
from formgen.form.free_space import size_text
from formgen.geometry.distance import Arcs
from formgen.geometry.outline import Outline, Point
from formgen.recipe.shop import Sheet

#: Joints of odd and even layers stand this share of a piece before and after the even division, the first that
#: leaves no splinter. At 0.2 the longest piece is 1.2 of the mean and the stagger 0.4 of it: one third of
#: the longest piece, common practice; more staggers more.
SHIFTS = (0.2, 0.24, 0.28, 0.32)
#: A piece is a splinter below this width or area: it has no room for dowels and label (mm, mm²).
SPLINTER_MM, SPLINTER_MM2 = 40.0, 6000.0

#: No form is cut into more pieces a layer than this.
MOST_PIECES = 60


@fixed
class Joints:
    """The joints that cut the layers into pieces.

    Args:
        body: what is cut.
        odd, even: of a band, stations on the face; of a block, x; rising along the face, for odd and even layers.
    """

    body: Body
    odd: tuple[float, ...]
    even: tuple[float, ...]

    def of_layer(self, number: int) -> tuple[float, ...]:
        """The joints of one layer."""
        return self.odd if number % 2 else self.even

    def pieces(self, number: int, set_back_mm: float) -> list[Outline]:
        """A layer cut into pieces, from the right end to the left; a single one where there is no joint."""
        return list(_pieces(self.body, self.of_layer(number), set_back_mm))

    def lines(self, number: int, outline: Outline) -> list[tuple[Point, Point]]:
        """The joints of a layer, each as a line from edge to edge of its outline."""
        found: list[tuple[Point, Point]] = []
        for at in self.of_layer(number):
            if self.body.kind == "band":
                p, (ux, uy) = self.body.behind(at, 0.0), self.body.inward_normal(at)
                spans = [c for c in outline.chords(p, ux, uy) if c[1] > 1.0 and c[0] < self.body.backing_mm][:1]
            else:
                p, (ux, uy) = (at, 0.0), (0.0, 1.0)
                spans = outline.chords(p, ux, uy)
            found.extend(((p[0] + a * ux, p[1] + a * uy), (p[0] + b * ux, p[1] + b * uy)) for a, b in spans)
        return found

    def cells(self) -> list[Outline]:
        """List what all joints of both sets leave of a plain layer: a piece of either set is made of whole cells."""
        return list(_pieces(self.body, tuple(sorted({*self.odd, *self.even}, reverse=self.body.kind == "block")), 0.0))


def plan_joints(body: Body, sheet: Sheet, least_pieces: int) -> Joints:
    """The fewest pieces a layer that the sheet can hold, and at least `least_pieces`.

    Raises:
        FormError: no number of pieces fits.
    """
    room = (sheet.length_mm - 2 * sheet.edge_margin_mm, sheet.width_mm - 2 * sheet.edge_margin_mm)
    least = max(least_pieces, math.ceil(body.outline().area_mm2 / max(room[0] * room[1], 1.0)))
    for count in range(least, _most_pieces(body) + 1):
        for shift in SHIFTS if count > 1 else SHIFTS[:1]:
            odd, even = _divided(body, count, -shift), _divided(body, count, shift)
            pieces = (piece for joints in dict.fromkeys((odd, even)) for piece in _pieces(body, joints, 0.0))
            if all(fits(piece, room) and not (count > 1 and is_splinter(piece)) for piece in pieces):
                return Joints(body=body, odd=odd, even=even)
    keys = "form.body, form.least_pieces" if body.kind == "block" else "form.sheet"
    raise FormError(
        f"{keys}: no number of pieces divides a {body.kind} {size_text(body.outline())} for "
        f"the sheet, {sheet.length_mm:.0f} × {sheet.width_mm:.0f} mm with a margin of {sheet.edge_margin_mm:.0f} mm, "
        "without splinters, expected pieces that fit; "
        f"{'use body: band' if body.kind == 'block' else 'use a larger sheet or less backing'}"
    )


def _most_pieces(body: Body) -> int:
    """More pieces than this are never tried: of a block, whose inner ones are all of one width, they are splinters."""
    if body.kind == "band":
        return MOST_PIECES
    x0, _, x1, _ = body.outline().bounds
    return min(MOST_PIECES, max(2, int((x1 - x0) / SPLINTER_MM)))


def is_splinter(piece: Outline) -> bool:
    """Tell whether a piece is too small to be lined up and labelled: the tip that an upright joint cuts off a leg."""
    return piece.area_mm2 < SPLINTER_MM2 or float(np.min(_widths(piece))) < SPLINTER_MM


def _widths(piece: Outline) -> NDArray[np.float64]:
    """Width over the piece at every whole degree of half a turn, (180,) mm."""
    reach = farthest(piece, np.radians(np.arange(0.0, 360.0, 1.0)))
    return np.asarray((reach + np.roll(reach, 180)).reshape(2, 180)[0])


def fits(piece: Outline, room: tuple[float, float]) -> bool:
    """Tell whether a piece, turned by some whole number of degrees, lies within a length and a width (mm)."""
    across = _widths(piece)
    w, h = across[:90], across[90:]
    return bool(np.any((np.maximum(w, h) <= max(room)) & (np.minimum(w, h) <= min(room))))


def farthest(piece: Outline, angles_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    """Greatest reach of an outline in each direction, x·u in mm: arcs reach out where they face that way."""
    u = np.stack([np.cos(angles_rad), np.sin(angles_rad)])
    reach: NDArray[np.float64] = np.max(np.array([v[:2] for v in piece.vertices]) @ u, axis=0)
    arcs = [e for e in piece.edges if e.bulge]
    if arcs:
        centre, radius = np.array([e.centre for e in arcs]), np.array([[e.radius_mm] for e in arcs])
        faces = Arcs(arcs).face(angles_rad[:, None]).T
        reach = np.maximum(reach, np.max(np.where(faces, centre @ u + radius, -np.inf), axis=0))
    return reach


def _divided(body: Body, count: int, shift: float) -> tuple[float, ...]:
    """Joints for `count` pieces, moved by a share of a piece, from the right end to the left."""
    if count == 1:
        return ()
    if body.kind == "band":
        step = body.face.length_mm / count
        return tuple((i + shift) * step for i in range(1, count))
    x0, _, x1, _ = body.outline().bounds
    step = (x1 - x0) / count
    return tuple(x1 - (i + shift) * step for i in range(1, count))


def _pieces(body: Body, joints: tuple[float, ...], set_back_mm: float) -> Iterator[Outline]:
    """The pieces from the right end to the left, each cut when it is asked for."""
    if body.kind == "band" and joints:
        stations = (0.0, *joints, body.face.length_mm)
        yield from (body.stretch(a, b, set_back_mm) for a, b in pairwise(stations))
        return
    rest = [body.outline(set_back_mm)]
    for x in joints:
        for outline in rest:
            yield from outline.cut((x, 0.0), 0.0, -1.0)
        rest = [left for outline in rest for left in outline.cut((x, 0.0), 0.0, 1.0)]
    yield from rest
