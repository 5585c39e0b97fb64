"""A sense of size: each slip is told with its likely cause, in a refusal where nothing can be made, or a warning."""

from __future__ import annotations

from pathlib import Path

import pytest

from formgen.errors import FormgenError
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

SLIPS = {"recipe.units-unlikely", "recipe.sizes-swapped", "recipe.size-unlikely", "recipe.sheet-unlikely"}
RECIPE = """\
units: {units}
arch: {{{arch}}}
measured_on: inside
depth: {depth}
thickness: {thickness}
wood: yellow-poplar
"""


def said(folder: Path, arch: str, depth: str, thickness: str, units: str, shop: str = "") -> tuple[str, bool]:
    """What is said of a slip, empty for nothing, and whether it was refused."""
    path = folder / "slip.yaml"
    path.write_text(RECIPE.format(units=units, arch=arch, depth=depth, thickness=thickness), encoding="utf-8")
    if shop:
        (folder / "shop.yaml").write_text(shop, encoding="utf-8")
    try:
        form = run(load_recipe(path))
    except FormgenError as err:
        line = str(err)
        assert "\n" not in line
        return line.partition("; likely cause: ")[2], True
    told = [found.message for found in form.all_findings if found.code in SLIPS]
    assert len(told) <= 1
    return "".join(told), False


@pytest.mark.parametrize(
    ("arch", "depth", "thickness", "units", "refused", "sentence"),
    [
        # span and rise swapped: a segment higher than half its span is none; a narrow ellipse could be meant
        ("kind: segmental, span: 6, rise: 36", "4", "3/4", "in", True,
         "A span of 6 in with a rise of 36 in: the two look swapped."),
        ("kind: three-centred, span: 300, rise: 900", "100", "18", "mm", True,
         "A span of 300.0 mm with a rise of 900.0 mm: the two look swapped."),
        ("kind: ellipse, span: 300, rise: 900", "100", "5", "mm", True,
         "A span of 300.0 mm with a rise of 900.0 mm: the two look swapped."),
        ("kind: ogee, span: 300, rise: 900", "100", "12", "mm", False,
         "A span of 300.0 mm with a rise of 900.0 mm: the two look swapped."),
        ("kind: serpentine, span: 300, offset: 900", "100", "12", "mm", False,
         "A span of 300.0 mm with an offset of 900.0 mm: the two look swapped."),
        # inches in a file of mm: the arch alone, the depth alone, all of them
        ("kind: segmental, span: 36, rise: 6", "116", "18", "mm", True,
         "An arch of 36.0 mm is smaller than anybody makes: the number looks like inches."),
        ("kind: segmental, span: 915, rise: 152", "4.5", "18", "mm", False,
         "A depth of 4.5 mm is smaller than anybody makes: the number looks like inches."),
        ("kind: segmental, span: 36, rise: 6", "4.5", "0.75", "mm", True,
         "An arch of 36, a depth of 4.5 and a thickness of 0.75 in a file of units: mm look like inches."),
        # mm in a file of inches
        ("kind: segmental, span: 915, rise: 152", "4 1/2", "3/4", "in", False,
         "An arch of 915 in is larger than anybody makes: the number looks like millimetres."),
        ("kind: segmental, span: 36, rise: 6", "116", "3/4", "in", False,
         "A depth of 116 in is larger than anybody makes: the number looks like millimetres."),
        ("kind: segmental, span: 36, rise: 6", "4 1/2", "18", "in", False,
         "A thickness of 18 in is larger than anybody makes: the number looks like millimetres."),
        # a part of 54 mm: its unit was typed, so it is the number that is looked at
        ("kind: quarter, radius: 54 mm", "40 mm", "6 mm", "mm", True,
         "An arch of 54.0 mm is smaller than anybody makes: the number or its unit is a slip. Correct it."),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_its_cause(
    tmp_path: Path,
    arch: str,
    depth: str,
    thickness: str,
    units: str,
    refused: bool,  # noqa: FBT001
    sentence: str,
) -> None:
    told, stopped = said(tmp_path, arch, depth, thickness, units)
    assert told.startswith(sentence)
    assert stopped == refused


@pytest.mark.parametrize(
    ("arch", "depth", "thickness", "units"),
    [
        ("kind: segmental, span: 100, rise: 10", "16", "3", "mm"),  # each at its bound
        ("kind: segmental, span: 7500, rise: 900", "1200", "18", "mm"),
        ("kind: pointed, span: 600, rise: 1500", "90", "12", "mm"),  # a lancet
        ("kind: ellipse, span: 900, rise: 900", "90", "6", "mm"),  # on end
        ("kind: segmental, span: 36, rise: 6", "4 9/16", "3/4", "in"),
    ],
)
def test_what_may_be_meant_is_let_be(tmp_path: Path, arch: str, depth: str, thickness: str, units: str) -> None:
    assert said(tmp_path, arch, depth, thickness, units)[0] == ""


def test_a_sheet_too_small_for_the_part(tmp_path: Path) -> None:
    """97 × 49 typed without their inches in a shop file of mm; and a board that is too narrow for any ring."""
    arch = ("kind: segmental, span: 915, rise: 152", "100", "18", "mm")
    inches = "sheets: {a: {thickness: 18, length: 97, width: 49}}\n"
    told, refused = said(tmp_path, *arch, inches)
    assert refused
    assert told.startswith("A sheet of 97.0 mm × 49.0 mm, 18.00 mm thick, is smaller than any that is sold")
    (tmp_path / "shop.yaml").write_text("sheets: {a: {thickness: 18, length: 400, width: 100}}\n", encoding="utf-8")
    path = tmp_path / "slip.yaml"
    assert run(load_recipe(path)).recipe.backing_mm < 100.0  # a narrower ring goes on it, where nobody typed a width
    (tmp_path / "shop.yaml").write_text("sheets: {a: {thickness: 18, length: 400, width: 60}}\n", encoding="utf-8")
    with pytest.raises(FormgenError, match=r"for the sheet, 400 × 60 mm .* use a larger sheet or less backing"):
        run(load_recipe(path))
