"""Spring-back against composite-beam theory, against numbers worked by hand, and against an independent integration.

Sources: closed form of the composite beam (computed); `y = x/n²` is common practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.errors import LaminateError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.laminate.springback import pressed_curvature_factor, spring_back_ratio


@pytest.mark.parametrize(
    ("moduli", "plies", "pressed_mm", "ratio", "released_mm", "press_for_mm"),
    [
        ([1] * 2, [3.175] * 2, 600.0, 1 / 4, 800.000, 450.000),
        ([1] * 4, [3.0] * 4, 500.0, 1 / 16, 533.333, 468.750),
        ([1] * 7, [3.175] * 7, 1320.8, 1 / 49, 1348.317, 1293.845),
        ([1] * 4, [6.0, 3.0, 3.0, 6.0], 800.0, 0.083333, 872.727, 733.333),
        ([12.0, 4.0, 4.0, 4.0, 12.0], [1.0, 3.0, 3.0, 3.0, 1.0], 800.0, 0.034320, 828.431, None),
    ],
)
def test_radius_after_release(
    moduli: list[float],
    plies: list[float],
    pressed_mm: float,
    ratio: float,
    released_mm: float,
    press_for_mm: float | None,
) -> None:
    s = spring_back_ratio(moduli, plies)
    assert s == pytest.approx(ratio, abs=5e-7)
    assert pressed_mm / (1 - s) == pytest.approx(released_mm, abs=5e-4)
    if press_for_mm is not None:
        assert pressed_mm / pressed_curvature_factor(s) == pytest.approx(press_for_mm, abs=5e-4)


def test_camber_of_four_plies_over_96_inches() -> None:
    radius = 385.5  # in: span 96, rise 3
    half = math.asin(48 / radius)
    pressed = ArcSpline(Pose(48.0, 0.0, math.pi - half), ((2 * half * radius, 1 / radius),))
    released = pressed.scaled_curvature(1 - 1 / 16)
    crown, end = released.pose(released.length_mm / 2), released.end
    # Height of the crown over the chord, whatever way the curve lies.
    chord = np.array([end.x_mm - released.start.x_mm, end.y_mm - released.start.y_mm])
    to_crown = np.array([crown.x_mm - released.start.x_mm, crown.y_mm - released.start.y_mm])
    rise = abs(chord[0] * to_crown[1] - chord[1] * to_crown[0]) / np.hypot(*chord)
    assert rise == pytest.approx(2.81294, abs=5e-6)
    assert rise == pytest.approx(3 - 3 / 4**2, abs=5e-4)  # the shop's rule y = x/n²: common practice, no source


def test_a_semicircle_of_four_plies_is_pressed_through_192_degrees() -> None:
    assert 180 * pressed_curvature_factor(spring_back_ratio([1] * 4, [2] * 4)) == pytest.approx(192.0, abs=1e-9)


def test_four_plies_of_three_thirty_seconds_at_20_inches_come_off_near_22() -> None:
    """Common practice, no source: a sanity check, one inch either way."""
    assert 20 / (1 - spring_back_ratio([1] * 4, [3 / 32] * 4)) == pytest.approx(22, abs=1)


@pytest.mark.parametrize("n", range(2, 33))
def test_equal_plies_give_back_one_over_n_squared(n: int) -> None:
    assert spring_back_ratio([9.1e3] * n, [2.3] * n) == pytest.approx(1 / n**2, rel=1e-12)


@given(st.lists(st.tuples(st.floats(0.5, 20), st.floats(0.3, 8)), min_size=2, max_size=9))
def test_agrees_with_stress_summed_through_the_section(plies: list[tuple[float, float]]) -> None:
    """Independent of the formula: fibres of loose plies are stressed about their own middles, then the whole
    stack is let go until neither axial force nor moment is left."""
    moduli, thicknesses = zip(*plies, strict=True)
    nodes, weights = np.polynomial.legendre.leggauss(4)
    y, dy, E, own = [], [], [], []
    bottom = 0.0
    for modulus, t in zip(moduli, thicknesses, strict=True):
        y.extend(bottom + t / 2 + nodes * t / 2)
        own.extend([bottom + t / 2] * 4)
        dy.extend(weights * t / 2)
        E.extend([modulus] * 4)
        bottom += t
    y, dy, E, own = map(np.array, (y, dy, E, own))
    stress = E * (y - own)  # per unit of curvature
    # Unknowns: axial strain a and curvature c taken back, so that force and moment vanish.
    A = np.array([[np.sum(E * dy), np.sum(E * y * dy)], [np.sum(E * y * dy), np.sum(E * y**2 * dy)]])
    b = np.array([np.sum(stress * dy), np.sum(stress * y * dy)])
    taken_back = float(np.linalg.solve(A, b)[1])
    assert spring_back_ratio(moduli, thicknesses) == pytest.approx(taken_back, rel=1e-6)


@given(st.floats(0, 0.9), st.floats(1e-5, 1e-1))
def test_pressing_and_releasing_gives_the_target(s: float, curvature: float) -> None:
    assert curvature * pressed_curvature_factor(s) * (1 - s) == pytest.approx(curvature, rel=1e-12)


@pytest.mark.parametrize(("moduli", "plies"), [([], []), ([1.0], [1.0, 2.0]), ([0.0], [1.0]), ([1.0], [math.nan])])
def test_a_stack_that_is_none_is_refused(moduli: list[float], plies: list[float]) -> None:
    with pytest.raises(LaminateError):
        spring_back_ratio(moduli, plies)


def test_one_ply_alone_is_refused() -> None:
    with pytest.raises(LaminateError, match="two plies or more"):
        pressed_curvature_factor(spring_back_ratio([1.0], [3.0]))
