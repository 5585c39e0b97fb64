"""Lines of text for paper: what fits, what stays together, what the face lacks; widths by the font's own table."""

from __future__ import annotations

import io
import re
from pathlib import Path

import ezdxf
import pypdfium2 as pdfium
import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.drafting import paper
from formgen.drafting.ink import Sheet, Words
from formgen.drafting.paper import FILES, NARROW
from formgen.drafting.text import broken, fitting, showable, wide
from formgen.drafting.to_pdf import pdf_of
from formgen.drafting.typeset import typeset
from formgen.outputs.dxf.paper import drawing_bytes
from tests.reports.plain_text import plain

TTLIB = pytest.importorskip("fontTools.ttLib")


@pytest.mark.parametrize("face", FILES)
def test_widths_are_the_fonts_own(face: str) -> None:
    font = TTLIB.TTFont(Path(paper.__file__).parent / "fonts" / FILES[face])
    names, advances = font.getBestCmap(), font["hmtx"]
    for text, printed in {
        "36 3/4 in ± 0.8 mm": "36\u2009³⁄₄ in ± 0.8 mm",
        "-12 5/32 to -3": "−12\u2009⁵⁄₃₂ to −3",
    }.items():
        units = sum(advances[names[ord(c)]][0] for c in printed)
        # a capital of 736 units is 2.5 mm high
        assert wide(text, 2.5, face) == pytest.approx(units * 2.5 / 736, rel=0.002)


@pytest.mark.parametrize(
    ("text", "printed"),
    {
        "11 1/2 in": "11\u2009¹⁄₂ in",
        "11\u00a01/2 in": "11\u2009¹⁄₂ in",
        "to 1/64 in, x -17 11/16 to 17 11/16": "to ¹⁄₆₄ in, x −17\u2009¹¹⁄₁₆ to 17\u2009¹¹⁄₁₆",
        "(-1/2, -0.5)": "(−¹⁄₂, −0.5)",
        "R1 13 3/64": "R1 13\u2009³⁄₆₄",
        "0.125 thick": "0.125 thick",
        "mg/m³, lb per 1000 ft²": "mg/m³, lb per 1000 ft²",
        "A-404, N-301-shared, 3-5, 94-110": "A-404, N-301-shared, 3-5, 94-110",
        "layers/1/2.dxf, 12/5/2026, 2026-05-01, A3/4": "layers/1/2.dxf, 12/5/2026, 2026-05-01, A3/4",
        "1 : 8, ±1/32": "1 : 8, ±¹⁄₃₂",
    }.items(),
)
def test_fractions_are_raised_and_lowered_and_a_minus_is_true(text: str, printed: str) -> None:
    assert typeset(text) == printed
    assert typeset(printed) == printed
    assert plain(printed) == text.replace("\u00a0", " ")


def test_whoever_draws_on_paper_writes_plain_and_a_drawing_for_others_stays_plain() -> None:
    words = [
        Words(text="-11 1/2 in", at=(50.0, y), height_mm=2.5, anchor=a)
        for y, a in ((10.0, "left"), (20.0, "middle"), (30.0, "right"))
    ]
    sheet = Sheet(width_mm=100.0, height_mm=40.0, inks=tuple(words))
    page = pdfium.PdfDocument(pdf_of([sheet], "signs"))[0]
    boxes = [thing.get_bounds() for thing in page.get_objects()]
    assert page.get_textpage().get_text_range().split("\r\n") == ["−11\u2009¹⁄₂ in"] * 3
    assert [round((box[2] - box[0]) * 25.4 / 72, 1) for box in boxes] == [
        pytest.approx(wide("-11 1/2 in", 2.5), abs=0.7)
    ] * 3
    texts = ezdxf.read(io.StringIO(drawing_bytes([sheet], 1.0, "in").decode())).modelspace().query("TEXT")
    assert [text.dxf.text for text in texts] == ["-11 1/2 in"] * 3
    assert all(0.7 < text.dxf.width < 0.9 for text in texts)


def test_a_fraction_is_never_broken() -> None:
    for width in (4.0, 6.0, 9.0, 12.0):
        lines = broken("overhangby11 1/2x23/32beyond", width, 2.5)
        assert sum(line.count("1/2") + line.count("23/32") for line in lines) == 2


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=200), st.floats(5.0, 90.0))
def test_no_line_is_longer_than_its_width_and_no_letter_is_lost(text: str, width: float) -> None:
    lines = broken(text, width, 2.0)
    assert all(wide(line, 2.0) <= width + 1e-9 or re.fullmatch(r".|\d+/\d+", line) for line in lines)
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
