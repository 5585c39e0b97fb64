"""Stage `holding`: a strip of plies that slide on each other, as it is asked about and as it is found at rest.

In: nothing. Out: two fixed values, lengths in mm, for each mm of depth where forces are meant. Computes nothing.
"""

from __future__ import annotations

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.distance import Array


@fixed
class SlidingStrip:
    """A strip cut into elements, each of which stays an arc; its plies were bent to the pressed curve sliding freely.

    Interfaces that slide alike make a class, m of them. A class slides by z at a joint: the slip at each of its
    interfaces over the distance between the middles of its two plies. z = 0 everywhere is the locked stack; z equal
    to the turn from the pressed heading is loose plies.

    Args:
        lengths_mm: (n,) length of each element, above 0.
        pressed_per_mm: (n,) curvature to which the plies were bent, positive to the left.
        loose_n_mm: bending stiffness Σ E t³/12 of the plies by themselves, for each mm of depth.
        joined_n_mm: (m, m) what each class adds to the moment as classes refuse to slide; together what locking adds.
        friction_n: (m,) most by which each class's moment changes over a mm: μ q Σ d.
        held: joints that the pins hold; None for a strip that nothing holds.
        pin_offset_mm: how far to the left of the strip the pins sit, on arms square to it.
    """

    lengths_mm: Array
    pressed_per_mm: Array
    loose_n_mm: float
    joined_n_mm: Array
    friction_n: Array
    held: tuple[int, int] | None = None
    pin_offset_mm: float = 0.0


@fixed
class AtRest:
    """A strip of sliding plies in equilibrium.

    Args:
        strip: the strip.
        headings: (n + 1,) heading at every joint, rad.
        slides: (n + 1, m) z of each class at every joint, rad.
        moments_n: (n,) moment in each element, of bent plies and friction together.
        force_n_per_mm: force on the far pin (x, y) for each mm of depth.
        headings_per_mm, moments_per_mm: (n + 1,), (n,) how both change for each mm that the pins are set further apart.
    """

    strip: SlidingStrip
    headings: Array
    slides: Array
    moments_n: Array
    force_n_per_mm: tuple[float, float]
    headings_per_mm: Array
    moments_per_mm: Array

    @property
    def curvatures_per_mm(self) -> Array:
        """(n,) curvature of each element."""
        return np.asarray(np.diff(self.headings) / self.strip.lengths_mm)
