"""Geometry: a point with a direction of travel, and one line or arc that sets out from it; mm and rad.

In: a start, a length and a curvature. Out: poses, and lengths along, in closed form. Directions as in `arcspline`:
anticlockwise from +x, positive curvature and offset to the left of travel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Pose:
    """A point and a direction of travel: mm, mm, rad anticlockwise from +x."""

    x_mm: float
    y_mm: float
    heading_rad: float

    @property
    def left(self) -> tuple[float, float]:
        """Unit vector to the left of travel."""
        return -math.sin(self.heading_rad), math.cos(self.heading_rad)

    @property
    def ahead(self) -> tuple[float, float]:
        """Unit vector along travel."""
        return math.cos(self.heading_rad), math.sin(self.heading_rad)

    def beside(self, offset_mm: float) -> Pose:
        """The pose `offset_mm` to the left, same heading."""
        nx, ny = self.left
        return Pose(self.x_mm + offset_mm * nx, self.y_mm + offset_mm * ny, self.heading_rad)

    def onward(self, length_mm: float, curvature_per_mm: float = 0.0) -> Pose:
        """The pose after `length_mm` along an arc of that curvature (closed form, exact for a line)."""
        half_turn = 0.5 * curvature_per_mm * length_mm
        chord = length_mm * (math.sin(half_turn) / half_turn if half_turn else 1.0)
        along = self.heading_rad + half_turn
        return Pose(
            self.x_mm + chord * math.cos(along),
            self.y_mm + chord * math.sin(along),
            self.heading_rad + 2.0 * half_turn,
        )


def passing(pose: Pose, length: float, curvature: float, y_mm: float) -> list[float]:
    """Lengths along one piece, its start included and its end not, at which it passes the height y."""
    climb = y_mm - pose.y_mm
    if abs(curvature * length) < 1e-12:
        slope = math.sin(pose.heading_rad)
        found = [climb / slope] if abs(slope) > 1e-12 else []
    else:
        cosine = math.cos(pose.heading_rad) - curvature * climb
        if abs(cosine) >= 1.0:  # touches or misses
            return []
        lap = 2.0 * math.pi / abs(curvature)
        headings = (math.acos(cosine), -math.acos(cosine))
        found = [(heading - pose.heading_rad) / curvature % lap for heading in headings]
    return [along for along in found if 0.0 <= along < length]
