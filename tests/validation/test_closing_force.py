"""The force of the clamp that shuts loose plies on their form, against three other ways to find it.

Sources: the project's press page, section 5 (stack A: R 462, eight plies of 3.175 mm, E 10 900: 13 to 23 N/mm at
30 mm; three plies of 6 mm at R 300: 43 to 77 N/mm; its own second model, computed); one root of the exact solution
below; SciPy's collocation `solve_bvp`; the rigid form in closed form; Hetényi, Beams on Elastic Foundation (1946), end
moment on a half-infinite beam (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_bvp
from scipy.linalg import expm
from scipy.optimize import brentq

from formgen.holding.bending.contact import closing_force_n_per_mm, contact_root_per_mm

#: R, plies, ply thickness; all of E 10 900.
STACKS = {"A": (462.0, 8, 3.175), "B": (300.0, 3, 6.0)}
SOFT, HARD = 3.0, 80.0


def stiffness(name: str) -> float:
    _, n, t = STACKS[name]
    return n * 10900.0 * t**3 / 12.0


def male(name: str, clamp_beyond: float, contact: float, leg: float = 340.0) -> float:
    R = STACKS[name][0]
    form = ((leg, 0.0), (math.pi * R / 2, 1 / R))
    return closing_force_n_per_mm(form, leg - clamp_beyond, clamp_beyond, stiffness(name), contact)


@pytest.mark.parametrize(("name", "least", "most"), [("A", 13.0, 23.0), ("B", 43.0, 77.0)])
def test_ranges_of_the_press_page(name: str, least: float, most: float) -> None:
    """Within 5 %: the page gives two figures of each."""
    assert male(name, 30.0, SOFT) == pytest.approx(least, rel=0.05)
    assert male(name, 30.0, HARD) == pytest.approx(most, rel=0.05)


def exact(kappa: float, d: float, EI: float, k: float) -> float:
    """The same from transfer matrices and one root: where the plies leave the arc.

    States (w, w′, w″, w‴) go along x, the spring line at 0 and the clamp at d. Up to x = c the plies touch a springy
    form; from there to the clamp they are free; past it they touch, w = C e^(−βz) sin βz. Coming from far in on the arc
    they are a sum of e^(βz) cos βz and e^(βz) sin βz. The form's curvature falls by κ at 0, and so does w″.
    """
    beta = (k / (4 * EI)) ** 0.25
    touching = np.zeros((4, 4))
    touching[0, 1] = touching[1, 2] = touching[2, 3] = 1.0
    loose = touching.copy()
    touching[3, 0] = -k / EI
    jump = np.array([0.0, 0.0, -kappa, 0.0])

    def at_clamp(c: float) -> tuple[np.ndarray, np.ndarray]:
        """(4, 3): the state at the clamp by the two sums and the jump; and w at c by the same."""
        where, at_c = min(c, 0.0) - 1.0 / beta, np.zeros(3)
        # cos z and sin z times e^z at z = −1: each derivative is √2 β as large and an eighth of a turn on
        sums = [
            [math.exp(-1.0) * (math.sqrt(2) * beta) ** j * math.cos(-1.0 - turn + j * math.pi / 4) for j in range(4)]
            for turn in (0.0, math.pi / 2)
        ]
        state = np.column_stack([*np.array(sums), np.zeros(4)])
        for to in sorted({c, 0.0, d}):
            state = expm((touching if where < c - 1e-12 else loose) * (to - where)) @ state
            if to == 0.0:
                state[:, 2] += jump
            if to == c:
                at_c = state[0].copy()
            where = to
        return state, at_c

    def solved(c: float) -> np.ndarray:
        state, at_c = at_clamp(c)
        rows = np.array([at_c, state[0]])
        return state @ np.append(np.linalg.solve(rows[:, :2], -rows[:, 2]), 1.0)

    def misfit(c: float) -> float:
        w = solved(c)
        return float(w[2] + 2 * beta * w[1])

    places = np.linspace(-0.6 * d - 0.5 / beta, 0.999 * d, 60)
    values = [misfit(c) for c in places]
    roots = [
        brentq(misfit, a, b) for a, b, u, v in zip(places, places[1:], values, values[1:], strict=False) if u * v < 0
    ]
    forces = []
    for c in roots:
        w = solved(c)
        after = 2 * beta**3 * (w[1] / beta)
        if w[1] < 0:
            forces.append(EI * (w[3] - after))
    return min(forces)


@pytest.mark.parametrize("name", ["A", "B"])
@pytest.mark.parametrize("contact", [SOFT, 30.0, HARD])
@pytest.mark.parametrize("d", [30.0, 40.0])
def test_against_one_root_of_the_exact_solution(name: str, contact: float, d: float) -> None:
    assert male(name, d, contact) == pytest.approx(exact(1 / STACKS[name][0], d, stiffness(name), contact), rel=0.02)


@pytest.mark.parametrize(("name", "contact"), [("A", SOFT), ("A", HARD), ("B", SOFT), ("B", HARD)])
def test_against_collocation(name: str, contact: float) -> None:
    """EI(w″ − κ)″ + k min(w, 0) = 0 in two stretches that meet at the clamp, w 0 there; SciPy's solver."""
    R, d, EI = STACKS[name][0], 30.0, stiffness(name)
    beta = contact_root_per_mm(EI, contact)
    far = 8.0 / beta + 4.0 * d
    # x in 0..1 over three stretches: arc (far → 0), leg (0 → d), leg (d → far)
    spans = (far, d, far)

    def slopes(_: np.ndarray, y: np.ndarray) -> np.ndarray:
        out = np.empty_like(y)
        for i, span in enumerate(spans):
            w, w1, w2, w3 = y[4 * i : 4 * i + 4]
            out[4 * i : 4 * i + 4] = span * np.array([w1, w2, w3, -contact / EI * np.minimum(w, 0.0)])
        return out

    def ends(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        jump = np.array([0, 0, -1 / R, 0])
        return np.array([a[0], a[1], *(a[4:8] - b[0:4] - jump), b[4], a[8], a[9] - b[5], a[10] - b[6], b[8], b[9]])

    x = np.linspace(0, 1, 401)
    found = solve_bvp(slopes, ends, x, np.zeros((12, len(x))), tol=1e-6, max_nodes=40000)
    assert found.success
    force = EI * (found.y[7, -1] - found.y[11, 0])
    assert male(name, d, contact) == pytest.approx(force, rel=0.01)


def test_a_stiff_bare_end_is_the_closed_form_of_a_rigid_one() -> None:
    """A free length ℓ drawn down by F = M/ℓ still stands off κℓ²/6 at its tip: within a tolerance e, F = M/√(6 e R)."""
    for name, (R, _, _) in STACKS.items():
        M = stiffness(name) / R
        form = ((math.pi * R / 2, 1 / R),)
        for off in (0.25, 0.8):
            force = closing_force_n_per_mm(form, 0.0, 30.0, stiffness(name), 3000.0, off)
            assert force == pytest.approx(M / math.sqrt(6 * off * R), rel=0.01)


def test_a_bare_end_drawn_right_down_is_hetenyis() -> None:
    """A half-infinite beam on an elastic foundation with an end moment M and no deflection at its end: P = β M."""
    for name, (R, _, _) in STACKS.items():
        EI = stiffness(name)
        for contact in (SOFT, HARD):
            force = closing_force_n_per_mm(((math.pi * R / 2, 1 / R),), 0.0, 30.0, EI, contact)
            assert force == pytest.approx(contact_root_per_mm(EI, contact) * EI / R, rel=0.02)


def test_a_female_form_is_the_male_one_turned_round() -> None:
    """What counts is the jump of curvature: on the arc as far before the spring line as else on the leg beyond it."""
    for name, (R, _, _) in STACKS.items():
        form = ((340.0, 0.0), (math.pi * R / 2, -1 / R))
        for contact in (SOFT, HARD):
            force = closing_force_n_per_mm(form, 370.0, 30.0, stiffness(name), contact)
            assert force == pytest.approx(male(name, 30.0, contact), rel=0.02)


def test_a_form_without_a_jump_needs_no_clamp() -> None:
    assert closing_force_n_per_mm(((900.0, 0.0),), 300.0, 30.0, 1e5, HARD) == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=40)
@given(
    R=st.floats(150.0, 3000.0),
    d=st.floats(15.0, 60.0),
    EI=st.floats(2e3, 2e6),
    contact=st.floats(1.0, 300.0),
    times=st.floats(1.1, 30.0),
)
def test_units_of_length_and_force_do_not_matter(R: float, d: float, EI: float, contact: float, times: float) -> None:
    """Stiffer plies on an equally stiffer contact: as much more force. A tighter curve: as much more. Harder: more."""

    def force(R: float, EI: float, contact: float) -> float:
        form = ((300.0, 0.0), (2000.0, 1 / R))
        return closing_force_n_per_mm(form, 300.0 - d, d, EI, contact)

    once = force(R, EI, contact)
    assert once > 0
    assert force(R, times * EI, times * contact) == pytest.approx(times * once, rel=1e-6)
    assert force(R / times, EI, contact) == pytest.approx(times * once, rel=1e-6)
    assert force(R, EI, times * contact) > 0.999 * once
