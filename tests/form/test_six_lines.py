"""Six lines are a recipe: every kind of arch, three sizes, two units, three ways to press, and no warning of a default.

What is left is about what was typed: each code that may stand has its reason here, held against numbers of its own.
"""

from __future__ import annotations

import json
import math
import re
from fractions import Fraction
from pathlib import Path

import pytest

from formgen.errors import FormgenError
from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.outputs.record.asked import recipe_from_job
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.rows.decisions import decisions

#: Arches by kind, sizes as shares of the span.
KINDS = {
    "semicircle": "kind: semicircle, span: {1}",
    "segmental": "kind: segmental, span: {1}, rise: {1/6}",
    "three-centred": "kind: three-centred, span: {1}, rise: {1/3}",
    "ellipse": "kind: ellipse, span: {1}, rise: {1/3}",
    "pointed": "kind: pointed, span: {1}",
    "four-centred": "kind: four-centred, span: {1}",
    "ogee": "kind: ogee, span: {1}, rise: {2/3}",
    "quarter": "kind: quarter, radius: {1/2}",
    "serpentine": "kind: serpentine, span: {1}, offset: {1/7}",
    "chain": "kind: chain, pieces: [{length: {1/4}}, {length: {1/2}, radius: {1/2}}, {length: {1/4}}]",
}
#: By span in mm: the same in inches, then depth and thickness in either.
SIZES = {
    300: {"mm": (300, 90, 12), "in": (12, 3.5, 0.5)},
    900: {"mm": (900, 116, 18), "in": (36, 4.5, 0.75)},
    2400: {"mm": (2400, 116, 18), "in": (96, 4.5, 0.75)},
}
CASES = [
    (kind, span, unit, way)
    for way, spans in (("part-bagged", SIZES), ("form-bagged", (900,)), ("clamped", (900,)))
    for span in spans
    for unit in ("mm", "in")
    for kind in KINDS
]
#: White oak, air dry: MOR/E of the Wood Handbook's Table 5-3a (105 MPa over 12.3 GPa), and the thinnest sawn ply (mm).
BREAKS_AT, THINNEST_MM = 105.0 / 12300.0, 1.5


def recipe_text(kind: str, span: int, unit: str, way: str) -> str:
    size, depth, thickness = SIZES[span][unit]
    arch = re.sub(r"\{([0-9/]+)\}", lambda share: f"{size * float(Fraction(share[1])):.6g} {unit}", KINDS[kind])
    return (
        f"arch: {{{arch}}}\nmeasured_on: inside\ndepth: {depth} {unit}\nthickness: {thickness} {unit}\n"
        f"wood: white oak\nway: {way}\n"
    )


@pytest.mark.parametrize(("kind", "span", "unit", "way"), CASES)
def test_no_warning_of_a_default(tmp_path: Path, kind: str, span: int, unit: str, way: str) -> None:
    path = tmp_path / "six.yaml"
    path.write_text(recipe_text(kind, span, unit, way), encoding="utf-8")
    try:
        form = run(load_recipe(path))
    except FormgenError as err:
        _refused_for_what_was_typed(str(err), span)
        return
    assert len(path.read_text(encoding="utf-8").splitlines()) == 6
    for found in form.all_findings:
        if found.severity is not Severity.NOTE:
            assert _about_what_was_typed(found, form, kind, span, way), found


def _refused_for_what_was_typed(line: str, span: int) -> None:
    """The wood at its line: the thinnest ply that is sawn is bent past two thirds of what breaks it, so tight it is."""
    assert span == 300
    assert line.startswith("six.yaml:5:7: wood = white oak, no ply of it bends this tight: 8 of ")
    assert "list thinner plies under shop.ply_thicknesses" in line
    share = re.search(r"come to ([0-9]+) % of their breaking strain", line)
    assert share
    radius_mm = THINNEST_MM / 2.0 / (BREAKS_AT * float(share[1]) / 100.0)
    assert radius_mm < THINNEST_MM / 2.0 / (BREAKS_AT * 2.0 / 3.0)


def _about_what_was_typed(found: Finding, form: Holding, kind: str, span: int, way: str) -> bool:
    """Tell whether a warning is one that no other default takes away."""
    if found.code == "form.heavy":  # the size: MDF of 750 kg/m³ in that form, past what NIOSH lets one lift
        area = form.layers[0].outline.area_mm2
        return area * form.depth_mm * 750e-9 > 0.9 * 23.0
    if found.code == "press.film-folds":  # hollow on either side, whichever the form is on
        return kind in {"ogee", "serpentine"} and way == "part-bagged" and "bends both ways" in found.message
    if found.code == "curve.square-point":  # an ogee stands upright at its point
        return kind == "ogee"
    if found.code == "laminate.structural-radius":  # one ply more would be thinner than a saw makes
        plies = form.pressing.laminate.plies
        return span == 300 and math.fsum(ply.thickness_mm for ply in plies) / (len(plies) + 1) < THINNEST_MM
    return False


