"""Stage `form`: thin plates and strips under even pressure, in closed form.

In: sizes in mm, pressure and modulus in MPa. Out: greatest deflection in mm and greatest bending moment in N (N·mm per
mm of width). Knows nothing of forms.
"""

from __future__ import annotations

import math

from formgen.fixed import fixed

#: Terms of the series: the first left out is below a billionth of the sum.
TERMS = 41


@fixed
class Bent:
    """A plate under load: greatest deflection, and greatest moment for each mm of width."""

    deflection_mm: float
    moment_n: float

    def stress_mpa(self, thickness_mm: float) -> float:
        """Greatest bending stress, 6M/t²."""
        return 6.0 * self.moment_n / thickness_mm**2


def plate_stiffness_n_mm(modulus_mpa: float, thickness_mm: float, poisson: float) -> float:
    """D = Et³/[12(1 − ν²)], N·mm."""
    return modulus_mpa * thickness_mm**3 / (12.0 * (1.0 - poisson**2))


def clamped_strip(pressure_mpa: float, span_mm: float, stiffness_n_mm: float) -> Bent:
    """A long strip held fast along both edges: w = qL⁴/(384D), M = qL²/12 at the edges.

    Assumptions:
        Thin, elastic, small deflection. A strip thicker than a fifth of its span gives more by shear than this.

    Reference:
        Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. (1959), ch. 1.
    """
    return Bent(
        deflection_mm=pressure_mpa * span_mm**4 / (384.0 * stiffness_n_mm), moment_n=pressure_mpa * span_mm**2 / 12.0
    )


def cantilever_strip(pressure_mpa: float, reach_mm: float, stiffness_n_mm: float) -> Bent:
    """A lip held fast along one edge: w = qa⁴/(8D), M = qa²/2.

    Reference:
        Timoshenko, Strength of Materials, Part I: cantilever under even load.
    """
    return Bent(
        deflection_mm=pressure_mpa * reach_mm**4 / (8.0 * stiffness_n_mm), moment_n=pressure_mpa * reach_mm**2 / 2.0
    )


def supported_rectangle(
    pressure_mpa: float, short_mm: float, long_mm: float, stiffness_n_mm: float, poisson: float
) -> Bent:
    """A rectangle resting on all four edges: deflection and moment across the short way at its middle.

    With a the short side, b the long one and αₘ = mπb/(2a), m odd:
    w = 4qa⁴/(π⁵D) Σ ± 1/m⁵ [1 − (αₘ tanh αₘ + 2)/(2 cosh αₘ)].
    For a square of ν = 0.3 that is 0.00406 qa⁴/D, and M = 0.0479 qa².

    Args:
        pressure_mpa: q.
        short_mm: a.
        long_mm: b, at least a.
        stiffness_n_mm: D.
        poisson: ν.

    Assumptions:
        Thin, elastic, small deflection, edges free to turn, corners held down: gives more than a plate that is glued
        all round.

    Reference:
        Lévy's solution: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. (1959), art. 30.
    """
    a = short_mm
    w = across = along = 0.0
    for m in range(1, 2 * TERMS, 2):
        sign = 1.0 if m % 4 == 1 else -1.0
        alpha = m * math.pi * long_mm / (2.0 * a)
        sech = 1.0 / math.cosh(alpha) if alpha < 300.0 else 0.0
        shape = 1.0 - (alpha * math.tanh(alpha) + 2.0) * sech / 2.0
        w += sign * shape / m**5
        across += sign * shape / m**3
        along += sign * alpha * math.tanh(alpha) * sech / 2.0 / m**3
    scale = 4.0 * pressure_mpa * a**2 / math.pi**3
    return Bent(
        deflection_mm=4.0 * pressure_mpa * a**4 / (math.pi**5 * stiffness_n_mm) * w,
        moment_n=scale * (across + poisson * along),
    )
