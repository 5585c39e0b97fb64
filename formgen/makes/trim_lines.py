"""Stage `makes`: the trim lines that are drawn on a form: both ends of each part, those of several openings by name.

In: the parts that come off a form. Out: places on its pressed centre line, from the right; mm and rad.
"""

from __future__ import annotations

from collections.abc import Sequence

from formgen.fixed import fixed
from formgen.makes.model import Made

#: Lines nearer to each other than this are drawn as one: the width of a pencil (mm).
TOGETHER_MM = 0.5
#: Saw cuts whose lean differs by less are alike (rad): half a hundredth of a mm on 50.
_LEAN_RAD = 1e-4


@fixed
class TrimLine:
    """One line.

    Args:
        station_mm: on the form's pressed centre line.
        lean_rad: how far the saw cut is turned from square, anticlockwise.
        marks: the openings whose parts end there; none where all parts do.
    """

    station_mm: float
    lean_rad: float
    marks: tuple[str, ...]


def trim_lines(makes: Sequence[Made]) -> tuple[TrimLine, ...]:
    """The lines from the right; of a form for one opening two, without a mark."""
    ends = [(end, mark) for part in makes for end, mark in zip(_ends(part), (part.mark, part.mark), strict=True)]
    ends.sort(key=lambda held: held[0])
    groups: list[list[tuple[tuple[float, float], str]]] = []
    for held in ends:
        first = groups[-1][0][0] if groups else None
        if first and held[0][0] - first[0] <= TOGETHER_MM and abs(held[0][1] - first[1]) <= _LEAN_RAD:
            groups[-1].append(held)
        else:
            groups.append([held])
    return tuple(
        TrimLine(
            station_mm=sum(end[0] for end, _ in group) / len(group),
            lean_rad=group[0][0][1],
            marks=() if len(group) == len(makes) else tuple(mark for _, mark in group),
        )
        for group in groups
    )


def _ends(part: Made) -> tuple[tuple[float, float], tuple[float, float]]:
    """Station and lean of the right and the left end."""
    right, left = part.pressing.arch.mitre_rad
    return (part.ends_mm[0], -right), (part.ends_mm[1], left)
