"""A second model of the part off the form, for the tests alone: n separate plies, friction at every interface.

Straight links with springs at their joints, where the program has arcs; every ply with its own place and stretch, where
the program joins interfaces that slide alike; friction at the middle of a link, where the program has it at joints;
the bar's distance met by a row of convex programs (cvxpy, Clarabel), each with the pins' move linearised, where the
program takes Newton's steps with the load's own stiffness; and the form may go little by little, where the program
takes it away at once. It imports nothing of `formgen.holding`. Source: computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import cvxpy as cp
import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point

from formgen.geometry.arcspline import ArcSpline

Array = NDArray[np.float64]

#: Headings that move by less, in rad, have settled: 0.002 mm for each metre.
SETTLED_RAD = 2e-6
EXACT: dict[str, Any] = {"solver": cp.CLARABEL, "tol_gap_abs": 1e-9, "tol_gap_rel": 1e-9, "tol_feas": 1e-9}


@dataclass(frozen=True, kw_only=True)
class Plies:
    """The stack, from the inside face outward, bent slack to a curve and then pressed together.

    Args:
        pressed: the middle line.
        thickness_mm, modulus_mpa: (n,).
        shear_mpa: friction times pressure, at every interface.
        held_mm: stations of the middle line that bar or tie hold; None for nothing.
        offset_mm: from the middle line to where they touch, positive to the left.
        count: links, at least.
    """

    pressed: ArcSpline
    thickness_mm: Array
    modulus_mpa: Array
    shear_mpa: float
    held_mm: tuple[float, float] | None
    offset_mm: float = 0.0
    count: int = 400

    @cached_property
    def stations(self) -> Array:
        """Joints of the links: every knot, what is held and the middle among them."""
        whole = self.pressed.length_mm
        marks = [*map(float, self.pressed.stations_mm), whole / 2.0, whole, *(self.held_mm or ())]
        knots = sorted({round(m, 6) for m in marks})
        out = [0.0]
        for a, b in pairwise(knots):
            n = max(1, math.ceil((b - a) / (whole / self.count) - 1e-6))
            out += [a + (b - a) * (i + 1) / n for i in range(n)]
        return np.minimum(np.array(out), whole)

    @cached_property
    def chords(self) -> tuple[Array, Array]:
        """Lengths and headings of the links as pressed."""
        steps = np.diff(self.pressed.points(self.stations), axis=0)
        return np.hypot(*steps.T), np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))

    @property
    def beside(self) -> Array:
        """(n,) how far each ply's middle lies to the left of the middle line."""
        return np.asarray(np.sum(self.thickness_mm) / 2.0 - (np.cumsum(self.thickness_mm) - self.thickness_mm / 2.0))

    @property
    def ends(self) -> tuple[int, int] | None:
        """Joints that are held."""
        if self.held_mm is None:
            return None
        near, far = (int(np.argmin(np.abs(self.stations - m))) for m in self.held_mm)
        return near, far

    def leaning(self, headings: Array, joint: int) -> tuple[float, list[int]]:
        """Heading at a joint, that of its links in the mean, and those links."""
        links = [k for k in (joint - 1, joint) if 0 <= k < len(headings)]
        return float(np.mean(headings[links])), links

    def reach(self, headings: Array) -> tuple[Array, Array]:
        """Where the far pin is from the near one, (2,), and how that moves with each heading, (2, links)."""
        assert self.ends is not None
        i, j = self.ends
        h, slope = self.chords[0], np.zeros((2, len(headings)))
        c, s = np.cos(headings[i:j]), np.sin(headings[i:j])
        out = np.array([np.sum(h[i:j] * c), np.sum(h[i:j] * s)])
        slope[:, i:j] = h[i:j] * np.array([-s, c])
        for joint, sign in ((i, -1.0), (j, 1.0)):
            a, links = self.leaning(headings, joint)
            out += sign * self.offset_mm * np.array([-math.sin(a), math.cos(a)])
            for k in links:
                slope[:, k] -= sign * self.offset_mm * np.array([math.cos(a), math.sin(a)]) / len(links)
        return out, slope


