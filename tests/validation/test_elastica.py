"""The elastica against published tables, exact constants, `scipy.special` and a solver of boundary-value problems.

Sources:
    Timoshenko & Gere 1961, Theory of Elastic Stability, §2.7 (table of the fixed-free column);
    Bisshopp & Drucker 1945, Large deflection of cantilever beams (table values as quoted in the literature);
    Castigliano's theorem (semicircle opened by a force along its diameter): computed;
    Legendre's relation and the lemniscate constant (rectangular elastica): computed;
    the angle at which the pins meet, 130.71°: Love, Mathematical Theory of Elasticity, ch. XIX, from memory.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp
from scipy.special import ellipe, ellipeinc, ellipj, ellipk, gamma

from formgen.errors import PressError
from formgen.holding.free_strip.elastica import PinnedElastica, pinned_elastica
from formgen.holding.free_strip.elliptic import Means
from formgen.holding.free_strip.strip import AtRest, Strip, between_pins, clamped_with_end_load


def even_strip(count: int, length: float = 1.0, natural: float = 0.0, offset: float = 0.0) -> Strip:
    """A strip of that many equal elements, stiffness 1."""
    return Strip(
        lengths_mm=np.full(count, length / count),
        natural_per_mm=np.full(count, natural),
        stiffness_n_mm=np.ones(count),
        pin_offset_mm=offset,
    )


def semicircle_strip(count: int) -> tuple[AtRest, PinnedElastica]:
    """A straight strip of length π held at a semicircle's chord of 2 (R = 1), by elements and in closed form."""
    arc = math.pi / 2 - np.linspace(0.0, math.pi, count + 1)
    return between_pins(even_strip(count, math.pi), (2.0, 0.0), arc), pinned_elastica(math.pi, 2.0)


@given(st.floats(0.0, 0.9999))
def test_elliptic_integrals_are_those_of_scipy(k: float) -> None:
    means, u = Means.of(k), np.linspace(-4.0, 4.0, 33)
    amplitude = ellipj(u, k * k)[3]
    assert means.first_kind == pytest.approx(ellipk(k * k), rel=1e-12)
    assert means.second_kind == pytest.approx(ellipe(k * k), rel=1e-12)
    assert means.amplitude_and_zeta(u)[0] == pytest.approx(amplitude, abs=1e-10)
    assert means.incomplete_second_kind(u) == pytest.approx(ellipeinc(amplitude, k * k), abs=1e-10)


@pytest.mark.parametrize(
    ("tip_deg", "force_ratio", "along", "aside"),  # Timoshenko & Gere, §2.7: P/Pcr, x/l, y/l
    [(60, 1.152, 0.741, 0.593), (120, 1.884, 0.123, 0.803)],
)
def test_column_table(tip_deg: float, force_ratio: float, along: float, aside: float) -> None:
    """Half of the pinned strip is the fixed-free column; the table is printed to three places, cut or rounded."""
    strip = pinned_elastica(2.0, 2.0 * along)
    assert math.degrees(strip.lean_rad) == pytest.approx(tip_deg, abs=0.1)
    exact = Means.of(math.sin(math.radians(tip_deg / 2)))
    tip = PinnedElastica(length_mm=2.0, chord_mm=2.0 * (2 * exact.second_kind / exact.first_kind - 1), means=exact)
    assert tip.force_over_buckling == pytest.approx(force_ratio, abs=1e-3)
    assert tip.chord_mm / 2 == pytest.approx(along, abs=1e-3)
    assert tip.rise_mm == pytest.approx(aside, abs=1e-3)


@pytest.mark.parametrize(("load", "drop", "shortening"), [(1.0, 0.3017, 0.0564), (5.0, 0.7138, 0.3876)])
def test_cantilever_table(load: float, drop: float, shortening: float) -> None:
    """Bisshopp & Drucker 1945: PL²/EI, δ/L and (L − Δ)/L."""
    tip = clamped_with_end_load(even_strip(400), 0.0, (0.0, load)).points[-1]
    assert tip[1] == pytest.approx(drop, abs=5e-5)
    assert 1.0 - tip[0] == pytest.approx(shortening, abs=5e-5)


