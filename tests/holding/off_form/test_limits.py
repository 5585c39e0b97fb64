"""Sliding plies between pins at the limits that are known in closed form: no friction, and friction without end.

Sources: the elastica (`elastica.py`); composite beams (Timoshenko, Strength of Materials, Part I; from memory);
Timoshenko & Gere 1961, Theory of Elastic Stability, §2.7; Castigliano's theorem for a semicircle opened along its
diameter, Δ = πPR³/(2EI): computed.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from formgen.errors import PressError
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.holding.free_strip import trial
from formgen.holding.free_strip.arcs import steps
from formgen.holding.free_strip.plies import AtRest, SlidingStrip
from formgen.holding.free_strip.trial import at_rest
from formgen.holding.off_form.standing import standing, through
from tests.holding.off_form.elastica import Elastica

Array = NDArray[np.float64]
R, E, Q = 462.0, 10900.0, 0.081  # mm, MPa, MPa


def strip(
    plies: int, t: float, friction: float, *, count: int = 120, radius: float = R, sweep: float = math.pi,
    leg: float = 0.0, held: bool = True, modulus: float = E, offset: float = 0.0,
) -> SlidingStrip:  # fmt: skip
    """Equal plies over one arc with legs alike, an interface in each class; held at its ends, or 17 mm up the legs."""
    runs = [(sweep * radius, 1.0 / radius)]
    if leg:
        runs = [(17.0, 0.0), (leg - 17.0, 0.0), *runs, (leg - 17.0, 0.0), (17.0, 0.0)]
    whole = sum(length for length, _ in runs)
    cut = [(length, k, max(1, math.ceil(length / whole * count))) for length, k in runs]
    n, d = plies, np.full(plies - 1, t)
    above = np.tril(np.ones((n, n - 1)), -1)
    stretch = modulus * t * (np.eye(n) - 1.0 / n)
    total = sum(c for _, _, c in cut)
    return SlidingStrip(
        lengths_mm=np.concatenate([np.full(c, length / c) for length, _, c in cut]),
        pressed_per_mm=np.concatenate([np.full(c, k) for _, k, c in cut]),
        loose_n_mm=n * modulus * t**3 / 12.0,
        joined_n_mm=(above * d).T @ stretch @ (above * d),
        friction_n=friction * Q * d,
        held=((cut[0][2], total - cut[-1][2]) if leg else (0, total)) if held else None,
        pin_offset_mm=offset,
    )


def points(rest: AtRest) -> Array:
    """Joints from the first one on."""
    x, y = steps(rest.strip.lengths_mm, rest.headings)
    return np.vstack([[0.0, 0.0], np.cumsum(np.column_stack([x, y]), axis=0)])


def rise(rest: AtRest) -> float:
    """Of the middle over the two pins."""
    held = rest.strip.held
    assert held is not None
    at = points(rest)
    return float(at[len(at) // 2, 1] - at[held[0], 1])


def test_without_friction_it_is_the_elastica() -> None:
    """A straight strip held at a semicircle's chord: ends lean 71.96° from it, 6.0 % of R higher at the crown."""
    rest, exact = at_rest(strip(8, 3.175, 0.0, count=240), math.pi / 2), Elastica(length=math.pi * R, chord=2 * R)
    at = points(rest) * [-1.0, 1.0]
    s = np.concatenate([[0.0], np.cumsum(rest.strip.lengths_mm)])
    assert np.max(np.hypot(*(at - exact.points(s)).T)) < 2e-5 * R
    assert math.degrees(math.pi - rest.headings[0]) == pytest.approx(71.96, abs=0.01)
    assert rise(rest) / R - 1.0 == pytest.approx(0.060, abs=5e-4)
    pull = rest.strip.loose_n_mm * exact.force_over_stiffness
    assert rest.force_n_per_mm == pytest.approx((pull, 0.0), rel=1e-4, abs=1e-6)


