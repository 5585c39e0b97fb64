"""Plates and strips against published coefficients and against finite differences.

Sources: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. (1959), table 8 (ν = 0.3; the square is
in the project's references, the other rows from memory) and ch. 1; Kirchhoff's plate equation on a grid, solved here.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import diags, eye, kron
from scipy.sparse.linalg import spsolve

from formgen.form.plate import cantilever_strip, clamped_strip, plate_stiffness_n_mm, supported_rectangle


@pytest.mark.parametrize(
    ("ratio", "deflection", "moment"),
    [
        (1.0, 0.00406, 0.0479),
        (1.2, 0.00564, 0.0627),
        (1.5, 0.00772, 0.0812),
        (2.0, 0.01013, 0.1017),
        (3.0, 0.01223, 0.1189),
        (50.0, 0.01302, 0.1250),
    ],
)
def test_table_of_supported_rectangles(ratio: float, deflection: float, moment: float) -> None:
    q, a, D = 0.08, 120.0, plate_stiffness_n_mm(2200.0, 18.0, 0.3)
    plate = supported_rectangle(q, a, ratio * a, D, 0.3)
    assert plate.deflection_mm == pytest.approx(deflection * q * a**4 / D, rel=2e-3)
    assert plate.moment_n == pytest.approx(moment * q * a**2, rel=2e-3)


def on_a_grid(a: float, b: float, q: float, D: float, nu: float, n: int) -> tuple[float, float]:
    """Deflection and moment in the middle: ∇²M = −q, ∇²w = −M/D, both nil on a supported edge; n steps across a."""
    h = a / n
    across, along = n - 1, round(b / h) - 1

    def second(count: int) -> object:
        return diags([1.0, -2.0, 1.0], [-1, 0, 1], shape=(count, count)) / h**2

    laplace = (kron(second(across), eye(along)) + kron(eye(across), second(along))).tocsc()
    total = spsolve(laplace, np.full(across * along, -q))
    w = spsolve(laplace, -total / D).reshape(across, along)
    i, j = across // 2, along // 2
    wxx = (w[i - 1, j] - 2 * w[i, j] + w[i + 1, j]) / h**2
    wyy = (w[i, j - 1] - 2 * w[i, j] + w[i, j + 1]) / h**2
    return float(w[i, j]), float(-D * (wxx + nu * wyy))


@pytest.mark.parametrize(("b", "nu"), [(90.0, 0.3), (150.0, 0.25), (240.0, 0.3)])
def test_supported_rectangle_against_finite_differences(b: float, nu: float) -> None:
    a, q, D = 90.0, 0.08, plate_stiffness_n_mm(2200.0, 9.05, nu)
    exact = supported_rectangle(q, a, b, D, nu)
    coarse, fine = on_a_grid(a, b, q, D, nu, 24), on_a_grid(a, b, q, D, nu, 48)
    for i, value in enumerate((exact.deflection_mm, exact.moment_n)):
        order = np.log2(abs(coarse[i] - value) / abs(fine[i] - value))
        assert order == pytest.approx(2.0, abs=0.1)  # the grid's own order: it converges to this very number
        assert (4 * fine[i] - coarse[i]) / 3 == pytest.approx(value, rel=2e-4)


def strip_on_a_grid(q: float, span: float, D: float, n: int, *, far_end_free: bool) -> tuple[float, float]:
    """w'''' = q/D by least energy: deflections and second differences at nodes, ends held fast by their mirror."""
    h = span / n
    free = n if far_end_free else n - 1  # node 0 is held; the last too unless it is free
    curvature = np.zeros((n + 1, n + 1))
    for i in range(1, n):
        curvature[i, i - 1 : i + 2] = [1.0, -2.0, 1.0]
    curvature[0, 1] = 2.0
    if not far_end_free:
        curvature[n, n - 1] = 2.0
    curvature /= h**2
    weight = np.full(n + 1, h)
    weight[[0, n]] = h / 2
    K = curvature[:, 1 : free + 1]
    load = q * weight[1 : free + 1]
    w = np.linalg.solve(D * K.T @ (weight[:, None] * K), load)
    return float(np.max(w)), float(abs(D * (K @ w)[0]))


@pytest.mark.parametrize(("formula", "far_end_free"), [(clamped_strip, False), (cantilever_strip, True)])
def test_strips_against_least_energy_on_a_grid(*, formula: object, far_end_free: bool) -> None:
    q, span, D = 0.08, 50.0, plate_stiffness_n_mm(2200.0, 6.0, 0.3)
    exact = formula(q, span, D)  # type: ignore[operator]
    coarse = strip_on_a_grid(q, span, D, 100, far_end_free=far_end_free)
    fine = strip_on_a_grid(q, span, D, 200, far_end_free=far_end_free)
    assert (4 * fine[0] - coarse[0]) / 3 == pytest.approx(exact.deflection_mm, rel=1e-4)
    assert (4 * fine[1] - coarse[1]) / 3 == pytest.approx(exact.moment_n, rel=1e-4)


def test_handbook_strip() -> None:
    assert clamped_strip(0.08, 40.0, 1e5).deflection_mm == pytest.approx(0.08 * 40**4 / (384 * 1e5))
    assert clamped_strip(0.08, 40.0, 1e5).stress_mpa(10.0) == pytest.approx(6 * 0.08 * 40**2 / 12 / 100)