def test_strip_at_a_semicircles_chord_leans_and_stands_higher() -> None:
    """Its ends lean 71.96°, and it stands 6.0 % of R higher at the crown (computed)."""
    strip = pinned_elastica(math.pi, 2.0)
    assert math.degrees(strip.lean_rad) == pytest.approx(71.96, abs=0.005)
    assert strip.rise_mm - 1.0 == pytest.approx(0.060, abs=5e-4)


def test_rectangular_elastica_has_exact_sizes() -> None:
    """Ends at right angles to the chord, k² = 1/2: K = Γ(1/4)²/(4√π), and by Legendre's relation chord/L = π/(2K²)."""
    K = gamma(0.25) ** 2 / (4.0 * math.sqrt(math.pi))
    strip = pinned_elastica(1.0, math.pi / (2.0 * K * K))
    assert strip.lean_rad == pytest.approx(math.pi / 2, abs=1e-9)
    assert strip.rise_mm == pytest.approx(math.sqrt(0.5) / K, rel=1e-9)


def test_pins_that_meet() -> None:
    assert math.degrees(pinned_elastica(1.0, 0.0).lean_rad) == pytest.approx(130.71, abs=0.005)  # Love, from memory


def test_slight_bow_carries_eulers_load_and_rises_as_a_sine() -> None:
    """Chord shorter by e: rise (2/π)√(Le) and P = π²EI/L² to first order (sine of small amplitude)."""
    strip = pinned_elastica(1.0, 1.0 - 1e-6)
    assert strip.force_over_stiffness_per_mm2 == pytest.approx(math.pi**2, rel=1e-6)
    assert strip.rise_mm == pytest.approx(2.0 / math.pi * 1e-3, rel=1e-6)


@given(st.floats(-0.4, 0.99))
def test_closed_form_is_a_strip_of_that_length_and_chord(chord: float) -> None:
    strip = pinned_elastica(1.0, chord)
    stations = np.linspace(0.0, 1.0, 2001)
    points = strip.points(stations)
    assert points[-1] == pytest.approx([chord, 0.0], abs=1e-9)
    steps = np.diff(points, axis=0)
    assert np.sum(np.hypot(*steps.T)) == pytest.approx(1.0, abs=2e-6)
    middle = (strip.headings(stations)[1:] + strip.headings(stations)[:-1]) / 2
    assert np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])) == pytest.approx(middle, abs=1e-5)


def test_elements_converge_to_the_closed_form_with_the_square_of_their_length() -> None:
    counts, errors, forces = (20, 40, 80, 160), [], []
    for count in counts:
        rest, exact = semicircle_strip(count)
        errors.append(float(np.max(np.abs(rest.points - exact.points(np.linspace(0.0, math.pi, count + 1))))))
        forces.append(abs(-rest.force_n_per_mm[0] - exact.force_over_stiffness_per_mm2))
    for series in (errors, forces):
        orders = [math.log2(a / b) for a, b in pairwise(series)]
        assert orders == pytest.approx([2.0] * 3, abs=0.1)
    assert errors[-1] < 2e-6


def test_semicircle_opened_along_its_diameter() -> None:
    """Natural radius 1, ends opened by Δ in all: Δ = ∫ M²/(P EI) ds = πPR³/(2EI), as M = PR sin θ."""
    count, open_by = 200, 1e-5
    arc = math.pi / 2 - np.linspace(0.0, math.pi, count + 1)
    rest = between_pins(even_strip(count, math.pi, natural=-1.0), (2.0 + open_by, 0.0), arc)
    assert rest.force_n_per_mm[0] == pytest.approx(2.0 * open_by / math.pi, rel=1e-4)


