"""Arches against textbook constructions and closed forms; every expected value stands as its source gives it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.special import ellipe

from formgen.curve.arches import ARCHES
from formgen.geometry.arcspline import ArcSpline


def built(kind: str, **sizes: Any) -> ArcSpline:
    for row in ARCHES:
        if row.model.model_fields["kind"].annotation.__args__ == (kind,):  # type: ignore[union-attr]
            asked = row.model.model_validate({"kind": kind, **sizes})
            return row.make(asked, None).curve  # type: ignore[arg-type]  # sizes alone settle it
    raise AssertionError(kind)


def radii(curve: ArcSpline) -> list[float]:
    return [1.0 / k for _, k in curve.pieces]


def test_segmental() -> None:
    # Textbook: R = (a² + h²)/(2h); span 1200, rise 200 → R 1000, sweep 73.7398°, arc 1287.0022; 36/12 → 19.5, 45.8642.
    curve = built("segmental", span=1200, rise=200)
    assert radii(curve) == pytest.approx([1000.0], abs=1e-9)
    assert math.degrees(curve.sweep_rad) == pytest.approx(73.7398, abs=5e-5)
    assert curve.length_mm == pytest.approx(1287.0022, abs=5e-5)
    small = built("segmental", span=36, rise=12)
    assert radii(small) == pytest.approx([19.5], abs=1e-9)
    assert small.length_mm == pytest.approx(45.8642, abs=5e-5)


def test_segmental_from_any_two_of_its_sizes() -> None:
    # The same arch by each pair: R = 1000, sweep = 2 asin(600/1000).
    by_radius = built("segmental", span=1200, radius=1000)
    by_sweep = built("segmental", radius=1000, sweep=f"{math.degrees(2 * math.asin(0.6)):.12f} deg")
    for curve in (by_radius, by_sweep):
        assert curve.length_mm == pytest.approx(1287.0022, abs=5e-5)
        assert curve.start.x_mm == pytest.approx(600.0, abs=1e-8)


@pytest.mark.parametrize(
    ("span", "rise", "small", "large", "length"),
    # Textbook: r₁ = d(d − a + h)/(2a), R = d(d + a − h)/(2h), d = √(a² + h²): a 24, h 18 and a 600, h 400.
    [(48, 18, 15.0, 30.0, 66.4289), (1200, 400, 313.1483, 830.2776, 1591.9311)],
)
def test_three_centred(span: float, rise: float, small: float, large: float, length: float) -> None:
    curve = built("three-centred", span=span, rise=rise)
    assert radii(curve) == pytest.approx([small, large, small], abs=5e-5)
    assert curve.length_mm == pytest.approx(length, abs=5e-5)


def test_basket_handle_in_thirds() -> None:
    # Textbook: rise 0.377992 of the span; span 1200: radii 400 and 800, length 1675.516.
    curve = built("three-centred", span=1200)
    assert radii(curve) == pytest.approx([400.0, 800.0, 400.0], abs=1e-9)
    assert curve.length_mm == pytest.approx(1675.516, abs=5e-4)
    assert curve.pose(curve.length_mm / 2.0).y_mm / 1200.0 == pytest.approx(0.377992, abs=5e-7)


def test_semi_ellipse() -> None:
    # Closed form: half-perimeter 1586.54396 = 2a E(1 − b²/a²); radii b²/a = 266.667 and a²/b = 900.
    curve = built("ellipse", span=1200, rise=400)
    exact = 2.0 * 600.0 * ellipe(1.0 - (400.0 / 600.0) ** 2)  # scipy
    assert exact == pytest.approx(1586.54396, abs=5e-6)
    assert curve.length_mm == pytest.approx(1586.54396, abs=0.0008)  # 0.4 micrometre in 1000 mm, and the digits given
    found = radii(curve)
    # The arcs at the ends average the radius over their length: near the exact ones, never beyond their neighbours.
    assert found[0] == pytest.approx(266.667, rel=0.001)
    assert max(found) == pytest.approx(900.0, rel=0.0001)


@pytest.mark.parametrize(("span", "rise"), [(1800, 400), (1200, 400), (1200, 100), (900, 1200), (2400, 250)])
def test_ellipse_length_against_the_elliptic_integral(span: float, rise: float) -> None:
    a, b = max(span / 2.0, rise), min(span / 2.0, rise)
    exact = 2.0 * a * ellipe(1.0 - (b / a) ** 2)  # half the perimeter, whichever way it lies
    # ε per unit length by which a curve within 0.005 mm may be longer is at most tolerance × sweep.
    assert built("ellipse", span=span, rise=rise).length_mm == pytest.approx(exact, abs=0.005 * math.pi)


def test_an_1800_by_400_ellipse_takes_no_more_than_84_arcs() -> None:
    # Claim of the design: 84 arcs, length within 0.4 micrometre per 1000 mm.
    curve = built("ellipse", span=1800, rise=400)
    exact = 2.0 * 900.0 * ellipe(1.0 - (400.0 / 900.0) ** 2)
    assert len(curve.pieces) <= 84
    assert abs(curve.length_mm - exact) / exact <= 0.4e-6


def test_a_parallel_of_an_ellipse_is_no_ellipse() -> None:
    # Closed form: the parallel at 100 mm of the 600/400 ellipse is up to 1.68 mm from the 700/500 ellipse.
    outside = built("ellipse", span=1200, rise=400).parallel(-100.0)
    t = np.linspace(0.0, math.pi, 2001)
    other = np.column_stack([700.0 * np.cos(t), 500.0 * np.sin(t)])
    worst = max(abs(outside.nearest(x, y)[1]) for x, y in other[::4])
    assert worst == pytest.approx(1.68, abs=0.005 + 0.005)  # the digits given, and what the arcs may stand off


@pytest.mark.parametrize(
    ("span", "rise", "radius", "sweep_deg"), [(36, 24, 25.0, 73.7398), (1000, 866.0254, 1000.0, 60.0)]
)
def test_pointed(span: float, rise: float, radius: float, sweep_deg: float) -> None:
    # Textbook: R = (s²/4 + h²)/s: 36/24 → 25 (whose half turns 2 atan(18/24)); 1000/866.0254 → 1000, 60° each.
    curve = built("pointed", span=span, rise=rise)
    assert radii(curve) == pytest.approx([radius], abs=5e-5)
    assert math.degrees(curve.sweep_rad) == pytest.approx(sweep_deg, abs=5e-5)
    assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((0.0, rise), abs=1e-9 * span)


def test_equilateral_by_default() -> None:
    curve = built("pointed", span=1000)
    assert radii(curve) == [1000.0]
    assert curve.end.y_mm == pytest.approx(866.0254, abs=5e-5)


def test_four_centred() -> None:
    # Textbook, on the span in four: r₁ = s/4, R₂ = 0.957107 s, rise 0.423880 s; s 1200 → 300, 1148.5281, 1668.3015.
    curve = built("four-centred", span=1200)
    assert radii(curve) == pytest.approx([300.0, 1148.5281], abs=5e-5)
    assert radii(curve)[1] / 1200.0 == pytest.approx(0.957107, abs=5e-7)
    assert curve.end.y_mm / 1200.0 == pytest.approx(0.423880, abs=5e-7)
    assert curve.end.x_mm == pytest.approx(0.0, abs=1e-9)
    assert 2.0 * curve.length_mm == pytest.approx(1668.3015, abs=5e-5)
    assert math.degrees(curve.pieces[0][0] * curve.pieces[0][1]) == pytest.approx(45.0)


def test_the_general_four_centred_arch_holds_the_one_struck_in_four() -> None:
    s = 1200.0
    rise = s * (math.sqrt((1 / 4 + 1 / math.sqrt(2)) ** 2 - 1 / 16) - 1 / 2)  # from its construction
    curve = built("four-centred", span=s, rise=rise, springing_radius=s / 4, crown_radius=s / 4 + s / math.sqrt(2))
    assert 2.0 * curve.length_mm == pytest.approx(1668.3015, abs=5e-5)


def test_ogee() -> None:
    # Textbook: r₁ + r₂ = (a² + h²)/(2a): 1000/750 → 812.5.
    lower, upper = radii(built("ogee", span=1000, rise=750))
    assert lower - upper == pytest.approx(812.5, abs=1e-9)
    assert lower == -upper
    assert radii(built("ogee", span=1000, rise=750, lower_radius=500)) == pytest.approx([500.0, -312.5])


@pytest.mark.parametrize("kind", ["semicircle", "segmental", "ellipse"])
def test_an_outside_face_is_longer_by_thickness_times_sweep(kind: str) -> None:
    # Steiner: the length of a smooth curve grows by d × sweep when it is offset by d to the outside.
    curve = built(kind, **({"span": 1200} if kind == "semicircle" else {"span": 1200, "rise": 300}))
    sweep = 4.0 * math.atan(300.0 / 600.0) if kind == "segmental" else math.pi
    assert curve.parallel(-25.0).length_mm - curve.length_mm == pytest.approx(25.0 * sweep, abs=1e-8)
