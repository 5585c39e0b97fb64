"""How far two arcs are apart, from circles alone: the one lifted over the other until their greatest distance is least.

Nothing of the program's. Both are symmetric about the axis, crown on it, so that the lift along it is the only freedom
worth having. mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

#: Points over half of the arc.
_POINTS = 2001
_ROUNDS = 120


def radius_and_sweep(span: float, rise: float | None) -> tuple[float, float]:
    """Of the circle through springing points and crown: R = (a² + h²)/2h, sweep = 4 atan(h/a), a half the span.

    Without a rise it is half a circle.
    """
    a = span / 2.0
    h = a if rise is None else rise
    return (a * a + h * h) / (2.0 * h), 4.0 * math.atan2(h, a)


def arcs_apart(asked: float, made: float, length: float) -> float:
    """Greatest distance from an arc of radius `made` and that length to the circle of radius `asked`, best lifted."""
    turn = np.linspace(0.0, length / (2.0 * made), _POINTS)
    x, y = made * np.sin(turn), made * np.cos(turn) - made  # crown at the origin

    def worst(lift: float) -> float:
        return float(np.abs(np.hypot(x, y + asked + lift) - asked).max())

    return _least(worst, abs(made - asked))


def legged_apart(asked: float, made: float, sweep: float, leg: float) -> float:
    """The same for arcs of one sweep that run on straight at both ends."""
    half = sweep / 2.0
    turn = np.linspace(0.0, half, _POINTS)
    along = np.linspace(0.0, leg, 101)
    x = np.concatenate([made * np.sin(turn), made * math.sin(half) + along * math.cos(half)])
    y = np.concatenate([made * np.cos(turn), made * math.cos(half) - along * math.sin(half)]) - made

    def worst(lift: float) -> float:
        return float(_to_arc_with_legs(x, y + asked + lift, asked, half).max())

    return _least(worst, abs(made - asked))


def _to_arc_with_legs(
    x: NDArray[np.float64], y: NDArray[np.float64], radius: float, half: float
) -> NDArray[np.float64]:
    """Distances of points right of the axis from an arc about the origin that runs on straight past its half sweep."""
    on_arc = np.arctan2(x, y) <= half
    # past the end of the arc: distance from the tangent there, whose normal is (sin, cos) of half the sweep
    off_leg = np.abs(x * math.sin(half) + y * math.cos(half) - radius)
    return np.where(on_arc, np.abs(np.hypot(x, y) - radius), off_leg)


def _least(worst: Callable[[float], float], scale: float) -> float:
    """Least of a function with one valley, by thirds."""
    low, high = -60.0 * scale - 1e-9, 60.0 * scale + 1e-9
    for _ in range(_ROUNDS):
        a, b = low + (high - low) / 3.0, high - (high - low) / 3.0
        low, high = (low, b) if worst(a) <= worst(b) else (a, high)
    return worst(0.5 * (low + high))
