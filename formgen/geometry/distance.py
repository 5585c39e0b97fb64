"""Geometry: how far points lie from an outline, many at once; mm."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from formgen.geometry.outline import Edge, Outline

Array = NDArray[np.float64]


def distances_mm(points: Array, outline: Outline) -> Array:
    """Distance of each point, (n, 2), from the nearest edge of an outline: (n,)."""
    least = np.full(len(points), np.inf)
    for edge in outline.edges:
        np.minimum(least, _from_arc(points, edge) if edge.bulge else _from_line(points, edge), out=least)
    return least


def _from_line(points: Array, edge: Edge) -> Array:
    a, chord = np.array(edge.a), np.subtract(edge.b, edge.a)
    t = np.clip((points - a) @ chord / (chord @ chord), 0.0, 1.0)
    return lengths(points - a - t[:, None] * chord)


def _from_arc(points: Array, edge: Edge) -> Array:
    centre = np.array(edge.centre)
    begin = math.atan2(edge.a[1] - centre[1], edge.a[0] - centre[0])
    out = points - centre
    turn = (np.arctan2(out[:, 1], out[:, 0]) - begin) * math.copysign(1.0, edge.bulge) % (2 * math.pi)
    beside = np.abs(lengths(out) - edge.radius_mm)
    ends = np.minimum(lengths(points - np.array(edge.a)), lengths(points - np.array(edge.b)))
    return np.where(turn <= abs(edge.sweep_rad), beside, ends)


def lengths(vectors: Array) -> Array:
    """Length of each vector: (n, 2) to (n,)."""
    return np.hypot(vectors[:, 0], vectors[:, 1])
