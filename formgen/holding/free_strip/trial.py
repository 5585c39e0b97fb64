"""Stage `holding`: a strip of plies that slide on each other against friction, held by pins or free, at rest.

In: a SlidingStrip (mm, 1/mm, for each mm of depth). Out: the shape at rest, what slides, the moments, and the pull at
the pins, in mm and N. On the way there trials, all without dimension: how far each is from rest, and Newton's next step
from there. Knows nothing of bars or forms.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cached_property

import numpy as np

from formgen.errors import NoRestError
from formgen.fixed import fixed
from formgen.geometry.distance import Array
from formgen.holding.free_strip.arcs import arms, bends, left, steps
from formgen.holding.free_strip.blocks import solve_blocks
from formgen.holding.free_strip.plies import AtRest, SlidingStrip

#: Moments of a stack that locking makes very stiff are known no better than to this part of its stiffness.
ROUNDED = 1e-6
#: What a bound always leaves, as a part of it.
TINY = 1e-14
#: No heading turns by more in one step, so that the search stays near the pressed shape.
MOST_TURN_RAD = 0.3
#: How near to its bound friction may come in one step, and how far each step brings slides and friction together.
NEAR_BOUND, CENTRING = 0.98, 0.12
#: Friction is never taken as less than this part of the strip's own moment, so that a bound to share out is left.
LEAST_FRICTION = 1e-9


@fixed
class Scale:
    """The strip without dimension: lengths by its own, stiffness by that of the loose plies.

    Args:
        h, before, K, c, w: lengths (n,), pressed headings (n + 1,), joined stiffness (m, m), friction (m,), and the
            length (n + 1,) that each joint stands for.
        held: first and last joint held.
        pins: (2,) from the near pin to the far one.
        arm: offset of the pins; span, stiff: the units.
        locked: what locking adds to the moment as an element of mean length turns by a radian.
    """

    h: Array
    before: Array
    K: Array
    c: Array
    w: Array
    held: tuple[int, int]
    pins: Array | None
    arm: float
    span: float
    stiff: float
    locked: float

    @classmethod
    def of(cls, strip: SlidingStrip, heading_rad: float) -> Scale:
        """The strip whose pressed curve starts with that heading."""
        span, stiff = float(np.sum(strip.lengths_mm)), strip.loose_n_mm
        h = strip.lengths_mm / span
        before = heading_rad + np.concatenate([[0.0], np.cumsum(strip.lengths_mm * strip.pressed_per_mm)])
        w = np.concatenate([h / 2.0, [0.0]]) + np.concatenate([[0.0], h / 2.0])
        # The moment's unit is stiff/span, and friction's growth is for each unit of length.
        c = strip.friction_n * span**2 / stiff
        least = LEAST_FRICTION * max(float(np.max(np.abs(strip.pressed_per_mm))) * span, 1.0)
        held, arm = strip.held or (0, len(h)), strip.pin_offset_mm / span
        pins = reach(h, before, held, arm) if strip.held else None
        K = strip.joined_n_mm / stiff
        return cls(
            h=h, before=before, K=K, c=np.maximum(c, least), w=w, held=held, pins=pins, arm=arm, span=span, stiff=stiff,
            locked=float(np.sum(K)) * len(h),
        )  # fmt: skip


def reach(h: Array, theta: Array, held: tuple[int, int], arm: float) -> Array:
    """(2,) from the near pin to the far one."""
    i, j = held
    x, y = steps(h[i:j], theta[i : j + 1])
    return np.array([np.sum(x), np.sum(y)]) + arm * (left(theta[j]) - left(theta[i]))


@fixed
class Trial:
    """A trial shape: headings, slides, friction, what each bound still leaves, and the load on the far pin.

    Args:
        strip, unit: the strip, with and without dimension.
        theta, z, tau: (n + 1,), (n + 1, m) twice; |tau| < c.
        above, below: (n + 1, m) multipliers of tau < c and of tau > −c, above 0; z is their difference.
        load: (2,).
    """

    strip: SlidingStrip
    unit: Scale
    theta: Array
    z: Array
    tau: Array
    above: Array
    below: Array
    load: Array

    @classmethod
    def start(cls, strip: SlidingStrip, heading_rad: float) -> Trial:
        """The pressed shape, nothing slid yet and no friction, every bound as far off as the curve turns."""
        unit = Scale.of(strip, heading_rad)
        shape = (len(unit.before), len(unit.c))
        ready = np.full(shape, 0.05 * max(float(np.ptp(unit.before)), 1e-3))
        return cls(strip=strip, unit=unit, theta=unit.before.copy(), z=np.zeros(shape), tau=np.zeros(shape),
                   above=ready, below=ready, load=np.zeros(2))  # fmt: skip

    # --- where it stands

    @cached_property
    def joined(self) -> Array:
        """(n, m) moment of each class in every element."""
        u = self.unit
        return np.asarray((np.diff(self.theta - u.before)[:, None] - np.diff(self.z, axis=0)) / u.h[:, None] @ u.K)

    @cached_property
    def moments(self) -> Array:
        """(n,) whole moment in every element."""
        return np.asarray(np.diff(self.theta) / self.unit.h + np.sum(self.joined, axis=1))

    @cached_property
    def pull(self) -> Array:
        """(2, n + 1) how the far pin moves against the near one as each heading turns."""
        u, (i, j) = self.unit, self.unit.held
        out = np.zeros((2, len(self.theta)))
        if u.pins is not None:
            out[:, i : j + 1] = arms(u.h[i:j], self.theta[i : j + 1], u.arm)
        return out

    @cached_property
    def turning(self) -> Array:
        """(n + 1,) moments out of balance at the joints."""
        out = -self.load @ self.pull
        out[:-1] -= self.moments
        out[1:] += self.moments
        return np.asarray(out)

    @cached_property
    def sliding(self) -> Array:
        """(n + 1, m) sliding out of balance at the joints."""
        out = self.unit.w[:, None] * self.tau
        out[:-1] += self.joined
        out[1:] -= self.joined
        return np.asarray(out)

    @cached_property
    def gap(self) -> Array:
        """(2,) by which the pins are out."""
        u = self.unit
        return np.zeros(2) if u.pins is None else reach(u.h, self.theta, u.held, u.arm) - u.pins

    @cached_property
    def unshared(self) -> Array:
        """(n + 1, m) friction times slide, of both bounds, that is not yet nothing."""
        c = self.unit.c
        return np.asarray(self.above * (c - self.tau) + self.below * (c + self.tau))

    @property
    def size(self) -> float:
        """The greatest of what is out of balance."""
        c, w = self.unit.c, self.unit.w[:, None]
        scale = max(1.0, float(np.max(np.abs(self.moments))), ROUNDED * self.unit.locked)
        found = [self.turning / scale, self.sliding / scale, self.gap, self.z - self.above + self.below]
        found.append(np.sum(w * self.unshared / c, axis=0))
        return max(float(np.max(np.abs(f))) for f in found)

    # --- the next one

    def matrix(self, give: Array) -> tuple[Array, Array]:
        """Blocks of the derivatives of `turning` and `sliding`; `give` (n + 1, m) joins friction to slides."""
        u, m = self.unit, len(self.unit.c)
        element = np.zeros((m + 1, m + 1))
        element[0, 0], element[0, 1:], element[1:, 0] = 1.0 + np.sum(u.K), -np.sum(u.K, axis=0), -np.sum(u.K, axis=1)
        element[1:, 1:] = u.K
        stiff = element / u.h[:, None, None]
        diagonal, beside = np.zeros((len(u.h) + 1, m + 1, m + 1)), -stiff
        diagonal[:-1] += stiff
        diagonal[1:] += stiff
        diagonal[:, range(1, m + 1), range(1, m + 1)] += u.w[:, None] / give
        if u.pins is not None:
            i, j = u.held
            mm, md, dd = bends(u.h[i:j], self.theta[i : j + 1], self.load)
            diagonal[i:j, 0, 0] -= mm / 4.0 - md + dd
            diagonal[i + 1 : j + 1, 0, 0] -= mm / 4.0 + md + dd
            beside[i:j, 0, 0] -= mm / 4.0 - dd
            for at, sign in ((i, -1.0), (j, 1.0)):  # the arms to the pins
                diagonal[at, 0, 0] += sign * u.arm * float(self.load @ left(float(self.theta[at])))
        return diagonal, beside

    def solve(self, give: Array, turning: Array, sliding: Array, gap: Array) -> tuple[Array, Array, Array]:
        """Turns, slides and loads that change `turning`, `sliding` and `gap` by that much."""
        diagonal, beside = self.matrix(give)
        at, ground = self.unit.held[0], 1.0
        diagonal[at, 0, 0] += ground  # holds the strip as a whole; taken off again by the border
        asked = np.column_stack([turning, sliding])
        if self.unit.pins is None:
            x = solve_blocks(diagonal, beside, asked[:, :, None])
            return x[:, 0, 0], x[:, 1:, 0], np.zeros(2)
        pull = self.pull
        columns = np.zeros((*asked.shape, 4))
        columns[:, :, 0] = asked
        columns[:, 0, 1], columns[:, 0, 2], columns[at, 0, 3] = pull[0], pull[1], ground
        x = solve_blocks(diagonal, beside, columns)
        # x = x₀ + loads·x₁₂ + first·x₃, with pull·x = gap and first = x at the ground.
        border = np.vstack([pull @ x[:, 0, :], x[at, 0, :]])
        border[2, 3] -= 1.0
        by = np.linalg.solve(border[:, 1:], np.concatenate([gap, [0.0]]) - border[:, 0])
        whole = x[:, :, 0] + x[:, :, 1:] @ by
        return whole[:, 0], whole[:, 1:], np.asarray(by[:2], dtype=float)

    def next(self) -> Trial:
        """One step of Newton's method towards slides and friction that fit each other ten times as well."""
        c, w = self.unit.c, self.unit.w[:, None]
        up, down = (np.maximum(c - sign * self.tau, TINY * c) for sign in (1.0, -1.0))
        level = CENTRING * np.mean(self.unshared, axis=0) / 2.0
        give = self.above / up + self.below / down
        ahead = (self.z - level * (1.0 / up - 1.0 / down)) / give
        turns, slides, loads = self.solve(give, -self.turning, -self.sliding - w * ahead, -self.gap)
        d_tau = ahead + slides / give
        d_above = (level + self.above * d_tau) / up - self.above
        d_below = (level - self.below * d_tau) / down - self.below
        room = max(
            float(np.max(step / left_over)) for step, left_over in
            ((d_tau, up), (-d_tau, down), (-d_above, self.above), (-d_below, self.below))
        )  # fmt: skip
        share = min(1.0, NEAR_BOUND / max(room, 1e-30), MOST_TURN_RAD / max(float(np.max(np.abs(turns))), 1e-30))
        return replace(
            self,
            theta=self.theta + share * turns,
            z=self.z + share * slides,
            tau=self.tau + share * d_tau,
            above=self.above + share * d_above,
            below=self.below + share * d_below,
            load=self.load + share * loads,
        )

    def found(self) -> AtRest:
        """The strip at rest, in mm and N, and how it changes with the pins."""
        u = self.unit
        unit_n = u.stiff / u.span
        by_turn, by_moment = np.zeros(len(self.theta)), np.zeros(len(u.h))
        if u.pins is not None:
            apart = u.pins / math.hypot(*u.pins)
            give = self.above / (u.c - self.tau) + self.below / (u.c + self.tau)
            by_turn, slides, _ = self.solve(give, np.zeros(len(self.theta)), np.zeros_like(self.z), apart / u.span)
            bent = np.diff(by_turn)
            by_moment = (bent + np.sum((bent[:, None] - np.diff(slides, axis=0)) @ u.K, axis=1)) / u.h
        fx, fy = self.load * u.stiff / u.span**2
        return AtRest(
            strip=self.strip,
            headings=self.theta,
            slides=self.z,
            moments_n=self.moments * unit_n,
            force_n_per_mm=(float(fx), float(fy)),
            headings_per_mm=by_turn,
            moments_per_mm=by_moment * unit_n,
        )


