"""Stage `holding`: how far in from its ends a stack of loose plies is locked by friction under vacuum.

In: plies of a laminate, pressure on them, friction between them. Out: stiffness and moments for each mm of depth
(N·mm² / mm and N·mm / mm), transfer lengths in mm, and the moment that friction carries along the stack.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from formgen.curve.arcspline import ArcSpline
from formgen.laminate.plies import Laminate
from formgen.laminate.springback import spring_back_ratio

Array = NDArray[np.float64]

#: Weight that pins the moment to nothing at the first free end, against 1 for a stretch of the stack.
END_WEIGHT = 1e9


@dataclass(frozen=True, kw_only=True)
class Stack:
    """The loose plies under pressure.

    Args:
        loose_n_mm: bending stiffness of the plies sliding on each other, Σ E t³/12, for each mm of depth.
        locked_n_mm: that of the same plies locked, Σ E (t³/12 + t (y − ȳ)²).
        carried_per_mm: moment that friction can build up over each mm of length, N·mm per mm of depth and mm:
            2 T μ q / 3, so that a moment M needs M over this, which is 1.5 M/(T μ q).
    """

    loose_n_mm: float
    locked_n_mm: float
    carried_per_mm: float

    @classmethod
    def of(cls, laminate: Laminate, pressure_kpa: float, friction: float) -> Stack:
        """The laminate's plies under that pressure, with that coefficient of friction between wet plies."""
        E, t = [p.modulus_mpa for p in laminate.plies], [p.thickness_mm for p in laminate.plies]
        loose = math.fsum(e * x**3 / 12.0 for e, x in zip(E, t, strict=True))
        shear_mpa = friction * max(pressure_kpa, 0.0) / 1000.0
        return cls(
            loose_n_mm=loose,
            locked_n_mm=loose / spring_back_ratio(E, t),
            carried_per_mm=2.0 * laminate.thickness_mm * shear_mpa / 3.0,
        )

    def moment_n(self, curvature_per_mm: float) -> float:
        """Moment for each mm of depth, N·mm/mm, with which plies bent to that curvature try to straighten."""
        return self.loose_n_mm * abs(curvature_per_mm)

    def transfer_mm(self, curvature_per_mm: float) -> float:
        """Length over which friction takes up the moment at that curvature: ℓ = 1.5 M/(T μ q).

        Infinite without pressure, 0 where the part is straight.

        Assumptions:
            The locked stack is one beam, whose shear stress 1.5 V/T at mid-thickness may not pass μ q; the
            moment rises evenly from the end, V = M/ℓ; Coulomb friction, the same all along.

        Reference:
            Parabolic shear in a rectangular section (Timoshenko, Strength of Materials, Part I; from memory),
            set equal to friction: computed.
        """
        moment = self.moment_n(curvature_per_mm)
        if moment == 0.0:
            return 0.0
        return moment / self.carried_per_mm if self.carried_per_mm > 0.0 else math.inf


def locked_stretch(stack: Stack, pressed: ArcSpline) -> tuple[float, tuple[float, float] | None]:
    """Share of the pressed curve's turning that friction locks, 0 to 1, and the stations between which it lies.

    A station is locked where it lies further from both ends than its own transfer length. With a share of 0
    there is no such stretch (None) and the plies slip along the whole part; on one arc without legs that is so
    exactly where half the part is shorter than ℓ.

    Assumptions:
        The moment is that of the local curvature; friction between a station and the nearer end is free to
        carry it, whatever the curvature in between.
    """
    locked, whole, found = 0.0, 0.0, []
    for (length, curvature), begin in zip(pressed.pieces, pressed.stations_mm, strict=False):
        need = stack.transfer_mm(curvature)
        low, high = max(float(begin), need), min(float(begin) + length, pressed.length_mm - need)
        whole += abs(curvature) * length
        if high > low and curvature != 0.0:
            locked += abs(curvature) * (high - low)
            found.append((low, high))
    if whole == 0.0:
        return 1.0, (0.0, pressed.length_mm)
    return locked / whole, (found[0][0], found[-1][1]) if found else None


