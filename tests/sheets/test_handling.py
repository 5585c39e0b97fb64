"""Pieces a layer by what they cost: sums by hand, and the same ring in shops with dear sheets and with dear minutes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from formgen.amounts import time_text
from formgen.errors import RecipeError
from formgen.form.model import Form
from formgen.sheets.division import Trial, cheapest, divided, division_text, try_pieces
from formgen.sheets.handling import Handling, handling_of
from formgen.sheets.layout import sheet_forms


def trial(least: int, pieces: int, sheets: int, offcuts: int = 0) -> Trial:
    """A trial that goes on its sheets, each of 3 m²."""
    return Trial(
        least_pieces=least, asked=(least,), sheets=sheets, offcuts=offcuts, pieces=pieces, pieces_mm2=1.0,
        board_mm2=3e6 * sheets,
    )  # fmt: skip


#: Three pieces a ring save four sheets: 24 rings of 8 layers, 21 sheets or 17.
RINGS = [trial(1, 192, 21), trial(3, 576, 17)]


@pytest.mark.parametrize(
    ("handling", "minutes", "kept"),
    [
        # 192 × 6 + 21 × 75 = 2727; 576 × 6 + 17 × 75 = 4731: dear
        (Handling(piece_min=6, sheet_min=15, sheet_worth_min=60), (2727, 4731), 1),
        # 192 × 0.5 + 21 × 75 = 1671; 576 × 0.5 + 17 × 75 = 1563
        (Handling(piece_min=0.5, sheet_min=15, sheet_worth_min=60), (1671, 1563), 3),
        # 192 × 6 + 21 × 615 = 14 067; 576 × 6 + 17 × 615 = 13 911
        (Handling(piece_min=6, sheet_min=15, sheet_worth_min=600), (14067, 13911), 3),
        # 192 × 6 + 21 × 575 = 13 227; 576 × 6 + 17 × 575 = 13 231: four minutes dearer
        (Handling(piece_min=6, sheet_min=15, sheet_worth_min=560), (13227, 13231), 1),
    ],
)
def test_three_pieces_a_ring_for_four_sheets(handling: Handling, minutes: tuple[int, int], kept: int) -> None:
    assert tuple(t.minutes(handling) for t in RINGS) == minutes
    assert cheapest(RINGS, handling).least_pieces == kept


def test_an_offcut_costs_its_handling_only_and_what_does_not_go_is_never_taken() -> None:
    handling = Handling(piece_min=6, sheet_min=15, sheet_worth_min=60)
    assert trial(1, 8, 1, offcuts=2).minutes(handling) == 8 * 6 + 75 + 2 * 15
    lacks = replace(trial(1, 8, 1), board_mm2=math.inf)
    assert cheapest([lacks, trial(3, 24, 5)], handling).least_pieces == 3


def test_of_like_sums_the_one_with_less_board() -> None:
    """8 × 6 + 4 × 12 = 96 = 12 × 6 + 2 × 12."""
    handling = Handling(piece_min=6, sheet_min=2, sheet_worth_min=10)
    assert cheapest([trial(1, 8, 4), trial(2, 12, 2)], handling).least_pieces == 2


def test_dear_sheets_get_more_pieces_and_dear_minutes_fewer(changed: Callable[..., Form]) -> None:
    """A jamb's ring, laid out: in one piece each has nearly a sheet to itself, in three they slip into one another."""

    def chosen(times: str) -> Trial:
        form = changed("porch-door-jamb", ("legs: 14", "legs: 4"), shop=(("units: mm\n", f"units: mm\n{times}\n"),))
        recipe = form.recipe
        trials = [try_pieces([recipe], recipe.shop, count, engine="quick") for count in (1, 3)]
        assert trials[1].pieces == 3 * trials[0].pieces
        assert trials[1].pieces_mm2 == pytest.approx(trials[0].pieces_mm2, rel=1e-9)  # the same layers, cut apart
        assert trials[1].sheets < trials[0].sheets
        kept = cheapest(trials, handling_of(recipe.shop))
        made = sheet_forms([divided(recipe, kept.least_pieces)], recipe.shop, "preview", engine="quick")
        assert (made.new_sheets, len(made.parts)) == (kept.sheets, kept.pieces)
        return kept

    assert chosen("sheet_is_worth: 10 h").least_pieces == 3
    assert chosen("times: {piece: 1 h}").least_pieces == 1


def test_the_shop_says_its_minutes_and_what_it_does_not_say_is_named(changed: Callable[..., Form]) -> None:
    usual = handling_of(changed("porch-door-jamb").recipe.shop)
    assert (usual.piece_min, usual.sheet_min, usual.sheet_worth_min) == (6.0, 15.0, 60.0)
    assert usual.usual_text == "usual minutes: set times.piece, times.sheet, sheet_is_worth in the shop file"
    said = "times: {piece: 90 s, sheet: 0.5 h}\nsheet_is_worth: 2 hours"
    own = handling_of(changed("porch-door-jamb", shop=(("units: mm\n", f"units: mm\n{said}\n"),)).recipe.shop)
    assert (own.piece_min, own.sheet_min, own.sheet_worth_min, own.usual_text) == (1.5, 30.0, 120.0, "")


@pytest.mark.parametrize(
    ("typed", "said"), [("6", "with its unit"), ("-6 min", "without a sign"), ("0 min", "above 0"), ("101 h", "100 h")]
)
def test_minutes_need_their_unit(changed: Callable[..., Form], typed: str, said: str) -> None:
    with pytest.raises(RecipeError, match=rf"times\.piece.*{said}"):
        changed("porch-door-jamb", shop=(("units: mm\n", f"units: mm\ntimes: {{piece: {typed}}}\n"),))


def test_the_sum_that_decided_is_written_out() -> None:
    handling = Handling(piece_min=6, sheet_min=15, sheet_worth_min=60, usual=("sheet_is_worth",))
    lacks = replace(trial(2, 384, 0), board_mm2=math.inf)
    assert division_text([RINGS[0], lacks, RINGS[1]], RINGS[0], handling) == (
        "1 piece a layer: 192 pieces × 6 min + 21 sheets × (15 + 60) min = 45 h 27 min; 2 a layer: not enough sheets; "
        "3 a layer: 576 pieces × 6 min + 17 sheets × (15 + 60) min = 79 h "
        "(usual minutes: set sheet_is_worth in the shop file)"
    )
    assert handling.sum_text(8, 1, 2) == "8 pieces × 6 min + 1 sheet × (15 + 60) min + 2 offcuts × 15 min = 2 h 33 min"


@pytest.mark.parametrize(
    ("minutes", "text"),
    [(0, "0 min"), (90, "90 min"), (119.6, "2 h"), (200, "3 h 20 min"), (1440, "24 h"), (2880, "48 h"), (4731, "79 h")],
)
def test_work_is_said_in_hours_and_minutes(minutes: float, text: str) -> None:
    assert time_text(minutes) == text
