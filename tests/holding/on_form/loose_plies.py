"""The independent model: n separate plies on one side of a form, solved by cvxpy and clarabel.

It shares nothing with the program but the question. Each ply is a strip with its own slide along the curve; friction is
Coulomb's at every interface and under the clamps; the lift is one-sided; the slope counts to second order, and each
pass linearises it, so that what is solved is convex. Even runs, no use of symmetry, no sum over plies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import cvxpy as cp
import numpy as np
from numpy.typing import NDArray
from scipy import sparse

Array = NDArray[np.float64]

PASSES, STILL_RAD = 12, 2e-6


@dataclass(frozen=True, kw_only=True)
class Case:
    """Loose plies on a form.

    Args:
        pieces: (length mm, curvature 1/mm) of the centre line, waste included; curvature positive where the form
            bulges toward the part.
        plies: (modulus MPa, thickness mm), the one on the form first.
        clamps: stations that stay down.
        held: stations at which every ply is held along the curve for good.
        hold: what a clamp that is not `held` takes along the curve, N for each mm of depth.
        jaw: its force, N for each mm of depth, which presses ply on ply under it.
        slack: mm, laid along all that bulges.
        friction: between plies. Without any, plies are tied to each other under the clamps.
        pressure: MPa, ply on ply.
        flat_beyond: the ends beyond the outermost clamps lie on the form.
        second_order: whether the slope counts.
        run_mm: length of the runs.
    """

    pieces: Sequence[tuple[float, float]]
    plies: Sequence[tuple[float, float]]
    clamps: Sequence[float]
    held: Sequence[float] = ()
    hold: float = 0.0
    jaw: float = 0.0
    slack: float = 0.0
    friction: float = 0.0
    pressure: float = 0.081
    flat_beyond: bool = False
    second_order: bool = True
    run_mm: float = 5.0


@dataclass(frozen=True, kw_only=True)
class Found:
    """Stations, lifts at them, and slides of each ply (stations × plies)."""

    stations: Array
    lifts: Array
    slides: Array

    def most(self, low: float = -np.inf, high: float = np.inf) -> float:
        """Greatest lift between two stations."""
        inside = (self.stations >= low - 1e-6) & (self.stations <= high + 1e-6)
        return float(np.max(self.lifts[inside]))

    def at(self, station: float) -> float:
        """Lift at a station."""
        return float(np.interp(station, self.stations, self.lifts))


class _Mesh:
    """Even runs between knots and clamps, and the operators on them."""

    def __init__(self, case: Case) -> None:
        ends = np.concatenate([[0.0], np.cumsum([length for length, _ in case.pieces])])
        marks = np.unique(np.round([*ends, *case.clamps, *case.held], 6))
        marks = marks[np.concatenate([[True], np.diff(marks) > 1e-3])]
        # pieces shorter than a run (a smooth curve made of many arcs) are left to the mean curvature
        kept = [float(marks[0])]
        must = np.round([*case.clamps, *case.held, ends[-1]], 6)
        for mark in marks[1:]:
            if mark - kept[-1] > case.run_mm / 2 or np.min(np.abs(must - mark)) < 1e-3:
                kept.append(float(mark))
        runs = [np.linspace(a, b, max(1, round((b - a) / case.run_mm)), endpoint=False) for a, b in pairwise(kept)]
        self.s = np.concatenate([*runs, [kept[-1]]])
        self.h = np.diff(self.s)
        turned = np.interp(self.s, ends, np.concatenate([[0.0], np.cumsum([n * k for n, k in case.pieces])]))
        self.k = np.diff(turned) / self.h
        n = len(self.s)
        self.slope = sparse.diags([-1 / self.h, 1 / self.h], [0, 1], shape=(n - 1, n)).tocsr()
        self.mean = sparse.diags([0.5, 0.5], [0, 1], shape=(n - 1, n)).tocsr()
        self.span = (self.h[1:] + self.h[:-1]) / 2
        self.bend = sparse.diags([-1 / self.span, 1 / self.span], [0, 1], shape=(n - 2, n - 1)).tocsr()
        self.turn = (self.k[1:] * self.h[1:] + self.k[:-1] * self.h[:-1]) / (2 * self.span)

    def near(self, station: float) -> int:
        return int(np.argmin(np.abs(self.s - station)))


def solve(case: Case) -> Found:
    """The plies at rest."""
    mesh, n = _Mesh(case), len(case.plies)
    w, u = cp.Variable(len(mesh.s)), cp.Variable((len(mesh.s), n))
    bulge = np.maximum(mesh.k, 0.0)
    longer = case.slack * bulge / max(float(bulge @ mesh.h), 1e-30)
    turns: list[Any] = [mesh.slope @ w - sparse.diags(mesh.k) @ (mesh.mean @ u[:, i]) for i in range(n)]
    before, half_square = cp.Parameter((len(mesh.h), n)), cp.Parameter((len(mesh.h), n))
    energy: Any = 0.0
    for i, (E, t) in enumerate(case.plies):
        stretch = mesh.slope @ u[:, i] + sparse.diags(mesh.k) @ (mesh.mean @ w) - longer
        if case.second_order:
            stretch = stretch + cp.multiply(before[:, i], turns[i]) - half_square[:, i]
        energy += E * t / 2 * cp.sum_squares(cp.multiply(np.sqrt(mesh.h), stretch))
        left = mesh.turn - mesh.bend @ turns[i]
        energy += E * t**3 / 24 * cp.sum_squares(cp.multiply(np.sqrt(mesh.span), left))
    energy += _friction(case, mesh, u, turns)
    problem = cp.Problem(cp.Minimize(energy), _held(case, mesh, w, u))
    turned = np.zeros((len(mesh.h), n))
    for _ in range(PASSES if case.second_order else 1):
        before.value, half_square.value = turned, turned**2 / 2
        problem.solve(solver=cp.CLARABEL)
        new = np.column_stack([turn.value for turn in turns])
        moved = float(np.max(np.abs(new - turned)))
        turned = new
        if moved < STILL_RAD:
            break
    assert w.value is not None
    assert u.value is not None
    return Found(stations=mesh.s, lifts=np.asarray(w.value), slides=np.asarray(u.value))


def _friction(case: Case, mesh: _Mesh, u: Any, turns: Sequence[Any]) -> Any:
    """Between plies along the part and under the clamps, and of the ply that lies on the form under each clamp."""
    lost: Any = 0.0
    loose = [mesh.near(s) for s in case.clamps if s not in case.held]
    if case.hold > 0.0:
        lost += case.hold * sum(cp.abs(u[c, 0]) for c in loose)
    if case.friction == 0.0:
        return lost
    press = case.pressure * mesh.h
    for c in loose:
        press[[max(c - 1, 0), min(c, len(press) - 1)]] += case.jaw / 2
    for i in range(len(case.plies) - 1):
        a, b = case.plies[i][1] / 2, case.plies[i + 1][1] / 2
        slip = mesh.mean @ (u[:, i + 1] - u[:, i]) + a * turns[i] + b * turns[i + 1]
        lost += case.friction * cp.norm1(cp.multiply(press, slip))
    return lost


def _held(case: Case, mesh: _Mesh, w: Any, u: Any) -> list[Any]:
    clamps = [mesh.near(s) for s in case.clamps]
    rules = [w >= 0, *(w[c] == 0 for c in clamps)]
    if case.flat_beyond:
        rules += [w[: min(clamps)] == 0, w[max(clamps) :] == 0]
    rules += [u[mesh.near(s), :] == 0 for s in case.held]
    if case.friction == 0.0:
        rules += [u[c, 1:] == u[c, 0] for c in clamps if len(case.plies) > 1]
    return rules
