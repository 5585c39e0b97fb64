"""Pressure through a caul: force over area by hand, and what must hold whatever the numbers.

That load spreads at 45° through a stiff caul is common practice, no source (the project's press page, section 2).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.press.caul import caul_for_mm, clamp_pressure_kpa, clamps_across, spacing_for_mm, spread_mm

SIZES = {
    "force_n": st.floats(200.0, 10000.0),
    "depth_mm": st.floats(30.0, 400.0),
    "jaw_mm": st.floats(20.0, 100.0),
    "caul_mm": st.floats(0.0, 80.0),
}


def test_by_hand() -> None:
    """A jaw of 45 over a caul of 36 presses 45 + 2 × 36 = 117 mm; 2 kN on 100 × 100 mm are 0.2 MPa."""
    assert spread_mm(45.0, 36.0) == 117.0
    assert clamps_across(100.0, 45.0, 36.0) == 1
    assert clamp_pressure_kpa(2000.0, 100.0, 100.0, 45.0, 36.0) == pytest.approx(200.0)
    assert clamps_across(130.0, 45.0, 36.0) == 2
    assert clamp_pressure_kpa(2000.0, 100.0, 130.0, 45.0, 36.0) == pytest.approx(2 * 2000 / 13000 * 1000)
    assert caul_for_mm(200.0, 45.0) == pytest.approx(77.5)


def test_further_apart_than_the_spread_the_pressure_under_a_clamp_stays() -> None:
    at = [clamp_pressure_kpa(2000.0, spacing, 100.0, 45.0, 36.0) for spacing in (117.0, 150.0, 300.0)]
    assert at == [pytest.approx(2000 / 11700 * 1000)] * 3


@given(**SIZES, spacing_mm=st.floats(10.0, 600.0))
def test_clamps_press_no_more_than_they_have(
    force_n: float, depth_mm: float, jaw_mm: float, caul_mm: float, spacing_mm: float
) -> None:
    """Equilibrium: pressure × what is pressed is the force of the clamps there."""
    kpa = clamp_pressure_kpa(force_n, spacing_mm, depth_mm, jaw_mm, caul_mm)
    pressed = min(spacing_mm, spread_mm(jaw_mm, caul_mm)) * depth_mm
    assert kpa / 1000.0 * pressed == pytest.approx(force_n * clamps_across(depth_mm, jaw_mm, caul_mm))
    assert clamps_across(depth_mm, jaw_mm, caul_mm) * spread_mm(jaw_mm, caul_mm) >= depth_mm * (1 - 1e-8)
    assert clamp_pressure_kpa(force_n, spacing_mm / 2, depth_mm, jaw_mm, caul_mm) >= kpa


@given(**SIZES, kpa=st.floats(20.0, 2000.0))
def test_the_spacing_for_a_pressure_gives_it(
    force_n: float, depth_mm: float, jaw_mm: float, caul_mm: float, kpa: float
) -> None:
    spacing = spacing_for_mm(kpa, force_n, depth_mm, jaw_mm, caul_mm)
    assert spacing <= spread_mm(jaw_mm, caul_mm)
    there = clamp_pressure_kpa(force_n, spacing, depth_mm, jaw_mm, caul_mm)
    if spacing < spread_mm(jaw_mm, caul_mm):
        assert there == pytest.approx(kpa)
    else:
        assert there >= kpa * (1 - 1e-9)


@given(jaw_mm=st.floats(20.0, 100.0), more_mm=st.floats(0.0, 300.0))
def test_the_caul_for_a_spacing_spreads_that_far(jaw_mm: float, more_mm: float) -> None:
    assert spread_mm(jaw_mm, caul_for_mm(jaw_mm + more_mm, jaw_mm)) == pytest.approx(jaw_mm + more_mm)
