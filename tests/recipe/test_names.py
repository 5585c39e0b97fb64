"""Names as they are said: what each becomes, that its code is the same, and what is shown for one that nobody knows.

Names and other names are those of the trade (common practice, no source): typed here, not read from the data.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from formgen.errors import RecipeError
from formgen.recipe import catalogue
from formgen.recipe.as_asked import asked_record, part_code
from formgen.recipe.catalogue import ADHESIVE, ARCH, BETWEEN, PANEL, SHEET, WOOD, Kind
from formgen.recipe.load import load_recipe, load_shop
from formgen.recipe.names import in_columns, proper, words

RECIPE = """\
format: 1
name: door
units: mm
part:
  arch: {{kind: {arch}, span: 1200, rise: 400}}
  measured_on: inside
  depth: 60
laminate:
  plies:
    - {{count: 4, thickness: 3, wood: {wood}}}
    - {{count: 2, thickness: 3.175, panel: {panel}, grain: across}}
  adhesive: {glue}
press: {{side: male, between: [{between}], over: [{between}]}}
form: {{sheet: {sheet}}}
"""
PROPER = {
    "arch": "ellipse", "wood": "white oak", "panel": "birch aircraft plywood", "glue": "epoxy", "between": "breather",
    "sheet": "MDF 18 mm",
}  # fmt: skip

SAID = [
    ("wood", "White Oak", "white oak"), ("wood", "WHITE_OAK", "white oak"), ("wood", "white-oak", "white oak"),
    ("wood", "white  oak", "white oak"), ("wood", "oak, white", "white oak"),
    ("wood", "Yellow Poplar", "yellow-poplar"),
    ("wood", "yellowpoplar", "yellow-poplar"), ("wood", "tulipwood", "yellow-poplar"),
    ("wood", "hard maple", "sugar maple"), ("wood", "Douglas fir", "coast Douglas-fir"),
    ("wood", "red oak", "northern red oak"), ("wood", "English oak", "European oak"),
    ("wood", "Scots pine", "European redwood"), ("wood", "red deal", "European redwood"),
    ("wood", "european ash", "European ash"), ("wood", "English beech", "European beech"),
    ("wood", "English sycamore", "European sycamore"), ("wood", "Spanish chestnut", "sweet chestnut"),
    ("wood", "Sapelli", "sapele"), ("wood", "sipo", "utile"), ("wood", "odum", "iroko"),
    ("wood", "acetylated pine", "acetylated radiata pine"), ("wood", "European Larch", "European larch"),
    ("glue", "PVA", "polyvinyl acetate"), ("glue", "white glue", "polyvinyl acetate"),
    ("glue", "wood glue", "polyvinyl acetate"), ("glue", "UF", "urea formaldehyde"),
    ("glue", "Urea-Formaldehyde", "urea formaldehyde"), ("glue", "PU", "polyurethane, one part"),
    ("glue", "polyurethane", "polyurethane, one part"), ("glue", "resorcinol", "resorcinol formaldehyde"),
    ("glue", "Epoxy resin", "epoxy"), ("panel", "birch ply", "birch aircraft plywood"),
    ("panel", "Bendy Ply", "bending plywood"), ("panel", "fir ply", "Douglas-fir plywood"),
    ("sheet", "mdf 18", "MDF 18 mm"), ("sheet", "18mm MDF", "MDF 18 mm"), ("sheet", "3/4 MDF", "MDF 3/4 in"),
    ("sheet", "mdf-3/4-in", "MDF 3/4 in"), ("sheet", 'MDF 3/4"', "MDF 3/4 in"), ("sheet", "MDF ¾ in", "MDF 3/4 in"),
    ("between", "Breather cloth", "breather"), ("between", "The Bag", "bag"), ("between", "vinyl", "vinyl bag"),
    ("between", "release film", "release"),
    ("arch", "Elliptical", "ellipse"), ("arch", "half ellipse", "ellipse"), ("arch", "basket handle", "three-centred"),
    ("arch", "3-centered", "three-centred"), ("arch", "Segmental", "segmental"), ("arch", "eyebrow", "segmental"),
    ("arch", "Gothic", "pointed"),
]  # fmt: skip
KINDS: Mapping[str, Kind] = {
    "wood": WOOD, "glue": ADHESIVE, "panel": PANEL, "sheet": SHEET, "between": BETWEEN, "arch": ARCH
}  # fmt: skip


def _written(folder: Path, **names: str) -> Path:
    quoted = {key: "'" + name + "'" for key, name in (PROPER | names).items()}
    path = folder / "door.yaml"
    path.write_text(RECIPE.format(**quoted), encoding="utf-8")
    return path


def _refused(path: Path, shop: Path | None = None) -> RecipeError:
    with pytest.raises(RecipeError) as caught:
        load_recipe(path, shop)
    return caught.value


@pytest.mark.parametrize(("key", "said", "name"), SAID)
def test_what_is_said_is_the_proper_name_and_has_its_code(tmp_path: Path, key: str, said: str, name: str) -> None:
    found = load_recipe(_written(tmp_path, **{key: said}))
    meant = load_recipe(_written(tmp_path, **{key: name}))
    assert asked_record(found) == asked_record(meant)
    assert part_code(found) == part_code(meant)
    assert f"'{name}'" in repr(asked_record(found))


@pytest.mark.parametrize(
    ("said", "sizes", "kind"),
    [("half round", "", "semicircle"), ("Semi-Circular", "", "semicircle"), ("tudor", "", "four-centred"),
     ("four centered", "", "four-centred"), ("Ogee arch", ", rise: 900", "ogee"),
     ("quarter circle", None, "quarter"), ("S-curve", ", offset: 200", "serpentine")],
)  # fmt: skip
def test_arches_of_other_sizes(tmp_path: Path, said: str, sizes: str | None, kind: str) -> None:
    text = _written(tmp_path).read_text(encoding="utf-8")
    arch = f"{{kind: {said}, span: 1200{sizes}}}" if sizes is not None else f"{{kind: {said}, radius: 600}}"
    path = tmp_path / "door.yaml"
    path.write_text(re.sub(r"arch: .*", f"arch: {arch}", text), encoding="utf-8")
    assert load_recipe(path).part.arch.kind == kind


def test_the_shop_file_says_names_as_they_are_said_too(tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text(
        "sheet: 18mm MDF\nadhesive: Our Glue\nadhesives: {our glue: {like: PVA, open_min: 7}}\n"
        "offcuts: [{sheet: mdf 18, length: 900, width: 600}]\nwoods: {Attic Oak: {modulus: 9 GPa, strength: 70 MPa}}\n",
        encoding="utf-8",
    )
    held = load_shop(shop)
    assert (held.sheet, held.adhesive, held.offcuts[0].sheet) == ("MDF 18 mm", "our glue", "MDF 18 mm")
    assert held.adhesives["our glue"].like == "polyvinyl acetate"
    recipe = load_recipe(_written(tmp_path, wood="attic-oak", glue="OUR GLUE"), shop)
    assert recipe.asked.laminate.adhesive == "our glue"
    assert catalogue.wood("attic_oak", recipe.shop).source == "the shop's own figure"
    glue = catalogue.adhesive("our glue", recipe.shop)
    assert (glue.kind, glue.open_min) == ("polyvinyl acetate", (7, 7))


def test_the_shops_own_name_goes_before_the_catalogues_other_name(tmp_path: Path) -> None:
    own = {"PVA", "white-oak"}
    assert proper("pva", own, ADHESIVE.said()) == "PVA"
    assert proper("White Oak", own, WOOD.said()) == "white-oak"
    assert proper("white oak", own, WOOD.said()) == "white oak"  # as it stands in the catalogue
    assert proper("mdf 18", {"mdf-18", "MDF 18"}, {}) is None  # two of the shop's own: which?


@pytest.mark.parametrize("kind", KINDS)
def test_no_two_things_of_a_kind_are_called_alike(kind: str) -> None:
    said = KINDS[kind].said()
    called = [(tuple(sorted(words(text))), name) for name, others in said.items() for text in (name, *others)]
    for (one, first), (other, second) in itertools.combinations(called, 2):
        assert one != other or first == second, (one, first, second)


@pytest.mark.parametrize("name", ["", "-", "☃", "x" * 300, "oak\u202e"])
def test_odd_names_are_nobodys(name: str) -> None:
    assert proper(name, (), WOOD.said()) is None


@pytest.mark.parametrize(
    ("key", "said", "several", "first"),
    [("wood", "wite oak", "woods", "white oak"), ("glue", "epoxi", "adhesives", "epoxy"),
     ("sheet", "MFD 18 mm", "sheets", "MDF 18 mm"), ("between", "brether", "layers", "breather"),
     ("panel", "bending plywod", "panels", "bending plywood")],
)  # fmt: skip
def test_an_unknown_name_brings_all_of_its_kind_nearest_first(
    tmp_path: Path, key: str, said: str, several: str, first: str
) -> None:
    error = _refused(_written(tmp_path, **{key: said}))
    assert all("\n" not in line for line in error.mistakes)
    assert f"did you mean {first}" in error.mistakes[0]
    lines = error.aid.splitlines()
    assert lines[0] == f"All {several}, the nearest first:"
    assert lines[1].startswith(f"  {first}")
    assert all(name in error.aid for name in KINDS[key].said())
    assert max(map(len, lines)) <= 80
    assert ("shop.yaml" in error.aid) == (key != "panel")


OWN = {"wood": "wenge", "glue": "zebrano fix", "sheet": "OSB 18", "between": "plastik"}


@pytest.mark.parametrize(("key", "said"), OWN.items())
def test_the_lines_that_are_shown_make_it_known(tmp_path: Path, key: str, said: str) -> None:
    path = _written(tmp_path, **{key: said})
    block = _refused(path).aid.split("shop.yaml", 1)[1].split("\n", 1)[1]
    assert len(block.splitlines()) <= 6
    (tmp_path / "shop.yaml").write_text(block.replace("\n  ", "\n")[2:], encoding="utf-8")
    recipe = load_recipe(path)
    assert f"'{said}'" in repr(asked_record(recipe))


@pytest.mark.parametrize("said", ["a: b", '"', "null", "#1 oakum", "wenge  ", "wengé"])
def test_they_do_so_for_a_name_that_yaml_must_quote(tmp_path: Path, said: str) -> None:
    path = _written(tmp_path, wood=said)
    block = _refused(path).aid.split("shop.yaml", 1)[1].split("\n", 1)[1]
    (tmp_path / "shop.yaml").write_text(block.replace("\n  ", "\n")[2:], encoding="utf-8")
    load_recipe(path)


def test_a_shop_file_that_is_there_already_has_its_format(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text("format: 1\n", encoding="utf-8")
    assert "format" not in _refused(_written(tmp_path, wood="wenge")).aid


def test_what_is_shared_is_asked_in_one_line_alone(tmp_path: Path) -> None:
    error = _refused(_written(tmp_path, wood="oak"))
    assert len(error.mistakes) == 1
    assert error.aid == ""


def test_every_unknown_name_is_said_at_once_and_each_kind_listed_once(tmp_path: Path) -> None:
    error = _refused(_written(tmp_path, wood="wenge", glue="zebrano fix", sheet="OSB 18"))
    assert len(error.mistakes) == 3
    assert error.aid.count("All ") == 3


@pytest.mark.parametrize(
    ("shop", "says"),
    [("adhesives: {x: {open_min: 3}}", "x.like is missing, and must be given; add like: under adhesives.x; it"),
     ("adhesives: {x: {like: glu}}", "expected the name of an adhesive of the catalogue; did you mean"),
     ("adhesives: {x: {like: glue}}", "expected which glue it is: epoxy,")],
)  # fmt: skip
def test_like_is_explained_where_it_is_refused(tmp_path: Path, shop: str, says: str) -> None:
    (tmp_path / "shop.yaml").write_text(shop, encoding="utf-8")
    (line,) = _refused(_written(tmp_path)).mistakes
    assert says in line
    assert line.endswith("it is the catalogue's glue whose figures stand where your data sheet says nothing")


def test_columns_fill_the_screen_and_no_more() -> None:
    names: list[Any] = [f"wood {i:02d}" for i in range(20)]
    rows = in_columns(names, 40)
    assert [name for row in rows for name in row.split("  ") if name] == names
    assert {len(row.split()) // 2 for row in rows[:-1]} == {4}
    assert in_columns([]) == []
    assert in_columns(["x" * 100], 40) == ["  " + "x" * 100]
