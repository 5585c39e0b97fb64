"""Layouts: never an overlap, nothing lost, offcuts first, the same in every process; on rings, boxes and real forms."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formgen.errors import SheetError
from formgen.form.model import Form
from formgen.geometry.outline import Outline
from formgen.sheets.dense import dense_installed
from formgen.sheets.division import Trial, cheapest, divided, try_pieces
from formgen.sheets.gate import check_layout
from formgen.sheets.handling import handling_of
from formgen.sheets.layout import Choice, sheet_forms, sheet_parts, sheets_in_boxes
from formgen.sheets.leftover import rests_of
from tests.sheets.shapes import RULES, box, faults_by_shapely, parts_of_outlines, ring, stock_of_size

ROOT = Path(__file__).parents[2]
needs_dense = pytest.mark.skipif(not dense_installed(), reason="packingsolver is not installed (Python 3.12 on)")
ENGINES = ["quick", pytest.param("dense", marks=needs_dense)]

pieces = st.lists(
    st.one_of(
        st.builds(ring, st.floats(150, 700), st.floats(30, 100), st.floats(0.2, 1.2)),
        st.builds(box, st.floats(20, 700), st.floats(20, 500)),
    ),
    min_size=1,
    max_size=14,
)


@pytest.mark.parametrize("engine", ENGINES)
@given(outlines=pieces, alike=st.integers(1, 3))
@settings(max_examples=25)
def test_never_an_overlap_and_nothing_lost(engine: Choice, outlines: list[Outline], alike: int) -> None:
    parts = parts_of_outlines([o for o in outlines for _ in range(alike)])
    sheets = sheet_parts(parts, [stock_of_size(2440, 1220)], RULES, "preview", engine=engine)
    assert check_layout(sheets) == []
    assert faults_by_shapely(sheets) == []
    laid = Counter(p.part.name for sheet in sheets.sheets for p in sheet.placements)
    assert laid == Counter(part.name for part in parts)
    cut = math.fsum(sheet.cut_mm2 for sheet in sheets.sheets)
    assert cut == pytest.approx(math.fsum(o.area_mm2 for o in outlines) * alike, rel=1e-12)
    moved = math.fsum(p.outline.area_mm2 for sheet in sheets.sheets for p in sheet.placements)
    assert moved == pytest.approx(cut, rel=1e-9)
    assert sum(run.at_least for run in sheets.runs) <= len(sheets.sheets)


@pytest.mark.parametrize("engine", ENGINES)
def test_real_forms_fit_and_shapely_agrees(made: Callable[[str], Form], engine: Choice) -> None:
    forms = [made("porch-door-jamb"), made("lending-desk-panel"), made("gallery-casing")]
    shop = forms[0].recipe.shop
    sheets = sheet_forms(forms, shop, "preview", engine=engine, openings={"gallery-casing": ("G-1", "G-2")})
    assert faults_by_shapely(sheets) == []
    assert {sheet.stock.board for sheet in sheets.sheets} == {"mdf-18", "mdf-3-4"}
    assert [sheet.number for sheet in sheets.sheets] == list(range(1, len(sheets.sheets) + 1))
    assert {p.part.openings for s in sheets.sheets for p in s.placements if p.part.form == "gallery-casing"} == {
        ("G-1", "G-2")
    }
    assert {run.engine for run in sheets.runs} == {engine}


def test_offcuts_are_used_first_and_no_more_than_there_are() -> None:
    parts = parts_of_outlines([box(380, 280)] * 9)
    stock = [stock_of_size(2440, 1220), stock_of_size(424, 324, quantity=2, offcut=True)]
    sheets = sheet_parts(parts, stock, RULES, "preview", engine="quick")
    assert [sheet.stock.offcut for sheet in sheets.sheets] == [True, True, False]
    assert [len(sheet.placements) for sheet in sheets.sheets] == [1, 1, 7]
    (run,) = sheets.runs
    assert (run.offcuts, run.sheets) == (2, 1)


@needs_dense
def test_the_dense_engine_uses_offcuts_first() -> None:
    parts = parts_of_outlines([box(380, 280)] * 9)
    stock = [stock_of_size(2440, 1220), stock_of_size(424, 324, quantity=2, offcut=True)]
    sheets = sheet_parts(parts, stock, RULES, "preview", engine="dense")
    assert [len(sheet.placements) for sheet in sheets.sheets] == [1, 1, 7]


def test_of_two_sizes_the_one_that_fits_better_is_taken() -> None:
    # Three boxes fill the small sheet but for the margins; the large one would be a third full.
    parts = parts_of_outlines([box(390, 370)] * 3)
    stock = [stock_of_size(2440, 1220), stock_of_size(1250, 400)]
    sheets = sheet_parts(parts, stock, RULES, "preview", engine="quick")
    assert [sheet.stock.length_mm for sheet in sheets.sheets] == [1250]


def test_what_the_stock_does_not_suffice_for_is_told() -> None:
    parts = parts_of_outlines([box(900, 400)] * 3)
    sheets = sheet_parts(parts, [stock_of_size(1000, 500, quantity=2)], RULES, "preview", engine="quick")
    assert [part.name for part in sheets.unplaced] == ["form-002 L01"]
    assert check_layout(sheets) == ["form-002 L01 is laid out 0 times, expected 1"]


@pytest.mark.parametrize("engine", ENGINES)
def test_a_piece_too_large_is_named(engine: Choice) -> None:
    parts = parts_of_outlines([box(300, 200), box(977, 400), box(100, 50)])
    with pytest.raises(SheetError, match=r"form-001 L01 is 977 × 400 mm as it lies.*976 × 476 mm"):
        sheet_parts(parts, [stock_of_size(1000, 500)], RULES, "preview", engine=engine)


@pytest.mark.parametrize("engine", ENGINES)
def test_a_piece_that_fits_to_the_last_is_laid_out(engine: Choice) -> None:
    parts = parts_of_outlines([box(976, 476)])
    sheets = sheet_parts(parts, [stock_of_size(1000, 500)], RULES, "preview", engine=engine)
    assert len(sheets.sheets[0].placements) == 1


@pytest.mark.parametrize("engine", ENGINES)
def test_only_the_rotations_that_are_allowed(engine: Choice) -> None:
    tall = parts_of_outlines([box(300, 900)] * 2)
    stock = [stock_of_size(1000, 500)]
    turned = sheet_parts(tall, stock, replace(RULES, rotations_deg=(0.0, 90.0)), "preview", engine=engine)
    assert {p.angle_deg for sheet in turned.sheets for p in sheet.placements} == {90.0}
    with pytest.raises(SheetError, match="allow other rotations"):
        sheet_parts(tall, stock, replace(RULES, rotations_deg=(0.0, 180.0)), "preview", engine=engine)


def test_two_forms_of_one_name_are_refused(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    with pytest.raises(SheetError, match="two forms are called porch-door-jamb"):
        sheet_forms([form, form], form.recipe.shop, "preview")


@pytest.mark.skipif(dense_installed(), reason="the dense engine is installed")
def test_without_the_dense_engine_it_says_so(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    shop = form.recipe.shop
    (run,) = sheet_forms([form], shop, "preview").runs
    assert (run.engine, run.why) == ("quick", "the dense one is not installed")
    with pytest.raises(SheetError, match="not installed"):
        sheet_forms([form], shop, "preview", engine="dense")


def test_grooves_that_run_out_take_their_room(made: Callable[[str], Form], changed: Callable[..., Form]) -> None:
    form = next((f for f in map(made, ("bench-back-rail", "chapel-window-half")) if _ports(f)), None)
    form = form or changed("porch-door-jamb", ("side: male", "side: male\n  way: form-bagged"))
    assert _ports(form)
    sheets = sheet_forms([form], form.recipe.shop, "preview")
    assert check_layout(sheets) == []
    assert max(part.run_out_mm for part in sheets.parts) > 5.0


def _ports(form: Form) -> int:
    return sum(len(piece.grooves) for _, piece in form.pieces)


_PRINT = """
from tests.sheets.shapes import *
from formgen.sheets.layout import sheet_parts
parts = parts_of_outlines([ring(500 + 7 * i, 80, 0.6) for i in range(9)] + [box(300, 200 + i) for i in range(6)])
s = sheet_parts(parts, [stock_of_size(1500, 900)], RULES, "normal", engine=ENGINE)
for p in (p for sheet in s.sheets for p in sheet.placements):
    print(p.part.name, p.sheet, p.angle_deg, p.dx_mm.hex(), p.dy_mm.hex())