def test_what_was_typed_is_never_changed(tmp_path: Path) -> None:
    """Each key by hand, at a value that a warning stands on: it stays, and so does the warning."""
    path = tmp_path / "six.yaml"
    text = recipe_text("semicircle", 900, "mm", "form-bagged")
    path.write_text(text + "plies: 4\npart: {end_trim: 25 mm}\nform: {body: band, backing: 105 mm}\n", encoding="utf-8")
    form = run(load_recipe(path))
    asked = form.recipe.asked
    assert (len(form.pressing.laminate.plies), asked.part.end_trim_mm) == (4, 25.0)
    assert (asked.form.body, form.recipe.backing_mm) == ("band", 105.0)
    found = {f.code for f in form.all_findings if f.severity is not Severity.NOTE}
    assert {"press.end-stands-off", "form.hollow", "form.gives"} <= found


def test_a_value_that_does_not_help_is_left_as_usual(tmp_path: Path) -> None:
    """Closer clamps are not enough for that glue: their spacing stays as usual, and so does what nothing asked for."""
    path = tmp_path / "six.yaml"
    text = recipe_text("quarter", 900, "mm", "clamped") + "adhesive: polyvinyl acetate\n"
    path.write_text(text, encoding="utf-8")
    form = run(load_recipe(path))
    assert "press.caul-pressure" in {f.code for f in form.all_findings}  # no spacing that there is room for is enough
    assert form.recipe.asked.form.clamp_reliefs is None
    assert "part.end_trim_mm" in form.recipe.taken
    assert form.recipe.asked.part.end_trim_mm == 25.0


def test_the_shop_s_own_sheets_are_taken_before_the_catalogue_s(tmp_path: Path) -> None:
    """116 + 6 mm of edge trim: seven of 18 mm reach 126, eight of 15.5 mm 124."""
    (tmp_path / "shop.yaml").write_text(
        "sheets:\n  a: {thickness: 18 mm, length: 2440 mm, width: 1220 mm}\n"
        "  b: {thickness: 15.5 mm, length: 2440 mm, width: 1220 mm}\n",
        encoding="utf-8",
    )
    path = tmp_path / "six.yaml"
    path.write_text(recipe_text("segmental", 900, "mm", "clamped"), encoding="utf-8")
    form = run(load_recipe(path))
    assert (form.recipe.sheet_name, len(form.layers)) == ("b", 8)


def test_what_nobody_typed_is_listed_once(tmp_path: Path) -> None:
    """With the key to type, and no longer once it was typed, in the recipe or in the shop file."""
    path = tmp_path / "six.yaml"
    path.write_text(recipe_text("segmental", 900, "in", "part-bagged"), encoding="utf-8")
    rows = _usual(run(load_recipe(path)))
    assert {"laminate.plies", "press.side", "form.body", "form.backing", "part.end_trim", "bag", "clamp.jaw"} <= set(
        rows
    )
    assert (rows["part.tolerance"], rows["form.sheet"]) == ("0.031 in", "MDF 3/4 in, 0.750 in")
    path.write_text(path.read_text(encoding="utf-8") + "side: female\npart: {tolerance: 1/32 in}\n", encoding="utf-8")
    (tmp_path / "shop.yaml").write_text("bag: {thickness: 0.4 mm}\naltitude: 300 m\n", encoding="utf-8")
    assert set(rows) - set(_usual(run(load_recipe(path)))) == {"press.side", "part.tolerance", "bag", "altitude"}


def _usual(form: Holding) -> dict[str, str]:
    (listed,) = (section for section in decisions(form) if section.title == "Taken as usual")
    assert len({key for key, _ in listed.rows}) == len(listed.rows)
    return dict(listed.rows)


def test_a_record_makes_the_same_form_without_a_trial(tmp_path: Path) -> None:
    """What was settled stands in the record, with what nobody typed, of recipe and shop."""
    path = tmp_path / "six.yaml"
    path.write_text(recipe_text("ellipse", 900, "mm", "form-bagged"), encoding="utf-8")
    form = run(load_recipe(path))
    record = json.loads(json.dumps(job_record(form), allow_nan=False))
    again = recipe_from_job(record, tmp_path)
    assert not again.free
    assert again.part.end_trim_mm == form.recipe.part.end_trim_mm > 25.0
    assert json.loads(json.dumps(job_record(run(again)), allow_nan=False)) == record
    assert decisions(run(again)) == decisions(form)
