"""The catalogue: every entry has a source and a mark, and published values are those of their source."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import TypeAdapter

from formgen.errors import RecipeError
from formgen.recipe import catalogue
from formgen.recipe.data_file import named_entries
from formgen.recipe.entries import Adhesive, ArchKind, Between, Caution, Panel, StockSheet, Veneer, Wood
from formgen.recipe.figures import Board, Figure, boards, figures
from formgen.recipe.mistakes import models_at
from formgen.recipe.schema import RecipeFile
from formgen.recipe.shop import Shop, ShopWood

#: Wood Handbook, FPL-GTR-282, Table 5-3a, at 12 % moisture: specific gravity, MOE (GPa), MOR (kPa), as printed there.
WOOD_HANDBOOK = {
    "white ash": (0.60, 12.0, 103000),
    "red alder": (0.41, 9.5, 68000),
    "basswood": (0.37, 10.1, 60000),
    "American beech": (0.64, 11.9, 103000),
    "yellow birch": (0.62, 13.9, 114000),
    "black cherry": (0.50, 10.3, 85000),
    "American elm": (0.50, 9.2, 81000),
    "shagbark hickory": (0.72, 14.9, 139000),
    "sugar maple": (0.63, 12.6, 109000),
    "red maple": (0.54, 11.3, 92000),
    "northern red oak": (0.63, 12.5, 99000),
    "white oak": (0.68, 12.3, 105000),
    "American sycamore": (0.49, 9.8, 69000),
    "black walnut": (0.55, 11.6, 101000),
    "yellow-poplar": (0.42, 10.9, 70000),
    "baldcypress": (0.46, 9.9, 73000),
    "western red cedar": (0.32, 7.7, 51700),
    "coast Douglas-fir": (0.48, 13.4, 85000),
    "western hemlock": (0.45, 11.3, 78000),
    "eastern white pine": (0.35, 8.5, 59000),
    "ponderosa pine": (0.40, 8.9, 65000),
    "loblolly pine": (0.51, 12.3, 88000),
    "Sitka spruce": (0.40, 10.8, 70000),
    "sweetgum": (0.52, 11.3, 86000),
}


@pytest.mark.parametrize("name", WOOD_HANDBOOK)
def test_woods_are_those_of_the_handbook(name: str) -> None:
    gravity, modulus_gpa, strength_kpa = WOOD_HANDBOOK[name]
    wood = catalogue.wood(name, Shop())
    assert wood.specific_gravity == gravity
    assert wood.modulus_mpa == pytest.approx(1000 * modulus_gpa)
    assert wood.strength_mpa == pytest.approx(strength_kpa / 1000)
    assert wood.source == "Wood Handbook, FPL-GTR-282, Table 5-3a"


def test_american_mahogany_is_from_its_own_table() -> None:
    wood = catalogue.woods()["American mahogany"]  # Wood Handbook, Table 5-5 (1974 extract): 10.4 GPa, 80.0 MPa
    assert (wood.modulus_mpa, wood.strength_mpa, wood.specific_gravity) == (10400, 80.0, None)
    assert "5-5" in wood.source


#: From outside America, at 12 %: density (kg/m³), MOE (MPa), MOR (MPa) as printed, and what the source is called.
ELSEWHERE = {
    "European oak": (702, 13000, 88, "European Wood"),
    "European larch": (583, 13800, 99, "European Wood"),
    "European ash": (702, 13400, 120, "Frey-Amon"),
    "European sycamore": (640, 10000, 112, "Frey-Amon"),
    "sweet chestnut": (563, 9000, 80, "Frey-Amon"),
    "European beech": (730, 14700, 118, "Giordano"),
    "European redwood": (550, 10100, 81.8, "Forests 2024, 15(3), 567"),
    "iroko": (640, 12840, 87, "CIRAD"),
    # Chudnoff in pounds: 42 and 41 lb/ft³, 16,100 psi and 1,700,000 psi, 15,000 and 1,560,000 psi
    "sapele": (42 * 16.018463, 1.700e6 * 0.00689476, 16100 * 0.00689476, "Chudnoff"),
    "utile": (41 * 16.018463, 1.560e6 * 0.00689476, 15000 * 0.00689476, "Chudnoff"),
}
#: Nobody opened a table of clear wood for these.
UNOPENED = {"coast redwood", "acetylated radiata pine"}


@pytest.mark.parametrize("name", ELSEWHERE)
def test_woods_from_elsewhere_are_those_of_their_source(name: str) -> None:
    density, modulus, strength, source = ELSEWHERE[name]
    wood = catalogue.woods()[name]
    assert wood.specific_gravity == pytest.approx(density / 1.12 / 1000, abs=0.0051)  # oven-dry, by the size at 12 %
    assert wood.modulus_mpa == pytest.approx(modulus, rel=0.005)
    assert wood.strength_mpa == pytest.approx(strength, rel=0.001)
    assert source in wood.source
    assert wood.how_sure == "published"


def test_no_strength_class_is_a_source() -> None:
    for wood in catalogue.woods().values():
        assert not any(word in wood.source for word in ("EN 338", "EN 408", "class", "C24", "D30")), wood.name


def test_woods_that_nobody_looked_up_say_so() -> None:
    assert {name for name, wood in catalogue.woods().items() if wood.how_sure == "from memory"} == UNOPENED
    assert {wood.how_sure for wood in catalogue.woods().values()} == {"published", "from memory"}


def test_no_wood_is_in_the_catalogue_without_being_checked_here() -> None:
    assert set(catalogue.woods()) == {*WOOD_HANDBOOK, "American mahogany", *ELSEWHERE, *UNOPENED}


def test_a_line_on_glue_has_a_source_and_names_glues_that_exist() -> None:
    lines = {name: wood for name, wood in catalogue.woods().items() if wood.glue}
    assert set(lines) == {"iroko", "acetylated radiata pine", "European larch"}
    for wood in lines.values():
        assert wood.glue_source
        assert set(wood.good_glues) <= set(catalogue.adhesives())


def test_softwoods_are_the_conifers() -> None:
    # Softwoods by botany (conifers), which the published curvature limits tell apart.
    conifers = ("cypress", "cedar", "fir", "hemlock", "pine", "spruce", "larch", "redwood")
    for name, wood in catalogue.woods().items():
        assert (wood.kind == "softwood") == name.lower().endswith(conifers)


def test_every_entry_has_a_source_and_says_how_sure_it_is() -> None:
    tables = (
        catalogue.woods(), catalogue.sheets(), catalogue.layers_between(), catalogue.adhesives(), catalogue.cautions(),
        catalogue.panels(), catalogue.veneers(),
    )  # fmt: skip
    for table in tables:
        assert table
        for entry in table.values():
            assert entry.source.strip()
            assert entry.how_sure.strip()


#: Every data file of rows, what a row becomes, and where they are read.
ENTRIES = (
    (Wood, catalogue.woods), (StockSheet, catalogue.sheets), (Between, catalogue.layers_between),
    (Adhesive, catalogue.adhesives), (Panel, catalogue.panels), (Veneer, catalogue.veneers),
    (ArchKind, catalogue.arches), (Caution, catalogue.cautions), (Figure, figures),
)  # fmt: skip


@pytest.mark.parametrize(("kind", "read"), ENTRIES)
def test_every_value_is_of_the_type_that_its_entry_says(kind: type, read: Callable[[], Mapping[str, Any]]) -> None:
    """By pydantic, which neither reads the files nor made the entries: a number as text, a list too short."""
    adapter = TypeAdapter(kind)
    for entry in read().values():
        adapter.validate_python(asdict(entry))


def test_boards_are_of_the_types_that_they_say() -> None:
    for board in boards():
        TypeAdapter(Board).validate_python(asdict(board))


OAK = """[source]
book = "A book"
[wood."bog oak"]
modulus_mpa = 9000
strength_mpa = 80.0
kind = "hardwood"
source = "book"
how_sure = "published"
change_radial = 0.002
change_tangential = 0.003
change_how_sure = "published"
"""


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("strength_mpa = 80.0\n", "", 'woods.toml: [wood."bog oak"] has no strength_mpa; add it'),
        ('kind = "hardwood"\nsource = "book"\n', "", 'woods.toml: [wood."bog oak"] has no kind, source; add them'),
        ("strength_mpa", "strenght_mpa", 'woods.toml: [wood."bog oak"] has no strength_mpa; add it'),
        (
            "change_how_sure",
            "hardness = 3\nchange_how_sure",
            'woods.toml: [wood."bog oak"] has hardness, expected only',
        ),
        ('source = "book"', 'source = "books"', "source = 'books', expected one of book; add it to [source]"),
        ("[wood.", "[timber.x]\n[wood.", "woods.toml: tables timber, wood, expected one table of rows"),
    ],
)
def test_a_row_that_is_half_filled_is_named_with_its_file(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert old in OAK
    (tmp_path / "woods.toml").write_text(OAK.replace(old, new), encoding="utf-8")
    with pytest.raises(RecipeError) as caught:
        named_entries(Wood, "woods", tmp_path)
    assert says in str(caught.value)


def test_a_row_that_is_whole_becomes_an_entry(tmp_path: Path) -> None:
    (tmp_path / "woods.toml").write_text(OAK, encoding="utf-8")
    (wood,) = named_entries(Wood, "woods", tmp_path).values()
    assert (wood.name, wood.modulus_mpa, wood.source, wood.specific_gravity) == ("bog oak", 9000, "A book", None)


def test_sheets_have_the_common_sizes() -> None:
    # 49 × 97 in and 2440 × 1220 mm: common practice, no source
    sizes_mm = {(sheet.length_mm, sheet.width_mm) for sheet in catalogue.sheets().values()}
    assert sizes_mm == {(2463.8, 1244.6), (2440, 1220)}  # 97 × 25.4, 49 × 25.4
    for name, sheet in catalogue.sheets().items():
        tolerance_mm = 0.005 * 25.4 if name.endswith(" in") else 0.2  # ANSI A208.2; EN 324-1
        assert sheet.thickness_tolerance_mm == pytest.approx(tolerance_mm)


def test_safety_limits_are_named_in_the_cautions() -> None:
    lines = " ".join(caution.said("mm") for caution in catalogue.cautions().values())
    # OSHA and NIOSH wood dust, EU hardwood; TSCA Title VI MDF; OSHA formaldehyde TWA; OSHA MDI ceiling
    for limit in ("15 mg/m³", "5 mg/m³", "NIOSH 1 mg/m³", "2 mg/m³", "0.11 ppm", "0.75 ppm", "0.02 ppm"):
        assert limit in lines
    # pressure times area: 1.2 × 0.6 m at 25 inHg (3.386389 kPa each, NIST SP 811)
    assert f"{1.2 * 0.6 * 25 * 3.386389:.0f} kN" in lines


def test_adhesives_name_cautions_that_exist() -> None:
    for adhesive in catalogue.adhesives().values():
        assert set(adhesive.cautions) <= set(catalogue.cautions())
        assert 0 <= adhesive.water_share < 1
        for low, high in (adhesive.spread_g_per_m2, adhesive.open_min, adhesive.clamp_min, adhesive.pressure_mpa):
            assert 0 < low <= high


def test_the_catalogue_lists_the_arches_that_a_recipe_can_name() -> None:
    models = models_at(RecipeFile, ("part", "arch"))
    kinds = {get_args(model.model_fields["kind"].annotation)[0] for model in models}
    assert set(catalogue.arches()) == kinds


def test_the_shop_goes_before_the_catalogue() -> None:
    own = ShopWood.model_validate({"modulus": "9 GPa", "strength": "70 MPa", "source": "bent a strip"})
    sheet = {"thickness": 17.8, "length": 2440, "width": 1220}
    shop = Shop.model_validate({"woods": {"white oak": own}, "between": {"film": 0.2}, "sheets": {"MDF 18 mm": sheet}})
    assert catalogue.wood("white oak", shop).modulus_mpa == 9000
    assert catalogue.wood("white oak", shop).how_sure == "shop file"
    assert catalogue.between("film", shop) == 0.2
    assert catalogue.sheet("MDF 18 mm", shop).thickness_mm == 17.8
    assert catalogue.sheet("MDF 16 mm", shop).thickness_mm == 16


def test_an_unknown_name_is_answered_with_the_nearest() -> None:
    with pytest.raises(RecipeError, match="white oak"):
        catalogue.wood("wite oak", Shop())
    with pytest.raises(RecipeError, match="breather"):
        catalogue.between("brether", Shop())
    with pytest.raises(RecipeError, match="did you mean MDF 3/4 in"):
        catalogue.sheet("mfd 3/4in", Shop())
