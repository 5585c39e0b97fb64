"""The savings that are printed, counted by hand: files in the folders of sheets, areas by GDAL's own reader of DXF."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
import shapely
from pyogrio.raw import read

from formgen.building.model import Nesting
from formgen.building.running.batch import Outcome
from formgen.building.running.nesting import choose_division, lay_out
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.building.summary.record import sheet_sums, sheets_by_form
from formgen.cli.batch.summary import print_outcome
from formgen.outputs.sheets.folder import write_sheets
from formgen.pipeline import run
from formgen.sheets.division import divided
from formgen.sheets.handling import handling_of
from formgen.sheets.layout import sheet_forms

ROWS = "opening,quantity,span,rise,depth\nA,2,900,180,\nB,,900.5,180,80\nC,,700,120,\nD,,500,90,\nE,,902,180.5,\n"


def counted(folder: Path) -> tuple[int, int, float]:
    """Drawings of sheets in a folder, closed outlines of pieces in them, and the area of those (m²)."""
    files, pieces, area = sorted(folder.glob("sheet-[0-9]*.dxf")), 0, 0.0
    for path in files:
        meta, _, geometry, fields = read(path)
        layers = fields[list(meta["fields"]).index("Layer")]
        drawn = [shapely.from_wkb(g) for g, name in zip(geometry, layers, strict=True) if name == "OUTSIDE PROFILE"]
        pieces += len(drawn)
        area += math.fsum(shapely.Polygon(shape.coords).area for shape in drawn)
    return len(files), pieces, area * 1e-6


def test_what_is_saved_is_what_is_counted_on_the_files(
    scheduled: Callable[..., Schedule], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    schedule = scheduled(ROWS)
    nesting = Nesting(engine="quick", effort="preview")
    building, trials, kept = choose_division(plan_building(schedule.openings), nesting)
    assert kept is not None
    assert (len(building.forms), building.openings) == (3, 5)
    sheets, measures = lay_out(building, [form.name for form in building.forms], kept, nesting)
    sums = sheet_sums(sheets, trials, kept, measures, handling_of(schedule.openings[0].recipe.shop))
    by_hand = {trial.least_pieces: 6 * trial.pieces + (15 + 60) * trial.sheets for trial in trials}
    assert {tried["least_pieces"]: tried["minutes"] for tried in sums["tried"]} == by_hand
    assert by_hand[sums["least_pieces"]] == min(by_hand.values())
    write_sheets(sheets, tmp_path / "shared")
    files, pieces, area = counted(tmp_path / "shared" / "sheets")
    # every layer of every form as it is built, in its pieces
    built = [run(form.recipe) for form in building.forms]
    assert pieces == sums["pieces"] == sum(len(form.pieces) for form in built)
    assert files == sums["new"] + sums["offcuts"]
    assert area == pytest.approx(sums["pieces_m2"], rel=2e-3)  # GDAL draws arcs as chords of 4 degrees
    assert sums["usage"] == pytest.approx(area / (files * 2.44 * 1.22), rel=2e-3)
    assert sums["new_at_least"] == math.ceil(area / ((2.44 - 0.024) * (1.22 - 0.024)))

    own = [divided(opening.recipe, kept.least_pieces) for opening in schedule.openings]
    write_sheets(sheet_forms(own, built[0].recipe.shop, "preview", engine="quick"), tmp_path)
    apart_files, apart_pieces, apart_area = counted(tmp_path / "sheets")
    assert sums["saved_by_sharing"]["new"] == apart_files - files
    assert sums["saved_by_sharing"]["pieces_m2"] == pytest.approx(apart_area - area, rel=2e-3)
    assert (sums["apart"]["new"], sums["apart"]["pieces"]) == (apart_files, apart_pieces)
    assert sums["saved_by_nesting"] == sums["new_in_boxes"] - files
    assert sums["new_at_least"] <= files <= sums["new_in_boxes"]

    found = {"forms": [], "openings": 5, "forms_saved": 0, "layers_saved": 0, "sheets": sums, "press_days": None}
    found |= {"verdict": "All of it can be made.", "remarks": []}
    record = {"asked": {"units": "mm"}, "found": found}
    print_outcome(Outcome(record=record, built=(), stood=0, not_made=(), left_over=()))
    said = capsys.readouterr().out
    assert f"{apart_files - files} sheets and {apart_area - area:.1f}"[:-1] in said
    assert f"mdf 18 mm: {files} sheets".casefold() in said.casefold()
    word = "sheet" if files == 1 else "sheets"
    assert f"{kept.least_pieces} piece a layer: {pieces} pieces × 6 min + {files} {word} × (15 + 60) min" in said
    assert f"in boxes around the pieces they take {sums['new_in_boxes']}" in said


def test_sheets_of_each_form_are_those_that_its_pieces_lie_on(scheduled: Callable[..., Schedule]) -> None:
    building, _, kept = choose_division(plan_building(scheduled(ROWS).openings), Nesting(engine="quick"))
    assert kept is not None
    names = [form.name for form in building.forms if form.name != "C"]
    sheets, measures = lay_out(building, names, kept, Nesting(engine="quick", effort="preview"))
    found = sheets_by_form(sheets)
    assert set(found) == set(names)  # a form that could not be made has no pieces on the sheets
    assert measures.shared.pieces == len(sheets.parts)
    for name, numbers in found.items():
        on = [s.number for s in sheets.sheets if any(p.part.form == name for p in s.placements)]
        assert list(numbers) == on