@dataclass(frozen=True, kw_only=True)
class Hangs:
    """How they hang.

    Args:
        plies: the stack.
        headings: (links,) of the links.
        moments_n: (links − 1,) whole moment at the joints between links, for each mm of depth.
        force_n_per_mm: pull between the pins.
    """

    plies: Plies
    headings: Array
    moments_n: Array
    force_n_per_mm: float

    @cached_property
    def joints(self) -> Array:
        """(links + 1, 2) where they are: laid by the near pin, or with nothing held on the curve's middle."""
        plies = self.plies
        if plies.ends is None:
            at = int(np.argmin(np.abs(plies.stations - plies.pressed.length_mm / 2.0)))
            pose = plies.pressed.pose(float(plies.stations[at]))
            turn, offset = pose.heading_rad - plies.leaning(self.headings, at)[0], 0.0
        else:
            at, turn, offset = plies.ends[0], 0.0, plies.offset_mm
            pose = plies.pressed.pose(float(plies.stations[at]))
        joints = laid(plies.chords[0], self.headings + turn)
        a = plies.leaning(self.headings + turn, at)[0]
        normal = np.array([-math.sin(a), math.cos(a)])
        goal = np.array([pose.x_mm, pose.y_mm]) + offset * np.array(pose.left) - offset * normal
        return np.asarray(joints + goal - joints[at])

    @property
    def away_mm(self) -> tuple[float, float]:
        """Greatest distance outside the pressed curve and inside it."""
        return away_mm(self.joints, self.plies.pressed)

    def released(
        self, target: ArcSpline, springing_mm: tuple[float, float], face_mm: float
    ) -> tuple[float, float, float]:
        """The glued part let go: greatest distance outside and inside the target, and the span on a face.

        The face lies `face_mm` to the left of the middle line. A glued beam, Σ E (t³/12 + t (y − ȳ)²), gives back the
        moment that was left in it.
        """
        plies = self.plies
        E, t, y = plies.modulus_mpa, plies.thickness_mm, plies.beside
        mean = np.sum(E * t * y) / np.sum(E * t)
        glued = float(np.sum(E * (t**3 / 12.0 + t * (y - mean) ** 2)))
        h = plies.chords[0]
        back = np.concatenate([[0.0], np.cumsum(self.moments_n / glued * (h[1:] + h[:-1]) / 2.0)])
        headings = self.headings - back
        joints = laid(h, headings)
        i, j = (int(np.argmin(np.abs(plies.stations - s))) for s in springing_mm)
        a, b = target.points(springing_mm)
        now, wanted = joints[j] - joints[i], b - a
        turn = math.atan2(wanted[1], wanted[0]) - math.atan2(now[1], now[0])
        c, s = math.cos(turn), math.sin(turn)
        joints = joints @ np.array([[c, s], [-s, c]])
        joints += (a + b - joints[i] - joints[j]) / 2.0
        p, q = (plies.leaning(headings, k)[0] for k in (i, j))
        now = now + face_mm * np.array([math.sin(p) - math.sin(q), math.cos(q) - math.cos(p)])
        return *away_mm(joints, target), float(np.hypot(*now))


def laid(lengths: Array, headings: Array) -> Array:
    """Joints of links from the origin on."""
    steps = lengths[:, None] * np.column_stack([np.cos(headings), np.sin(headings)])
    return np.vstack([[0.0, 0.0], np.cumsum(steps, axis=0)])


def away_mm(joints: Array, curve: ArcSpline) -> tuple[float, float]:
    """Greatest distance of a joint outside (to the right of) a curve and inside it; the curve's ends run on."""
    longer = curve.extended(0.05 * curve.length_mm, 0.05 * curve.length_mm)
    line = LineString(longer.sampled(1e-4))
    signed = []
    for x, y in joints:
        at = line.project(Point(x, y))
        a, b = (line.interpolate(min(max(at + by, 0.0), line.length)) for by in (-0.01, 0.01))
        side = (x - a.x) * (b.y - a.y) - (y - a.y) * (b.x - a.x)
        signed.append(math.copysign(line.distance(Point(x, y)), side))
    return max(0.0, *signed), max(0.0, *(-s for s in signed))


