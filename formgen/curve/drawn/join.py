"""Stage `curve`: drawn stretches joined to one path from the right to the left.

In: stretches in mm, in any order and direction. Out: an `ArcSpline`. Ends that meet within 0.01 mm and 0.1° are taken
for joined and healed; anything worse is refused, with the place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from formgen.curve.arch import LONGEST_MM, size
from formgen.curve.drawn.ends import JOIN_MM, JOIN_RAD, Run, along, only_mates, place, runs, undoubled, xy
from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.biarc import FIT_TOLERANCE_MM, biarc
from formgen.geometry.outline import crossing

#: A joint is healed within this distance of it at most (mm).
_BLEND_MM = 50.0


@fixed
class Joined:
    """The path, and what was mended on the way.

    Args:
        curve: from the right end to the left end.
        used: the numbers of the stretches that it is made of.
        healed: how many joints did not meet exactly.
        widest_mm: widest gap among them.
        sharpest_rad: sharpest corner among them.
        doubled: how many lines were drawn twice.
        rings: how many closed shapes were passed over.
    """

    curve: ArcSpline
    used: tuple[int, ...]
    healed: int
    widest_mm: float
    sharpest_rad: float
    doubled: int = 0
    rings: int = 0


def join(stretches: Sequence[ArcSpline]) -> Joined:
    """One smooth path through all stretches; closed shapes beside it are passed over.

    Raises:
        CurveError: several paths, a gap, a branch, a closed path, a corner, or a path that crosses itself.
    """
    numbers = undoubled(stretches)
    kept = [stretches[i] for i in numbers]
    if not kept:
        raise CurveError("the drawing's path has no length, expected an open path; draw it again")
    lines, rings = runs(len(kept), only_mates(kept))
    if not lines:
        raise CurveError(
            f"the drawing's path is closed (it passes {place(xy(kept[0], 0))}), expected an open path; "
            "draw only the curve of the part"
        )
    if len(lines) > 1:
        raise CurveError(_several(kept, lines, rings=len(rings)))
    doubled = sum(s.length_mm > JOIN_MM for s in stretches) - len(kept)
    return joined_run(stretches, tuple((numbers[i], end) for i, end in lines[0]), doubled, len(rings))


def joined_run(stretches: Sequence[ArcSpline], run: Run, doubled: int = 0, rings: int = 0) -> Joined:
    """The curve along one run.

    Args:
        stretches: all of the drawing.
        run: which of them, in order; every two meet.
        doubled: how many lines were drawn twice.
        rings: how many closed shapes were passed over.

    Raises:
        CurveError: too long, a corner, or a path that crosses itself.
    """
    path = rightmost_first(along(stretches, run))
    length_mm = math.fsum(s.length_mm for s in path)
    if length_mm > LONGEST_MM:
        raise CurveError(
            f"the drawing's path is {length_mm / 1000:.0f} m long, expected at most {LONGEST_MM // 1000} m; look at "
            "the units of the drawing"
        )
    joints = [(math.dist(xy(a, 1), xy(b, 0)), _corner(a, b)) for a, b in pairwise(path)]
    for (_, corner), b in zip(joints, path[1:], strict=True):
        if abs(corner) > JOIN_RAD:
            raise CurveError(
                f"the drawing's path has a corner of {math.degrees(abs(corner)):.2f} deg at {place(xy(b, 0))}, "
                "expected at most 0.1 deg: plies do not bend round a corner; round it, or make two recipes that "
                "meet in a mitre"
            )
    curve = _healed(path, joints)
    crossed = crossing(curve)
    if crossed is not None:
        raise CurveError(
            f"the drawing's path crosses itself at {place(crossed)}, expected a path that does not; mend the drawing"
        )
    return Joined(
        curve=curve,
        used=tuple(i for i, _ in run),
        healed=sum(1 for gap, corner in joints if not _exact(gap, corner)),
        widest_mm=max((gap for gap, _ in joints), default=0.0),
        sharpest_rad=max((abs(corner) for _, corner in joints), default=0.0),
        doubled=doubled,
        rings=rings,
    )


def rightmost_first(path: list[ArcSpline]) -> list[ArcSpline]:
    """The path from the right to the left; one that stands upright so that it turns left on the whole."""
    (x0, y0), (x1, y1) = xy(path[0], 0), xy(path[-1], 1)
    upright = abs(x1 - x0) <= 1e-3 * abs(y1 - y0)
    turned = sum(s.sweep_rad for s in path) < 0.0 if upright else x0 < x1
    return [s.reversed() for s in reversed(path)] if turned else path


def _several(stretches: Sequence[ArcSpline], lines: Sequence[Run], *, rings: int) -> str:
    """Count several paths, and say the narrowest gap between two of them."""
    closed = " and one or more closed ones" if rings else ""
    ends = [(n, xy(stretches[i], end)) for n, run in enumerate(lines) for i, end in (run[0], _far(run))]
    width, one, other = min((math.dist(p, q), p, q) for k, (n, p) in enumerate(ends) for m, q in ends[:k] if m != n)
    middle = ((one[0] + other[0]) / 2.0, (one[1] + other[1]) / 2.0)
    return (
        f"the drawing has {len(lines)} separate open paths{closed}, expected one: the nearest two ends stand "
        f"{size(width)} apart at {place(middle)}; close the gap (0.01 mm is allowed) or name the layer of one path"
    )


def _far(run: Run) -> tuple[int, int]:
    """The end at which a run stops."""
    stretch, entered = run[-1]
    return stretch, 1 - entered


def _exact(gap_mm: float, corner_rad: float) -> bool:
    """Tell whether a joint needs no healing: over a part of 10 m the corner moves the far end by 0.0001 mm."""
    return gap_mm <= 1e-6 and abs(corner_rad) <= 1e-8


def _corner(a: ArcSpline, b: ArcSpline) -> float:
    return math.remainder(b.start.heading_rad - a.end.heading_rad, 2.0 * math.pi)


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
