"""Stage `form`: the thinnest walls that clamp reliefs leave: to an edge of their piece, and to each other.

In: the layers. Out: spans and thicknesses in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from formgen.form.free_space import Room
from formgen.form.stack import Layer
from formgen.geometry.outline import Outline

#: How closely an opening's edge is sampled (mm off the arc).
SAMPLED_MM = 0.05


@dataclass(frozen=True, kw_only=True)
class Wall:
    """The wall left beside an opening: `edge` (to the edge of the piece) or `rib` (to the next opening)."""

    kind: Literal["edge", "rib"]
    span_mm: float
    thickness_mm: float


def walls(layers: Sequence[Layer]) -> list[Wall]:
    """The thinnest wall to an edge and the thinnest rib, each with the length of its opening; none without openings."""
    held: dict[tuple[Outline, Outline], None] = {}
    for layer in layers:
        for piece in layer.pieces:
            held.update(dict.fromkeys((piece.outline, opening.outline) for opening in piece.openings))
    if not held:
        return []
    edges = [_to_edge(piece, opening) for piece, opening in held]
    found = [min(edges, key=lambda wall: wall.thickness_mm / wall.span_mm)]
    sampled = {opening: _points(opening) for _, opening in held}
    ribs = [
        Wall(kind="rib", span_mm=max(_length(a), _length(b)), thickness_mm=_apart(a, b))
        for a, b in combinations(sampled.values(), 2)
    ]
    if ribs:
        found.append(min(ribs, key=lambda wall: wall.thickness_mm))
    return found


def _to_edge(piece: Outline, opening: Outline) -> Wall:
    points = _points(opening)
    free = Room(outlines=(piece,)).free(points)
    return Wall(kind="edge", span_mm=_length(points), thickness_mm=float(np.min(free)))


def _points(outline: Outline) -> NDArray[np.float64]:
    return np.array(outline.flattened(SAMPLED_MM))


def _length(points: NDArray[np.float64]) -> float:
    """Greatest distance between two points of an opening."""
    return float(np.max(np.hypot(*(points[:, None] - points).transpose(2, 0, 1))))


def _apart(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    return float(np.min(np.hypot(*(a[:, None] - b).transpose(2, 0, 1))))
