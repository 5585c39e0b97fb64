"""Whole recipes: what they become, and every mistake at its line and column, all of them at once."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest

from formgen.errors import RecipeError
from formgen.recipe.load import load_recipe, load_shop

GOOD = """\
format: 1
name: reading-room-door
units: in
part:
  arch:
    kind: segmental
    span: 48 1/2
    rise: 9 1/4
  measured_on: inside
  legs: 6
  depth: 4 9/16
laminate:
  wood: white oak
  thickness: 3/4
  plies: 6
press:
  side: male
  between: [film]
  vacuum: 25 inHg
form:
  sheet: MDF 3/4 in
"""


def write(folder: Path, text: str, name: str = "door.yaml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def refused(path: Path, shop: Path | None = None) -> list[str]:
    with pytest.raises(RecipeError) as caught:
        load_recipe(path, shop)
    assert all(line.isprintable() for line in caught.value.mistakes)
    return list(caught.value.mistakes)


def changed(old: str, new: str) -> str:
    assert GOOD.count(old) == 1
    return GOOD.replace(old, new)


def test_a_recipe_is_understood_in_mm(tmp_path: Path) -> None:
    recipe = load_recipe(write(tmp_path, GOOD))
    asked = recipe.asked
    assert asked.part.arch.kind == "segmental"
    assert asked.part.arch.span_mm == 1231.9  # 48.5 × 25.4
    assert asked.part.depth_mm == 115.8875  # 4.5625 × 25.4
    assert asked.part.legs == 152.4
    assert asked.laminate.plies == 6
    assert asked.press.vacuum_kpa == pytest.approx(25 * 3.386389)  # NIST SP 811
    assert recipe.folder == tmp_path
    assert (recipe.sheet_name, recipe.sheet.thickness_mm) == ("MDF 3/4 in", 19.05)
    assert [finding.code for finding in recipe.findings] == ["recipe.sheet-nominal"]


def test_the_same_text_in_millimetres(tmp_path: Path) -> None:
    text = GOOD.replace("units: in", "units: mm").replace("48 1/2", "1231.9").replace("9 1/4", "234.95")
    text = text.replace("4 9/16", "115.8875").replace("3/4\n", "19.05\n").replace("legs: 6", "legs: 15.24 cm")
    inches, mm = load_recipe(write(tmp_path, GOOD)), load_recipe(write(tmp_path, text))
    assert mm.asked.part == inches.asked.part
    assert mm.asked.laminate == inches.asked.laminate


MISTAKES = tomllib.loads((Path(__file__).parent / "mistakes.toml").read_text(encoding="utf-8"))["mistake"]


@pytest.mark.parametrize("case", MISTAKES, ids=lambda case: case["new"].strip() or case["old"].strip())
def test_a_mistake_is_told_at_its_line_and_column(tmp_path: Path, case: dict[str, str]) -> None:
    mistakes = refused(write(tmp_path, changed(case["old"], case["new"])))
    assert any(mistake.startswith(case["line"]) for mistake in mistakes), mistakes


BAD_NAMES = ["NUL", "con", "Aux", "lpt9", "a" * 61, "a" * 300, "", ".", "a.b", "a/b", "a b", "é", "-a", "a\\\\b"]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_names_that_would_make_bad_folders(tmp_path: Path, name: str) -> None:
    mistakes = refused(write(tmp_path, changed("name: reading-room-door", f'name: "{name}"')))
    assert len(mistakes) == 1
    assert mistakes[0].startswith("door.yaml:2:7: name = ")
    assert len(mistakes[0]) < 250


BAD_FILES = ["/etc/passwd", "../door.dxf", "a/../../b.dxf", "C:\\\\door.dxf", "\\\\\\\\host\\\\door.dxf"]


@pytest.mark.parametrize("file", BAD_FILES)
def test_a_drawing_lies_beside_the_recipe(tmp_path: Path, file: str) -> None:
    arch = f'arch: {{kind: drawing, file: "{file}"}}'
    text = GOOD.replace("  arch:\n    kind: segmental\n    span: 48 1/2\n    rise: 9 1/4\n", f"  {arch}\n")
    (mistake,) = refused(write(tmp_path, text))
    assert mistake.startswith("door.yaml:5:31: part.arch.file = ")
    assert "expected a file beside the recipe" in mistake


def test_a_long_or_odd_value_is_cut_and_escaped(tmp_path: Path) -> None:
    (mistake,) = refused(write(tmp_path, changed("measured_on: inside", f"measured_on: {'x' * 500}")))
    assert f'"{"x" * 60}…"' in mistake
    mistakes = refused(write(tmp_path, changed("measured_on: inside", 'measured_on: "a\\u202eb\\nc"')))
    assert any('"a\\u202eb\\x0ac"' in mistake for mistake in mistakes)


def test_all_mistakes_are_told_at_once_in_order(tmp_path: Path) -> None:
    text = GOOD.replace("9 1/4", "-4").replace("white oak", "wite oak").replace("male", "mail").replace("film", "flim")
    text = text.replace("units: in\n", "units: in\nunits: mm\ncolour: red\n").replace("4 9/16", "4,5")
    mistakes = refused(write(tmp_path, text))
    places = [tuple(int(n) for n in mistake.split(":")[1:3]) for mistake in mistakes]
    assert places == [(4, 1), (5, 1), (10, 11), (13, 10), (15, 9), (19, 9), (20, 13)]


def test_a_union_says_one_thing(tmp_path: Path) -> None:
    for old, new in (("plies: 6", "plies: x"), ("legs: 6", "legs: x"), ("sheet: MDF 3/4 in", "clamp_reliefs: x")):
        assert len(refused(write(tmp_path, changed(old, new)))) == 1


SHOP = """\
format: 1
units: mm
sheet: blue sheet
sheets:
  blue sheet: {thickness: 18.2, length: 2440, width: 1220}
