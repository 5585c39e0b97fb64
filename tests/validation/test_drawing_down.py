"""The stack on a form in the bag, against an obstacle problem: a strip that may touch a rigid form, not enter it.

Sources: least energy under a one-sided constraint, by non-negative least squares (scipy), independent of the closed
forms; ℓ = √(2EI′/(qR)) with 6 × 3 mm, 13 GPa, R 500, 85 kPa: 90.9 mm and a tip gap of 4.13 mm (computed, references).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import nnls

from formgen.findings import Severity
from formgen.form.model import Form
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.press.drawing_down import (
    bridged_needed_mpa,
    lifted_end,
    lifted_end_mm,
    plan_drawing_down,
    pressure_needed_mpa,
)
from formgen.press.hollows import closed_hollow_mm

STIFFNESS = 6 * 13000 * 3**3 / 12
KAPPA, Q = 1 / 500, 0.085
CURVED, NODES = 420.0, 420
IN_THE_BAG = ("side: male", "side: male\n  way: form-bagged")


def obstacle(side: str, straight: float) -> tuple[np.ndarray, np.ndarray]:
    """Stations from the root (held on the form) to the tip, and the gap there.

    The form is curved over the first stretch and straight for the rest. On a male form the strip's curvature is the
    form's less g″, on a female one the form's plus g″; pressure shuts the gap g ≥ 0. Energy ½B∫κ² + q∫g.
    """
    length = CURVED + straight
    h = length / NODES
    stations = np.arange(NODES + 1) * h
    form = np.where(stations[1:-1] < CURVED - h / 2, KAPPA, 0.0)
    sign = -1.0 if side == "male" else 1.0
    second = np.zeros((NODES - 1, NODES - 1))  # of the gap at nodes 2 to the last; nodes 0 and 1 lie on the form
    for i in range(NODES - 1):
        for j, factor in ((i - 2, 1.0), (i - 1, -2.0), (i, 1.0)):
            if j >= 0:
                second[i, j] = factor / h**2
    # ½|form + sign·S g|² + (q/B) Σ g, as one least-squares problem in g
    target = -sign * form - np.linalg.solve(second.T, np.full(NODES - 1, Q / STIFFNESS))
    gap, _ = nnls(second * h**2, target * h**2, maxiter=20 * NODES)
    return stations, np.concatenate([[0.0, 0.0], gap])


def lifted(stations: np.ndarray, gap: np.ndarray) -> tuple[float, float]:
    """Station where the last stretch off the form begins, and the greatest gap."""
    off = np.flatnonzero(gap > 1e-6)
    return float(stations[off[0]]), float(np.max(gap))


def test_male_free_end_of_the_reference() -> None:
    moment = STIFFNESS * KAPPA
    assert lifted_end_mm(moment, Q, "male") == pytest.approx(90.9, abs=0.05)
    end = lifted_end("right", ((CURVED, KAPPA),), 0.0, "male", STIFFNESS, Q)
    assert (end.zone_mm, end.gap_mm) == (pytest.approx(90.9, abs=0.05), pytest.approx(4.13, abs=0.005))


@pytest.mark.parametrize("side", ["male", "female"])
def test_free_end_against_the_obstacle_problem(side: str) -> None:
    stations, gap = obstacle(side, 0.0)
    begins, greatest = lifted(stations, gap)
    end = lifted_end("right", ((CURVED, KAPPA),), 0.0, side, STIFFNESS, Q)  # type: ignore[arg-type]
    assert CURVED - begins == pytest.approx(end.zone_mm, abs=3.0)  # the grid is 1 mm
    assert greatest == pytest.approx(end.gap_mm, rel=0.03)


@pytest.mark.parametrize("side", ["male", "female"])
def test_springing_against_the_obstacle_problem(side: str) -> None:
    leg = 200.0
    stations, gap = obstacle(side, leg)
    begins, greatest = lifted(stations, gap)
    end = lifted_end("right", ((leg, 0.0), (CURVED, KAPPA)), 0.0, side, STIFFNESS, Q)  # type: ignore[arg-type]
    assert end.on_leg
    off = np.flatnonzero(gap > 1e-6)
    assert stations[off[-1]] - begins == pytest.approx(end.zone_mm, abs=6.0)  # the grid is 1.5 mm
    assert greatest == pytest.approx(end.gap_mm, rel=0.05)


def test_a_leg_that_is_too_short_does_not_hold_the_end() -> None:
    moment = STIFFNESS * KAPPA
    on_leg = 0.7886751 * math.sqrt(2 * math.sqrt(3) * moment / Q)
    longer = lifted_end("left", ((on_leg + 0.1, 0.0), (CURVED, KAPPA)), 0.0, "male", STIFFNESS, Q)
    shorter = lifted_end("left", ((on_leg - 20.0, 0.0), (CURVED, KAPPA)), 0.0, "male", STIFFNESS, Q)
    assert longer.on_leg
    assert not shorter.on_leg


def test_waste_takes_the_lifted_end() -> None:
    end = lifted_end("right", ((CURVED, KAPPA),), 91.0, "male", STIFFNESS, Q)
    assert (end.in_part_mm, end.gap_mm) == (0.0, 0.0)


@pytest.mark.parametrize("sweep", [0.2, 1.0, 2.5])
def test_moment_of_even_pressure_is_half_the_chord_squared(sweep: float) -> None:
    """∫ q × lever ds about the root of an arc, by quadrature: the push at angle t acts along the radius."""
    R = 500.0
    moment = quad(lambda t: Q * R * R * math.sin(t), 0.0, sweep)[0]
    chord = 2 * R * math.sin(sweep / 2)
    assert pressure_needed_mpa(moment, chord) == pytest.approx(Q, rel=1e-12)


def test_a_hollow_of_the_found_length_just_closes() -> None:
    """w = qL⁴/(384D): Theory of Plates and Shells, ch. 1."""
    D = 12000 * 3.2**3 / 12
    span = closed_hollow_mm(D, 0.25, 0.08)
    assert 0.08 * span**4 / (384 * D) == pytest.approx(0.25)
    assert closed_hollow_mm(D, -0.05, 0.08) == 0.0


# --- findings, both ways


def found(form: Form) -> dict[str, Severity]:
    return {f.code: f.severity for f in form.pressing.findings}


def test_enough_and_not_enough(made: Callable[[str], Form], changed: Callable[..., Form]) -> None:
    """Eight plies come down to R 18 1/2 in; two of 1/2 in want 2M/c² over the same half of the jamb."""
    assert found(changed("porch-door-jamb", IN_THE_BAG))["press.pulls-to-form"] is Severity.NOTE
    short = changed("clock-surround", ("end_trim: 120 ", "end_trim: 25 "))  # tightest at ends without legs
    assert found(short)["press.too-stiff"] is Severity.PROBLEM
    weak = changed(
        "porch-door-jamb", ("plies: 8", "plies: 2"), ("thickness: 1", "thickness: 4"), ("legs: 14", "legs: 0"),
        ("side: male", "side: male\n  way: form-bagged\n  vacuum: 2 inHg"),
    )  # fmt: skip
    drawn = weak.pressing.drawing_down
    assert drawn is not None
    radius = (18 + 2) * 25.4 * (1 - 1 / 4)  # pressed for a quarter of spring-back
    moment = 2 * 10900 * 50.8**3 / 12 / radius
    half_turn = math.pi / (1 - 1 / 4) / 2 + 25 / radius
    chord = 2 * radius * math.sin(half_turn / 2)
    assert weak.pressing.moment_n == pytest.approx(moment, rel=1e-9)
    assert drawn.needed_kpa == pytest.approx(2000 * moment / chord**2, rel=1e-6)
    assert found(weak)["press.too-stiff"] is Severity.PROBLEM


def test_longer_plies_cure_an_end_that_stands_off(changed: Callable[..., Form], made: Callable[[str], Form]) -> None:
    short = changed("clock-surround", ("end_trim: 120 ", "end_trim: 25 "))
    assert found(short)["press.end-stands-off"] is Severity.WARNING
    assert "press.end-stands-off" not in found(made("clock-surround"))


def test_a_curve_that_bends_back_is_bridged(changed: Callable[..., Form]) -> None:
    """The handrail bends outward over 9 in at R 30 in, which a male form has as a hollow; two plies do not go in."""
    form = changed("newel-handrail", IN_THE_BAG)
    assert form.pressing.drawing_down is not None
    assert found(form)["press.pulls-to-form"] is Severity.NOTE
    stiffness = 12 * 10300 * (1.5 * 25.4 / 12) ** 3 / 12
    moment = stiffness / (30 * 25.4 * (1 - 1 / 144))
    needed = 2 * math.sqrt(3) * 0.7886751**2 * moment / (4.5 * 25.4) ** 2
    assert form.pressing.drawing_down.needed_kpa == pytest.approx(1000 * needed, rel=1e-6)
    assert (
        found(changed("newel-handrail", IN_THE_BAG, ("plies: 12", "plies: 2")))["press.too-stiff"] is Severity.PROBLEM
    )


def test_a_bend_the_other_way_without_a_straight_counts_with_it(made: Callable[[str], Form]) -> None:
    """The ogee's halves and the rail's ends are no hollows between two stretches; the chain below has one."""
    plies = made("newel-handrail").pressing.laminate.plies
    pressed = ArcSpline(Pose(0.0, 0.0, 0.0), ((300.0, 1 / 600), (200.0, -1 / 900), (300.0, 1 / 500)))
    stiffness = 12 * 10300 * (1.5 * 25.4 / 12) ** 3 / 12
    drawn = plan_drawing_down(plies, pressed, (25.0, 25.0), "male", 80.0, 6.8)
    needed = 2 * math.sqrt(3) * 0.7886751**2 * stiffness * (1 / 900 + 1 / 500) / 100**2
    assert drawn.needed_kpa == pytest.approx(1000 * needed, rel=1e-6)


@pytest.mark.parametrize(("share", "lies"), [(1.08, True), (0.92, False)])
def test_a_hollow_is_filled_to_its_middle_by_that_pressure(*, share: float, lies: bool) -> None:
    """Half of a hollow with its straight beyond, symmetric about the middle: the obstacle problem once more."""
    half, n = 120.0, 240
    h = 2 * half / n
    q = share * bridged_needed_mpa(STIFFNESS * KAPPA, 2 * half)
    bends = np.where(np.arange(n) * h < half - h / 2, KAPPA, 0.0)
    second = np.zeros((n, n))  # of gaps at nodes 0 to n − 1; node n lies on the straight
    for i in range(1, n):
        for j, factor in ((i - 1, 1.0), (i, -2.0), (i + 1, 1.0)):
            if j < n:
                second[i, j] = factor / h**2
    second[0, :2] = -2.0 / h**2, 2.0 / h**2
    weight = np.ones(n)
    weight[0] = 0.5
    root = np.sqrt(weight)
    matrix = root[:, None] * second
    # on the hollow side the strip's curvature is the form's plus g″
    target = -root * bends - np.linalg.solve(matrix.T, weight * q / STIFFNESS)
    gap, _ = nnls(matrix * h**2, target * h**2, maxiter=20 * n)
    assert bool(np.max(gap[:4]) < 1e-6) is lies  # a point in the middle touches sooner, without the form's curvature


def test_an_end_that_bends_the_other_way_lies_on_the_other_kind_of_form() -> None:
    bent_back = lifted_end("left", ((CURVED, -KAPPA),), 10.0, "male", STIFFNESS, Q)
    assert bent_back == lifted_end("left", ((CURVED, KAPPA),), 10.0, "female", STIFFNESS, Q)
