"""Pictures read again without what drew them: closed paths of lines and arcs as polygons, and where groups stand."""

from __future__ import annotations

import math
import re

import numpy as np
import shapely
from shapely.affinity import translate

_STEP = re.compile(r"([MLAZ])([^MLAZ]*)")
#: An arc is read as so many chords.
CHORDS = 64


def polygons(d: str) -> list[shapely.Polygon]:
    """The closed rings of a path of M, L, A and Z."""
    found: list[shapely.Polygon] = []
    points: list[tuple[float, float]] = []
    for letter, numbers in _STEP.findall(d):
        values = [float(number) for number in numbers.split()]
        if letter == "M":
            points = [(values[0], values[1])]
        elif letter == "L":
            points.append((values[0], values[1]))
        elif letter == "A":
            points += _arc(points[-1], *values)
        else:
            found.append(shapely.Polygon(points))
    return found


def _arc(
    a: tuple[float, float], rx: float, ry: float, turned: float, large: float, sweep: float, x: float, y: float
) -> list[tuple[float, float]]:
    """Points of an elliptical arc (SVG 1.1, appendix F.6.5: from end points to centre)."""
    assert turned == 0
    dx, dy = (a[0] - x) / 2, (a[1] - y) / 2
    grow = math.sqrt(max((dx / rx) ** 2 + (dy / ry) ** 2, 1.0))  # radii too small for the chord are scaled up
    rx, ry = rx * grow, ry * grow
    under = max((rx * ry) ** 2 - (rx * dy) ** 2 - (ry * dx) ** 2, 0.0)
    k = math.sqrt(under / ((rx * dy) ** 2 + (ry * dx) ** 2)) * (-1 if large == sweep else 1)
    cx, cy = k * rx * dy / ry, -k * ry * dx / rx
    begin = math.atan2((dy - cy) / ry, (dx - cx) / rx)
    turn = (math.atan2((-dy - cy) / ry, (-dx - cx) / rx) - begin) % (2 * math.pi) - (0 if sweep else 2 * math.pi)
    angles = begin + turn * np.arange(1, CHORDS + 1) / CHORDS
    middle = cx + (a[0] + x) / 2, cy + (a[1] + y) / 2
    return [(float(middle[0] + rx * math.cos(t)), float(middle[1] + ry * math.sin(t))) for t in angles]


def moved(shape: shapely.Geometry, transform: str) -> shapely.Geometry:
    """A shape where `translate(x y)` puts it."""
    x, y = map(float, re.fullmatch(r"translate\(([-\d.]+) ([-\d.]+)\)", transform).groups())  # type: ignore[union-attr]
    return translate(shape, x, y)
