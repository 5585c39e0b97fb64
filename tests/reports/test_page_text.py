"""Lines of text for paper: what fits, what stays together, what the face lacks; widths by the font's own table."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.drafting import paper
from formgen.drafting.paper import LEANING, NARROW, PLAIN
from formgen.drafting.text import broken, fitting, showable, wide

TTLIB = pytest.importorskip("fontTools.ttLib")
FACES = {PLAIN: "bench-gothic.ttf", NARROW: "bench-gothic-narrow.ttf", LEANING: "bench-gothic-half-italic.ttf"}


@pytest.mark.parametrize("face", FACES)
def test_widths_are_the_fonts_own(face: str) -> None:
    font = TTLIB.TTFont(Path(paper.__file__).parent / "fonts" / FACES[face])
    names, advances = font.getBestCmap(), font["hmtx"]
    text = "36 3/4 in ± 0.8 mm"
    units = sum(advances[names[ord(c)]][0] for c in text)
    # a capital of 736 units is 2.5 mm high
    assert wide(text, 2.5, face) == pytest.approx(units * 2.5 / 736, rel=0.002)


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=200), st.floats(5.0, 90.0))
def test_no_line_is_longer_than_its_width_and_no_letter_is_lost(text: str, width: float) -> None:
    lines = broken(text, width, 2.0)
    assert all(wide(line, 2.0) <= width + 1e-9 or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(showable(text).replace("\u00a0", " ").split())


def test_an_amount_stays_with_its_unit() -> None:
    for width in (18, 22, 26, 30, 40, 60):
        lines = broken("set it to 36 3/4 in and wait 24.0 h at 21 °C", width, 2.5)
        for amount in ("36 3/4 in", "24.0 h", "21 °C"):
            if wide(amount, 2.5) <= width:
                assert any(amount in line for line in lines), (width, lines)


def test_what_the_face_lacks_is_replaced() -> None:
    assert showable("3/4 in, R ≤ 2 m, ⌀ 10") == "3/4 in, R at most 2 m, ⌀ 10"
    assert showable("木 ash") == "? ash"


def test_a_line_shrinks_or_narrows_until_it_fits() -> None:
    text = "three-centred, measured on the outside face"
    capital, face = fitting(text, wide(text, 2.5) - 0.1, (2.5, 2.0))
    assert (capital, face) == (2.5, NARROW)
    assert fitting(text, 1.0, (2.5, 2.0)) == (2.0, NARROW)
