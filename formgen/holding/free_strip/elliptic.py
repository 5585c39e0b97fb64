"""Stage `holding`: elliptic integrals by the arithmetic-geometric mean, as the elastica needs them.

In: modulus k from 0 to below 1, arguments u. Out: complete integrals, amplitude and zeta function, without unit.
Written out here because the elastica must be ready in a millisecond, before any large library is loaded.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from formgen.errors import PressError

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Means:
    """The arithmetic-geometric mean of 1 and √(1 − k²), step by step.

    Args:
        modulus: k.
        means: aₙ, from a₀ = 1 until it no longer moves.
        halves: cₙ = (aₙ₋₁ − bₙ₋₁)/2, c₀ = k; same length.
    """

    modulus: float
    means: tuple[float, ...]
    halves: tuple[float, ...]

    @classmethod
    def of(cls, modulus: float) -> Means:
        """The steps for a modulus; PressError unless 0 ≤ k < 1."""
        if not 0.0 <= modulus < 1.0:
            raise PressError(
                f"modulus of an elliptic integral = {modulus}, expected 0 or more and below 1; check chord and length"
            )
        a, b, c = 1.0, math.sqrt((1.0 - modulus) * (1.0 + modulus)), modulus
        means, halves = [a], [c]
        while c > 1e-17 * a and len(means) < 40:
            a, b, c = (a + b) / 2.0, math.sqrt(a * b), (a - b) / 2.0
            means.append(a)
            halves.append(c)
        return cls(modulus=modulus, means=tuple(means), halves=tuple(halves))

    @property
    def first_kind(self) -> float:
        """Complete integral of the first kind, K = π/(2 agm(1, √(1 − k²)))."""
        return math.pi / (2.0 * self.means[-1])

    @property
    def second_kind(self) -> float:
        """Complete integral of the second kind, E = K (1 − Σ 2ⁿ⁻¹ cₙ²)."""
        return self.first_kind * (1.0 - math.fsum(2.0 ** (n - 1) * c * c for n, c in enumerate(self.halves)))

    def amplitude_and_zeta(self, u: ArrayLike) -> tuple[Array, Array]:
        """Jacobi's amplitude am(u) in rad and zeta function Z(u), each of the shape of `u`.

        Reference:
            Abramowitz & Stegun 1964, 16.4 (amplitude by descending steps) and 17.6 (Z(u) = Σ cₙ sin φₙ).
        """
        steps = len(self.means) - 1
        phi = np.asarray(2.0**steps * self.means[-1] * np.asarray(u, dtype=float))
        zeta = np.zeros_like(phi)
        for n in range(steps, 0, -1):
            zeta += self.halves[n] * np.sin(phi)
            phi = (phi + np.arcsin(self.halves[n] / self.means[n] * np.sin(phi))) / 2.0
        return phi, zeta

    def incomplete_second_kind(self, u: ArrayLike) -> Array:
        """E(am u, k) = u E/K + Z(u): the integral of dn² from 0 to u."""
        _, zeta = self.amplitude_and_zeta(u)
        return np.asarray(np.asarray(u, dtype=float) * self.second_kind / self.first_kind + zeta)
