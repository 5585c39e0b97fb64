"""What an inch shop reads beside its inches, against pint (a general-purpose unit library)."""

from __future__ import annotations

import re
from collections.abc import Callable

import pint
import pytest

from formgen import amounts
from formgen.form.model import Form
from formgen.reports.rows.press_day import burden_rows, press_rows

UNITS = pint.UnitRegistry()
UNITS.define("ksqft = 1000 * ft**2")
PINT_NAMES = {"inHg": "inHg", "psi": "psi", "lb": "lb", "lbf": "lbf", "°F": "degF", "ft²": "ft**2", "ft³": "ft**3",
              "ft": "ft", "lb per 1000 ft²": "lb / ksqft", "inHg/min": "inHg/min"}  # fmt: skip


@pytest.mark.parametrize(
    ("write", "value", "unit", "half_a_digit"),
    [
        (amounts.pressure_text, 81.3, "kPa", 0.05),
        (amounts.stress_text, 12.0, "MPa", 0.5),
        (amounts.temperature_text, 16.0, "degC", 0.5),
        (amounts.force_text, 25.3, "kN", 0.5),
        (amounts.newton_text, 253.0, "N", 0.5),
        (amounts.weight_text, 30.4, "kg", 0.5),
        (amounts.glue_text, 0.42, "kg", 0.005),
        (amounts.spread_text, 200.0, "g/m**2", 0.5),
        (amounts.area_text, 2.31, "m**2", 0.05),
        (amounts.air_text, 7.6, "litre", 0.005),
        (amounts.altitude_text, 310e3, "mm", 0.5),
    ],
)
def test_inch_shop_reads_what_pint_reads(
    write: Callable[..., str], value: float, unit: str, half_a_digit: float
) -> None:
    number, its_unit = write(value, "in").split(" ", 1)
    there = UNITS.Quantity(value, unit).to(PINT_NAMES[its_unit]).magnitude
    assert float(number) == pytest.approx(there, abs=half_a_digit * 1.001)
    assert its_unit not in write(value, "mm")


@pytest.mark.parametrize(
    ("value", "unit"), [(54.32, "kPa"), (3.386389, "kPa/min"), (0.7, "MPa"), (23.0, "kg"), (189.0, "N"), (21.0, "°C")]
)
def test_amounts_of_findings(value: float, unit: str) -> None:
    number, its_unit = amounts.amount_text(value, unit, "in").split(" ", 1)
    there = UNITS.Quantity(value, {"°C": "degC"}.get(unit, unit)).to(PINT_NAMES[its_unit]).magnitude
    assert float(number) == pytest.approx(there, rel=1e-3)
    assert amounts.amount_text(value, unit, "mm") == f"{value:.4g} {unit}"


def test_units_without_another_are_left_alone() -> None:
    assert amounts.amount_text(0.0125, "", "in") == "0.0125"
    assert amounts.amount_text(185.1, "deg", "in") == "185.1 deg"


def test_no_metric_unit_stands_in_an_inch_shops_rows(made: Callable[[str], Form]) -> None:
    """Cautions quote limits as their sources give them, dowels are named as bought."""
    form = made("porch-door-jamb")
    rows = [(what, text) for what, text in (*press_rows(form.pressing), *burden_rows(form))]
    cautions = next(i for i, (what, _) in enumerate(rows) if what == "take care")
    for what, text in rows[:cautions]:
        assert not re.search(r"\d ?(kPa|MPa|kN|kg|g/m²|°C|m²|mm|l of)\b", text), (what, text)


def test_forces_of_hands_and_clamps() -> None:
    """1 lbf is 4.4482216152605 N (NIST SP 811)."""
    assert [amounts.newton_text(n, "in") for n in (4.4482216152605, 444.82216152605)] == ["1 lbf", "100 lbf"]
    assert [amounts.newton_text(n, "mm") for n in (171.4, 999.4, 2040.0)] == ["171 N", "999 N", "2.0 kN"]


def test_a_range_of_forces_says_its_unit_once() -> None:
    assert amounts.newton_range_text(171.0, 402.0, "mm") == "171 to 402 N"
    assert amounts.newton_range_text(800.0, 1500.0, "mm") == "800 N to 1.5 kN"
    assert amounts.newton_range_text(1100.0, 2100.0, "mm") == "1.1 to 2.1 kN"
    assert amounts.newton_range_text(444.8, 889.6, "in") == "100 to 200 lbf"
    assert amounts.newton_range_text(444.8, 445.0, "in") == "100 lbf"


def test_a_small_reading_keeps_two_digits() -> None:
    assert [amounts.small_reading(kpa, "in") for kpa in (0.474, 3.386389)] == ["0.14 inHg", "1 inHg"]
    assert amounts.small_reading(0.0338, "mm") == "0.034 kPa"


def test_amounts_are_tied() -> None:
    assert amounts.tied("about 18 31/64 in, 5 %, in 2 parts") == "about 18\u00a031/64\u00a0in, 5\u00a0%, in 2 parts"
    assert amounts.tied("12 N, 1 mg/m³; 12 Nails") == "12\u00a0N, 1\u00a0mg/m³; 12 Nails"
