"""Things flowed through columns and sides, read back by another library: order, what stays together, white between."""

from __future__ import annotations

from typing import Any

import pypdfium2 as pdfium
import pytest

from formgen.reports.press_sheet.flow import Part, Room, pages, together
from formgen.reports.press_sheet.laid import Laid, Word

MM_PER_PT = 25.4 / 72.0
SIZE = (100.0, 60.0)
COLUMNS: list[Room] = [(10.0, 10.0, 35.0, 40.0), (55.0, 10.0, 35.0, 40.0)]
SIDES = (COLUMNS, COLUMNS, [(10.0, 10.0, 80.0, 40.0)])


def part(text: str, high_mm: float, before_mm: float = 0.0, *, shown: bool = True) -> Part:
    word = Word(x_mm=0.0, y_mm=2.5, text=text, capital_mm=2.5)
    return Part(Laid(height_mm=high_mm, words=(word,)), before_mm, shown=shown)


def places(content: bytes) -> dict[str, tuple[int, float, float]]:
    """Where each text begins: page, mm from the left, mm of its base line from the top."""
    found = {}
    for number, page in enumerate(pdfium.PdfDocument(content), start=1):
        for thing in page.get_objects():
            x0, y0, _, y1 = (v * MM_PER_PT for v in thing.get_bounds())
            text = page.get_textpage().get_text_bounded(*thing.get_bounds()).strip()
            found[text] = (number, round(x0), SIZE[1] - round((y0 + y1) / 2))
    return found


def test_columns_fill_in_order_and_white_stands_between_but_not_at_the_head() -> None:
    parts: list[Any] = [part(name, 15.0, 5.0) for name in "ABCDE"]
    made = pages(SIZE, "flow", SIDES, parts)
    at = places(made.content)
    assert made.count == 2
    assert made.columns == ((1, 40.0, 5.0), (1, 40.0, 5.0), (2, 40.0, 25.0))
    assert [at[name][:2] for name in "ABCDE"] == [(1, 10), (1, 10), (1, 55), (1, 55), (2, 10)]
    assert at["A"][2] == at["C"][2] == at["E"][2]
    assert at["B"][2] - at["A"][2] == pytest.approx(20.0, abs=1.0)


def test_what_belongs_together_begins_a_new_column_and_only_what_fits_none_is_broken() -> None:
    block = [part("B", 15.0), part("C", 15.0)]
    whole = places(pages(SIZE, "flow", SIDES, [part("A", 15.0), *together(block)]).content)
    assert [whole[name][1] for name in "ABC"] == [10, 55, 55]
    broken = places(pages(SIZE, "flow", SIDES, [part("A", 15.0), *together(block, 1)]).content)
    assert [broken[name][1] for name in "ABC"] == [10, 10, 55]
    tall = places(pages(SIZE, "flow", SIDES, together([part(name, 18.0) for name in "ABC"])).content)
    assert [tall[name][:2] for name in "ABC"] == [(1, 10), (1, 10), (1, 55)]


def test_lists_stand_behind_without_a_head_and_heads_know_their_side() -> None:
    heads: list[int] = []
    lists = [part("L", 15.0), part("M", 30.0)]
    made = pages(SIZE, "flow", SIDES, [part(n, 30.0) for n in "ABC"], lists, lambda _, side: heads.append(side))
    at = places(made.content)
    assert (made.count, heads) == (4, [1, 2])
    assert (at["C"][0], at["L"][0], at["M"][0]) == (2, 3, 4)


def test_what_is_only_counted_takes_its_room_and_is_not_drawn() -> None:
    made = pages(SIZE, "", SIDES, [part(n, 30.0, shown=False) for n in "ABC"])
    assert (made.count, places(made.content)) == (2, {})
