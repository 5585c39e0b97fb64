"""Unit factors, and texts with units, against outside numbers.

Sources: NIST SP 811 (2008) Appendix B.8 and B.9 (inch of mercury, conventional: 3.386389 kPa; psi: 6.894757 kPa;
psf: 47.88026 Pa), and the unit tables of the general-purpose library `pint`.
"""

from __future__ import annotations

import math

import pint
import pytest
from pydantic import TypeAdapter

from formgen.errors import LengthError
from formgen.recipe.quantities import AltitudeMm, AngleRad, PressureKpa, StressMpa
from formgen.units import G_PER_M2_PER_LB_PER_1000_FT2, LENGTH_MM, N_PER_LBF, PRESSURE_KPA, STRESS_MPA

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()

PRESSURE: TypeAdapter[float] = TypeAdapter(PressureKpa)
STRESS: TypeAdapter[float] = TypeAdapter(StressMpa)
ANGLE: TypeAdapter[float] = TypeAdapter(AngleRad)
ALTITUDE: TypeAdapter[float] = TypeAdapter(AltitudeMm)


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft"])
def test_lengths_agree_with_pint(unit: str) -> None:
    name = {"in": "inch", "ft": "foot"}.get(unit, unit)
    assert float(LENGTH_MM[unit]) == pytest.approx(PINT.Quantity(1, name).to("mm").magnitude, rel=1e-15)


@pytest.mark.parametrize("unit", ["kPa", "Pa", "mbar", "bar", "psi", "psf"])
def test_pressures_agree_with_pint(unit: str) -> None:
    name = {"psf": "lbf/foot**2"}.get(unit, unit)
    assert float(PRESSURE_KPA[unit]) == pytest.approx(PINT.Quantity(1, name).to("kPa").magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "name"), [("MPa", "MPa"), ("GPa", "GPa"), ("N/mm²", "N/mm**2"), ("psi", "psi"), ("Mpsi", "1e6 psi")]
)
def test_stresses_agree_with_pint(unit: str, name: str) -> None:
    assert float(STRESS_MPA[unit]) == pytest.approx(PINT.Quantity(name).to("MPa").magnitude, rel=1e-12)


def test_nist_values() -> None:
    assert float(PRESSURE_KPA["inHg"]) == 3.386389
    assert float(PRESSURE_KPA["psi"]) == pytest.approx(6.894757, abs=5e-7)
    assert float(PRESSURE_KPA["psf"]) == pytest.approx(0.04788026, abs=5e-9)
    assert float(N_PER_LBF) == 4.4482216152605  # exact by definition, NIST SP 811 B.8


def test_glue_spread_per_thousand_square_feet() -> None:
    # 1 lb/1000 ft² = 4.8824 g/m²; the arithmetic is 453.59237 g over 92.90304 m²
    assert float(G_PER_M2_PER_LB_PER_1000_FT2) == pytest.approx(453.59237 / 92.90304, rel=1e-14)
    assert float(G_PER_M2_PER_LB_PER_1000_FT2) == pytest.approx(4.8824, abs=5e-5)


@pytest.mark.parametrize(
    ("text", "kpa"),
    [
        ("25 inHg", 25 * 3.386389),
        ("25inHg", 25 * 3.386389),
        ("25 in Hg", 25 * 3.386389),
        ('25 "Hg', 25 * 3.386389),
        ("80 kPa", 80.0),
        ("800 mbar", 80.0),
        ("0.8 bar", 80.0),
        ("12.28 psi", 12.28 * 6.894757293168),
        ("1768 psf", 1768 * 6.894757293168 / 144),
    ],
)
def test_gauge_vacuum(text: str, kpa: float) -> None:
    assert PRESSURE.validate_python(text) == pytest.approx(kpa, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "mpa"),
    [("12.3 GPa", 12300.0), ("12300 MPa", 12300.0), ("12300 N/mm2", 12300.0), ("1.78 million psi", 12272.668),
     ("1.78 Mpsi", 12272.668), ("1000 psi", 6.894757293168)],
)  # fmt: skip
def test_modulus(text: str, mpa: float) -> None:
    assert STRESS.validate_python(text) == pytest.approx(mpa, rel=1e-7)


@pytest.mark.parametrize(
    ("text", "rad"), [("180 deg", math.pi), ("90°", math.pi / 2), ("1.2 rad", 1.2), ("360 deg", 2 * math.pi)]
)
def test_angle(text: str, rad: float) -> None:
    assert ANGLE.validate_python(text) == pytest.approx(rad, rel=1e-15)


@pytest.mark.parametrize(("text", "mm"), [("1600 m", 1.6e6), ("5280 ft", 5280 * 304.8), (0, 0.0)])
def test_altitude(text: object, mm: float) -> None:
    assert ALTITUDE.validate_python(text) == pytest.approx(mm, rel=1e-15)


NO_VACUUM = [
    25, 25.0, "25", "25 inches", "-25 inHg", "0 kPa", "300 inHg", "nan kPa", "1e3 kPa", True, None, "9" * 41 + " Pa",
]  # fmt: skip


@pytest.mark.parametrize("value", NO_VACUUM)
def test_a_vacuum_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="expected a gauge vacuum"):
        PRESSURE.validate_python(value)


@pytest.mark.parametrize("value", [12, "12", "12 kg", "0 MPa", "inf MPa", "12 mpsi mpsi"])
def test_a_modulus_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="expected a modulus"):
        STRESS.validate_python(value)


@pytest.mark.parametrize("value", [84, "84", "0 deg", "361 deg", "-84 deg", "84 grad"])
def test_an_angle_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="expected an angle"):
        ANGLE.validate_python(value)


@pytest.mark.parametrize("value", [1600, "10 000 m", "9001 m", float("nan")])
def test_an_altitude_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="expected a"):
        ALTITUDE.validate_python(value)


def test_a_length_error_is_a_value_error_that_survives_pickling() -> None:
    import pickle

    again = pickle.loads(pickle.dumps(LengthError("expected this; do that", '"x"')))
    assert str(again) == '"x", expected this; do that'
