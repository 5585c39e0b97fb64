"""Stage `holding`: how far loose plies lift off the form between the clamps that stay.

In: a Bed, the plies' stiffness, the clamps and what friction they have. Out: lifts in mm and the pull along the curve
in N for each mm of depth, positive where it stretches the plies.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from formgen.errors import PressError
from formgen.fixed import fixed
from formgen.geometry.distance import Array
from formgen.holding.on_form.bed import Bed
from formgen.holding.on_form.contact import least_energy
from formgen.holding.on_form.friction import Held, held_by_friction
from formgen.laminate.plies import Ply
from formgen.laminate.ply import loose_stiffness_n_mm

#: Newton's steps at most, and the lift (mm, or share of the greatest, without friction
#: between the plies and with it) by which the last one may still move.
STEPS, STILL_MM, STILL_SHARE, STILL_SHARE_RUBBING = 60, 5e-4, 1e-3, 2e-3
#: Looks along a way for its lowest place, and the share of its first slope that counts as level.
LOOKS, FLAT = 25, 0.2


@fixed
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
            bending_n_mm=loose_stiffness_n_mm(plies),
            stretch_n=float(np.sum(E * t)),
            together_n_mm=float(np.sum(E * t * y**2)),
            apart_mm=float(y[0] - y[-1]),
        )


@fixed
class Clamping:
    """The clamps that hold the plies on the bed.

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


@fixed
class Lifted:
    """The plies at rest on the bed.

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
    begin = np.zeros(len(bed.stations_mm)) if start is None else np.where(problem.held, 0.0, start)
    here = _Trial(problem, begin)
    share, near = STILL_SHARE_RUBBING if problem.rubs else STILL_SHARE, here.lifts
    for _ in range(STEPS):
        near = least_energy(here.stiffness, here.stiffness @ here.lifts - here.slope, problem.held, near)
        way = near - here.lifts
        step, here = _down(problem, here, way)
        if step * float(np.max(np.abs(way))) < max(STILL_MM, share * float(np.max(here.lifts))):
            return Lifted(lifts_mm=here.lifts, pulls_n_per_mm=tuple(here.along.forces.tolist()))
    raise PressError(
        "the loose plies find no rest on the form between the clamps that stay, expected a shape that is settled; "
        "leave all clamps on"
    )


def _down(problem: _Problem, here: _Trial, way: Array) -> tuple[float, _Trial]:
    """Return how far to go on a way, at most all of it, and what is there: where the energy no longer falls.

    Found by false position.
    """
    falls = float(here.slope @ way)

    def look(step: float) -> tuple[_Trial, float]:
        there = _Trial(problem, here.lifts + step * way)
        return there, float(there.slope @ way)

    low, at_low, step = 0.0, falls, 1.0
    there, left = look(step)
    for _ in range(LOOKS):
        if left <= FLAT * abs(falls):
            break
        high, at_high = step, left
        step = _crossing(low, high, at_low, at_high)
        there, left = look(step)
        while left < -FLAT * abs(falls) and high - step > 0.1 * high:
            low, at_low = step, left
            step = _crossing(low, high, at_low, at_high)
            there, left = look(step)
    return step, there


def _crossing(low: float, high: float, at_low: float, at_high: float) -> float:
    """Find where a line between two slopes passes 0, well inside the two places; midway where the slopes are alike."""
    if at_high == at_low:
        return (low + high) / 2.0
    step, room = (low * at_high - high * at_low) / (at_high - at_low), 0.1 * (high - low)
    return min(max(step, low + room), high - room)


class _Problem:
    """The plies, the bed and the clamps, as their energy has them."""

    def __init__(self, bed: Bed, plies: LoosePlies, clamping: Clamping) -> None:
        self.plies, self.spreads, self.bending = plies, bed.spreads_mm, bed.bending
        clamps = sorted({bed.joint(s) for s in clamping.stations_mm})  # two at one joint hold as one
        self.held = np.zeros(len(bed.stations_mm), dtype=bool)
        self.held[clamps] = True
        self.loose = plies.bending_n_mm * _summed(self.bending, self.spreads)
        self.straightens = plies.bending_n_mm * (bed.turns_rad / self.spreads) @ self.bending
        m = len(bed.stations_mm)
        edges = [*clamps, m - 1] if bed.mirrored and clamps[-1] < m - 1 else clamps
        spans = [bed.longer(a, b) for a, b in pairwise(edges)]  # one clamp alone has none
        self.first = np.array([g for g, _ in spans]).reshape(-1, m)
        self.second = np.array([c for _, c in spans]).reshape(-1, m - 1)
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


@dataclass(frozen=True)
class _Trial:
    """Slope and stiffness of the plies' energy by the lifts (m,)."""

    problem: _Problem
    lifts: Array

    @cached_property
    def slope(self) -> Array:
        """Slope (m,) of the energy by the lifts."""
        p = self.problem
        out = p.loose @ self.lifts - p.straightens + self.along.forces @ self._longer
        if p.rubs:
            out += self._moments.forces @ p.bending
        return np.asarray(out)

    @cached_property
    def stiffness(self) -> Array:
        """Slope of that slope (m, m), without what a push along the curve takes off."""
        p = self.problem
        out = p.loose + _strings(np.maximum(self.along.forces, 0.0) @ p.second)
        out += _together(self.along, self._longer, p.span_mm / p.plies.stretch_n)
        if p.rubs:
            out += _together(self._moments, p.bending, p.spreads / p.plies.together_n_mm)
        return np.asarray(out)

    @cached_property
    def along(self) -> Held:
        """Pull in each span, as far as clamps hold it."""
        p = self.problem
        short = (p.first + self._longer) @ self.lifts / 2.0 - p.slack_mm
        give = p.span_mm / p.plies.stretch_n
        return held_by_friction(give, short / give, p.holds)

    @cached_property
    def _longer(self) -> Array:
        """By how much each lift lengthens each span (spans, m)."""
        rise = self.problem.second * np.diff(self.lifts)
        out = self.problem.first.copy()
        out[:, :-1] -= rise
        out[:, 1:] += rise
        return np.asarray(out)

    @cached_property
    def _moments(self) -> Held:
        """Moment at each joint that the plies carry together, as far as friction between them holds it."""
        p = self.problem
        give = p.spreads / p.plies.together_n_mm
        return held_by_friction(give, p.bending @ self.lifts / give, p.shears)


def _strings(pulls: Array) -> Array:
    """Stiffness (m, m) against lifts of runs under a pull, each given as pull over length (m − 1,)."""
    runs = np.arange(len(pulls))
    out = np.zeros((len(pulls) + 1, len(pulls) + 1))
    out[runs, runs] += pulls
    out[runs + 1, runs + 1] += pulls
    out[runs, runs + 1] = out[runs + 1, runs] = -pulls
    return out


def _together(held: Held, rows: Array, give: Array) -> Array:
    """Stiffness (m, m) of the groups that slip together: rows and give of each are summed."""
    inside = held.groups >= 0
    begins = np.flatnonzero(np.diff(held.groups[inside], prepend=-1))
    return _summed(np.add.reduceat(rows[inside], begins), np.add.reduceat(give[inside], begins))


def _summed(rows: Array, give: Array) -> Array:
    """Sum of the outer products of rows (n, m) with themselves, each over its give (n,)."""
    scaled = rows / np.sqrt(give)[:, None]
    return np.asarray(scaled.T @ scaled)
