"""The elastica in closed form, for the tests: a straight strip between two pins, by the elliptic functions of scipy.

Source: with Ω² = P/EI and k = sin(α/2), α the lean of the ends from the chord: heading −2 asin(k sn u), height
(2k/Ω) cn u, along the chord 2E(am u)/Ω − s, u = Ωs − K (Love, Mathematical Theory of Elasticity, ch. XIX).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ellipe, ellipeinc, ellipj, ellipk

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Elastica:
    """A strip of that length whose ends are pinned that far apart, bowed to one side."""

    length: float
    chord: float

    @property
    def modulus(self) -> float:
        """k, from chord / length = 2E/K − 1."""

        def off(k: float) -> float:
            return float(2.0 * ellipe(k * k) / ellipk(k * k) - 1.0 - self.chord / self.length)

        return float(brentq(off, 1e-9, 1.0 - 1e-9, xtol=1e-15))

    @property
    def lean_rad(self) -> float:
        return 2.0 * math.asin(self.modulus)

    @property
    def force_over_stiffness(self) -> float:
        """P/EI along the chord."""
        return float((2.0 * ellipk(self.modulus**2) / self.length) ** 2)

    @property
    def rise(self) -> float:
        return float(self.modulus * self.length / ellipk(self.modulus**2))

    def headings(self, stations: Array) -> Array:
        """From the chord, lean at the start and −lean at the end."""
        k, u = self.modulus, self._along(stations)
        return np.asarray(-2.0 * np.arcsin(k * ellipj(u, k * k)[0]))

    def points(self, stations: Array) -> Array:
        """(n, 2) from (0, 0) to (chord, 0)."""
        k, u = self.modulus, self._along(stations)
        m, omega = k * k, math.sqrt(self.force_over_stiffness)
        _, cn, _, am = ellipj(u, m)
        x = (2.0 * (ellipeinc(am, m) + ellipe(m)) - (u + ellipk(m))) / omega
        return np.column_stack([x, 2.0 * k * cn / omega])

    def _along(self, stations: Array) -> Array:
        return np.asarray((2.0 * stations / self.length - 1.0) * ellipk(self.modulus**2))