def test_strip_with_curvature_and_stiffness_of_its_own_against_a_boundary_value_solver() -> None:
    """θ' = κ₀(s) + m/EI(s), m' = −(F × t), with pins on arms: `scipy.integrate.solve_bvp` on the same equations."""
    count, arm, pins = 400, 0.06, (1.3, 0.1)
    s = (np.arange(count) + 0.5) / count

    def natural(at: np.ndarray) -> np.ndarray:
        return -1.5 * np.sin(math.pi * at) ** 2 - 0.6 * at

    def stiff(at: np.ndarray) -> np.ndarray:
        return 1.0 + 0.8 * at

    length = 1.6
    strip = Strip(
        lengths_mm=np.full(count, length / count), natural_per_mm=natural(s), stiffness_n_mm=stiff(s), pin_offset_mm=arm
    )
    guess = 1.2 - 2.4 * np.linspace(0.0, 1.0, count + 1)
    rest = between_pins(strip, pins, guess)

    def slopes(at: np.ndarray, state: np.ndarray, force: np.ndarray) -> np.ndarray:
        _, _, theta, moment = state
        share = at / length
        c, sn = np.cos(theta), np.sin(theta)
        return np.vstack([c, sn, natural(share) + moment / stiff(share), force[0] * sn - force[1] * c])

    def ends(a: np.ndarray, b: np.ndarray, force: np.ndarray) -> np.ndarray:
        def arm_to(theta: float) -> np.ndarray:
            return arm * np.array([-math.sin(theta), math.cos(theta)])

        near, far = a[:2] + arm_to(a[2]), b[:2] + arm_to(b[2])
        # moment of the force on each pin about the strip's end: −F at the near one, F at the far one
        turn_a, turn_b = arm_to(a[2]), arm_to(b[2])
        return np.array([
            *near, *(far - np.array(pins)),
            a[3] - (turn_a[0] * force[1] - turn_a[1] * force[0]),
            b[3] - (turn_b[0] * force[1] - turn_b[1] * force[0]),
        ])  # fmt: skip

    at = np.linspace(0.0, length, count + 1)
    points = rest.points
    start = np.vstack([points[:, 0], points[:, 1], guess, np.zeros(count + 1)])
    solution = solve_bvp(slopes, ends, at, start, p=[-1.0, 0.0], tol=1e-8, max_nodes=20000)
    assert solution.success, solution.message
    assert solution.p is not None
    assert rest.headings == pytest.approx(solution.sol(at)[2], abs=5e-5)
    assert rest.force_n_per_mm == pytest.approx(tuple(solution.p), abs=2e-4)


def test_slope_by_the_pin_is_that_of_two_solutions() -> None:
    arc = math.pi / 2 - np.linspace(0.0, math.pi, 61)
    strip = even_strip(60, math.pi, natural=-0.3, offset=0.05)
    low, here, high = (between_pins(strip, (2.0 + by, 0.02), arc) for by in (-1e-5, 0.0, 1e-5))
    assert here.headings_per_mm == pytest.approx((high.headings - low.headings) / 2e-5, abs=1e-8)


def test_without_load_a_strip_keeps_its_own_curvature() -> None:
    rest = clamped_with_end_load(even_strip(30, 2.0, natural=0.7), 0.2, (0.0, 0.0))
    assert rest.points[-1] == pytest.approx(
        [(math.sin(1.6) - math.sin(0.2)) / 0.7, (math.cos(0.2) - math.cos(1.6)) / 0.7], abs=1e-9
    )


@pytest.mark.parametrize(("length", "chord"), [(0.0, 0.0), (1.0, 1.0), (1.0, 1.2), (1.0, -0.95), (math.nan, 0.5)])
def test_no_bow_without_slack(length: float, chord: float) -> None:
    with pytest.raises(PressError, match="expected"):
        pinned_elastica(length, chord)


def test_modulus_of_one_is_refused() -> None:
    with pytest.raises(PressError, match="below 1"):
        Means.of(1.0)
