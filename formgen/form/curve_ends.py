"""Stage `form`: where the curve of a part ends, and where the pair of clamps must stand that keeps its ends down.

In: the pressed centre line, the side of the form, the part's tolerance. Out: stations on the pressed centre line, mm.

Loose plies smooth every jump of curvature: they lift off the form on that side of it on which the form bulges less
toward them. A clamp a distance d beyond the jump, where the plies lie on in one line, lets them lift κd²/32.
"""

from __future__ import annotations

import math
from typing import Literal

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.press.film import Side

End = Literal["right", "left"]
ENDS: tuple[End, End] = ("right", "left")

#: How near to the jump and how far from it a relief for the pair may be moved (mm): 20 to 40 mm beyond the spring line.
#: Common practice, no source.
NEAREST_MM, FARTHEST_MM = 20.0, 40.0
#: A jump that lifts less than this share of the tolerance 60 mm beyond it is none.
SLIGHT, SEEN_AT_MM = 0.1, 60.0
#: κd²/32: the lift that a pair leaves where the plies lie straight on beyond it. Closed form, computed.
LIFT_SHARE = 32.0


@fixed
class Jump:
    """One place where the curvature jumps.

    Args:
        station_mm: on the pressed centre line.
        by_per_mm: by how much, above 0.
        toward: +1 where the pair's clamp stands at a greater station, −1 where at a lesser.
        room_mm: how far the run goes on beyond it with that one curvature.
        spring_line: +1 where the straight run begins at a greater station, −1 where at a lesser, 0 where none does.
    """

    station_mm: float
    by_per_mm: float
    toward: Literal[1, -1]
    room_mm: float
    spring_line: Literal[1, -1, 0]

    @property
    def out_on_leg(self) -> bool:
        """True if the clamp stands on the straight run rather than on the curve."""
        return self.toward == self.spring_line

    def furthest_mm(self, tolerance_mm: float) -> float:
        """The furthest that a pair may stand beyond it, slope held: √(32 tol/κ)."""
        return math.sqrt(LIFT_SHARE * tolerance_mm / self.by_per_mm)

    def usual_mm(self, tolerance_mm: float, closing_mm: float) -> float | None:
        """Put its clamp `closing_mm` beyond, nearer where the tolerance asks; None where there is no room."""
        distance = min(closing_mm, self.furthest_mm(tolerance_mm), self.room_mm)
        return distance if distance >= min(NEAREST_MM, self.furthest_mm(tolerance_mm)) else None

    def at_mm(self, distance_mm: float) -> float:
        """Station of a clamp that far beyond it."""
        return self.station_mm + self.toward * distance_mm


def jumps(pressed: ArcSpline, side: Side, tolerance_mm: float) -> tuple[Jump, ...]:
    """The jumps of curvature of a part on its form that count, by rising station.

    Args:
        pressed: the centre line in the press, from the right end.
        side: `male` (the form lies to the left of travel, inside the curve) or `female`.
        tolerance_mm: the part's.
    """
    sign = 1.0 if side == "male" else -1.0
    merged = pressed.merged()
    found = []
    for i in range(1, len(merged.pieces)):
        (before, k0), (after, k1) = merged.pieces[i - 1], merged.pieces[i]
        by = abs(k1 - k0)
        if by * SEEN_AT_MM**2 / LIFT_SHARE <= SLIGHT * tolerance_mm:
            continue
        toward: Literal[1, -1] = 1 if sign * k1 < sign * k0 else -1
        straight: Literal[1, -1, 0] = 1 if k1 == 0.0 else -1 if k0 == 0.0 else 0
        found.append(
            Jump(
                station_mm=float(merged.stations_mm[i]),
                by_per_mm=by,
                toward=toward,
                room_mm=after if toward > 0 else before,
                spring_line=straight,
            )
        )
    return tuple(found)


def end_jump(found: tuple[Jump, ...], pressed: ArcSpline, end: End) -> Jump | None:
    """The jump where the leg of that end meets the curve; None where that end has no leg, or the run-out is smooth."""
    at, inward = (0, -1) if end == "right" else (-1, 1)
    if not found or pressed.pieces[at][1] != 0.0:
        return None
    return found[at] if found[at].spring_line == inward else None


@fixed
class Stand:
    """A place where a clamp must be able to stand: the station wished for, its range, and the end nearby.

    `end` names the end of the part whose curve the clamp there holds down; empty for all others.
    """

    station_mm: float
    least_mm: float
    greatest_mm: float
    end: End | Literal[""] = ""


def stands(pressed: ArcSpline, side: Side, tolerance_mm: float, closing_mm: float) -> tuple[Stand, ...]:
    """List where clamps must be able to stand: at both ends of the curve, then at every jump of curvature in between.

    With a leg on a male form it is on the leg beyond the spring line, on a female form on the curve before it; without
    a leg at the trim line.

    Args:
        pressed: the centre line in the press, from the right end.
        side: of the form.
        tolerance_mm: the part's.
        closing_mm: distance from the spring line at which the clamp usually stands.
    """
    found = jumps(pressed, side, tolerance_mm)
    out, at_ends = [], []
    for end in ENDS:
        jump = end_jump(found, pressed, end)
        stand = jump and _stand(jump, tolerance_mm, closing_mm, end)
        if stand is not None:
            at_ends.append(jump)
        out.append(stand or _at_trim_line(pressed, tolerance_mm, end))
    for jump in found:
        if jump not in at_ends:
            inner = _stand(jump, tolerance_mm, closing_mm, ENDS[jump.station_mm >= pressed.length_mm / 2.0])
            out.extend([inner] if inner is not None else [])
    return tuple(out)


def _stand(jump: Jump, tolerance_mm: float, closing_mm: float, end: End) -> Stand | None:
    """Beyond a jump, where the usual distance has room; None where it has not."""
    distance = jump.usual_mm(tolerance_mm, closing_mm)
    if distance is None:
        return None
    far = min(FARTHEST_MM, jump.furthest_mm(tolerance_mm), jump.room_mm)
    least, greatest = sorted((jump.at_mm(min(NEAREST_MM, distance)), jump.at_mm(far)))
    return Stand(station_mm=jump.at_mm(distance), least_mm=least, greatest_mm=greatest, end=end)


def _at_trim_line(pressed: ArcSpline, tolerance_mm: float, end: End) -> Stand:
    """At the finished end, or so little before it that the loose end, κa²/2, is half the tolerance."""
    bends = abs(pressed.pieces[0 if end == "right" else -1][1])
    reach = min(FARTHEST_MM, math.sqrt(tolerance_mm / bends)) if bends else FARTHEST_MM
    if end == "right":
        return Stand(station_mm=0.0, least_mm=0.0, greatest_mm=reach, end=end)
    length = pressed.length_mm
    return Stand(station_mm=length, least_mm=length - reach, greatest_mm=length, end=end)
