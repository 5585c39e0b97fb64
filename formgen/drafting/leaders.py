"""Drafting: where leaders may run: which lines they keep off, and the points at which one ends already; mm on paper.

In: segments of what is drawn. Out: yes and no. A leader crosses no size nor other leader; none of the lines with a
meaning of their own, where it can be helped; and two of them never leave one point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from formgen.drafting.segments import Array, Lines, past_start
from formgen.geometry.outline import Point

#: How near its tip a leader may touch what it points at, and how far apart two tips are (mm on paper).
TIP_MM, APART_MM = 0.5, 2.0


@dataclass
class Leaders:
    """Lines and points that leaders go round.

    Args:
        sizes: dimension and extension lines, heads of arrows, other leaders: never crossed.
        guides: centre, springing, trim and the bar's line, edges of holes: crossed only where nothing else is free.
        tips: where leaders end.
    """

    sizes: Lines = field(default_factory=Lines)
    guides: Lines = field(default_factory=Lines)
    tips: list[Point] = field(default_factory=list)

    def is_taken(self, tip: Point) -> bool:
        """Tell whether a leader ends there already."""
        return any(math.dist(tip, other) < APART_MM for other in self.tips)

    def clear_of_sizes(self, points: Sequence[Point]) -> Array | None:
        """The segments of a leader from its tip on, if they cross no size and no other leader."""
        runs = past_start(points, TIP_MM)
        return None if self.sizes.met_by(runs) else runs
