"""Stage `curve`: which ends of drawn stretches meet, and what runs through them from end to end.

In: stretches in mm, in any order and direction. Out: mates, two ends that are one joint, and the runs that they make.
Two ends meet within 0.01 mm; they run on smoothly within 0.1°. Nothing is moved here.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import product

from formgen.curve.arch import size
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose

#: Ends this close are one point (mm).
JOIN_MM = 0.01

#: Directions this close are one direction (rad).
JOIN_RAD = math.radians(0.1)

#: So many ends meet at one point at the most.
MOST_AT_A_POINT = 1000

#: A straight run bows by less than this (mm).
_STRAIGHT_MM = 0.01

End = tuple[int, int]  # (stretch, 0 for its start or 1 for its end)
Mates = Mapping[End, End]
Run = tuple[End, ...]  # stretches in order, each by the end at which it is entered


def xy(stretch: ArcSpline, end: int) -> tuple[float, float]:
    """The point at which a stretch starts (0) or ends (1)."""
    pose = stretch.end if end else stretch.start
    return pose.x_mm, pose.y_mm


def place(point: tuple[float, float]) -> str:
    """Say where in the drawing a point lies."""
    return f"x {size(point[0])}, y {size(point[1])} of the drawing"


def leaving_rad(stretch: ArcSpline, end: int) -> float:
    """The direction in which somebody leaves a stretch past one of its ends."""
    return stretch.end.heading_rad if end else stretch.start.heading_rad + math.pi


def corner_rad(out_rad: float, other_out_rad: float) -> float:
    """Return how far one turns who leaves a stretch by one end and enters another by its end (−π to π)."""
    return math.remainder(other_out_rad + math.pi - out_rad, 2.0 * math.pi)


def meetings(stretches: Sequence[ArcSpline]) -> dict[End, list[End]]:
    """The other ends that each end meets.

    Raises:
        CurveError: more meet at one point than anybody draws.
    """
    where = {(i, e): xy(s, e) for i, s in enumerate(stretches) for e in (0, 1)}
    cells = defaultdict(list)
    for end, (x, y) in where.items():
        cells[math.floor(x / JOIN_MM), math.floor(y / JOIN_MM)].append(end)
    crowd = max(cells.values(), key=len, default=[])
    if len(crowd) > MOST_AT_A_POINT:
        raise CurveError(
            f"{len(crowd)} ends meet at {place(where[crowd[0]])}, expected at most {MOST_AT_A_POINT}; take out what is "
            "no outline, or name the path's layer"
        )
    found = {}
    for end, (x, y) in where.items():
        column, row = math.floor(x / JOIN_MM), math.floor(y / JOIN_MM)
        beside = (near for i, j in product((-1, 0, 1), repeat=2) for near in cells.get((column + i, row + j), ()))
        found[end] = sorted(o for o in beside if o != end and math.dist(where[o], (x, y)) <= JOIN_MM)
    return found


def undoubled(stretches: Sequence[ArcSpline]) -> tuple[int, ...]:
    """The numbers of the stretches that have a length, each place once: what is drawn twice is one."""
    first: dict[tuple[Pose, tuple[tuple[float, float], ...]], int] = {}
    for i, s in enumerate(stretches):  # copies to the last digit are many in some drawings, and quickly told
        first.setdefault((s.start, s.pieces), i)
    long = [i for i in first.values() if stretches[i].length_mm > JOIN_MM]
    met = meetings([stretches[i] for i in long])
    kept: list[int] = []
    for n, i in enumerate(long):
        both = {o for o, _ in met[n, 0]} & {o for o, _ in met[n, 1]}
        if not any(o < n and long[o] in kept and _alike(stretches[long[o]], stretches[i]) for o in both):
            kept.append(i)
    return tuple(kept)


def _alike(one: ArcSpline, other: ArcSpline) -> bool:
    """Tell whether two stretches between the same ends are one line drawn twice."""
    shares = (0.25, 0.5, 0.75)
    return abs(one.length_mm - other.length_mm) <= 2.0 * JOIN_MM and all(
        abs(one.nearest(*map(float, p))[1]) <= JOIN_MM for p in other.points([s * other.length_mm for s in shares])
    )


def smooth_mates(stretches: Sequence[ArcSpline], met: Mapping[End, Sequence[End]]) -> Mates:
    """Ends that run on into each other and into nothing else: corners and forks join nothing.

    Args:
        stretches: lines and arcs.
        met: which ends meet, as `meetings` says.
    """
    out = {(i, e): leaving_rad(s, e) for i, s in enumerate(stretches) for e in (0, 1)}
    onward = {
        end: [other for other in others if abs(corner_rad(out[end], out[other])) <= JOIN_RAD]
        for end, others in met.items()
    }
    return {end: on[0] for end, on in onward.items() if len(on) == 1 and onward[on[0]] == [end]}


def only_mates(stretches: Sequence[ArcSpline]) -> Mates:
    """Ends that meet; CurveError where more than two do."""
    mate: dict[End, End] = {}
    for end, others in meetings(stretches).items():
        if len(others) > 1:
            raise CurveError(
                f"{len(others) + 1} ends meet at {place(xy(stretches[end[0]], end[1]))} of which a path has two, "
                "expected one open path; take branches out, or name the path's layer"
            )
        if others:
            mate[end] = others[0]
    return mate


def runs(count: int, mate: Mates) -> tuple[list[Run], list[Run]]:
    """All stretches as open runs and as closed ones.

    Args:
        count: of stretches.
        mate: ends that are joined.
    """
    seen: set[int] = set()

    def walk(at: End | None) -> Iterator[End]:
        while at is not None and at[0] not in seen:
            seen.add(at[0])
            yield at
            at = mate.get((at[0], 1 - at[1]))

    ends = [(i, e) for i in range(count) for e in (0, 1)]
    lines = [tuple(walk(end)) for end in ends if end not in mate and end[0] not in seen]
    rings = [tuple(walk(end)) for end in ends if end[0] not in seen]
    return lines, rings


def along(stretches: Sequence[ArcSpline], run: Run) -> list[ArcSpline]:
    """The stretches of a run, one after another."""
    return [stretches[i].reversed() if end else stretches[i] for i, end in run]


def is_straight(path: Sequence[ArcSpline]) -> bool:
    """Tell whether a run without corners bends nowhere."""
    return all(abs(k) * n * n / 8.0 < _STRAIGHT_MM for s in path for n, k in s.pieces)
