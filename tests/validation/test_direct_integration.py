"""Arc splines against scipy's integration of x' = cos θ, y' = sin θ, θ' = κ(s)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from formgen.curve.arches import ellipse
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.recipe.arch_kinds import Ellipse

TIGHT = {"method": "DOP853", "rtol": 1e-13, "atol": 1e-12}
CHAIN = ArcSpline(
    Pose(300.0, -20.0, 1.4),
    ((200.0, 0.0), (350.0, 1 / 400.0), (90.0, -1 / 150.0), (500.0, 1 / 2000.0), (120.0, 1 / 60.0)),
)


@pytest.mark.parametrize("factor", [1.0, 1.0 / (1.0 - 0.0625)])
def test_positions_along_a_chain(factor: float) -> None:
    curve = CHAIN.scaled_curvature(factor)
    x, y, heading = curve.start.x_mm, curve.start.y_mm, curve.start.heading_rad
    for k, (length, curvature) in enumerate(curve.pieces):
        s = np.linspace(0.0, length, 5)
        run = solve_ivp(
            lambda _, v, c=curvature: (math.cos(v[2]), math.sin(v[2]), c),
            (0.0, length),
            (x, y, heading),
            t_eval=s,
            **TIGHT,
        )
        found = curve.points(float(curve.stations_mm[k]) + s)
        np.testing.assert_allclose(found, run.y[:2].T, atol=1e-6)
        x, y, heading = run.y[:, -1]


def ellipse_run(a: float, b: float, factor: float) -> np.ndarray:
    """Half an ellipse of which every curvature is multiplied, integrated over the ellipse's own parameter: its end."""

    def slope(u: float, v: np.ndarray) -> tuple[float, float, float]:
        speed = math.hypot(a * math.sin(u), b * math.cos(u))
        return speed * math.cos(v[2]), speed * math.sin(v[2]), factor * a * b / speed**2  # κ ds/du = ab/speed²

    return np.asarray(solve_ivp(slope, (0.0, math.pi), (a, 0.0, math.pi / 2.0), **TIGHT).y[:, -1])


@pytest.mark.parametrize(("span", "rise"), [(1800, 400), (1200, 400), (1000, 900)])
def test_an_ellipse_whose_curvature_is_scaled(span: float, rise: float) -> None:
    # What spring-back does to it: four equal plies keep 15/16 of the curvature, so that it is pressed to 16/15.
    factor = 16.0 / 15.0
    curve = ellipse(Ellipse.model_validate({"kind": "ellipse", "span": span, "rise": rise}))
    end = curve.scaled_curvature(factor).end
    exact = ellipse_run(span / 2.0, rise, factor)
    # No source gives a bound; the arcs stand within 0.005 mm of the ellipse and so must what becomes of them.
    assert math.dist((end.x_mm, end.y_mm), exact[:2]) <= 0.005
    assert end.heading_rad == pytest.approx(exact[2], abs=1e-9)


@pytest.mark.parametrize(("span", "rise"), [(1800, 400), (1200, 400), (1200, 1100)])
def test_an_ellipse_is_met_within_its_tolerance_everywhere(span: float, rise: float) -> None:
    a, b = span / 2.0, float(rise)
    curve = ellipse(Ellipse.model_validate({"kind": "ellipse", "span": span, "rise": rise}))
    t = np.linspace(0.0, math.pi, 801)
    assert max(abs(curve.nearest(a * math.cos(u), b * math.sin(u))[1]) for u in t) <= 0.005
    # and back: the exact foot of points of the arcs, by scipy's bounded search
    for x, y in curve.points(np.linspace(0.0, curve.length_mm, 201)):
        near = math.atan2(y / b, x / a)
        foot = minimize_scalar(
            lambda u, x=x, y=y: (a * math.cos(u) - x) ** 2 + (b * math.sin(u) - y) ** 2,
            bounds=(near - 0.05, near + 0.05),
            method="bounded",
            options={"xatol": 1e-10},
        )
        assert math.sqrt(foot.fun) <= 0.005