def carried_moments(stack: Stack, lengths_mm: Array, moments_n: Array) -> Array:
    """The moment that friction carries in each element: as near to what the plies ask for as it can come.

    It is 0 at both ends, may change by no more than `carried_per_mm` over each mm, and is the one nearest in least
    squares to the plies' own moments. Where it equals them the stack is locked; where it falls short, plies slide.

    Args:
        stack: what friction carries.
        lengths_mm: (n,) lengths of the elements.
        moments_n: (n,) moments of the bent plies, signed as the curvature.

    Returns:
        (n,) moments carried at the middle of each element.

    Assumptions:
        Friction acts once, as the part comes off the form, and every slide goes one way: what the sliding plies
        lose in energy is then least for the moment that is found. Jolts, creep and the pull of the bar are left out.

    Reference:
        Least-squares fit under a bound on the slope, by dynamic programming over its derivative, which is a
        broken line (`_best_ends`); computed.
    """
    bounds = stack.carried_per_mm * np.convolve(lengths_mm, [0.5, 0.5])
    best = _best_ends(lengths_mm / float(np.max(lengths_mm)), moments_n, bounds)
    out, after = np.empty(len(best)), 0.0  # past the far end nothing is carried
    for i in range(len(best) - 1, -1, -1):
        after = min(max(best[i], after - bounds[i + 1]), after + bounds[i + 1])
        out[i] = after
    return out


def _best_ends(weights: Array, wanted: Array, bounds: Array) -> list[float]:
    """For each place the value with which the best fit up to there ends, if nothing came after it; 0 before the first.

    The derivative of the least misfit by that value rises from straight line to straight line. One step along the stack
    lays a level stretch of twice the bound where it was 0 and adds a line to the whole. A line's slope is the weight
    so far less a base that never changes; knots left and right of the level stretch only shift with the bounds.
    """
    left: list[tuple[float, float]] = []  # (knot + shift, base of the line beyond it), the nearest last
    right: list[tuple[float, float]] = []  # (knot − shift, base of the line beyond it)
    total, shift, root, base, best = 0.0, 0.0, 0.0, -END_WEIGHT, []
    for w, m, b in zip(weights.tolist(), wanted.tolist(), bounds.tolist(), strict=False):
        shift += b
        left.append((root - b + shift, base))
        right.append((root + b - shift, base))
        base, root = total, m
        total += w
        while right and root > (knot := right[-1][0] + shift):
            passed, slope = base, total - base
            base = right.pop()[1]
            left.append((knot + shift, passed))
            root = knot + (root - knot) * slope / (total - base)
        while left and root < (knot := left[-1][0] - shift):
            passed, slope = base, total - base
            base = left.pop()[1]
            right.append((knot - shift, passed))
            root = knot + (root - knot) * slope / (total - base)
        best.append(root)
    return best


def sliding_shares(stack: Stack, lengths_mm: Array, moments_n: Array, carried_n: Array) -> Array:
    """Share, 0 to 1, of each element's length (n,) along which plies slide on each other.

    Where a sliding element meets a locked one the border lies where the carried moment, which rises by `carried_per_mm`
    over each mm, reaches the plies' own. An end carries nothing, so that the first border may lie within its element.

    Args:
        stack: what friction carries.
        lengths_mm: (n,) as for `carried_moments`.
        moments_n: (n,) likewise.
        carried_n: (n,) what that returned.
    """
    short = np.abs(moments_n - carried_n)
    sliding = short > 1e-9 * float(np.max(np.abs(moments_n), initial=1e-30))
    shares = sliding.astype(float)
    if stack.carried_per_mm <= 0.0:
        return np.ones_like(shares)
    for left in np.flatnonzero(sliding[1:] != sliding[:-1]):
        i, j = (left, left + 1) if sliding[left] else (left + 1, left)
        beyond = abs(moments_n[j] - carried_n[i]) / stack.carried_per_mm - lengths_mm[i] / 2.0
        if beyond < 0.0:
            shares[i] += beyond / lengths_mm[i]
        else:
            shares[j] += beyond / lengths_mm[j]
    for end in (0, -1):
        if not sliding[end]:  # the border lies before the element's middle: it slides from the free end up to there
            shares[end] += abs(moments_n[end]) / stack.carried_per_mm / lengths_mm[end]
    return np.asarray(np.clip(shares, 0.0, 1.0))
