"""Stage `holding`: the stack of loose plies under pressure: its stiffness, its interfaces and what friction can carry.

In: plies of a laminate, the pressure on them, the friction between them. Out: stiffness and moments for each mm of
depth (N·mm² / mm and N·mm / mm), interfaces in classes that slide alike, lengths in mm. It finds no shape.
"""

from __future__ import annotations

import math

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.distance import Array
from formgen.laminate.plies import Laminate
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.laminate.springback import spring_back_ratio

#: Interfaces are followed in at most so many classes; neighbours share one where there are more. Up to seven plies, and
#: up to thirteen that mirror, have a class for each interface or mirrored pair, and nothing is simplified.
MOST_CLASSES = 6


@fixed
class Stack:
    """The loose plies under pressure.

    Args:
        loose_n_mm: bending stiffness of the plies sliding on each other, Σ E t³/12, for each mm of depth.
        locked_n_mm: that of the same plies locked, Σ E (t³/12 + t (y − ȳ)²).
        joined_n_mm: (m, m) what the classes of interfaces add to the moment, as `SlidingStrip` takes it; the sum of all
            is locked less loose.
        friction_n: (m,) most by which friction at each class changes the moment over each mm, μ q Σ d; the sum is
            (1 − 1/n) T μ q for n equal plies.
        middle_n: greatest force, for each mm of depth and unit of curvature, that an interface of the locked stack
            passes on: max Σ E t (y − ȳ) of the plies to one side of it.
        shear_mpa: friction times pressure.
    """

    loose_n_mm: float
    locked_n_mm: float
    joined_n_mm: Array
    friction_n: Array
    middle_n: float
    shear_mpa: float

    @classmethod
    def of(cls, laminate: Laminate, pressure_kpa: float, friction: float) -> Stack:
        """The laminate's plies under that pressure, with that coefficient of friction between wet plies."""
        E = np.array([p.modulus_mpa for p in laminate.plies])
        t = np.array([p.thickness_mm for p in laminate.plies])
        loose = loose_stiffness_n_mm(laminate.plies)
        shear_mpa = friction * max(pressure_kpa, 0.0) / 1000.0
        apart = _classes(E, t) * ((t[1:] + t[:-1]) / 2.0)[:, None]
        above = np.tril(np.ones((len(t), len(t) - 1)), -1)  # an interface stretches every ply after it
        stretch = np.diag(E * t) - np.outer(E * t, E * t) / np.sum(E * t)  # and the stack has no thrust as a whole
        y = np.cumsum(t) - t / 2.0
        passed = np.cumsum(E * t * (y - np.sum(E * t * y) / np.sum(E * t)))
        return cls(
            loose_n_mm=loose,
            locked_n_mm=loose / spring_back_ratio(E.tolist(), t.tolist()),
            joined_n_mm=np.asarray(apart.T @ above.T @ stretch @ above @ apart),
            friction_n=np.asarray(shear_mpa * np.sum(apart, axis=0)),
            middle_n=float(np.max(np.abs(passed))),
            shear_mpa=shear_mpa,
        )

    def moment_n(self, curvature_per_mm: float) -> float:
        """Moment for each mm of depth, N·mm/mm, with which plies bent to that curvature try to straighten."""
        return self.loose_n_mm * abs(curvature_per_mm)

    def transfer_mm(self, curvature_per_mm: float) -> float:
        """Length from a free end after which the last interface of a stack bent to that curvature is locked.

        For equal plies ℓ = 1.5 M/(T μ q) = E t²/(8 R μ q), × (1 − 1/n²) for an odd number n of them. Infinite without
        pressure, 0 where the part is straight.

        Assumptions:
            One curvature; nothing holds the part, so that the locked stack has sprung back as a glued one does;
            Coulomb friction, the same all along.

        Reference:
            First moment of the section to one side of the interface (Timoshenko, Strength of Materials, Part I, shear
            in beams; from memory), set equal to the friction over ℓ: computed.
        """
        force = self.middle_n * abs(curvature_per_mm) * self.loose_n_mm / self.locked_n_mm
        if force == 0.0:
            return 0.0
        return force / self.shear_mpa if self.shear_mpa > 0.0 else math.inf


def _classes(E: Array, t: Array) -> Array:
    """(n − 1, m) of 0 and 1, which slides with which: pairs in stacks that mirror, neighbours in tall ones."""
    count = len(t) - 1
    order = np.arange(count)
    if np.allclose(E, E[::-1], rtol=1e-9) and np.allclose(t, t[::-1], rtol=1e-9):
        order = np.minimum(order, count - 1 - order)
    kinds = int(np.max(order, initial=-1)) + 1
    named = order * min(kinds, MOST_CLASSES) // max(kinds, 1)
    return np.asarray(named[:, None] == np.arange(int(np.max(named, initial=-1)) + 1), dtype=float)
