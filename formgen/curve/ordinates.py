"""Stage `curve`: heights of the finished part's two faces above a base line, for checking it with a tape.

In: an `Arch`. Out: mm, in the axes of the base line: A, its left end, is the origin, B lies along +x, and the inside
face of an arch is seen from below. Every height is a closed form on the arcs; nothing is sampled.

The base line joins two points of the face that the opening was measured on: the springing points of a part with two
legs, else its ends. A part measured on its centre line has it through the middles of its ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import Literal

from formgen.curve.arch import Arch
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose

Face = Literal["inside", "outside", "centre"]

#: Distances between stations that a tape shows well, by the recipe's units (mm): whole or halved inches, round mm.
STEPS_MM = {
    "in": tuple(25.4 * n for n in (0.25, 0.5, 1, 2, 3, 4, 6, 8, 12, 16, 24, 36, 48, 96, 192, 384)),
    "mm": (5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 150.0, 200.0, 250.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0),
}
#: Most stretches between stations: as many rows as a page bears.
MOST_STEPS = 16
#: Stations nearer than this share of a step to the middle or to B give way to it.
CLEAR_SHARE = 0.5
#: A point this near to a station lies on it (mm).
ON_IT_MM = 1e-6
#: A face of less slope from upright than this stands upright (cosine).
UPRIGHT = 1e-6


@fixed
class Height:
    """One face at a station.

    Args:
        height_mm: above the base line, negative below; where the face passes the station more than once, the
            farthest from the line.
        play_mm: how far the reading may be off where the face is off by the part's tolerance square to itself:
            tolerance / cos of the face's slope; infinite where it stands upright.
    """

    height_mm: float
    play_mm: float


@fixed
class Ordinate:
    """One station.

    Args:
        from_a_mm: along the base line from A.
        inside, outside: the faces there; None where a face does not reach.
    """

    from_a_mm: float
    inside: Height | None
    outside: Height | None


@fixed
class Across:
    """A distance across the part: from corner to corner of the inside face, and of the outside face."""

    where: Literal["springing line", "ends of the legs", "ends"]
    inside_mm: float
    outside_mm: float


@fixed
class Ordinates:
    """The finished part as a tape finds it.

    Args:
        base: what the base line joins.
        measured_on: the face that A and B lie on.
        span_mm: from A to B.
        step_mm: from station to station.
        tolerance_mm: of the part, square to its faces.
        rows: from A to B; the middle of a part with two legs is always one.
        across: distances across.
        centre: the part's centre line in the axes of the base line, from the right end to the left.
        thickness_mm: of the part.
        springing_mm: stations of A and B's feet on `centre`; its ends where there are no two legs.
        mitre_rad: lean of the saw cut at the right and the left end from square.
    """

    base: Literal["springing line", "chord between the ends"]
    measured_on: Face
    span_mm: float
    step_mm: float
    tolerance_mm: float
    rows: tuple[Ordinate, ...]
    across: tuple[Across, ...]
    centre: ArcSpline
    thickness_mm: float
    springing_mm: tuple[float, float]
    mitre_rad: tuple[float, float]

    @cached_property
    def inside(self) -> ArcSpline:
        """The whole inside face, cut as the ends are."""
        return face_of(self.centre, self.thickness_mm / 2.0, self.mitre_rad)

    @cached_property
    def outside(self) -> ArcSpline:
        """The whole outside face."""
        return face_of(self.centre, -self.thickness_mm / 2.0, self.mitre_rad)


def ordinates(arch: Arch, tolerance_mm: float | None = None) -> Ordinates:
    """Heights of both faces at stations along the base line.

    Args:
        arch: the finished part.
        tolerance_mm: what its faces may be off; None for the part's tolerance.

    Raises:
        CurveError: A and B fall on one point.
    """
    asked = arch.recipe.asked
    tolerance = asked.part.tolerance_mm if tolerance_mm is None else tolerance_mm
    offset = {"inside": 0.5, "centre": 0.0, "outside": -0.5}[asked.part.measured_on] * arch.thickness_mm
    springing = arch.springing_mm if arch.two_legged else (0.0, arch.target.length_mm)
    b, a = _points(arch, offset, springing)
    span = math.dist(a, b)
    if span < ON_IT_MM:
        raise CurveError("both ends of the part lie at one point, expected a base line between them; open the curve")
    turn = -math.atan2(b[1] - a[1], b[0] - a[0])
    turned = arch.target.moved(-a[0], -a[1]).moved(0.0, 0.0, turn)
    mitre = (0.0, 0.0) if arch.two_legged else arch.mitre_rad
    faces = [face_of(turned.part(*springing), side * arch.thickness_mm / 2.0, mitre) for side in (1.0, -1.0)]
    step = next((s for s in STEPS_MM[asked.units] if span / s <= MOST_STEPS), STEPS_MM[asked.units][-1])
    where = stations(span, step, middle=arch.two_legged)
    inside, outside = (_heights(face, where, tolerance) for face in faces)
    rows = [
        Ordinate(from_a_mm=x, inside=near, outside=far) for x, near, far in zip(where, inside, outside, strict=True)
    ]
    return Ordinates(
        base="springing line" if arch.two_legged else "chord between the ends",
        measured_on=asked.part.measured_on,
        span_mm=span,
        step_mm=step,
        tolerance_mm=tolerance,
        rows=tuple(rows),
        across=tuple(_across(arch)),
        centre=turned,
        thickness_mm=arch.thickness_mm,
        springing_mm=springing,
        mitre_rad=arch.mitre_rad,
    )


def stations(span_mm: float, step_mm: float, *, middle: bool) -> tuple[float, ...]:
    """0, every step, the middle if asked for, and the span; what lies close before one of the last two is left out."""
    fixed = [0.0, *([span_mm / 2.0] if middle else []), span_mm]
    clear = CLEAR_SHARE * step_mm
    steps = [n * step_mm for n in range(1, int(span_mm / step_mm) + 1)]
    return tuple(sorted(fixed + [s for s in steps if all(abs(s - f) >= clear for f in fixed)]))


def face_of(centre: ArcSpline, offset_mm: float, mitre_rad: tuple[float, float]) -> ArcSpline:
    """A face of the part, run on or cut off at the saw cut of a mitred end.

    Args:
        centre: the centre line.
        offset_mm: to the face, positive toward the inside.
        mitre_rad: lean of the cut from square at the right and the left end.
    """
    face = centre.parallel(offset_mm) if offset_mm else centre
    right, left = mitre_rad
    if left:
        face = _cut_off(face, centre.end, left, abs(offset_mm))
    if right:
        face = _cut_off(face.reversed(), centre.reversed().end, -right, abs(offset_mm)).reversed()
    return face


def _cut_off(face: ArcSpline, end: Pose, lean_rad: float, offset_mm: float) -> ArcSpline:
    """The face up to a line through `end` that leans from square."""
    along = face.extended(0.0, 2.0 * offset_mm * (1.0 + math.tan(abs(lean_rad))))
    # Turned so that the cut is level, the face meets it where it passes the height of the cut.
    level = -(end.heading_rad + lean_rad + math.pi / 2.0)
    crossings = along.moved(-end.x_mm, -end.y_mm).moved(0.0, 0.0, level).at_height(0.0)
    if not crossings:
        return face
    return along.part(0.0, min(crossings, key=lambda s: abs(s - face.length_mm)))


def _points(arch: Arch, offset_mm: float, springing_mm: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """B and A in the arch's own axes: the right and the left end of the base line."""
    if arch.two_legged:
        poses = [arch.target.pose(s).beside(offset_mm) for s in springing_mm]
    else:
        face = face_of(arch.target, offset_mm, arch.mitre_rad)
        poses = [face.start, face.end]
    return tuple((p.x_mm, p.y_mm) for p in poses)


