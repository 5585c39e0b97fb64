"""Curves fitted to readings against the textbook's radii, sampled with seeded noise; and a circle by three points."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from formgen.curve.arch import Fit
from formgen.curve.measured.centred import FourArcs, ThreeArcs
from formgen.curve.measured.compare import off_mm, whole
from formgen.curve.measured.points import measured_points
from formgen.curve.measured.shapes import SHAPES
from formgen.geometry.arcspline import ArcSpline
from formgen.recipe.arch_kinds import Points
from tests.validation.readings import heights


def fitted(fit: Any, x: Any, y: Any, tolerance: float = 5.0) -> tuple[ArcSpline, Fit]:
    xy = [[float(a), float(b)] for a, b in zip(x, y, strict=True)]
    curve, found, _ = measured_points(Points.model_validate({"kind": "points", "fit": fit, "xy": xy}), tolerance, "mm")
    return curve, found


def radii(curve: ArcSpline) -> list[float]:
    return [1.0 / k for _, k in curve.pieces]


def test_circle_by_three_points() -> None:
    # The circle about a triangle: R = abc/(4F); base 600, height 90 over 200 from its left end.
    curve, fit = fitted("circle", [0, 200, 600], [0, 90, 0])
    sides = math.dist((0, 0), (200, 90)) * math.dist((200, 90), (600, 0)) * 600.0
    assert radii(curve) == pytest.approx([sides / (4.0 * 0.5 * 600.0 * 90.0)])
    assert fit.worst_mm == pytest.approx(0.0, abs=1e-6)


def test_ellipse_of_known_axes_with_its_radii() -> None:
    # Half axes 600 and 400: radii b²/a = 266.667 at the springing, a²/b = 900 at the crown.
    t = np.linspace(0.0, math.pi, 15)
    curve, fit = fitted("ellipse", 37.0 + 600.0 * np.cos(t), 400.0 * np.sin(t))
    assert max(radii(curve)) == pytest.approx(900.0, rel=0.02)
    assert min(radii(curve)) == pytest.approx(266.667, rel=0.02)
    row = next(row for row in fit.compared if row.what == "ellipse")
    assert row.radii_mm == pytest.approx((min(radii(curve)), max(radii(curve))), abs=0.01)


@pytest.mark.parametrize(
    ("a", "h", "small", "large"),
    # Textbook: r₁ = d(d − a + h)/(2a), R = d(d + a − h)/(2h): a 24, h 18 → 15 and 30 (here in tens of mm); 600/400.
    [(240.0, 180.0, 150.0, 300.0), (600.0, 400.0, 313.1483, 830.2776)],
)
def test_three_centred_arch_comes_back(a: float, h: float, small: float, large: float) -> None:
    x = np.linspace(-a, a, 17)
    curve, fit = fitted("three-centred", x + 51.0, heights("three-centred", x, a, h))
    assert radii(curve) == pytest.approx([small, large, small], rel=1e-6)
    assert fit.worst_mm == pytest.approx(0.0, abs=1e-5)
    assert curve.start.x_mm == pytest.approx(51.0 + a)
    assert curve.start.heading_rad == pytest.approx(math.pi / 2.0)
    noise = np.random.default_rng(11).normal(0.0, 0.5, len(x))
    curve, fit = fitted("three-centred", x + 51.0, heights("three-centred", x, a, h) + noise)
    assert radii(curve)[1] == pytest.approx(large, rel=0.05)
    assert fit.worst_mm < 4.0 * 0.5


@pytest.mark.parametrize("side", ["both", "left", "right"])
def test_four_centred_arch_comes_back_as_its_right_half(side: str) -> None:
    # Textbook, struck on the span in four: r₁ = s/4, R₂ = s/4 + s/√2, rise 0.423880 s; s 1200 → 300 and 1148.5281.
    x = np.linspace(-600.0, 600.0, 21)
    x = {"both": x, "left": x[x <= 0.0], "right": x[x >= 0.0]}[side]
    curve, fit = fitted("four-centred", x + 250.0, heights("four-centred", x, 600.0, 0.0))
    assert fit.what == "four-centred arch"
    assert radii(curve) == pytest.approx([300.0, 1148.5281], abs=5e-3)
    assert curve.start.x_mm == pytest.approx(600.0, abs=1e-3)
    assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((0.0, 0.423880 * 1200.0), abs=2e-3)
    assert 2.0 * curve.length_mm == pytest.approx(1668.3015, abs=0.01)
    assert next(row.arcs for row in fit.compared if row.what == "four-centred arch") == 4


def test_a_pointed_arch_is_a_four_centred_one_without_its_lower_arcs() -> None:
    # Pointed: R = (s²/4 + h²)/s: 36/24 → 25, in tens of mm.
    x = np.linspace(-180.0, 180.0, 13)
    curve, _ = fitted("four-centred", x, np.sqrt(250.0**2 - (np.abs(x) + 70.0) ** 2))
    assert radii(curve) == pytest.approx([250.0], rel=1e-6)
    assert curve.end.y_mm == pytest.approx(240.0, abs=1e-4)


def test_distances_are_exact_to_both_halves_of_a_pointed_arch() -> None:
    # A reading 7 mm off along the radius of either side, and one straight over the point.
    x = np.linspace(-600.0, 600.0, 21)
    y = heights("four-centred", x, 600.0, 0.0)
    curve, _ = fitted("four-centred", x, y)
    both = whole(next(s for s in SHAPES if s.name == "four-centred"), curve)
    centre, R = np.array([-300.0, -600.0]), 1148.5281
    for angle in (0.9, 1.1):
        out = centre + (R + 7.0) * np.array([math.cos(angle), math.sin(angle)])
        assert off_mm(both, np.array([out, out * [-1.0, 1.0]])) == pytest.approx([7.0, 7.0], abs=5e-3)
    assert off_mm(both, np.array([[0.0, 0.423880 * 1200.0 + 9.0]])) == pytest.approx([9.0], abs=5e-3)


@pytest.mark.parametrize(
    "arch",
    [
        ThreeArcs(30.0, 600.0, 400.0, 313.1483),
        FourArcs(30.0, 600.0, 508.656, 300.0, 1148.5281),
        FourArcs(30.0, 180.0, 240.0, 250.0, 250.0),
    ],
    ids=["three-centred", "four-centred", "pointed"],
)
def test_distances_in_closed_form_are_those_to_points_close_together(arch: ThreeArcs | FourArcs) -> None:
    ends = np.array([[30.0 + arch.a, 0.0], [30.0 - arch.a, 0.0]])
    curve = arch.along(ends)
    right = curve.points(np.linspace(0.0, curve.length_mm, 40001))
    both = np.vstack([right, np.column_stack([60.0 - right[:, 0], right[:, 1]])])
    rng = np.random.default_rng(9)
    points = both[rng.integers(0, len(right), 60)] + rng.uniform(-40.0, 40.0, (60, 2))
    points = np.vstack([points[points[:, 1] > 1.0], [[30.0, arch.h + 25.0], [33.0, arch.h + 25.0]]])
    near = [float(np.hypot(*(both - point).T).min()) for point in points]
    assert np.abs(arch.off(points)) == pytest.approx(near, abs=0.02)


@pytest.mark.parametrize("kind", ["circle", "three-centred", "ellipse", "four-centred"])
def test_the_simplest_within_3_mm_is_the_one_that_was_read(kind: str) -> None:
    rng = np.random.default_rng(5)
    x = np.linspace(-600.0, 600.0, 19)
    y = heights(kind, x, 600.0, 260.0 if kind == "circle" else 330.0) + rng.normal(0.0, 0.3, len(x))
    _, fit = fitted({"within": "1.5 mm"}, x, y)
    assert fit.taken == "within"
    assert fit.what.removesuffix(" arch") == kind
    simpler = fit.compared[: [row.what for row in fit.compared].index(fit.what)]
    assert all(row.worst_mm is None or row.worst_mm > 1.5 for row in simpler)
