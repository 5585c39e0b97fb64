"""Stage `holding`: how far loose plies lift off the form between the clamps that stay.

In: a Bed, the plies' stiffness, the clamps and what friction they have. Out: lifts in mm and the pull along the curve
in N for each mm of depth, positive where it stretches the plies.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from formgen.errors import PressError
from formgen.holding.on_form.bed import Bed
from formgen.holding.on_form.contact import least_energy
from formgen.holding.on_form.friction import Held, held_by_friction
from formgen.laminate.plies import Ply

Array = NDArray[np.float64]

#: Newton's steps at most, and the lift (mm, or share of the greatest, without friction
#: between the plies and with it) by which the last one may still move.
STEPS, STILL_MM, STILL_SHARE, STILL_SHARE_RUBBING = 60, 5e-4, 1e-3, 2e-3
#: Looks along a way for its lowest place, and the share of its first slope that counts as level.
LOOKS, FLAT = 25, 0.2


@dataclass(frozen=True, kw_only=True)
class LoosePlies:
    """The plies as they slide on each other, for each mm of depth.

    Args:
        bending_n_mm: Σ E t³/12.
        stretch_n: Σ E t.
        together_n_mm: Σ E t y², what would bend as well if nothing slipped; y from the stiffness's centre.
        apart_mm: Σ of the distances from ply's middle to ply's middle.
    """

    bending_n_mm: float
    stretch_n: float
    together_n_mm: float
    apart_mm: float

    @classmethod
    def of(cls, plies: Sequence[Ply]) -> LoosePlies:
        """The stiffness of a stack."""
        E, t, y = (np.array([getattr(p, n) for p in plies]) for n in ("modulus_mpa", "thickness_mm", "offset_mm"))
        y = y - float(np.sum(E * t * y) / np.sum(E * t))
        return cls(
            bending_n_mm=float(np.sum(E * t**3) / 12.0),
            stretch_n=float(np.sum(E * t)),
            together_n_mm=float(np.sum(E * t * y**2)),
            apart_mm=float(y[0] - y[-1]),
        )


@dataclass(frozen=True, kw_only=True)
class Clamping:
    """What holds the plies on the bed.

    Args:
        stations_mm: of the clamps that stay, rising; two or more.
        hold_n_per_mm: how much pull along the curve each can take, for each mm of depth: coefficient on the form times
            force over depth; infinite where nothing creeps.
        slack_mm: length left over when the plies were drawn round: it lies where the form bulges, shared by turning.
        shear_mpa: friction between plies times the pressure on them; 0 decides.
        jaw_n_per_mm: friction between plies times the clamp's force, for each mm of depth.
    """

    stations_mm: tuple[float, ...]
    hold_n_per_mm: float = math.inf
    slack_mm: float = 0.0
    shear_mpa: float = 0.0
    jaw_n_per_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Lifted:
    """Where the plies come to rest.

    Args:
        lifts_mm: (m,) at the bed's joints, 0 or more.
        pulls_n_per_mm: along the curve between one clamp and the next.
    """

    lifts_mm: Array
    pulls_n_per_mm: tuple[float, ...]


def lifted(bed: Bed, plies: LoosePlies, clamping: Clamping, start: Array | None = None) -> Lifted:
    """The plies at rest: the least of their energy over lifts that are nowhere below 0.

    Args:
        bed: the form under them; every clamp stands at one of its joints.
        plies: their stiffness.
        clamping: what holds them.
        start: (m,) lifts near those looked for.

    Raises:
        PressError: no shape at rest is found: hollow stretches buckle in.

    Assumptions:
        The bag presses ply to ply and not to the form: the plies lift together. Plies are straight when free. A clamp
        keeps its station on the form, lets the plies turn, and holds the stack as one along the curve as far as
        its friction goes; beyond the last clamp nothing pulls. Lengthening of the way ∫κw + ½∫w′². Slip is the same
        between all plies of a station.

    Reference:
        Energy of loose plies on one side of a form, to second order of the slope; computed.
    """
    problem = _Problem(bed, plies, clamping)
    w = np.zeros(len(bed.stations_mm)) if start is None else np.where(problem.held, 0.0, start)
    share = STILL_SHARE_RUBBING if problem.rubs else STILL_SHARE
    for _ in range(STEPS):
        slope, stiffness = problem.slope(w), problem.stiffness(w)
        way = least_energy(stiffness, stiffness @ w - slope, problem.held, w) - w
        step = _down(problem, w, way, float(slope @ way))
        w = w + step * way
        if step * float(np.max(np.abs(way))) < max(STILL_MM, share * float(np.max(w))):
            return Lifted(lifts_mm=w, pulls_n_per_mm=tuple(problem.pulls(w).tolist()))
    raise PressError(
        "the loose plies find no rest on the form between the clamps that stay, expected a shape that is settled; "
        "leave all clamps on"
    )


def _down(problem: _Problem, w: Array, way: Array, falls: float) -> float:
    """How far to go on a way, at most all of it: to where the energy no longer falls, found by false position."""
    low, high, at_low, at_high = 0.0, 1.0, falls, float(problem.slope(w + way) @ way)
    step, left = 1.0, at_high
    for _ in range(LOOKS):
        if left <= FLAT * abs(falls):
            break
        high, at_high = step, left
        step = _crossing(low, high, at_low, at_high)
        left = float(problem.slope(w + step * way) @ way)
        while left < -FLAT * abs(falls) and high - step > 0.1 * high:
            low, at_low = step, left
            step = _crossing(low, high, at_low, at_high)
            left = float(problem.slope(w + step * way) @ way)
    return step


def _crossing(low: float, high: float, at_low: float, at_high: float) -> float:
    """Where a line between two slopes passes 0, well inside the two places; midway where the slopes are alike."""
    if at_high == at_low:
        return (low + high) / 2.0
    step, room = (low * at_high - high * at_low) / (at_high - at_low), 0.1 * (high - low)
    return min(max(step, low + room), high - room)


class _Problem:
    """Slope and stiffness of the plies' energy by the lifts."""

    def __init__(self, bed: Bed, plies: LoosePlies, clamping: Clamping) -> None:
        self.plies, self.spreads, self.bending = plies, bed.spreads_mm, bed.bending
        clamps = [bed.joint(s) for s in clamping.stations_mm]
        self.held = np.zeros(len(bed.stations_mm), dtype=bool)
        self.held[clamps] = True
        eased = self.bending.T / self.spreads
        self.loose = plies.bending_n_mm * eased @ self.bending
        self.straightens = plies.bending_n_mm * eased @ bed.turns_rad
        edges = (
            [*clamps, len(bed.stations_mm) - 1] if bed.mirrored and clamps[-1] < len(bed.stations_mm) - 1 else clamps
        )
        spans = [bed.longer(a, b) for a, b in pairwise(edges)]
        self.first, self.second = np.array([g for g, _ in spans]), np.array([G for _, G in spans])
        self.span_mm = np.diff(bed.stations_mm[edges])
        bulging = np.concatenate([[0.0], np.cumsum(np.maximum(bed.curvatures_per_mm, 0.0) * bed.lengths_mm)])
        share = np.diff(bulging[edges]) / bulging[-1] if bulging[-1] > 0.0 else np.zeros(len(spans))
        self.slack_mm = clamping.slack_mm * share / (2.0 if bed.mirrored else 1.0)
        self.holds = np.full(len(edges), clamping.hold_n_per_mm)
        shears = clamping.shear_mpa * plies.apart_mm * bed.lengths_mm
        for c in clamps:
            shears[max(c - 1, 0) : c + 1] += clamping.jaw_n_per_mm * plies.apart_mm
        self.rubs = shears[0] > 0.0
        self.shears = np.append(shears, math.inf) if bed.mirrored else shears
        if bed.mirrored:
            self.holds[-1] = math.inf  # the other half pulls as much

    def pulls(self, w: Array) -> Array:
        """Pull in each span."""
        return self._along(w).forces

    def slope(self, w: Array) -> Array:
        """Slope (m,) of the energy by the lifts."""
        out = self.loose @ w - self.straightens + self.pulls(w) @ (self.first + self.second @ w)
        if self.rubs:
            out += self._moments(w).forces @ self.bending
        return np.asarray(out)

    def stiffness(self, w: Array) -> Array:
        """Slope of that slope (m, m), without what a push along the curve takes off."""
        longer, along = self.first + self.second @ w, self._along(w)
        out = self.loose + np.tensordot(np.maximum(along.forces, 0.0), self.second, axes=1)
        rows, give = _together(along, longer, self.span_mm / self.plies.stretch_n)
        out += (rows.T / give) @ rows
        if self.rubs:
            rows, give = _together(self._moments(w), self.bending, self.spreads / self.plies.together_n_mm)
            out += (rows.T / give) @ rows
        return np.asarray(out)

    def _along(self, w: Array) -> Held:
        """Pull in each span, as far as clamps hold it."""
        short = self.first @ w + 0.5 * (self.second @ w) @ w - self.slack_mm
        give = self.span_mm / self.plies.stretch_n
        return held_by_friction(give, short / give, self.holds)

    def _moments(self, w: Array) -> Held:
        """Moment at each joint that the plies carry together, as far as friction between them holds it."""
        give = self.spreads / self.plies.together_n_mm
        return held_by_friction(give, self.bending @ w / give, self.shears)


def _together(held: Held, rows: Array, give: Array) -> tuple[Array, Array]:
    """Rows and give of each group that slips together, summed."""
    count, inside = int(held.groups.max(initial=-1)) + 1, held.groups >= 0
    summed, gives = np.zeros((count, rows.shape[1])), np.zeros(count)
    np.add.at(summed, held.groups[inside], rows[inside])
    np.add.at(gives, held.groups[inside], give[inside])
    return summed, gives
