"""Tables of the pages: a unit said once, in the head; figures to the right; a true minus; keys that break at dots."""

from __future__ import annotations

import pytest

from formgen.outputs.html.page import Columns
from formgen.outputs.svg import tag
from formgen.outputs.templates import broken


def table(*cells: object) -> Columns:
    return Columns("", ("what", "size"), [("a", cell) for cell in cells])


@pytest.mark.parametrize(
    ("cells", "head", "written"),
    [
        (("36 3/4 in", "-1/2 in", ""), "size, in", ["36 3/4", "\u22121/2", ""]),
        (("12.5 mm", "0.8 mm", "straight"), "size, mm", ["12.5", "0.8", "straight"]),
        (("12 × 8 1/2 in", "3 × 4 in"), "size, in", ["12 × 8 1/2", "3 × 4"]),
        (("0.35 %", "1.20 %"), "size, %", ["0.35", "1.20"]),
        (("12.5 mm", "1 in"), "size", ["12.5 mm", "1 in"]),
        (("7", "14"), "size", ["7", "14"]),
    ],
)
def test_figures_have_their_unit_in_the_head(cells: tuple[str, ...], head: str, written: list[str]) -> None:
    held = table(*cells)
    assert (held.columns[1].head, held.columns[1].kind) == (head, "n")
    assert [row[1][1] for row in held.cells] == written


@pytest.mark.parametrize("cells", [("12 mm", "least radius 30 mm"), ("white oak", "ash"), ("L01, L02",), ()])
def test_words_stay_as_they_are(cells: tuple[str, ...]) -> None:
    held = table(*cells)
    assert (held.columns[1].head, held.columns[1].kind) == ("size", "")
    assert [row[1][1] for row in held.cells] == list(cells)


def test_rows_are_read_once_and_markup_is_kept() -> None:
    marked = tag("b", "12 mm")
    held = Columns("", ("file", "size"), iter([("a.dxf", marked)]), whole=("file",))
    assert held.columns[0].kind == "whole"
    assert [[cell for _, cell in row] for row in held.cells] == [["a.dxf", marked]]
    assert [attributes for row in held.cells for attributes, _ in row] == [' class="whole"', ' data-label="size"']


def test_a_head_is_escaped_where_a_card_repeats_it() -> None:
    held = Columns("", ('a"<b>',), [("x",)])
    assert held.columns[0].labelled == ' data-label="a&quot;&lt;b&gt;"'


def test_keys_break_after_dots_and_low_lines_only() -> None:
    assert broken("form.clamp_reliefs.setback") == "form.<wbr>clamp_<wbr>reliefs.<wbr>setback"
    assert broken("press.film-folds") == 'press.<wbr><span class="whole">film-folds</span>'
    assert broken("<a>.b") == "&lt;a&gt;.<wbr>b"
