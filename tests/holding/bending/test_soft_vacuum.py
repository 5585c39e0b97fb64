"""How much vacuum while bending: the moment of friction interface by interface, the ends by integrals and by geometry.

Source of the moment: the press page, "Soft vacuum": (1 − 1/n) T μ q s, and m/M to the spring-back (computed).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from formgen.form.model import Form
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.bending.soft_vacuum import ends_move_mm_per_kpa, friction_moment_mm, soft_vacuum
from formgen.holding.clamps import first_clamp_mm
from formgen.holding.model import Holding
from formgen.laminate.plies import Laminate

Made = Callable[..., Form]
Laminated = Callable[..., Laminate]


def crown(laminate: Laminate) -> float:
    return sum(laminate.springing_mm) / 2.0


@pytest.mark.parametrize(
    "plies",
    [
        "thickness: 25.4, plies: 8, modulus: 10900 MPa",
        "plies: [{thickness: 1}, {count: 4, thickness: 4}, {thickness: 2}], modulus: 9000 MPa",
    ],
)
def test_moment_of_friction_interface_by_interface(laminated: Laminated, plies: str) -> None:
    """By hand: on each mm an interface pulls the ply within it one way and the ply outside it the other, with 1 each.

    A ply between two interfaces is pulled both ways; the thrusts that are left, at the plies' middles, are the couple.
    """
    laminate = laminated("{kind: semicircle, span: 900}", plies, part="legs: 200")
    t = [p.thickness_mm for p in laminate.plies]
    middles = np.cumsum(t) - np.array(t) / 2
    thrust = np.zeros(len(t))
    for interface in range(len(t) - 1):
        thrust[interface] -= 1.0
        thrust[interface + 1] += 1.0
    couple = float(thrust @ middles)
    at = np.linspace(0.0, laminate.pressed.length_mm, 1001)
    moment = friction_moment_mm(laminate, at, crown(laminate))
    for i in (100, 300, 480):
        assert moment[i] == pytest.approx(couple * at[i], rel=2e-3)
        assert moment[1000 - i] == pytest.approx(moment[i], rel=2e-3)


def test_equal_plies_are_the_formula_of_the_press_page(laminated: Laminated) -> None:
    """(1 − 1/n) T at a distance s, for μ q = 1 N/mm²."""
    laminate = laminated("{kind: semicircle, span: 900}", "thickness: 24, plies: 6, modulus: 9000 MPa")
    at = np.linspace(0.0, laminate.pressed.length_mm, 401)
    moment = friction_moment_mm(laminate, at, crown(laminate))
    assert moment[150] == pytest.approx((1 - 1 / 6) * 24.0 * at[150], rel=1e-3)


def test_ends_of_a_jamb_by_the_integral(laminated: Laminated) -> None:
    """Legs L and half a circle R: ∫ m(s)/(Σ E t³/12) s₀ · arm ds, in both directions; SciPy's quadrature."""
    R, L, n, T, E, mu = 469.333, 340.0, 8, 25.4, 10900.0, 0.7
    laminate = laminated(
        "{kind: semicircle, span: 938.667}", f"thickness: {T}, plies: {n}, modulus: {E:.0f} MPa", part=f"legs: {L:.0f}"
    )
    per_mm = (1 - 1 / n) * T * mu * 1e-3 / (n * E * (T / n) ** 3 / 12) / n**2
    x = quad(lambda s: per_mm * s * s, 0, L)[0]
    x += quad(lambda p: per_mm * (L + R * p) * (L + R * math.sin(p)) * R, 0, math.pi / 2)[0]
    y = quad(lambda p: per_mm * (L + R * p) * R * (1 - math.cos(p)) * R, 0, math.pi / 2)[0]
    assert ends_move_mm_per_kpa(laminate, crown(laminate), mu) == pytest.approx(math.hypot(x, y), rel=2e-3)


def test_ends_of_a_part_by_geometry(made: Made) -> None:
    """The finished curve laid out again in 2000 arcs, each opened by what friction left in it: where its ends come."""
    laminate = made("gallery-casing").pressing.laminate
    mu, kpa = 0.7, 0.02
    curve, n = laminate.arch.target, 2000
    step = curve.length_mm / n
    at = (np.arange(n) + 0.5) * step
    stiff = sum(p.modulus_mpa * p.thickness_mm**3 for p in laminate.plies) / 12
    opens = laminate.spring_back * friction_moment_mm(laminate, at, crown(laminate)) * mu * kpa * 1e-3 / stiff

    def ends(by: float) -> np.ndarray:
        pieces = tuple((step, curve.curvature_at(float(s)) - by * float(o)) for s, o in zip(at, opens, strict=True))
        middle = curve.length_mm / 2
        laid = ArcSpline(curve.start, pieces).held_at(middle, curve.pose(middle))
        return np.array([(p.x_mm, p.y_mm) for p in (laid.start, laid.end)])

    moved = np.linalg.norm(ends(1.0) - ends(0.0), axis=1).max()
    assert ends_move_mm_per_kpa(laminate, crown(laminate), mu) * kpa == pytest.approx(moved, rel=0.01)


