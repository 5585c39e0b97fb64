"""The stage's sums on numbers small enough to be done by hand; each expected value is written as its sum.

Sources: composite beams (Timoshenko, Strength of Materials, Part I; from memory), Wood Handbook eq. 13-2, geometry. The
same sums against whole tables and against independent models: `tests/validation`.
"""

from __future__ import annotations

import math
from dataclasses import fields
from typing import Any

import pytest

from formgen.errors import LaminateError
from formgen.findings import Severity
from formgen.laminate.bend import bend_findings
from formgen.laminate.moisture import Moisture, PullIn, dried_radius_ratio, thickness_swelling
from formgen.laminate.ply import Ply, loose_stiffness_n_mm
from formgen.laminate.springback import adjusted_ratio, pressed_curvature_factor, spring_back_ratio
from formgen.laminate.stock import Stock
from formgen.laminate.tails import gap_mm, tail_length_mm


@pytest.mark.parametrize("n", [1, 2, 3, 8, 40])
def test_equal_plies_give_back_one_part_in_n_squared(n: int) -> None:
    assert spring_back_ratio([11000.0] * n, [2.5] * n) == pytest.approx(1 / n**2)


def test_unlike_plies_are_counted_about_their_own_middle() -> None:
    # E 10 and 20 GPa, t 2 and 1 mm: both E t are 20 kN/mm, their middles 1 and 2.5 mm up, so ȳ is 1.75
    loose = 10000 * 2**3 / 12 + 20000 * 1**3 / 12
    glued = loose + 20000 * 0.75**2 + 20000 * 0.75**2
    assert spring_back_ratio([10000.0, 20000.0], [2.0, 1.0]) == pytest.approx(loose / glued)


def test_measured_factors() -> None:
    # s₀ 1/4: glue lines that keep half of what gluing adds, and a fifth of the stress eased: 0.8/(1 + 0.5 (4 − 1))
    assert adjusted_ratio(0.25, 0.5, 0.8) == pytest.approx(0.8 / 2.5)
    assert adjusted_ratio(0.25, 1.0, 1.0) == pytest.approx(0.25)
    with pytest.raises(LaminateError):
        adjusted_ratio(0.25, 0.0, 1.0)


def test_what_is_pressed_comes_back_to_what_was_asked() -> None:
    assert pressed_curvature_factor(0.2) == pytest.approx(1.25)  # of 1.25 a fifth comes back, 1 stays
    with pytest.raises(LaminateError):
        pressed_curvature_factor(1.0)


def test_loose_plies() -> None:
    plain: dict[str, Any] = dict.fromkeys(f.name for f in fields(Ply))
    plies = [Ply(**{**plain, "modulus_mpa": E, "thickness_mm": t}) for E, t in ((10000.0, 3.0), (12000.0, 2.0))]
    assert loose_stiffness_n_mm(plies) == pytest.approx((10000 * 27 + 12000 * 8) / 12)


def test_a_ply_is_past_its_strain_where_it_breaks_and_near_it_from_three_quarters_on() -> None:
    plain: dict[str, Any] = dict.fromkeys(f.name for f in fields(Ply))
    one = {"number": 1, "wood": "any", "thickness_mm": 3.0, "radius_mm": 300.0, "strain_limit": 0.01}
    stocks = [Stock(name="any", thickness_mm=3.0, modulus_mpa=10000.0, strength_mpa=100.0)]
    near, past = Severity.WARNING, Severity.PROBLEM
    for strain, severity in ((0.0074, None), (0.0076, near), (0.0099, near), (0.0101, past)):
        found = list(bend_findings([Ply(**{**plain, **one, "strain": strain})], stocks, "mm"))
        assert [f.severity for f in found] == ([] if severity is None else [severity])


def test_the_tail_of_an_arc() -> None:
    # EI′ 1200 N·mm, R 600 mm, q 0.08 MPa: ℓ = √(2 · 1200/(0.08 · 600)) = √50; the tip stands ℓ²/(4R) off
    pieces, stiffness, q = ((900.0, 1 / 600.0),), 1200.0, 0.08
    tail = tail_length_mm(pieces, stiffness, q)
    assert tail == pytest.approx(math.sqrt(50))
    assert gap_mm(pieces, tail, 0.0, stiffness, q) == pytest.approx(50 / (4 * 600))
    assert gap_mm(pieces, tail, tail, stiffness, q) == 0.0
    assert tail_length_mm(((60.0, 0.0), *pieces), stiffness, q) == 0.0  # a straight leg longer than that holds it down


def test_water_swells_two_plies() -> None:
    # 60 g/m² in 3 mm of 600 kg/m³ at 0.002, 120 in 2 mm of 500 at 0.003: 0.02 and 0.072 mm on 5 mm together
    swelling = thickness_swelling([60.0, 120.0], [0.6, 0.5], [0.002, 0.003], [3.0, 2.0])
    assert swelling == pytest.approx((0.02 + 0.072) / 5)
    assert dried_radius_ratio(0.25) == pytest.approx(0.8)  # 5 mm dry to 4: both faces keep their arcs, θ grows by 5/4


@pytest.mark.parametrize(("allowed", "factor"), [(True, 0.98), (False, 1.0)])
def test_pull_in_that_is_allowed_for_is_pressed_wider(allowed: bool, factor: float) -> None:  # noqa: FBT001 - a case
    one: dict[str, Any] = {
        "water_share": 0.5,
        "water_g_per_m2": 100.0,
        "moisture_rise_pct": 3.0,
        "chord_change_mm": 1.0,
    }
    least, middle, most = (PullIn(radius_change=change, **one) for change in (-0.01, -0.02, -0.04))
    found = Moisture(
        adhesive="any", spread_g_per_m2=180.0, least=least, middle=middle, most=most, allowed_for=allowed,
        curvature_change_from_press=0.0,
    )  # fmt: skip
    assert found.built_in == pytest.approx(factor)  # curvature in the press: 2 % less, dry it is back