def test_elements_converge_to_the_elastica_with_the_square_of_their_length() -> None:
    exact, errors = Elastica(length=math.pi * R, chord=2 * R), []
    for count in (20, 40, 80, 160):
        rest = at_rest(strip(8, 3.175, 0.0, count=count), math.pi / 2)
        errors.append(abs(rise(rest) - exact.rise))
    assert [math.log2(a / b) for a, b in pairwise(errors)] == pytest.approx([2.0] * 3, abs=0.1)


@pytest.mark.parametrize(
    ("tip_deg", "force_ratio", "along", "aside"),  # Timoshenko & Gere, §2.7: P/Pcr, x/l, y/l
    [(60, 1.152, 0.741, 0.593), (120, 1.884, 0.123, 0.803)],
)
def test_column_table(tip_deg: float, force_ratio: float, along: float, aside: float) -> None:
    """Half of the pinned strip is the fixed-free column; bent to an arc of that chord and let go it is the elastica."""
    half = next(
        h / 1e4 for h in range(1, 31415) if math.sin(h / 1e4) / (h / 1e4) <= along
    )  # half the sweep whose chord over arc is x/l
    made = strip(4, 1.0, 0.0, radius=500.0, sweep=2 * half, count=200)
    rest, length = at_rest(made, -half), 1000.0 * half
    assert math.degrees(abs(rest.headings[0])) == pytest.approx(tip_deg, abs=0.15)
    buckling = math.pi**2 * made.loose_n_mm / length**2
    assert math.hypot(*rest.force_n_per_mm) / buckling == pytest.approx(force_ratio, abs=3e-3)
    at = points(rest)
    assert -np.min(at[:, 1]) / (length / 2) == pytest.approx(aside, abs=2e-3)


@pytest.mark.parametrize("plies", [2, 3, 8])
def test_locked_and_free_it_springs_back_as_a_glued_beam(plies: int) -> None:
    """κ(1 − 1/n²) wherever it is further from an end than the friction needs, which is nothing here."""
    rest = at_rest(strip(plies, 3.175, 1e6, held=False))
    assert rest.curvatures_per_mm == pytest.approx(np.full(120, (1.0 - 1.0 / plies**2) / R), rel=1e-5)
    assert np.max(np.abs(rest.slides)) < 1e-6


def test_locked_in_its_bar_it_is_a_glued_beam_opened_along_its_diameter() -> None:
    """Released it would open by 2R s, s = 1/n²; holding it shut takes P = 2 EI Δ/(πR³), I of the glued stack."""
    plies, t = 40, 0.6
    rest = at_rest(strip(plies, t, 1e6, count=240), math.pi / 2)
    glued = E * (plies * t) ** 3 / 12.0
    opening = 2.0 * R / plies**2
    assert rest.force_n_per_mm[0] == pytest.approx(2.0 * glued * opening / (math.pi * R**3), rel=2e-3)


@pytest.mark.parametrize(
    ("plies", "t", "modulus", "radius", "friction", "locks_mm"),
    [
        (8, 3.0, 700.0, 300.0, 0.5, 65.0),  # bending ply; lengths as the press's own page gives them: computed there
        (12, 0.6, 11900.0, 300.0, 0.5, 44.0),  # veneer
        (7, 3.0, 700.0, 300.0, 0.5, 65.0 * (1 - 1 / 49)),
    ],
)
def test_last_interface_locks_where_the_closed_form_says(
    plies: int, t: float, modulus: float, radius: float, friction: float, locks_mm: float
) -> None:
    """ℓ = E t²/(8 R μ q) from a free end, × (1 − 1/n²) for an odd number of plies."""
    made = strip(plies, t, friction, count=1200, radius=radius, modulus=modulus, held=False)
    rest = at_rest(made)
    s = np.concatenate([[0.0], np.cumsum(made.lengths_mm)])
    slid = np.max(np.abs(rest.slides), axis=1) > 1e-5 * np.max(np.abs(rest.slides))
    first = s[int(np.argmin(slid))]
    even = 1.0 if plies % 2 == 0 else 1.0 - 1.0 / plies**2
    assert modulus * t**2 / (8 * radius * friction * Q) * even == pytest.approx(locks_mm, rel=0.01)
    assert first == pytest.approx(locks_mm, abs=2.0)


