"""`plies: auto`: the fewest that bend with the margin, from 1/n² and t/(2R) worked apart from the program."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from formgen.errors import LaminateError, RecipeError
from formgen.laminate.plies import Laminate

Laminated = Callable[..., Laminate]


def fewest(thickness: float, radius: float, breaking: float) -> int:
    """By trial: strain of the innermost of n equal plies, pressed at R(1 − 1/n²), within two thirds of breaking."""
    n = 3
    while True:
        t = thickness / n
        inner = radius * (1 - 1 / n**2) - thickness / 2 + t / 2
        if t <= 6.0 and inner > t and t / (2 * inner) <= breaking * 2 / 3:
            return n
        n += 1


@pytest.mark.parametrize(
    ("wood", "breaking"),
    [("white oak", 105 / 12300), ("western red cedar", 51.7 / 7700), ("American beech", 103 / 11900)],
)  # Wood Handbook, FPL-GTR-282, Table 5-3a: MOR / MOE
@pytest.mark.parametrize("radius", [300, 450, 900, 2500])
@pytest.mark.parametrize("thickness", [15, 24])
def test_the_fewest_that_bend(
    laminated: Laminated, wood: str, breaking: float, radius: float, thickness: float
) -> None:
    expected = fewest(thickness, radius, breaking)
    if thickness / expected < 1.5:
        with pytest.raises(LaminateError, match=r"laminate\.plies = auto, no ply bends"):
            laminated(f"{{kind: quarter, radius: {radius}}}", f"wood: {wood}, thickness: {thickness}, plies: auto")
        return
    found = laminated(f"{{kind: quarter, radius: {radius}}}", f"wood: {wood}, thickness: {thickness}, plies: auto")
    assert len(found.plies) == expected
    assert found.spring_back == pytest.approx(1 / expected**2)
    assert max(p.strain for p in found.plies) <= breaking * 2 / 3
    (why,) = [f for f in found.findings if f.code == "laminate.plies-chosen"]
    assert f"Chosen: {expected} plies of {thickness / expected:.2f} mm" in why.message
    assert f"Runner-up: {expected + 1} plies" in why.message or "thinner than can be had" in why.message
    assert not [f for f in found.findings if f.code == "laminate.ply-strain"]


def test_at_least_three_plies_however_flat(laminated: Laminated) -> None:
    """Fewer than three plies spring badly: common practice, no source."""
    flat = "{kind: segmental, radius: 9000, sweep: 20 deg}"
    found = laminated(flat, "wood: American beech, thickness: 9, plies: auto")
    assert [p.thickness_mm for p in found.plies] == [3.0, 3.0, 3.0]
    assert "Runner-up: 4 plies" in found.findings[0].message


def test_only_thicknesses_of_the_shop(laminated: Laminated) -> None:
    """19.2 mm are 6 × 3.2 or 12 × 1.6; R 500 in cedar wants plies under 3.2 mm, R 900 does not."""
    shop = "ply_thicknesses: [1.6, 3.2]"
    ask = "wood: western red cedar, thickness: 19.2, plies: auto"
    for radius, count in ((500, 6), (300, 12)):
        found = laminated(f"{{kind: quarter, radius: {radius}}}", ask, shop=shop)
        inner = radius * (1 - 1 / 36) - 9.6 + 1.6
        assert (3.2 / 2 / inner <= 51.7 / 7700 * 2 / 3) is (count == 6)
        assert len(found.plies) == count


def test_a_thickness_that_nothing_goes_into_is_refused_with_one_that_does(laminated: Laminated) -> None:
    with pytest.raises(LaminateError, match=r"for example 6 × 3\.20 mm = 19\.20 mm; change laminate\.thickness"):
        laminated(
            "{kind: quarter, radius: 900}",
            "wood: American beech, thickness: 20, plies: auto",
            shop="ply_thicknesses: [3.2]",
        )
    with pytest.raises(LaminateError, match=r"expected at least 4\.5 mm for three sawn plies"):
        laminated("{kind: quarter, radius: 900}", "wood: American beech, thickness: 4, plies: auto")


def test_the_least_number_of_plies(laminated: Laminated) -> None:
    """20 mm of beech round R 900 bends in four plies of 5 mm; thirteen of 1.54 mm are the most that a saw makes."""
    ask = "wood: American beech, thickness: 20, plies: auto"
    assert len(laminated("{kind: quarter, radius: 900}", ask).plies) == 4
    more = laminated("{kind: quarter, radius: 900}", f"{ask}, least_plies: 7")
    assert len(more.plies) == 7
    assert "no fewer than laminate.least_plies. 6 plies of 3.33 mm" in more.findings[0].message
    with pytest.raises(
        LaminateError, match=r"laminate\.least_plies = 14, expected at most 13: more plies in 20\.00 mm"
    ):
        laminated("{kind: quarter, radius: 900}", f"{ask}, least_plies: 14")


def test_the_doubt_about_spring_back_is_said_in_mm(laminated: Laminated) -> None:
    """Semicircle R 600 of 4 plies: s = 1/16; off by a fifth, curvature is (1 − 1.2/16)/(1 − 1/16) of the target's,
    and the chord of the same length 2/κ sin(κL/2)."""
    ask = "wood: American beech, thickness: 20, plies: auto, spread_g_per_m2: 200"
    found = laminated("{kind: semicircle, span: 1200}", ask)
    n = len(found.plies)
    kappa = (1 - 1.2 / n**2) / (1 - 1 / n**2) / 600
    off = abs(2 / kappa * math.sin(kappa * math.pi * 600 / 2) - 1200)
    assert f"ends {off:.2f} mm off if that is a fifth out" in found.findings[0].message


@pytest.mark.parametrize(
    ("laminate", "line"),
    [
        (
            "wood: American beech, plies: auto",
            "laminate.thickness is missing, expected the part's thickness beside plies: auto",
        ),
        ("modulus: 9 GPa, thickness: 20, plies: auto", "laminate.wood is missing, expected a wood, whose strength"),
        ("wood: American beech, thickness: 20, plies: automatic", "expected a whole number, auto or a list"),
        (
            "wood: American beech, thickness: 20, plies: 6, adhesive: urea formaldehide",
            "expected the name of an adhesive; did you mean",
        ),
        ("wood: American beech, thickness: 20, plies: 6, glue_line_stiffness: 0", "expected more than 0"),
        ("wood: American beech, thickness: 20, plies: 6, relaxation: 3", "expected 2.0 or less"),
    ],
)
def test_mistakes_in_the_recipe(laminated: Laminated, laminate: str, line: str) -> None:
    with pytest.raises(RecipeError, match=line):
        laminated("{kind: quarter, radius: 900}", laminate)
