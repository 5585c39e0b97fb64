"""End tails: the closed form against the numbers of the trade's sum, and against plies pressed on an obstacle.

Sources: ℓ = √(2EI′/(qR)), computed; contact by least energy with scipy's bounded least squares, which knows nothing
of ℓ.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from formgen.findings import Severity
from formgen.laminate.plies import Laminate
from formgen.laminate.tails import gap_mm, tail_length_mm

Laminated = Callable[..., Laminate]

SIX = 6 * 13000.0 * 3.0**3 / 12  # N·mm² for each mm


def contact(
    pieces_from_tip: list[tuple[float, float]], stiffness: float, q: float, n: int
) -> tuple[np.ndarray, np.ndarray]:
    """Distances from the tip and gaps, tip last: plies on a rigid form, clamped to it at the far end.

    With v ≥ 0 the gap and g the form's own fall below its tangent, ½EI(v″ + g″)² + q v is least. The second
    difference is triangular, so that the linear term goes into the right side and bounded least squares solves it.
    """
    whole = sum(length for length, _ in pieces_from_tip)
    h = whole / n
    x = np.arange(1, n) * h  # from the clamp: curvature at inner nodes
    from_tip = whole - x
    edges = np.cumsum([0.0, *(length for length, _ in pieces_from_tip)])
    kappa = np.array(
        [
            pieces_from_tip[min(int(np.searchsorted(edges, d, "right")) - 1, len(pieces_from_tip) - 1)][1]
            for d in from_tip
        ]
    )
    A = np.zeros((n - 1, n - 1))  # v at nodes 2…n; v₀ = v₁ = 0
    for i in range(n - 1):
        for node, weight in ((i, 1.0), (i + 1, -2.0), (i + 2, 1.0)):
            if node >= 2:
                A[i, node - 2] = weight / h**2
    scale = math.sqrt(stiffness * h)
    load = np.full(n - 1, q * h)
    load[-1] /= 2.0
    b = scale * kappa - np.linalg.solve(scale * A.T, load)
    v = lsq_linear(scale * A, b, bounds=(0.0, np.inf), method="bvls", tol=1e-14, max_iter=10 * n).x
    return whole - np.arange(2, n + 1) * h, v


def test_the_reference_tail() -> None:
    """6 × 3 mm, 13 GPa, R 500, 85 kPa: 90.9 mm, tip gap 4.13 mm (computed)."""
    pieces = [(400.0, 1 / 500)]
    tail = tail_length_mm(pieces, SIX, 0.085)
    assert pytest.approx(6 * 13000 * 27 / 12) == SIX
    assert tail == pytest.approx(90.9, abs=0.05)
    assert gap_mm(pieces, tail, 0.0, SIX, 0.085) == pytest.approx(4.13, abs=0.005)
    assert gap_mm(pieces, tail, tail, SIX, 0.085) == 0.0


def test_the_tip_stands_off_by_a_quarter_of_the_versine() -> None:
    """Closed form: ℓ²/(4R), whatever the plies and the pressure."""
    for radius, q in ((300.0, 0.085), (1500.0, 0.05)):
        pieces = [(2000.0, -1 / radius)]
        tail = tail_length_mm(pieces, SIX, q)
        assert gap_mm(pieces, tail, 0.0, SIX, q) == pytest.approx(tail**2 / (4 * radius), rel=1e-9)


@pytest.mark.parametrize("n", [22, 44, 110, 220])
def test_gap_against_plies_on_an_obstacle(n: int) -> None:
    """Least energy with steps h nears the closed form all along the tail with h², and the same length lifts off."""
    pieces = [(220.0, 1 / 500)]
    h = 220.0 / n
    tail = tail_length_mm(pieces, SIX, 0.085)
    from_tip, v = contact(pieces, SIX, 0.085, n)
    closed = np.array([gap_mm(pieces, tail, float(d), SIX, 0.085) for d in from_tip])
    assert float(np.max(np.abs(v - closed))) < 5e-4 * h**2
    assert float(np.sum(v > 1e-9)) * h == pytest.approx(tail, abs=h)


def test_a_short_leg_does_not_hold_them_and_a_long_one_does() -> None:
    """A 40 mm leg leaves the arc's own tail; at a leg of ℓ or more least energy leaves no gap at the tip."""
    short = [(40.0, 0.0), (220.0, 1 / 500)]
    tail = tail_length_mm(short, SIX, 0.085)
    assert tail == pytest.approx(math.sqrt(2 * SIX / (0.085 * 500)))
    _, v = contact(short, SIX, 0.085, 260)
    assert gap_mm(short, tail, 0.0, SIX, 0.085) == pytest.approx(v[-1], rel=0.02)
    long = [(150.0, 0.0), (200.0, 1 / 500)]
    assert tail_length_mm(long, SIX, 0.085) == 0.0
    _, v = contact(long, SIX, 0.085, 350)
    assert v[-1] == pytest.approx(0.0, abs=1e-9)


def test_both_ends_of_a_part(laminated: Laminated) -> None:
    """Pressed at R 500 by 85 kPa through six plies of 3 mm: the reference tail at the free end, none below the leg."""
    arch = f"{{kind: segmental, radius: {500 / (1 - 1 / 36)}, sweep: 90 deg}}"
    found = laminated(
        arch,
        "modulus: 13 GPa, plies: [{count: 6, thickness: 3}]",
        part="legs: {right: 200, run: tangent}, end_trim: 30",
        way="form-bagged",
    )
    assert found.tails is not None
    right, left = found.tails
    assert (right.end, right.length_mm, right.gap_at_tip_mm) == ("right", 0.0, 0.0)
    assert left.length_mm == pytest.approx(90.9, abs=0.05)
    assert left.gap_at_tip_mm == pytest.approx(4.13, abs=0.005)
    # from the foot of the tail u = 60.9 mm: κ(u³/(3ℓ) − u⁴/(12ℓ²)), by hand
    u = left.length_mm - 30
    by_hand = (u**3 / (3 * left.length_mm) - u**4 / (12 * left.length_mm**2)) / 500
    assert left.gap_at_end_mm == pytest.approx(by_hand, rel=1e-9)
    (said,) = [f for f in found.findings if f.code == "laminate.end-tail"]
    assert said.severity is Severity.NOTE
    assert (said.value, said.limit) == (left.length_mm, 30.0)
    assert "left end" in said.message


def test_trim_as_long_as_the_tail_says_nothing(laminated: Laminated) -> None:
    arch = f"{{kind: segmental, radius: {500 / (1 - 1 / 36)}, sweep: 90 deg}}"
    for trim, codes in ((92, 0), (90, 1)):
        found = laminated(
            arch, "modulus: 13 GPa, plies: [{count: 6, thickness: 3}]", part=f"end_trim: {trim}", way="form-bagged"
        )
        assert len([f for f in found.findings if f.code == "laminate.end-tail"]) == codes


def test_less_vacuum_a_longer_tail(laminated: Laminated) -> None:
    ask = "wood: American beech, plies: [{count: 6, thickness: 3}]"
    strong, weak = (
        laminated("{kind: quarter, radius: 600}", ask, vacuum=vacuum, way="form-bagged").tails
        for vacuum in ("85 kPa", "42.5 kPa")
    )
    assert strong is not None
    assert weak is not None
    assert weak[1].length_mm / strong[1].length_mm == pytest.approx(math.sqrt(2))  # ℓ goes with 1/√q