@given(st.floats(0.02, 2.0), st.floats(0.0, 400.0), st.integers(2, 9))
@settings(max_examples=25)
def test_the_carried_moment_never_grows_faster_than_friction_lets_it(friction: float, leg: float, plies: int) -> None:
    """(1 − 1/n) T μ q for each mm, and nothing at a free end."""
    leg = leg if leg > 40.0 else 0.0
    rest = at_rest(strip(plies, 3.0, friction, leg=leg), math.pi / 2)
    made = rest.strip
    carried = rest.moments_n - made.loose_n_mm * rest.curvatures_per_mm
    ends = np.concatenate([[0.0], carried, [0.0]])
    h = np.concatenate([[0.0], made.lengths_mm, [0.0]])
    most = (1.0 - 1.0 / plies) * plies * 3.0 * friction * Q * (h[1:] + h[:-1]) / 2.0
    assert np.all(np.abs(np.diff(ends)) <= most * (1.0 + 1e-6) + 1e-6)


@given(
    st.floats(150.0, 1500.0), st.floats(0.6, 3.1), st.sampled_from([0.0, 150.0, 500.0]), st.integers(2, 9),
    st.floats(0.8, 5.0),
)  # fmt: skip
@settings(max_examples=5)
def test_more_friction_never_takes_the_part_further_away(
    radius: float, sweep: float, leg: float, plies: int, t: float
) -> None:
    """Forty frictions: the departure at most 1.02 times the one before; without friction it is greatest."""
    away = []
    for friction in [0.0, *np.geomspace(0.01, 20.0, 39)]:
        made = strip(plies, t, float(friction), radius=radius, sweep=sweep, leg=leg, count=60)
        away.append(departure(at_rest(made, math.pi - sweep / 2.0), math.pi - sweep / 2.0))
    assert all(after <= 1.02 * before + 1e-3 for before, after in pairwise(away))
    assert away[0] == max(away)


def departure(rest: AtRest, heading_rad: float) -> float:
    """Greatest distance from the pressed curve, laid by the near pin."""
    made = rest.strip
    assert made.held is not None
    near = made.held[0]
    pieces = tuple(zip(made.lengths_mm.tolist(), made.pressed_per_mm.tolist(), strict=True))
    pressed = ArcSpline(Pose(0.0, 0.0, heading_rad), pieces)
    pin = pressed.pose(float(np.sum(made.lengths_mm[:near])))
    shape = through(made.lengths_mm, rest.curvatures_per_mm, near, replace(pin, heading_rad=float(rest.headings[near])))
    return abs(standing(shape, pressed, (0.0, pressed.length_mm), 0.0).departure_mm)


def test_slopes_by_the_pins_are_those_of_two_solutions(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pins set 0.1 mm nearer and further apart."""
    made, whole = strip(8, 3.175, 0.3, leg=340.0, offset=-12.7), trial.Scale.of
    here = at_rest(made, math.pi / 2)

    def apart(by: float) -> AtRest:
        def of(*args: Any) -> Any:
            unit = whole(*args)
            assert unit.pins is not None
            return replace(unit, pins=unit.pins * (1.0 + by / unit.span / np.hypot(*unit.pins)))

        monkeypatch.setattr(trial.Scale, "of", of)
        return at_rest(made, math.pi / 2)

    low, high = apart(-0.1), apart(0.1)
    turned = (high.headings - low.headings) / 0.2
    assert here.headings_per_mm == pytest.approx(turned, abs=0.02 * float(np.max(np.abs(turned))))
    by = (high.moments_n - low.moments_n) / 0.2
    assert here.moments_per_mm == pytest.approx(by, abs=0.03 * float(np.max(np.abs(by))))


def test_a_shape_that_does_not_settle_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trial, "MOST_STEPS", 3)
    with pytest.raises(PressError, match="no shape at rest was found"):
        at_rest(strip(8, 3.175, 0.2), math.pi / 2)