woods:
  attic oak: {modulus: 11 GPa, strength: 90 MPa, source: bent three strips}
between:
  old tarp: 0.4
altitude: 1600 m
"""


def test_a_shop_file_beside_the_recipe_is_taken_in_its_own_units(tmp_path: Path) -> None:
    write(tmp_path, SHOP, "shop.yaml")
    text = GOOD.replace("form:\n  sheet: MDF 3/4 in\n", "")
    text = text.replace("white oak", "attic oak").replace("film", "old tarp")
    recipe = load_recipe(write(tmp_path, text))
    assert recipe.sheet_name == "blue sheet"
    assert recipe.sheet.thickness_mm == 18.2
    assert recipe.asked.laminate.thickness_mm == 19.05
    assert recipe.shop.altitude_mm == pytest.approx(1.6e6)
    assert recipe.findings == ()


def test_a_shop_file_elsewhere_can_be_named(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    shop = write(tmp_path / "elsewhere", SHOP, "ours.yaml")
    text = GOOD.replace("form:\n  sheet: MDF 3/4 in\n", "")
    assert load_recipe(write(tmp_path, text), shop).sheet_name == "blue sheet"
    assert load_recipe(write(tmp_path, text)).sheet_name == "MDF 3/4 in"
    assert load_shop(shop).sheets["blue sheet"].length_mm == 2440


def test_mistakes_of_both_files_come_together(tmp_path: Path) -> None:
    shop = SHOP.replace("18.2", "0").replace("sheet: blue", "sheet: bleu").replace("1600 m", "1600")
    write(tmp_path, shop + "router: {layers: {drilling: Marks}}\n", "shop.yaml")
    mistakes = refused(write(tmp_path, changed("rise: 9 1/4", "rise: 0")))
    assert [mistake.split(" ")[0] for mistake in mistakes] == [
        "door.yaml:8:11:", "shop.yaml:3:8:", "shop.yaml:5:27:", "shop.yaml:10:11:", "shop.yaml:11:18:",
    ]  # fmt: skip
    assert "did you mean blue sheet" in mistakes[1]
    assert "expected a name of its own for marks" in mistakes[4]


def test_groups_need_a_wood_or_a_modulus_each(tmp_path: Path) -> None:
    text = GOOD.replace("  wood: white oak\n  thickness: 3/4\n  plies: 6\n", """\
  plies:
    - {count: 2, thickness: 3 mm, wood: American beech}
    - {thickness: 3 mm, modulus: 1.78 million psi}
    - {thickness: 3 mm}
""")  # fmt: skip
    (mistake,) = refused(write(tmp_path, text))
    assert mistake.startswith("door.yaml:16:7: laminate.plies[3].wood is missing, expected a wood or a modulus")
    plies = load_recipe(write(tmp_path, text.replace("    - {thickness: 3 mm}\n", ""))).asked.laminate.plies
    assert isinstance(plies, tuple)
    assert plies[1].modulus_mpa == pytest.approx(1.78e6 * 0.006894757, rel=1e-6)  # NIST SP 811


def test_thickness_beside_groups_may_differ_by_a_tenth(tmp_path: Path) -> None:
    for thickness, fine in (("15.95 mm", True), ("16.1 mm", False)):
        text = GOOD.replace("plies: 6", "plies: [{count: 5, thickness: 1/8}]")
        text = text.replace("thickness: 3/4", f"thickness: {thickness}")
        path = write(tmp_path, text)  # 5 × 1/8 in = 15.875 mm
        if fine:
            assert load_recipe(path).asked.laminate.thickness_mm == 15.95
        else:
            assert refused(path)[0].startswith("door.yaml:14:14: ")


def test_radius_and_sweep(tmp_path: Path) -> None:
    text = GOOD.replace("    span: 48 1/2\n    rise: 9 1/4\n", "    radius: 40\n    sweep: 84 deg\n")
    arch = load_recipe(write(tmp_path, text)).asked.part.arch
    assert arch.kind == "segmental"
    assert arch.sweep_rad == pytest.approx(math.radians(84))


@pytest.mark.parametrize("text", ["", "# nothing\n", "- 1\n- 2\n", "hello\n", "12\n"])
def test_a_file_without_keys(tmp_path: Path, text: str) -> None:
    (mistake,) = refused(write(tmp_path, text))
    assert "expected keys with values" in mistake
    assert mistake.startswith("door.yaml:1:1: ") or text.startswith("#")