#: Newton stops where moments, gaps and the friction still to be shared out, all without dimension, are below this.
RESIDUAL = 1e-9
MOST_STEPS = 80


def at_rest(strip: SlidingStrip, heading_rad: float = 0.0) -> AtRest:
    """The strip at rest between its pins, which keep the distance that the pressed curve gives them.

    Args:
        strip: the strip.
        heading_rad: heading of the pressed curve at its start.

    Raises:
        NoRestError: no shape was found.

    Assumptions:
        Thin plies, each at its distance from the next; the middle line keeps its length. Friction at every interface
        is Coulomb's under an even pressure, starts from nothing as the part leaves the form, and every
        slide goes one way: the shape is then that of least Σ ½∫EI κ² + Σ ½∫EA ε² + Σ μq∫|slip|. The slip between plies
        a distance d apart is what the middle line's turn, times d, leaves over their stretch: exact for any turn.

    Reference:
        Rate-independent friction as a minimum problem (Moreau's sliding with dissipation; from memory); planar
        elastica as least energy under an end constraint (Love, ch. XIX; from memory). Newton's method on the
        conditions of the minimum, the bound on friction kept by an interior point.
    """
    trial = Trial.start(strip, heading_rad)
    for _ in range(MOST_STEPS):
        if trial.size < RESIDUAL:
            return trial.found()
        trial = trial.next()
    raise NoRestError(
        f"no shape at rest was found for plies of {float(np.sum(strip.lengths_mm)):.1f} mm off the form: expected ends "
        "nearer to where they are pressed; move the bar, or use thinner plies"
    )
