"""Stage `holding`: how a chain of arcs lies, and how its far end moves as the joints turn.

In: lengths (n,) of the arcs and headings (n + 1,) in rad at their joints. Out: steps and their derivatives, in the unit
of the lengths. Exact for arcs; knows nothing of stiffness or forces but the load that it is told.
"""

from __future__ import annotations

import math

import numpy as np

from formgen.geometry.distance import Array


def left(heading: float) -> Array:
    """Unit vector (2,) to the left of a heading."""
    return np.array([-math.sin(heading), math.cos(heading)])


def _sinc(delta: Array) -> tuple[Array, Array, Array]:
    """sin(δ/2)/(δ/2) and its two derivatives, as series: elements turn by far less than a radian."""
    q = delta * delta
    return (
        1.0 - q / 24.0 * (1.0 - q / 80.0 * (1.0 - q / 168.0)),
        -delta / 12.0 * (1.0 - q / 40.0 * (1.0 - q / 112.0)),
        -1.0 / 12.0 * (1.0 - 3.0 * q / 40.0 * (1.0 - 5.0 * q / 336.0)),
    )


def steps(lengths: Array, theta: Array) -> tuple[Array, Array]:
    """Steps in x and y from end to end of every element."""
    middle, chord = (theta[1:] + theta[:-1]) / 2.0, lengths * _sinc(np.diff(theta))[0]
    return chord * np.cos(middle), chord * np.sin(middle)


def arms(lengths: Array, theta: Array, pin_offset: float) -> Array:
    """(2, n + 1) how the far pin moves against the near one as each heading turns."""
    middle, (s, s1, _) = (theta[1:] + theta[:-1]) / 2.0, _sinc(np.diff(theta))
    c, si, h = np.cos(middle), np.sin(middle), lengths
    by_middle, by_turn = np.array([-h * s * si, h * s * c]), np.array([h * s1 * c, h * s1 * si])
    out = np.zeros((2, len(theta)))
    out[:, :-1] += by_middle / 2.0 - by_turn
    out[:, 1:] += by_middle / 2.0 + by_turn
    for i, sign in ((0, -1.0), (-1, 1.0)):
        out[:, i] += sign * pin_offset * np.array([-math.cos(theta[i]), -math.sin(theta[i])])
    return out


def bends(lengths: Array, theta: Array, load: Array) -> tuple[Array, Array, Array]:
    """Second derivatives of load · step by middle heading, by both, and by turn, for every element."""
    middle, (s, s1, s2) = (theta[1:] + theta[:-1]) / 2.0, _sinc(np.diff(theta))
    along = load[0] * np.cos(middle) + load[1] * np.sin(middle)
    across = -load[0] * np.sin(middle) + load[1] * np.cos(middle)
    return -lengths * s * along, lengths * s1 * across, lengths * s2 * along