"""


@pytest.mark.parametrize("engine", ENGINES)
def test_the_same_in_every_process(engine: str) -> None:
    outs = []
    for seed in ("1", "2"):
        env = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}
        code = _PRINT.replace("ENGINE", repr(engine))
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT, env=env
        )
        outs.append(done.stdout)
    assert outs[0].count("form-") == 15
    assert outs[0] == outs[1]


def test_more_effort_never_takes_more_sheets() -> None:
    parts = parts_of_outlines([ring(600, 90, 1.3)] * 6 + [ring(420, 90, 0.9)] * 7 + [box(700, 300)] * 5)
    counts = [
        len(sheet_parts(parts, [stock_of_size(2440, 1220)], RULES, effort, engine="quick").sheets)
        for effort in ("preview", "normal")
    ]
    assert counts[1] <= counts[0]


def test_a_division_that_goes_on_no_sheet_is_not_kept_and_blocks_stay_whole(changed: Callable[..., Form]) -> None:
    form = changed("porch-door-jamb", ("legs: 14", "legs: 4"))
    recipe = form.recipe
    ask = recipe.asked.form.model_copy(update={"body": "block", "spreader_bar": False})
    block = replace(recipe, asked=recipe.asked.model_copy(update={"form": ask}))
    assert len(divided(block, 3).layers[0].pieces) == len(divided(block, 1).layers[0].pieces)
    even, usual = (
        Trial(least_pieces=1, asked=(1,), sheets=4, offcuts=0, pieces=8, pieces_mm2=1.0, board_mm2=math.inf),
        handling_of(recipe.shop),
    )
    assert cheapest([even, replace(even, least_pieces=2, pieces=16, board_mm2=5.0)], usual).least_pieces == 2
    like = [replace(even, least_pieces=n, pieces=8 * n, board_mm2=5.0) for n in (3, 2)]
    assert cheapest(like, usual).least_pieces == 2


def test_a_recipe_of_which_no_form_can_be_made_is_left_out(made: Callable[[str], Form]) -> None:
    recipe = made("porch-door-jamb").recipe
    tiny = replace(recipe, sheet=recipe.sheet.model_copy(update={"length_mm": 30.0, "width_mm": 30.0}))
    trial = try_pieces([tiny], recipe.shop, 3, engine="quick")
    assert (trial.asked, trial.pieces) == ((None,), 0)


def test_boxes_around_the_pieces_take_what_rectpack_needs_and_never_fewer_than_the_pieces() -> None:
    """`rectpack` (best of its packings of boxes) against the boxes of the quick engine, whose grid costs up to 2 cells.

    The boxes of rings are emptier than the rings, so nesting never takes more sheets.
    """
    rectpack = pytest.importorskip("rectpack")
    parts = parts_of_outlines([ring(700 - 20 * i, 90, 0.6) for i in range(14)] * 2)
    stock = stock_of_size(2440, 1220)
    found = sheets_in_boxes(parts, [stock], RULES)
    packer = rectpack.newPacker(rotation=True)
    gap = RULES.gap_mm
    for part in parts:
        x0, y0, x1, y1 = part.piece.outline.bounds
        packer.add_rect(math.ceil(x1 - x0 + gap), math.ceil(y1 - y0 + gap))
    packer.add_bin(int(2440 - 24 + gap), int(1220 - 24 + gap), count=50)
    packer.pack()
    assert found is not None
    assert abs(found - len(packer)) <= 1
    assert len(sheet_parts(parts, [stock], RULES, "preview", engine="quick").sheets) <= found


def test_what_is_left_is_free_and_worth_keeping() -> None:
    # A box of 1000 × 500 in the corner of a sheet of 2000 × 1000: beside it 990 × 1000, above it 1000 × 490, less the
    # cutter's 10 mm, on a grid of 10 mm that errs by up to 20.
    rests = rests_of([box(1000, 500)], 2000, 1000, 10.0, 200.0)
    assert len(rests) == 2
    beside, above = rests
    assert 970 <= beside.length_mm <= 990
    assert beside.width_mm == 1000
    assert beside.x_mm >= 1010
    assert above.y_mm >= 510
    assert 470 <= above.width_mm <= 490
    assert rests_of([box(1900, 900)], 2000, 1000, 10.0, 200.0) == ()
