"""Drafting: signs of a drawing that measure nothing: trim lines.

In: places on the thing or on paper. Out: ink; mm on paper.
"""

from __future__ import annotations

import math

from formgen.drafting.ink import TRIM, line
from formgen.drafting.view import View
from formgen.geometry.outline import Point

#: Teeth at the end of a trim line: how many, length and height of each (mm on paper).
TEETH, TOOTH_MM, TOOTH_HIGH_MM = 3, 1.2, 1.0


def trim_line(view: View, inside: Point, outside: Point) -> None:
    """A line across the part where it is sawn, with saw teeth at its outer end.

    Args:
        view: where.
        inside: its end in the form.
        outside: its end beyond the part, where the teeth are.
    """
    (ax, ay), (bx, by) = view.at(inside), view.at(outside)
    length = math.hypot(bx - ax, by - ay)
    c, s = (bx - ax) / length, (by - ay) / length
    points = [(ax, ay)]
    begin = length - TEETH * TOOTH_MM
    for tooth in range(TEETH):  # straight up, down at a slant
        for along, up in ((0.0, 0.0), (0.0, TOOTH_HIGH_MM), (TOOTH_MM, 0.0)):
            t = begin + tooth * TOOTH_MM + along
            points.append((ax + t * c - up * s, ay + t * s + up * c))
    view.paper.put(line(TRIM, *points))
