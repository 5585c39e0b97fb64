"""Panels as plies: published least radii row by row, and their stiffness against a sum through the thickness.

Sources: APA, least bending radii of dry Douglas-fir panels; FAA AC 43.13-1B, least bend radii of aircraft plywood.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from formgen.errors import RecipeError
from formgen.findings import Severity
from formgen.laminate.plies import Laminate
from formgen.laminate.stock import Grain, least_radius_mm, modulus_mpa, panel_modulus
from formgen.recipe import catalogue
from formgen.recipe.load import load_recipe
from formgen.recipe.start import starting_recipe

Laminated = Callable[..., Laminate]
FIR = "Douglas-fir plywood"

#: APA: thickness in, least radius ft across and along the face grain.
APA = [(1 / 4, 2, 5), (5 / 16, 2, 6), (3 / 8, 3, 8), (1 / 2, 6, 12), (5 / 8, 8, 16), (3 / 4, 12, 20)]
#: AC 43.13-1B, 10 % moisture, cold mandrels: thickness, radius across (0 to 45°) and along (90°) the face grain, in.
FAA = [
    (0.035, 1.1, 2.0), (0.070, 3.2, 5.2), (0.100, 5.2, 8.6), (0.125, 7.1, 12.0), (0.155, 10.0, 16.0),
    (0.160, 11.0, 17.0), (0.185, 13.0, 20.0), (0.190, 14.0, 21.0),
    (0.225, 17.0, 27.0), (0.250, 20.0, 31.0), (0.315, 28.0, 43.0), (0.375, 36.0, 54.0),
]  # fmt: skip


@pytest.mark.parametrize(("thickness", "across", "along"), APA)
def test_douglas_fir_panels(thickness: float, across: float, along: float) -> None:
    panel = catalogue.panels()[FIR]
    assert least_radius_mm(panel, thickness * 25.4, "across") == pytest.approx(across * 304.8)
    assert least_radius_mm(panel, thickness * 25.4, "along") == pytest.approx(along * 304.8)


@pytest.mark.parametrize(("thickness", "across", "along"), FAA)
def test_aircraft_plywood(thickness: float, across: float, along: float) -> None:
    panel = catalogue.panels()["birch aircraft plywood"]
    assert least_radius_mm(panel, thickness * 25.4, "across") == pytest.approx(across * 25.4)
    assert least_radius_mm(panel, thickness * 25.4, "along") == pytest.approx(along * 25.4)


@pytest.mark.parametrize("veneers", [3, 5, 7])
@pytest.mark.parametrize("grain", ["along", "across"])
def test_stiffness_of_crossed_veneers(veneers: int, grain: str) -> None:
    """Independent: E(y) y² summed through the thickness in thin slices."""
    E, ratio = 12000.0, 0.05
    y = (np.arange(veneers * 2000) + 0.5) / 2000 - veneers / 2
    layer = np.floor(y + veneers / 2).astype(int)
    lies_along = (layer % 2 == 0) == (grain == "along")  # the face is layer 0
    modulus = np.where(lies_along, E, E * ratio)
    expected = np.sum(modulus * y**2) / np.sum(y**2)
    found = panel_modulus(E, ratio, veneers, "along" if grain == "along" else "across")
    assert found == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("core_share", [0.05, 0.15, 1 / 3, 0.6])
@pytest.mark.parametrize("grain", ["along", "across"])
def test_stiffness_of_a_panel_with_a_thin_core(core_share: float, grain: Grain) -> None:
    """Independent: E(y) y² summed through the thickness in thin slices."""
    E, ratio = 10400.0, 0.064
    y = (np.arange(60000) + 0.5) / 60000 * 2.0 - 1.0
    modulus = np.where((np.abs(y) > core_share) == (grain == "along"), E, E * ratio)
    expected = np.sum(modulus * y**2) / np.sum(y**2)
    assert panel_modulus(E, ratio, 3, grain, core_share) == pytest.approx(expected, rel=1e-4)
    if core_share == 1 / 3:
        assert panel_modulus(E, ratio, 3, grain, core_share) == pytest.approx(panel_modulus(E, ratio, 3, grain))


@pytest.mark.parametrize("thickness", [3.0, 5.0, 8.0])
def test_bending_plywood_gives_way_across_its_grain(thickness: float) -> None:
    """About 700 MPa across the face grain (common practice, no source), less than a tenth of what it is along it."""
    panel = catalogue.panels()["bending plywood"]
    across = modulus_mpa(panel, thickness, "across")
    assert across == pytest.approx(700.0, rel=0.01)
    assert across < modulus_mpa(panel, thickness, "along") / 10.0
    assert panel.veneer_modulus_mpa == catalogue.woods()["American mahogany"].modulus_mpa
    assert least_radius_mm(panel, thickness, "across") is not None


def test_beech_breaks_where_a_maker_says_it_does() -> None:
    """A maker of compressed beech gives 1/60 as thickness over tightest radius of ordinary beech; here 2 MOR/E."""
    beech = catalogue.woods()["American beech"]
    assert 2.0 * beech.strength_mpa / beech.modulus_mpa == pytest.approx(1 / 60, rel=0.05)


@pytest.mark.parametrize(
    ("grain", "radius_ft", "past"),
    [("across", 2, False), ("along", 5, False), ("along", 4.5, True), ("across", 1.9, True)],
)
def test_the_radius_is_the_limit_and_not_the_strain(
    laminated: Laminated,
    grain: str,
    radius_ft: float,
    past: bool,  # noqa: FBT001
) -> None:
    """Three panels of 1/4 in; the innermost lies at R(1 − 1/9) less one thickness."""
    innermost = radius_ft * 304.8 * 1.001
    centre = (innermost + 6.35) / (1 - 1 / 9)
    plies = f"plies: [{{count: 3, thickness: 1/4 in, panel: {FIR}, grain: {grain}}}]"
    found = laminated(f"{{kind: quarter, radius: {centre:.6f}}}", plies)
    assert found.plies[0].radius_mm == pytest.approx(innermost, rel=1e-6)
    said = {f.code: f for f in found.findings}
    assert ("laminate.panel-radius" in said) is past
    if past:
        assert said["laminate.panel-radius"].severity is Severity.PROBLEM
        assert said["laminate.panel-radius"].limit == pytest.approx({"across": 2, "along": 5}[grain] * 304.8)
    assert not {"laminate.ply-strain", "laminate.no-strength", "laminate.structural-radius"} & set(said)
    assert found.strength is None


@pytest.mark.parametrize(
    ("panel", "thickness", "grain"), [(FIR, "7 mm", "across"), ("bending plywood", "5 mm", "along")]
)
def test_a_panel_that_is_not_listed_is_said(laminated: Laminated, panel: str, thickness: str, grain: str) -> None:
    plies = f"plies: [{{count: 3, thickness: {thickness}, panel: {panel}, grain: {grain}}}]"
    found = laminated("{kind: quarter, radius: 3000}", plies)
    (said,) = [f for f in found.findings if f.code == "laminate.panel-not-listed"]
    assert said.severity is Severity.WARNING
    assert found.plies[0].radius_limit_mm is None


def test_panels_and_veneers_in_one_stack(laminated: Laminated) -> None:
    """Composite beam by hand: 1 mm walnut of 11 600 MPa on either side of a panel across its grain.

    Panel: three veneers, E = 13 400 (1 + 0.05 · 26)/27."""
    core = 13400 * (1 + 0.05 * 26) / 27
    plies = (
        "plies: [{thickness: 1, wood: black walnut}, "
        f"{{thickness: 6.35, panel: {FIR}, grain: across}}, {{thickness: 1, wood: black walnut}}]"
    )
    found = laminated("{kind: quarter, radius: 1500}", plies)
    loose = 2 * 11600 * 1**3 + core * 6.35**3
    glued = loose + 2 * 11600 * 12 * 3.675**2
    assert found.spring_back == pytest.approx(loose / glued, rel=1e-12)
    assert found.materials.resaw == ()  # veneer is bought, panels are not sawn


@pytest.mark.parametrize(
    ("plies", "line"),
    [
        ("[{count: 3, thickness: 1/4, panel: Douglas-fir plywod, grain: across}]", "did you mean Douglas-fir plywood"),
        ("[{count: 3, thickness: 1/4, panel: bending plywood}]", "expected panel and grain together"),
        ("[{count: 3, thickness: 1/4, panel: bending plywood, grain: across, wood: utile}]", "got both; delete one"),
        ("[{count: 3, thickness: 1/4, panel: bending plywood, grain: up}]", "expected along or across"),
    ],
)
def test_mistakes_about_panels(tmp_path: Path, plies: str, line: str) -> None:
    text = re.sub("thickness: .*\n", f"plies: {plies}\n", starting_recipe("door", "in"), count=1)
    (tmp_path / "door.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(RecipeError, match=line):
        load_recipe(tmp_path / "door.yaml")
