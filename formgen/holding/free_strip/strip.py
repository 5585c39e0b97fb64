"""Stage `holding`: the general strip: curvature of its own, stiffness that changes along it, held by pins or free.

In: lengths, natural curvatures (mm, 1/mm) and bending stiffness (N·mm² per mm of depth = N·mm) element by element.
Out: the shape at rest, as arcs, and the forces at its ends per mm of depth. Knows nothing of plies, bars or forms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from formgen.errors import PressError
from formgen.holding.free_strip.arcs import arms, bends, left, steps
from formgen.holding.free_strip.bordered import solve_chain, solve_pinned

Array = NDArray[np.float64]

#: Newton stops where moments and gaps, made dimensionless by length and stiffness, are below this.
RESIDUAL = 1e-10
MOST_STEPS = 60
#: No heading turns by more in one step, so that the search stays near the shape it began with.
MOST_TURN_RAD = 0.5


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A strip cut into elements, each of which stays an arc.

    Args:
        lengths_mm: (n,) length of each element, above 0.
        natural_per_mm: (n,) curvature of each with no load on it, positive to the left.
        stiffness_n_mm: (n,) bending stiffness for each mm of depth, above 0.
        pin_offset_mm: how far to the left of the strip its two pins sit, on arms square to its ends.
    """

    lengths_mm: Array
    natural_per_mm: Array
    stiffness_n_mm: Array
    pin_offset_mm: float = 0.0

    @property
    def natural_headings(self) -> Array:
        """(n + 1,) headings of the unloaded strip, its first 0."""
        return np.concatenate([[0.0], np.cumsum(self.lengths_mm * self.natural_per_mm)])


@dataclass(frozen=True, kw_only=True)
class AtRest:
    """A strip in equilibrium.

    Args:
        strip: the strip.
        headings: (n + 1,) heading at every joint of elements, rad.
        force_n_per_mm: force on the far pin (x, y), for each mm of depth; the near pin takes the opposite.
        headings_per_mm: (n + 1,) how headings turn for each mm that the far pin moves in x; 0 where no pin is held.
    """

    strip: Strip
    headings: Array
    force_n_per_mm: tuple[float, float]
    headings_per_mm: Array

    @property
    def curvatures_per_mm(self) -> Array:
        """(n,) curvature of each element."""
        return np.asarray(np.diff(self.headings) / self.strip.lengths_mm)

    @property
    def points(self) -> Array:
        """(n + 1, 2) joints of the elements from (0, 0), mm."""
        x, y = steps(self.strip.lengths_mm, self.headings)
        return np.vstack([[0.0, 0.0], np.cumsum(np.column_stack([x, y]), axis=0)])


def between_pins(strip: Strip, pins_mm: tuple[float, float], guess: Array) -> AtRest:
    """The strip at rest between two pins on which it turns freely.

    Args:
        strip: the strip.
        pins_mm: (x, y) from the near pin to the far one.
        guess: (n + 1,) headings to start from; of several shapes at rest the one that these lead to is found.

    Raises:
        PressError: no shape was found near the guess.

    Assumptions:
        Each element keeps one curvature, so that the energy is Σ EI (Δθ − hκ₀)²/(2h) and the ends of an element
        are those of an arc, exactly; the error falls with the square of the element's length.

    Reference:
        Planar elastica as least bending energy under an end constraint, Newton's method on the Lagrangian
        (Love, A Treatise on the Mathematical Theory of Elasticity, ch. XIX, for the energy; from memory).
    """
    return _solve(strip, np.asarray(guess, dtype=float), pins_mm, (0.0, 0.0))


def clamped_with_end_load(strip: Strip, heading_rad: float, force_n_per_mm: tuple[float, float]) -> AtRest:
    """The strip held fast at its start with that heading, a force (x, y) on its far pin that keeps its direction.

    With no force this is the natural shape. Raises PressError where no rest is found.
    """
    return _solve(strip, strip.natural_headings + heading_rad, None, force_n_per_mm)


