"""The check after placement: a good layout passes, and each way of spoiling it is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from formgen.form.stack import Groove
from formgen.geometry.outline import Outline
from formgen.sheets.gate import check_layout
from formgen.sheets.model import CutSheet, Part, Placement, Sheets
from tests.sheets.shapes import RULES, box, parts_of_outlines, ring, stock_of_size

STOCK = stock_of_size(1000, 500)


def laid(placements: list[Placement], parts: list[Part]) -> Sheets:
    """A layout on one sheet."""
    sheet = CutSheet(number=1, stock=STOCK, placements=tuple(placements))
    return Sheets(parts=tuple(parts), stock=(STOCK,), rules=RULES, sheets=(sheet,), runs=(), unplaced=())


def two(dx_mm: float, angle_deg: float = 0.0) -> tuple[list[Placement], list[Part]]:
    """Two boxes of 100 × 60, the second `dx_mm` to the right of the first, which keeps 12 mm from the corner."""
    parts = parts_of_outlines([box(100, 60), box(100, 60)])
    first = Placement(part=parts[0], sheet=1, angle_deg=0.0, dx_mm=12.0, dy_mm=12.0)
    return [first, Placement(part=parts[1], sheet=1, angle_deg=angle_deg, dx_mm=12.0 + dx_mm, dy_mm=12.0)], parts


def test_a_layout_that_keeps_its_distances_passes() -> None:
    assert check_layout(laid(*two(115.0))) == []


@pytest.mark.parametrize(
    ("dx", "says"), [(114.999, "14.999 mm apart, expected 15.000"), (100.0, "overlap or touch"), (0.0, "overlap")]
)
def test_pieces_too_near_each_other(dx: float, says: str) -> None:
    (line,) = check_layout(laid(*two(dx)))
    assert line.startswith("sheet 1: form-000 L01 and form-001 L01")
    assert says in line


def test_rings_too_near_along_their_arcs() -> None:
    # One inside the other about one centre: 300 - 40 - 245 = 15 apart passes, 14.9 does not.
    for radius, good in ((245.0, True), (245.1, False)):
        parts = parts_of_outlines([ring(300, 40, 0.5), ring(radius, 40, 0.4)])
        placements = [Placement(part=p, sheet=1, angle_deg=0.0, dx_mm=400.0, dy_mm=0.0) for p in parts]
        assert (check_layout(laid(placements, parts)) == []) is good


def test_a_piece_too_near_the_edge() -> None:
    placements, parts = two(115.0)
    moved = [replace(placements[0], dx_mm=11.99), placements[1]]
    (line,) = check_layout(laid(moved, parts))
    assert line == "sheet 1: form-000 L01 comes within 11.990 mm of the sheet's edge, expected 12.000"


def test_mirrored_turned_and_mistaken_pieces() -> None:
    placements, parts = two(200.0)
    assert "mirrored" in check_layout(laid([placements[0], replace(placements[1], mirrored=True)], parts))[0]
    assert "turned by 45 degrees" in check_layout(laid([placements[0], replace(placements[1], angle_deg=45)], parts))[0]
    thick = replace(parts[1], thickness_mm=19.0)
    lines = check_layout(laid([placements[0], replace(placements[1], part=thick)], [parts[0], thick]))
    assert "is of mdf 19 mm, but the sheet of mdf 18 mm" in lines[0]
    elsewhere = laid([placements[0], replace(placements[1], sheet=2)], parts)
    assert "says that it lies on sheet 2" in check_layout(elsewhere)[0]


def test_parts_left_out_and_laid_out_twice() -> None:
    placements, parts = two(115.0)
    assert check_layout(laid(placements[:1], parts)) == ["form-001 L01 is laid out 0 times, expected 1"]
    twice = [*placements, replace(placements[0], dx_mm=400.0)]
    assert check_layout(laid(twice, parts)) == ["form-000 L01 is laid out 2 times, expected 1"]


def test_more_sheets_than_there_are() -> None:
    placements, parts = two(115.0)
    stock = replace(STOCK, quantity=0)
    sheet = CutSheet(number=1, stock=stock, placements=tuple(placements))
    layout = Sheets(parts=tuple(parts), stock=(stock,), rules=RULES, sheets=(sheet,), runs=(), unplaced=())
    assert "1 of mdf 1000 × 500 mm are taken, but there are 0" in check_layout(layout)[0]


@pytest.mark.parametrize(("run_out", "good"), [(10.0, True), (10.01, False)])
def test_a_groove_that_runs_out_keeps_the_margin_from_its_neighbour(run_out: float, *, good: bool) -> None:
    # Pieces 15 apart; the groove runs out towards the other and must keep the margin of 5 from it.
    placements, parts = two(115.0)
    slot = Outline(((50, 20, 0), (100 + run_out, 20, 0), (100 + run_out, 28, 0), (50, 28, 0)))
    groove = Groove(outline=slot, cleared=slot, width_mm=8.0, depth_mm=6.0)
    grooved = replace(parts[0], piece=replace(parts[0].piece, grooves=(groove,)))
    assert grooved.run_out_mm == pytest.approx(run_out, abs=1e-9)
    found = check_layout(laid([replace(placements[0], part=grooved), placements[1]], [grooved, parts[1]]))
    assert (found == []) is good
