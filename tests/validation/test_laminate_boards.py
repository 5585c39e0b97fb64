"""Resawing: the yield formula against cutting a board slice by slice, board feet against pint's.

Sources: n = ⌊(T + k)/(t + p + k)⌋, computed; board foot of pint (1 ft × 1 ft × 1 in).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.laminate.boards import BOARD_FOOT_MM3, plies_per_board
from formgen.laminate.plies import Laminate

Laminated = Callable[..., Laminate]
OAK = "wood: white oak, thickness: 19.2, plies: 6"


def test_the_reference_board(laminated: Laminated) -> None:
    """25.4 mm board, 3.2 mm ply, 1.2 mm kerf, 0.8 mm planing: 5, yield 63 %; with a 3.2 mm kerf 3 (computed)."""
    assert plies_per_board(25.4, 3.2, 1.2, 0.8) == 5
    assert plies_per_board(25.4, 3.2, 3.2, 0.8) == 3
    (plan,) = laminated("{kind: quarter, radius: 600}", OAK).materials.resaw
    assert plan.from_a_strip == 5
    assert plan.yield_ratio == pytest.approx(5 * 3.2 / 25.4)
    assert round(100 * plan.yield_ratio) == 63
    (plan,) = laminated("{kind: quarter, radius: 600}", OAK, shop="boards: {kerf: 3.2}").materials.resaw
    assert plan.from_a_strip == 3


@given(st.integers(10, 800), st.integers(5, 80), st.integers(0, 40), st.integers(0, 20))
def test_slice_by_slice(board: int, ply: int, kerf: int, planing: int) -> None:
    """Independent: saw off plies one after another, in whole tenths of a millimetre, while the rest is thick enough."""
    left, count = board, 0
    while left >= ply + planing:
        left -= ply + planing + kerf  # the cut after the last ply may run into air
        count += 1
    assert plies_per_board(board / 10, ply / 10, kerf / 10, planing / 10) == count


def test_a_board_foot_is_pints() -> None:
    by_pint = pint.UnitRegistry()("1 board_foot").to("mm**3").magnitude
    assert by_pint == pytest.approx(BOARD_FOOT_MM3, rel=1e-12)


def test_cut_list_worked_by_hand(laminated: Laminated) -> None:
    """Six plies and two spares, R 600 and s = 1/36: the outermost is longest, lengths kept on the centre line."""
    found = laminated(
        "{kind: quarter, radius: 600}",
        f"{OAK}, spares: 2",
        part="edge_trim: 4, end_trim: 30",
        shop="boards: {width: 150, length: 2440}",
    )
    cuts, (plan,) = found.materials.cuts, found.materials.resaw
    assert [c.ply for c in cuts] == [1, 2, 3, 4, 5, 6, 0]
    assert [c.count for c in cuts] == [1] * 6 + [2]
    assert {c.width_mm for c in cuts} == {60 + 2 * 4}
    for cut, offset in zip(cuts, (8.0, 4.8, 1.6, -1.6, -4.8, -8.0, -8.0), strict=False):
        # centre line keeps 600 · 90°; the pressed sweep is 90°/(1 − 1/36)
        expected = math.pi / 2 * 600 - math.pi / 2 * 36 / 35 * offset + 60
        assert cut.length_mm == pytest.approx(expected, rel=1e-12)
    assert (plan.plies, plan.strips) == (8, 2)
    # Two strips of 68 mm side by side in a board of 150 mm, and two lengths of 1.02 m out of 2.44 m
    assert plan.boards == 1
    by_pint = pint.UnitRegistry()
    volume = 2 * 25.4 * 68 * cuts[-1].length_mm * by_pint.mm**3
    assert plan.board_feet == pytest.approx(volume.to("board_foot").magnitude, rel=1e-9)


def test_pointed_arches_are_cut_for_both_halves(laminated: Laminated) -> None:
    found = laminated("{kind: pointed, span: 1000}", OAK)
    assert [c.count for c in found.materials.cuts] == [2] * 6 + [1]
    assert found.materials.resaw[0].plies == 13


def test_no_spares(laminated: Laminated) -> None:
    found = laminated("{kind: quarter, radius: 600}", f"{OAK}, spares: 0")
    assert [c.ply for c in found.materials.cuts] == [1, 2, 3, 4, 5, 6]
    assert found.materials.resaw[0].plies == 6


@pytest.mark.parametrize(
    ("boards", "words", "limit"),
    [
        ("thickness: 3.9", "boards 4.00 mm thick", 3.9), ("width: 60", "boards 66.0 mm wide", 60),
        ("length: 900", "mm long", 900), ("thickness: 4", None, None),
    ],
)  # fmt: skip
def test_boards_that_do_not_do(laminated: Laminated, boards: str, words: str | None, limit: float | None) -> None:
    found = laminated("{kind: quarter, radius: 600}", OAK, shop=f"boards: {{{boards}}}")
    said = [f for f in found.findings if f.code == "laminate.boards"]
    assert len(said) == (words is not None)
    if words is not None:
        assert words in said[0].message
        assert said[0].limit == limit
    if boards == "thickness: 3.9":
        assert (found.materials.resaw[0].from_a_strip, found.materials.resaw[0].strips) == (0, 0)


def test_a_stack_of_two_woods_has_a_plan_for_each(laminated: Laminated) -> None:
    plies = (
        "plies: [{thickness: 2, wood: black walnut}, {count: 4, thickness: 3, wood: yellow-poplar}, "
        "{thickness: 0.8, wood: black walnut}]"
    )
    plans = laminated("{kind: quarter, radius: 700}", plies).materials.resaw
    assert [(p.wood, p.thickness_mm, p.plies) for p in plans] == [("black walnut", 2.0, 2), ("yellow-poplar", 3.0, 5)]
