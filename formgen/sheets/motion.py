"""Stage `sheets`: a piece turned and shifted from where it lies in the stack to where it is cut; mm, degrees.

Right angles turn without rounding, so that a straight edge along x stays exactly along x or y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from formgen.form.stack import Groove, Hole, Label, Opening, Piece
from formgen.geometry.outline import Outline, Point

_RIGHT_ANGLES = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


@dataclass(frozen=True)
class Motion:
    """A turn about the origin, anticlockwise, then a shift.

    Args:
        angle_deg: 0 to 360.
        dx_mm, dy_mm: shift.
    """

    angle_deg: float
    dx_mm: float = 0.0
    dy_mm: float = 0.0

    @cached_property
    def _turn(self) -> tuple[float, float]:
        angle = math.radians(self.angle_deg)
        return _RIGHT_ANGLES.get(self.angle_deg % 360.0, (math.cos(angle), math.sin(angle)))

    def point(self, p: Point) -> Point:
        """A point moved."""
        (c, s), (x, y) = self._turn, p
        return c * x - s * y + self.dx_mm, s * x + c * y + self.dy_mm

    def outline(self, outline: Outline) -> Outline:
        """An outline moved; bulges stay."""
        return Outline(tuple((*self.point((x, y)), bulge) for x, y, bulge in outline.vertices))

    def piece(self, piece: Piece) -> Piece:
        """A piece moved with all that is cut into it and drawn on it."""
        return replace(
            piece,
            outline=self.outline(piece.outline),
            openings=tuple(Opening(outline=self.outline(o.outline), purpose=o.purpose) for o in piece.openings),
            holes=tuple(Hole(centre=self.point(h.centre), diameter_mm=h.diameter_mm) for h in piece.holes),
            grooves=tuple(self._groove(g) for g in piece.grooves),
            marks=tuple(replace(m, start=self.point(m.start), end=self.point(m.end)) for m in piece.marks),
            labels=tuple(self._label(label) for label in piece.labels),
        )

    def _groove(self, groove: Groove) -> Groove:
        return replace(groove, outline=self.outline(groove.outline), cleared=self.outline(groove.cleared))

    def _label(self, label: Label) -> Label:
        strokes = tuple(tuple(self.point(p) for p in stroke) for stroke in label.strokes)
        return replace(label, origin=self.point(label.origin), strokes=strokes)