def _solve(strip: Strip, guess: Array, pins_mm: tuple[float, float] | None, force: tuple[float, float]) -> AtRest:
    """Newton's method on moments at the joints and on the gap at the far pin, all without dimension."""
    span, stiff = float(np.sum(strip.lengths_mm)), float(np.max(strip.stiffness_n_mm))
    unit = Strip(
        lengths_mm=strip.lengths_mm / span,
        natural_per_mm=strip.natural_per_mm * span,
        stiffness_n_mm=strip.stiffness_n_mm / stiff,
        pin_offset_mm=strip.pin_offset_mm / span,
    )
    held = None if pins_mm is None else np.asarray(pins_mm) / span
    theta = guess.copy()
    load = np.asarray(force, dtype=float) * span**2 / stiff if held is None else _fitting_load(unit, theta)
    state = _State.of(unit, theta, load, held)
    for _ in range(MOST_STEPS):
        if state.size < RESIDUAL:
            break
        turns, loads = state.step(-state.moments, -state.gap)
        share = min(1.0, MOST_TURN_RAD / (float(np.max(np.abs(turns))) + 1e-30))
        tried = _State.of(unit, state.theta + share * turns, state.load + share * loads, held)
        while tried.size > 2.0 * state.size and share > 1e-3:
            share /= 2.0
            tried = _State.of(unit, state.theta + share * turns, state.load + share * loads, held)
        state = tried
    else:
        raise PressError(
            f"no shape at rest was found for a strip of {span:.1f} mm: expected ends nearer to where it "
            "is pressed; move the bar, or use thinner plies"
        )
    turn = np.zeros(len(theta))
    if held is not None:
        turn = state.step(np.zeros(len(theta)), np.array([1.0 / span, 0.0]))[0]
    fx, fy = state.load * stiff / span**2
    return AtRest(strip=strip, headings=state.theta, force_n_per_mm=(float(fx), float(fy)), headings_per_mm=turn)


@dataclass(frozen=True, kw_only=True)
class _State:
    """A trial shape: its headings and load, what is still out of balance, and how that changes.

    Args:
        theta, load: (n + 1,) headings, (2,) force on the far pin.
        moments: (n + 1,) moments out of balance; gap: (2,) of the far pin, None where it is free.
        diagonal, beside, pull: derivatives of the moments by the headings, and of the far pin by them.
    """

    theta: Array
    load: Array
    moments: Array
    gap: Array
    held: bool
    diagonal: Array
    beside: Array
    pull: Array

    @classmethod
    def of(cls, strip: Strip, theta: Array, load: Array, held: Array | None) -> _State:
        d, pull = strip.pin_offset_mm, arms(strip.lengths_mm, theta, strip.pin_offset_mm)
        stiff = strip.stiffness_n_mm / strip.lengths_mm
        mm, md, dd = bends(strip.lengths_mm, theta, load)
        diagonal = np.zeros(len(theta))
        diagonal[:-1] += stiff - (mm / 4.0 - md + dd)
        diagonal[1:] += stiff - (mm / 4.0 + md + dd)
        for i, sign in ((0, -1.0), (-1, 1.0)):  # the arms to the pins: d·n(θ), whose second derivative is −d·n(θ)
            diagonal[i] += sign * d * (-load[0] * math.sin(theta[i]) + load[1] * math.cos(theta[i]))
        moments = _moments(strip, theta) - load @ pull
        gap = np.zeros(2)
        if held is None:
            moments[0] = 0.0  # what holds the clamped end takes any moment
        else:
            x, y = steps(strip.lengths_mm, theta)
            gap = np.array([np.sum(x), np.sum(y)]) + d * (left(theta[-1]) - left(theta[0])) - held
        return cls(
            theta=theta,
            load=load,
            moments=moments,
            gap=gap,
            held=held is not None,
            diagonal=diagonal,
            beside=-stiff - (mm / 4.0 - dd),
            pull=pull,
        )

    @property
    def size(self) -> float:
        """The greatest of what is out of balance."""
        return max(float(np.max(np.abs(self.moments))), float(np.max(np.abs(self.gap))))

    def step(self, turning: Array, gap: Array) -> tuple[Array, Array]:
        """Turns and loads that change the moments and the gap by that much."""
        if self.held:
            return solve_pinned(self.diagonal, self.beside, self.pull, turning, gap)
        (turns,) = solve_chain(self.diagonal[1:], self.beside[1:], [turning[1:]])
        return np.concatenate([[0.0], turns]), np.zeros(2)


def _fitting_load(strip: Strip, theta: Array) -> Array:
    """The end force that leaves least moment unbalanced, a start for Newton's method."""
    pull, moments = arms(strip.lengths_mm, theta, strip.pin_offset_mm), _moments(strip, theta)
    return np.asarray(np.linalg.lstsq(pull.T, moments, rcond=None)[0])


def _moments(strip: Strip, theta: Array) -> Array:
    """(n + 1,) out-of-balance moment of bending at each joint: derivative of the energy by its heading."""
    m = strip.stiffness_n_mm * (np.diff(theta) / strip.lengths_mm - strip.natural_per_mm)
    out = np.zeros(len(theta))
    out[:-1] -= m
    out[1:] += m
    return out