def _heights(face: ArcSpline, stations_mm: Sequence[float], tolerance_mm: float) -> list[Height | None]:
    """List where the face passes an upright at each station, the farthest from the base line."""
    upright = face.moved(0.0, 0.0, math.pi / 2.0)  # its heights are now the face's x
    heights: list[Height | None] = []
    for x in stations_mm:
        found = [face.pose(s) for s in upright.at_height(x)]
        found += [p for p in face.knots if abs(p.x_mm - x) <= ON_IT_MM]
        far = max(found, key=lambda p: abs(p.y_mm), default=None)
        heights.append(None if far is None else _height(far, tolerance_mm))
    return heights


def _height(at: Pose, tolerance_mm: float) -> Height:
    level = abs(math.cos(at.heading_rad))
    return Height(height_mm=at.y_mm, play_mm=tolerance_mm / level if level > UPRIGHT else math.inf)


def _across(arch: Arch) -> Sequence[Across]:
    half, target = arch.thickness_mm / 2.0, arch.target
    inside, outside = (face_of(target, d, arch.mitre_rad) for d in (half, -half))
    ends = [math.dist((f.start.x_mm, f.start.y_mm), (f.end.x_mm, f.end.y_mm)) for f in (inside, outside)]
    if not arch.two_legged:
        return (Across(where="ends", inside_mm=ends[0], outside_mm=ends[1]),)
    gaps = [math.dist(*_points(arch, d, arch.springing_mm)) for d in (half, -half)]
    found = [Across(where="springing line", inside_mm=gaps[0], outside_mm=gaps[1])]
    if arch.springing_mm[0] > 0.0 or arch.springing_mm[1] < target.length_mm:
        found.append(Across(where="ends of the legs", inside_mm=ends[0], outside_mm=ends[1]))
    return found