class _Program:
    """One convex program: least bending, stretching and friction, the pins' move linearised.

    `hold` is the share of the form's own moment that is still there; `before` how far every ply had slid.
    """

    def __init__(self, plies: Plies) -> None:
        h, pressed = plies.chords
        n, links = len(plies.thickness_mm), len(h)
        E, t, y = plies.modulus_mpa, plies.thickness_mm, plies.beside
        self.between, self.turn0 = (h[1:] + h[:-1]) / 2.0, np.diff(pressed)
        self.loose = float(np.sum(E * t**3) / 12.0)
        self.unit = self.loose / plies.pressed.length_mm
        self.theta, self.slid = cp.Variable(links), cp.Variable((n, links))
        self.before, self.hold = cp.Parameter((n, links)), cp.Parameter(nonneg=True)
        self.lean, self.gap = cp.Parameter((2, links)), cp.Parameter(2)
        turn = cp.diff(self.theta)
        energy = cp.sum_squares(cp.multiply(np.sqrt(self.loose / self.between), turn)) / 2.0
        energy -= self.hold * cp.sum(cp.multiply(self.loose * self.turn0 / self.between, turn))
        for i in range(n):
            stretch = cp.diff(self.slid[i]) - y[i] * (turn - self.turn0)
            energy += cp.sum_squares(cp.multiply(np.sqrt(E[i] * t[i] / self.between), stretch)) / 2.0
        slip = cp.diff(self.slid - self.before, axis=0)
        energy += plies.shear_mpa * cp.sum(cp.multiply(np.tile(h, (n - 1, 1)), cp.abs(slip)))
        self.pins = self.theta[0] == pressed[0] if plies.ends is None else self.lean @ self.theta == self.gap
        self.whole = cp.Problem(cp.Minimize(energy / self.unit), [self.pins, self.slid[0, 0] == 0.0])

    def moments_n(self, plies: Plies, headings: Array, slid: Array) -> Array:
        """Whole moment at every joint between links."""
        turn, y, out = np.diff(headings), plies.beside, self.loose * np.diff(headings) / self.between
        for i, (e, t) in enumerate(zip(plies.modulus_mpa, plies.thickness_mm, strict=True)):
            out = out - y[i] * e * t * (np.diff(slid[i]) - y[i] * (turn - self.turn0)) / self.between
        return np.asarray(out)


def hang(plies: Plies, stages: int = 1) -> Hangs:
    """The shape off the form; with more `stages` the form goes little by little, each from where the last one slid."""
    program, pressed = _Program(plies), plies.chords[1]
    span = plies.pressed.length_mm
    goal = None if plies.ends is None else plies.reach(pressed)[0]
    now, slid = pressed.copy(), np.zeros(program.slid.shape)
    for stage in range(stages):
        program.hold.value, program.before.value = 1.0 - (stage + 1.0) / stages, slid
        for _ in range(60):
            if goal is not None:
                out, slope = plies.reach(now)
                program.lean.value, program.gap.value = slope / span, (goal - out + slope @ now) / span
            program.whole.solve(**EXACT)
            moved = float(np.max(np.abs(program.theta.value - now)))
            now = program.theta.value.copy()
            if moved < SETTLED_RAD or goal is None:
                break
        else:
            raise AssertionError("the row of convex programs does not settle")
        slid = program.slid.value.copy()
    force = 0.0
    if goal is not None:
        force = abs(float(program.pins.dual_value @ goal)) * program.unit / span / float(np.hypot(*goal))
    moments = program.moments_n(plies, now, slid)
    return Hangs(plies=plies, headings=now, moments_n=moments, force_n_per_mm=force)
