"""Geometry: the one curve type, a chain of lines and arcs that runs on without a corner.

In: a start pose and a list of (length, curvature). Out: points, tangents, offsets, lengths and nearest
points in closed form, in mm and rad. It draws nothing and knows nothing of arches, plies or forms.

Directions: heading is measured anticlockwise from +x; positive curvature turns left; a positive offset
lies to the left of travel, which on an arch that runs from its right leg to its left leg is the inside.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from formgen.errors import CurveError
from formgen.geometry.distance import nearest_on_piece
from formgen.geometry.edge import Edge, bounds, edges_between
from formgen.geometry.pose import Pose, passing

Array = NDArray[np.float64]

#: Pieces shorter than this are dropped, stations this far past an end are taken as the end (mm).
LENGTH_EPS_MM = 1e-9


@dataclass(frozen=True)
class ArcSpline:
    """A start pose and (length, curvature) pieces: tangent-continuous by construction.

    Args:
        start: where the curve begins and which way it goes.
        pieces: (length in mm, above 0; curvature in 1/mm, positive to the left, 0 for a line), in order of travel.
    """

    start: Pose
    pieces: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if not self.pieces:
            raise CurveError(
                "a curve without length, expected at least one piece; look for a stretch that stands still"
            )
        for length, curvature in self.pieces:
            if not (math.isfinite(length) and math.isfinite(curvature) and length > 0):
                raise CurveError(
                    f"a curve piece has length {length} mm and curvature {curvature} 1/mm: "
                    "expected a length above 0 and finite numbers"
                )

    @classmethod
    def of(cls, start: Pose, pieces: Sequence[tuple[float, float]]) -> ArcSpline:
        """A curve from pieces of which some may have no length (those are left out)."""
        return cls(start, tuple((float(n), float(k)) for n, k in pieces if n > LENGTH_EPS_MM))

    # --- what it measures

    @cached_property
    def length_mm(self) -> float:
        """Whole length."""
        return math.fsum(length for length, _ in self.pieces)

    @cached_property
    def sweep_rad(self) -> float:
        """Whole turning, left minus right."""
        return math.fsum(length * curvature for length, curvature in self.pieces)

    @cached_property
    def stations_mm(self) -> Array:
        """Station of every knot, shape (pieces + 1,), first 0, last the length itself."""
        inner = np.cumsum([length for length, _ in self.pieces[:-1]])
        return np.concatenate([[0.0], inner, [self.length_mm]])

    @cached_property
    def knots(self) -> tuple[Pose, ...]:
        """Pose at every knot, from the start to the end, (pieces + 1) of them."""
        poses = [self.start]
        for length, curvature in self.pieces:
            poses.append(poses[-1].onward(length, curvature))
        return tuple(poses)

    @property
    def end(self) -> Pose:
        """Pose at the far end."""
        return self.knots[-1]

    @cached_property
    def curvature_range_per_mm(self) -> tuple[float, float]:
        """Least and greatest curvature."""
        curvatures = [curvature for _, curvature in self.pieces]
        return min(curvatures), max(curvatures)

    @property
    def tightest_radius_mm(self) -> float:
        """Smallest radius of either sign; infinite for a straight line."""
        tightest = max(abs(k) for k in self.curvature_range_per_mm)
        return 1.0 / tightest if tightest > 0 else math.inf

    @cached_property
    def _stations(self) -> list[float]:
        """The same as plain numbers: quicker to look one up in."""
        return [float(s) for s in self.stations_mm]

    def _piece_at(self, station_mm: float) -> tuple[int, float]:
        if not -1e-6 <= station_mm <= self.length_mm + 1e-6:
            raise CurveError(f"station {station_mm} mm is not on a curve of {self.length_mm} mm")
        i = min(max(bisect_right(self._stations, station_mm) - 1, 0), len(self.pieces) - 1)
        return i, min(max(station_mm - self._stations[i], 0.0), self.pieces[i][0])

    def pose(self, station_mm: float) -> Pose:
        """The pose at a station between 0 and the length; CurveError outside."""
        i, along = self._piece_at(station_mm)
        return self.knots[i].onward(along, self.pieces[i][1])

    def curvature_at(self, station_mm: float) -> float:
        """Curvature at a station, that of the later piece at a knot, 1/mm."""
        return self.pieces[self._piece_at(station_mm)[0]][1]

    def points(self, stations_mm: ArrayLike) -> Array:
        """Points at stations of shape (n,): (n, 2) in mm. Stations past an end are taken at the end."""
        stations = np.clip(np.asarray(stations_mm, dtype=float), 0.0, self.length_mm)
        i = np.clip(np.searchsorted(self.stations_mm, stations, side="right") - 1, 0, len(self.pieces) - 1)
        knots = np.array([(p.x_mm, p.y_mm, p.heading_rad) for p in self.knots])
        along = stations - self.stations_mm[i]
        half_turn = 0.5 * np.array([k for _, k in self.pieces])[i] * along
        chord = along * np.sinc(half_turn / np.pi)
        direction = knots[i, 2] + half_turn
        return np.asarray(knots[i, :2] + chord[:, None] * np.column_stack([np.cos(direction), np.sin(direction)]))

    def sampled(self, tolerance_mm: float) -> Array:
        """Points on the curve, (n, 2), whose chords stay within `tolerance_mm` of it; every knot is one."""
        stations = [0.0]
        for (length, curvature), begin in zip(self.pieces, self.stations_mm, strict=False):
            turn = abs(length * curvature)
            # 2 acos(1 − κ·tolerance), written so that the slightest curvature still gives a step above 0
            step = 4.0 * math.asin(min(math.sqrt(tolerance_mm * abs(curvature) / 2.0), 1.0))
            count = max(1, math.ceil(turn / step)) if step > 0 else 1
            stations.extend(float(begin) + length * (j + 1) / count for j in range(count))
        return self.points(stations)

    def nearest(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Station of the nearest point, and the distance to it: positive where the point lies to the left."""
        best = (math.inf, 0.0, 0.0)
        for (length, curvature), begin, pose in zip(self.pieces, self.stations_mm, self.knots, strict=False):
            along = nearest_on_piece(pose, length, curvature, x_mm, y_mm)
            foot = pose.onward(along, curvature)
            dx, dy = x_mm - foot.x_mm, y_mm - foot.y_mm
            distance = math.hypot(dx, dy)
            if distance < best[0]:
                side = dx * foot.left[0] + dy * foot.left[1]
                best = (distance, float(begin) + along, math.copysign(distance, side))
        return best[1], best[2]

    def at_height(self, y_mm: float) -> list[float]:
        """Stations, rising, at which the curve passes the height y."""
        stations: list[float] = []
        for (length, curvature), begin, pose in zip(self.pieces, self.stations_mm, self.knots, strict=False):
            stations.extend(float(begin) + along for along in passing(pose, length, curvature, y_mm))
        return sorted(stations)

    # --- what it becomes

    def scaled_curvature(self, factor: float) -> ArcSpline:
        """Every length kept, every curvature times `factor`; the start pose stays."""
        return ArcSpline(self.start, tuple((n, k * factor) for n, k in self.pieces))

    def parallel(self, offset_mm: float) -> ArcSpline:
        """The curve at `offset_mm` to the left: length·(1 − κd), curvature κ/(1 − κd).

        Raises:
            CurveError: where κd reaches 1, the offset passes the centre of curvature.
        """
        pieces = []
        for length, curvature in self.pieces:
            left_over = 1.0 - curvature * offset_mm
            if left_over <= 1e-9:
                raise CurveError(
                    f"offset of {abs(offset_mm):.3f} mm reaches the centre of curvature of an arc of radius "
                    f"{1.0 / abs(curvature):.3f} mm: expected less than that; use a larger radius or a thinner stack"
                )
            pieces.append((length * left_over, curvature / left_over))
        return ArcSpline(self.start.beside(offset_mm), tuple(pieces))

    def part(self, begin_mm: float, end_mm: float) -> ArcSpline:
        """The stretch between two stations, begin below end."""
        if end_mm - begin_mm <= LENGTH_EPS_MM:
            raise CurveError(f"a stretch from {begin_mm} to {end_mm} mm has no length")
        start = self.pose(begin_mm)
        pieces = [
            (min(float(b), end_mm) - max(float(a), begin_mm), k)
            for (_, k), a, b in zip(self.pieces, self.stations_mm, self.stations_mm[1:], strict=False)
        ]
        return ArcSpline.of(start, pieces)

    def extended(self, before_mm: float, after_mm: float) -> ArcSpline:
        """The curve run on at both ends, each end keeping the curvature that it has there."""
        start = self.start.onward(-before_mm, self.pieces[0][1])
        pieces = list(self.pieces)
        pieces[0] = (pieces[0][0] + before_mm, pieces[0][1])
        pieces[-1] = (pieces[-1][0] + after_mm, pieces[-1][1])
        return ArcSpline(start, tuple(pieces))

    def with_legs(self, right_mm: float, left_mm: float) -> ArcSpline:
        """The curve with a straight run, tangent, before its start and after its end (mm, 0 for none)."""
        start = self.start.onward(-right_mm)
        return ArcSpline.of(start, [(right_mm, 0.0), *self.pieces, (left_mm, 0.0)])

    def reversed(self) -> ArcSpline:
        """The same points travelled the other way; curvatures change sign."""
        end = self.end
        return ArcSpline(
            Pose(end.x_mm, end.y_mm, end.heading_rad + math.pi),
            tuple((n, -k) for n, k in reversed(self.pieces)),
        )

    def moved(self, dx_mm: float, dy_mm: float, turn_rad: float = 0.0) -> ArcSpline:
        """The curve turned about the origin by `turn_rad`, then shifted."""
        c, s = math.cos(turn_rad), math.sin(turn_rad)
        x, y, h = self.start.x_mm, self.start.y_mm, self.start.heading_rad
        return ArcSpline(Pose(c * x - s * y + dx_mm, s * x + c * y + dy_mm, h + turn_rad), self.pieces)

    def held_at(self, station_mm: float, pose: Pose) -> ArcSpline:
        """The curve moved bodily so that its station falls on `pose`."""
        turn = pose.heading_rad - self.pose(station_mm).heading_rad
        turned = self.moved(0.0, 0.0, turn)
        here = turned.pose(station_mm)
        return turned.moved(pose.x_mm - here.x_mm, pose.y_mm - here.y_mm)

    def merged(self) -> ArcSpline:
        """The curve with neighbouring pieces of one curvature joined."""
        pieces: list[tuple[float, float]] = []
        for length, curvature in self.pieces:
            if pieces and math.isclose(pieces[-1][1], curvature, rel_tol=1e-12, abs_tol=1e-15):
                pieces[-1] = (pieces[-1][0] + length, pieces[-1][1])
            else:
                pieces.append((length, curvature))
        return ArcSpline(self.start, tuple(pieces))

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """The lines and arcs in order, none of more than half a circle."""
        return edges_between(self.vertices())

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x greatest, y greatest)."""
        return bounds(self.edges)

    def vertices(self) -> list[tuple[float, float, float]]:
        """(x, y, bulge) of every knot, bulge = tan(κL/4) of the piece that follows, 0 at the last.

        A piece that turns more than half a circle is given in two, so that no bulge exceeds 1.
        """
        out: list[tuple[float, float, float]] = []
        for pose, (length, curvature) in zip(self.knots, self.pieces, strict=False):
            parts = 2 if abs(length * curvature) > math.pi + 1e-9 else 1
            bulge = math.tan(curvature * length / parts / 4.0)
            for j in range(parts):
                p = pose.onward(length * j / parts, curvature)
                out.append((p.x_mm, p.y_mm, bulge))
        out.append((self.end.x_mm, self.end.y_mm, 0.0))
        return out


def same_place(curve: ArcSpline, other: ArcSpline, station_mm: float) -> float:
    """The station on `other`, parallel to `curve` piece by piece, that lies square across from one on `curve`."""
    i = int(np.searchsorted(curve.stations_mm, station_mm, side="right")) - 1
    i = min(max(i, 0), len(curve.pieces) - 1)
    share = (station_mm - float(curve.stations_mm[i])) / curve.pieces[i][0]
    return float(other.stations_mm[i]) + share * other.pieces[i][0]


def pose_past(curve: ArcSpline, station_mm: float) -> Pose:
    """The pose at a station, which may lie past an end: there the curve runs on as it ends."""
    before, after = max(0.0, -station_mm), max(0.0, station_mm - curve.length_mm)
    return curve.extended(before, after).pose(station_mm + before) if before or after else curve.pose(station_mm)
