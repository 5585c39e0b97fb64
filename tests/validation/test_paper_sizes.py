"""Paper, scales, lettering and line widths against the published standards (from memory).

ISO 216 (A sizes), ANSI/ASME Y14.1 (letter A, tabloid B), ISO 3098-1 (heights of letters), ISO 128-2 (line widths: a row
in steps of the root of 2, wide to narrow 2 : 1).
"""

from __future__ import annotations

import math

import pypdfium2 as pdfium
import pytest

from formgen.drafting.dimension import LEVEL_MM
from formgen.drafting.ink import PENS
from formgen.drafting.paper import FINE_MM, HEAD_MM, LETTERING_MM, NAME_MM, SIZES_MM, TEXT_MM, face_size, new_pdf
from formgen.drafting.title import NAMES_MM

#: ISO 128-2: 0.13 to 2 mm.
LINE_WIDTHS_MM = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
#: ISO 3098-1.
HEIGHTS_MM = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)


def test_a_sizes_halve_a_square_metre() -> None:
    """ISO 216: A0 is 1 m² with sides 1 : √2; each size is half the one before, in whole mm."""
    wide, high = math.sqrt(1e6 / math.sqrt(2)), math.sqrt(1e6 * math.sqrt(2))
    for number in range(5):
        if number:
            wide, high = high / 2, wide
        if f"A{number}" in SIZES_MM:
            assert SIZES_MM[f"A{number}"] == pytest.approx((math.floor(wide + 0.2), math.floor(high + 0.2)), abs=1.0)
    assert SIZES_MM["A4"] == (210.0, 297.0)
    assert SIZES_MM["A3"] == (297.0, 420.0)


def test_inch_sizes() -> None:
    assert SIZES_MM["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert SIZES_MM["tabloid"] == pytest.approx((11 * 25.4, 17 * 25.4))


@pytest.mark.parametrize("paper", list(SIZES_MM))
def test_the_page_in_the_file_has_that_size(paper: str) -> None:
    """A unit of a PDF page is 1/72 in (PDF 1.7, 8.3.2.3)."""
    with new_pdf(*SIZES_MM[paper], "page") as pdf:
        pass
    page = pdfium.PdfDocument(pdf.content)[0]
    assert (page.get_width() / 72 * 25.4, page.get_height() / 72 * 25.4) == pytest.approx(SIZES_MM[paper], abs=0.001)


def test_letters_have_heights_of_the_row() -> None:
    assert LETTERING_MM == HEIGHTS_MM
    assert {FINE_MM, TEXT_MM, HEAD_MM, NAME_MM, *NAMES_MM} <= set(HEIGHTS_MM)


def test_capitals_are_as_high_as_they_are_asked_for() -> None:
    """The height of an H in the page, as PDFium finds its edges."""
    with new_pdf(100.0, 100.0, "H") as pdf:
        pdf.canvas.setFont("Bench Gothic", face_size(20.0))
        pdf.canvas.drawString(10.0, 10.0, "H")
    page = pdfium.PdfDocument(pdf.content)[0]
    thing = next(iter(page.get_objects()))
    _, y0, _, y1 = thing.get_bounds()
    assert (y1 - y0) / 72 * 25.4 == pytest.approx(20.0, abs=0.02)


def test_lines_have_widths_of_the_row_and_stand_two_to_one() -> None:
    widths = {pen.width_mm for pen in PENS.values() if pen.width_mm}
    assert widths <= set(LINE_WIDTHS_MM)
    assert PENS["EDGES"].width_mm / PENS["SIZES"].width_mm == 2.0


def test_dimension_lines_stand_apart_by_twice_their_letters() -> None:
    """ISO 129-1: parallel dimension lines leave room for their figures; 7 mm for figures of 2.5 (from memory)."""
    assert LEVEL_MM >= 2 * 2.5
