"""Stage `curve`: one smooth path out of lines and arcs that lie about in a drawing.

In: open stretches in any order and direction, mm. Out: one `ArcSpline` from the right to the left end. Ends
that meet within 0.01 mm and 0.1° are taken for joined and healed; anything worse is refused, with the place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from formgen.curve.impossible import size
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.geometry.biarc import FIT_TOLERANCE_MM, biarc
from formgen.geometry.crossing import crossing

#: Ends this close are one point (mm).
JOIN_MM = 0.01

#: Directions this close are one direction (rad).
JOIN_RAD = math.radians(0.1)

#: A joint is healed within this distance of it at most (mm).
_BLEND_MM = 50.0

_End = tuple[int, int]  # (stretch, 0 for its start or 1 for its end)


@dataclass(frozen=True, kw_only=True)
class Joined:
    """The path, and what was mended on the way.

    Args:
        curve: from the right end to the left end.
        healed: how many joints did not meet exactly.
        widest_mm: widest gap among them.
        sharpest_rad: sharpest corner among them.
    """

    curve: ArcSpline
    healed: int
    widest_mm: float
    sharpest_rad: float


def join(stretches: Sequence[ArcSpline]) -> Joined:
    """One smooth path through all stretches, from the right to the left.

    Raises:
        CurveError: several paths, a gap, a branch, a closed path, a corner, or a path that crosses itself.
    """
    kept = [s for s in stretches if s.length_mm > JOIN_MM]
    if not kept:
        raise CurveError("the drawing's path has no length, expected an open path; draw it again")
    path = _rightmost_first(_in_order(kept))
    joints = [(math.dist(_xy(a, 1), _xy(b, 0)), _corner(a, b)) for a, b in pairwise(path)]
    for (_, corner), b in zip(joints, path[1:], strict=True):
        if abs(corner) > JOIN_RAD:
            raise CurveError(
                f"the drawing's path has a corner of {math.degrees(abs(corner)):.2f} deg at {_place(_xy(b, 0))}, "
                "expected at most 0.1 deg: plies do not bend round a corner; round it, or make two recipes that "
                "meet in a mitre"
            )
    curve = _healed(path, joints)
    crossed = crossing(curve)
    if crossed is not None:
        raise CurveError(
            f"the drawing's path crosses itself at {_place(crossed)}, expected a path that does not; mend the drawing"
        )
    return Joined(
        curve=curve,
        healed=sum(1 for gap, corner in joints if not _exact(gap, corner)),
        widest_mm=max((gap for gap, _ in joints), default=0.0),
        sharpest_rad=max((abs(corner) for _, corner in joints), default=0.0),
    )


def _xy(stretch: ArcSpline, end: int) -> tuple[float, float]:
    pose = stretch.end if end else stretch.start
    return pose.x_mm, pose.y_mm


def _place(point: tuple[float, float]) -> str:
    return f"x {size(point[0])}, y {size(point[1])} of the drawing"


def _exact(gap_mm: float, corner_rad: float) -> bool:
    """Tell whether a joint needs no healing: over a part of 10 m the corner moves the far end by 0.0001 mm."""
    return gap_mm <= 1e-6 and abs(corner_rad) <= 1e-8


def _corner(a: ArcSpline, b: ArcSpline) -> float:
    return math.remainder(b.start.heading_rad - a.end.heading_rad, 2.0 * math.pi)


def _in_order(stretches: list[ArcSpline]) -> list[ArcSpline]:
    """The stretches one after another, each turned to run on from the one before."""
    ends: list[_End] = [(i, e) for i in range(len(stretches)) for e in (0, 1)]
    where = np.array([_xy(stretches[i], e) for i, e in ends])
    mate = _mates(ends, where)
    free = [end for end in ends if end not in mate]
    if not free:
        raise CurveError(
            f"the drawing's path is closed (it passes {_place(_xy(stretches[0], 0))}), expected an open path; "
            "draw only the curve of the part"
        )
    path: list[ArcSpline] = []
    at: _End | None = free[0]
    while at is not None:
        stretch, end = at
        path.append(stretches[stretch].reversed() if end else stretches[stretch])
        at = mate.get((stretch, 1 - end))
    if len(path) < len(stretches):
        raise CurveError(_several(free, np.array([where[ends.index(f)] for f in free]), mate))
    return path


def _mates(ends: list[_End], where: Array) -> dict[_End, _End]:
    """Return which end meets which; CurveError where more than two meet."""
    mate: dict[_End, _End] = {}
    for i, end in enumerate(ends):
        near = np.flatnonzero(np.hypot(*(where - where[i]).T) <= JOIN_MM)
        others = [ends[int(j)] for j in near if int(j) != i]
        if len(others) > 1:
            x, y = where[i]
            raise CurveError(
                f"{len(others) + 1} ends meet at {_place((float(x), float(y)))} of which a path has two, expected "
                "one open path; take double lines and branches out, or name the path's layer"
            )
        if others:
            mate[end] = others[0]
    return mate


def _several(free: list[_End], where: Array, mate: dict[_End, _End]) -> str:
    """Count several paths, and say the narrowest gap between two of them."""
    first_of = {}
    for end in free:
        at: _End | None = end
        while at is not None:
            last = (at[0], 1 - at[1])
            at = mate.get(last)
        first_of[end] = min(end, last)
    closed = "" if len(free) > 2 else " and one or more closed ones"
    gaps = [
        (math.dist(where[i], where[j]), i, j)
        for i in range(len(free))
        for j in range(i)
        if first_of[free[i]] != first_of[free[j]]
    ]
    text = f"the drawing has {len(free) // 2} separate open path{'s' if len(free) > 2 else ''}{closed}, expected one"
    if not gaps:
        return f"{text}; name the layer of the path, or take the others out"
    width, i, j = min(gaps)
    x, y = (where[i] + where[j]) / 2.0
    return (
        f"{text}: the nearest two ends stand {size(width)} apart at {_place((float(x), float(y)))}; close the gap "
        "(0.01 mm is allowed) or name the layer of one path"
    )


def _rightmost_first(path: list[ArcSpline]) -> list[ArcSpline]:
    """The path from the right to the left; one that stands upright so that it turns left on the whole."""
    (x0, y0), (x1, y1) = _xy(path[0], 0), _xy(path[-1], 1)
    upright = abs(x1 - x0) <= 1e-3 * abs(y1 - y0)
    turned = sum(s.sweep_rad for s in path) < 0.0 if upright else x0 < x1
    return [s.reversed() for s in reversed(path)] if turned else path


def _healed(path: list[ArcSpline], joints: Sequence[tuple[float, float]]) -> ArcSpline:
    """The stretches as one curve; where two do not meet exactly a biarc runs from shortly before to shortly after.

    A biarc that rounds a corner θ over w on either side leaves the joint by wθ/4, which sets w. It stays within
    one piece on either side: a line that meets an arc is itself such a biarc, and so nothing else moves.
    """
    widths = [0.0]
    for (a, b), (gap, corner) in zip(pairwise(path), joints, strict=True):
        if _exact(gap, corner):
            widths.append(0.0)
            continue
        width = min(a.pieces[-1][0] / 3.0, b.pieces[0][0] / 3.0, _BLEND_MM)
        widths.append(min(width, 2.0 * FIT_TOLERANCE_MM / abs(corner)) if corner else width)
    widths.append(0.0)
    trimmed = [
        s.part(before, s.length_mm - after) if before or after else s
        for s, before, after in zip(path, widths, widths[1:], strict=False)
    ]
    pieces = list(trimmed[0].pieces)
    for (a, b), width in zip(pairwise(trimmed), widths[1:], strict=False):
        if width:
            pieces.extend(biarc(a.end, b.start))
        pieces.extend(b.pieces)
    return ArcSpline.of(trimmed[0].start, pieces)