def test_a_quarter_of_the_tolerance_is_used_at_that_reading(made: Made) -> None:
    laminate = made("porch-door-jamb").pressing.laminate
    found = soft_vacuum(laminate, crown(laminate), 80.0)
    assert found.uses_mm == pytest.approx(0.8 / 4)
    assert found.gauge_kpa * found.mm_per_kpa == pytest.approx(found.uses_mm)
    assert found.friction == 0.7


def test_three_thick_plies_without_legs_may_have_an_inch_or_two(laminated: Laminated) -> None:
    """Press page: usually 1 to 3 inHg. Three plies of 6 mm at R 300, half a circle, c R³ |(1, π²/8 − π/2 + 1)|.

    An end moves outward by ∫ c Rφ · R sin φ R dφ and down by ∫ c Rφ · R (1 − cos φ) R dφ over a quarter of a turn.
    """
    laminate = laminated("{kind: semicircle, span: 600}", "thickness: 18, plies: 3, modulus: 10900 MPa")
    found = soft_vacuum(laminate, crown(laminate), 80.0)
    c = (2 / 3) * 18 * 0.7e-3 / (3 * 10900 * 6**3 / 12) / 9
    by_hand = c * laminate.arch.target.tightest_radius_mm**3 * math.hypot(1.0, math.pi**2 / 8 - math.pi / 2 + 1)
    assert found.mm_per_kpa == pytest.approx(by_hand, rel=2e-3)
    assert 1.0 < found.gauge_kpa / 3.386389 < 3.0
    assert found.shows
    (finding,) = found.findings
    assert "Bend the stack with the bag just snug (at most 3.9 kPa)." in finding.message


def test_less_than_a_gauge_shows_keeps_the_needle_on_its_stop(made: Made) -> None:
    laminate = made("porch-door-jamb").pressing.laminate
    (finding,) = soft_vacuum(laminate, crown(laminate), 80.0).findings
    assert "bag just snug, the needle on its stop (at most 0.14 inHg)" in finding.message
    assert "At 1 inHg, the least that a gauge shows" in finding.message


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(low=st.floats(0.05, 0.6), times=st.floats(1.01, 5.0))
def test_more_friction_allows_less(made: Made, low: float, times: float) -> None:
    laminate = made("porch-door-jamb").pressing.laminate
    once = ends_move_mm_per_kpa(laminate, crown(laminate), low)
    assert ends_move_mm_per_kpa(laminate, crown(laminate), times * low) == pytest.approx(times * once, rel=1e-9)


def test_plies_stopped_at_one_end_slide_twice_as_far(laminated: Laminated) -> None:
    """From the crown each half slides by itself; from one end friction adds up over the whole length: twice as much."""
    laminate = laminated("{kind: semicircle, span: 900}", "thickness: 24, plies: 6, modulus: 9000 MPa")
    at = np.linspace(0.0, laminate.pressed.length_mm, 401)
    from_crown, from_end = friction_moment_mm(laminate, at, crown(laminate)), friction_moment_mm(laminate, at, 0.0)
    assert from_end[1] == pytest.approx(2.0 * from_crown[199], rel=0.02)


def test_where_the_curve_turns_back_the_slide_does_too(made: Made) -> None:
    """A serpentine from its right end: the second arc takes the slide of the first back, and never past it."""
    laminate = made("bench-back-rail").pressing.laminate
    at = np.linspace(0.0, laminate.pressed.length_mm, 401)
    moment = np.abs(friction_moment_mm(laminate, at, 0.0))
    assert moment[1] == pytest.approx(moment.max(), rel=0.01)
    middle = np.abs(friction_moment_mm(laminate, at, laminate.pressed.length_mm / 2))
    assert middle.max() == pytest.approx(moment.max() / 2, rel=0.02)


def test_only_a_bag_round_the_part_alone_is_soft_while_bending(shipped: Holding) -> None:
    soft = shipped.soft_vacuum
    if shipped.pressing.way != "part-bagged":
        assert soft is None
        return
    assert soft is not None
    assert soft.gauge_kpa > 0
    (finding,) = [f for f in shipped.all_findings if f.code == "press.soft-vacuum"]
    assert "bag just snug" in finding.message
    assert soft.mm_per_kpa == ends_move_mm_per_kpa(shipped.laminate, first_clamp_mm(shipped.laminate), 0.7)
