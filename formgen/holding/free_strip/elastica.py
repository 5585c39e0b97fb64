"""Stage `holding`: the elastica in closed form: a straight strip held only by pins at its two ends.

In: the strip's length and the distance between the pins, in mm. Out: its shape, the force along the chord and the lean
of its ends. The strip has no curvature of its own, one bending stiffness, and no weight; for legs, curvature
that stays in and two stiffnesses see `strip.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from formgen.errors import PressError
from formgen.holding.free_strip.elliptic import Means

Array = NDArray[np.float64]

#: sin(lean/2) beyond which the two halves of the strip would have to pass through each other.
GREATEST_MODULUS = 1.0 - 1e-12


@dataclass(frozen=True, kw_only=True)
class PinnedElastica:
    """A strip of length L between two pins, bowed to one side without a wave.

    With Ω² = P/EI and k = sin(α/2), α the lean of the ends from the chord, the shape at station s is, with
    u = Ωs − K measured from the crown: heading ψ = −2 asin(k sn u), height h = (2k/Ω) cn u,
    and along the chord x = 2E(am u)/Ω − s.

    Args:
        length_mm: L, above 0.
        chord_mm: distance between the pins, below L; negative where the ends have crossed.
        means: the elliptic steps for k.

    Assumptions:
        Thin strip that neither stretches nor shears, linear elastic, weightless; pins without friction.

    Reference:
        Timoshenko & Gere 1961, Theory of Elastic Stability, §2.7: the pinned strip is two fixed-free columns
        back to back, so that P/Pcr = (2K/π)², x/l = 2E/K − 1, y/l = 2k/K for each half.
    """

    length_mm: float
    chord_mm: float
    means: Means

    @property
    def modulus(self) -> float:
        """Sine of half the lean, k = sin(α/2)."""
        return self.means.modulus

    @property
    def lean_rad(self) -> float:
        """Angle α between the strip's end and the chord, at both ends."""
        return 2.0 * math.asin(self.modulus)

    @cached_property
    def force_over_stiffness_per_mm2(self) -> float:
        """P/EI, P the force by which the pins press on the strip, along the chord."""
        return (2.0 * self.means.first_kind / self.length_mm) ** 2

    @property
    def force_over_buckling(self) -> float:
        """P over Euler's load of the pinned strip, π²EI/L²; 1 where the strip is all but straight."""
        return (2.0 * self.means.first_kind / math.pi) ** 2

    @property
    def rise_mm(self) -> float:
        """Height of the crown over the chord."""
        return self.modulus * self.length_mm / self.means.first_kind

    def _along(self, stations_mm: ArrayLike) -> Array:
        """Argument u, from −K at one end to K at the other."""
        K = self.means.first_kind
        return np.asarray((2.0 * np.asarray(stations_mm, dtype=float) / self.length_mm - 1.0) * K)

    def headings(self, stations_mm: ArrayLike) -> Array:
        """Angle to the chord at stations 0…L, rad: α at the start, −α at the end (the strip bows to the left)."""
        phi, _ = self.means.amplitude_and_zeta(self._along(stations_mm))
        return np.asarray(-2.0 * np.arcsin(self.modulus * np.sin(phi)))

    def points(self, stations_mm: ArrayLike) -> Array:
        """Points (n, 2), mm, from (0, 0) to (chord, 0), bowed toward +y."""
        u = self._along(stations_mm)
        omega = math.sqrt(self.force_over_stiffness_per_mm2)
        phi, _ = self.means.amplitude_and_zeta(u)
        K, E = self.means.first_kind, self.means.second_kind
        x = (2.0 * (self.means.incomplete_second_kind(u) + E) - (u + K)) / omega
        y = 2.0 * self.modulus * np.cos(phi) / omega
        return np.column_stack([x, y])


def pinned_elastica(length_mm: float, chord_mm: float) -> PinnedElastica:
    """The bowed strip of that length between pins that far apart: 2E/K − 1 = chord/length solved for k.

    Raises:
        PressError: the length is not above 0, or the chord is not shorter than the strip.
    """
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise PressError(f"length of a bowed strip = {length_mm} mm, expected above 0")
    ratio = chord_mm / length_mm
    if not -0.9 < ratio < 1.0:
        raise PressError(
            f"distance between the ends = {chord_mm:.3f} mm, expected less than the strip's "
            f"{length_mm:.3f} mm; move the bar or lengthen the part"
        )
    low, high = 0.0, GREATEST_MODULUS
    for _ in range(60):
        k = (low + high) / 2.0
        means = Means.of(k)
        if 2.0 * means.second_kind / means.first_kind - 1.0 > ratio:
            low = k
        else:
            high = k
    return PinnedElastica(length_mm=length_mm, chord_mm=chord_mm, means=Means.of((low + high) / 2.0))
