"""The single numbers that press and form calculate with: published ones as published, each with its source and mark.

Sources: US Army TM 1-1500-204-23 (vacuum bag acceptance); NIOSH Publication 94-110 (load constant); EN 622-5 and Wood
Handbook FPL-GTR-282, Tables 5-1 and 12-1 (boards, ratios across the grain); Wood Handbook and EN 1995-1-1 values marked
`from memory` in the data are checked for the arithmetic that their source names, not against a page that was opened.
"""

from __future__ import annotations

import pytest

from formgen.press.glue import slower
from formgen.recipe.catalogue import adhesives, cautions
from formgen.recipe.figures import board, boards, figures
from formgen.units import KG_PER_LB

INHG_KPA = 3.386389  # NIST SP 811, App. B.8
PSI_KPA = 6.894757293168


def value(name: str) -> float:
    return figures()[name].value


def test_a_bag_is_accepted_at_twenty_inches_and_one_in_a_minute() -> None:
    assert value("bag_vacuum_least_kpa") == pytest.approx(20 * INHG_KPA, rel=1e-6)
    assert value("bag_loss_most_kpa_per_min") == pytest.approx(INHG_KPA, rel=1e-6)
    for name in ("bag_vacuum_least_kpa", "bag_loss_most_kpa_per_min"):
        assert "TM 1-1500-204-23" in figures()[name].source
        assert figures()[name].how_sure == "published"


def test_one_person_lifts_51_pounds() -> None:
    assert value("lifting_limit_kg") == 23.0
    assert 51 * float(KG_PER_LB) == pytest.approx(value("lifting_limit_kg"), rel=0.01)
    said = cautions()["lifting"]
    assert "23 kg is the most" in said.said("mm")
    assert "51 lb is the most" in said.said("in")


def test_shop_talk_of_1800_pounds_on_a_square_foot_is_what_a_pump_holds_in_practice() -> None:
    """About 25.5 inHg (common practice), and so within the practical part of the air at the sea."""
    inhg = 1800 / 144 * PSI_KPA / INHG_KPA
    assert inhg == pytest.approx(25.5, abs=0.05)
    assert inhg < value("practical_vacuum_share") * 29.92


@pytest.mark.parametrize(
    ("mm", "strength", "modulus", "bond"), [(12.5, 20, 2200, 0.55), (18, 20, 2200, 0.55), (25, 18, 2100, 0.55)]
)
def test_mdf_of_the_standard(mm: float, strength: float, modulus: float, bond: float) -> None:
    """EN 622-5, dry MDF, over 12 to 19 and over 19 to 30 mm, N/mm²."""
    known = board(mm)
    assert (known.strength_mpa, known.modulus_mpa, known.internal_bond_mpa) == (strength, modulus, bond)
    assert known.how_sure == "published"


@pytest.mark.parametrize("mm", [45.1, 60, 200])
def test_mdf_thicker_than_any_other_of_the_standard(mm: float) -> None:
    """EN 622-5, dry MDF, over 45 mm, N/mm² (from memory)."""
    known = board(mm)
    assert (known.strength_mpa, known.modulus_mpa, known.how_sure) == (15, 1700, "from memory")


def test_least_values_of_the_standard_are_below_those_of_board_as_sold() -> None:
    """Wood Handbook, Table 12-1: MOE 3.59 GPa, MOR 35.85 MPa."""
    for known in boards():
        assert known.modulus_mpa < 3590
        assert known.strength_mpa < 35.85
    assert [b.up_to_mm for b in boards()[:-1]] == [b.over_mm for b in boards()[1:]]  # no thickness falls between


def test_share_of_the_strength_for_hours() -> None:
    """EN 1995-1-1, Tables 2.3 and 3.1 (from memory): k_mod 0.8 over γ_M 1.3, rounded down."""
    assert 0.95 * 0.8 / 1.3 < value("mdf_strength_share") <= 0.8 / 1.3


def test_modulus_across_the_grain_lies_in_the_handbooks_range() -> None:
    """Wood Handbook, Table 5-1 (from memory): ET/EL of 0.03 to 0.07 for most woods."""
    assert 0.03 <= value("cross_grain_modulus_share") <= 0.07


def test_the_rule_for_times_is_the_slower_end_of_vant_hoffs() -> None:
    """Rates grow two- to fourfold in ten degrees (from memory)."""
    assert 2.0 <= slower(11.0, value("cure_reference_celsius"), value("cure_doubling_celsius")) <= 4.0


def test_adhesives_as_handbooks_have_them() -> None:
    """Clamp pressures 0.7 to 1.7 MPa; urea sets within 24 h at 21 °C, about 4 h for a fast one; PVA from 10 °C."""
    urea, pva = adhesives()["urea formaldehyde"], adhesives()["polyvinyl acetate"]
    assert urea.pressure_mpa == pva.pressure_mpa == (0.7, 1.7)
    assert (urea.clamp_min, urea.least_temperature_c) == ((4 * 60, 24 * 60), 21)
    assert pva.least_temperature_c == 10


@pytest.mark.parametrize("name", sorted(figures()))
def test_every_figure_says_where_it_is_from_and_how_sure_it_is(name: str) -> None:
    known = figures()[name]
    assert known.what
    assert 0.0 < known.value <= known.most
    assert known.how_sure in {"published", "common practice", "measure yours", "from memory", "by definition"}
    if known.how_sure in {"common practice", "measure yours"}:
        assert known.source.startswith("common practice, no source")
    else:
        assert known.source


def test_the_load_in_the_caution_is_pressure_times_area() -> None:
    said = cautions()["air-load"]
    assert "0.72 m² at 85 kPa carries 61 kN" in said.said("mm")
    assert "7.8 ft² at 25 inHg carries 13 700 lbf" in said.said("in")
    area_m2, kpa = 0.72, 25 * INHG_KPA
    assert area_m2 / 0.3048**2 == pytest.approx(7.8, abs=0.06)
    assert kpa == pytest.approx(85, abs=0.5)
    assert area_m2 * kpa == pytest.approx(61, abs=0.1)
    assert area_m2 * kpa * 1000 / 4.4482216 == pytest.approx(13_700, abs=50)  # N to the lbf, NIST SP 811
