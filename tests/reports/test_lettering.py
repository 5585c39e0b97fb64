"""Letters as they print and as they are engraved: what is told apart, how high and how heavy it is.

Pixels by PDFium, outlines by fontTools. Sizes are those of the face: 1024 units, capitals of 736. Engraved letters are
lines.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from formgen.drafting import paper
from formgen.drafting.paper import FACES, FILES, FINE_MM, TEXT_MM, face_size, new_pdf
from formgen.drafting.text import showable
from formgen.drafting.typeset import typeset
from formgen.form.marking.lettering import strokes_of

TTLIB, BOUNDS = pytest.importorskip("fontTools.ttLib"), pytest.importorskip("fontTools.pens.boundsPen")
FONTS = Path(paper.__file__).parent / "fonts"
Picture = NDArray[np.float64]
#: What a coarse printer puts on paper (dots to the inch), and in how many parts of a dot letters are pushed over each
#: other.
DPI, FINER = 150.0, 4
#: Ink of two letters that lies elsewhere, of the ink of both, however they are pushed over each other along the line.
#: With one bare stroke for 1, l and I it was 0 to 0.03; of b and h, which nobody mixes up, it is 0.12 to 0.21.
APART = 0.17
#: Height of a capital, and how far a round letter passes it, as O does (units).
CAPITAL, ROUND = 736, 9
RAISED, LOWERED = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"


def inked(text: str, face: str, capital_mm: float = TEXT_MM, dpi: float = DPI, lines: int = 1) -> Picture:
    """Shares of ink on each pixel of lines of text, the first base line a letter's height above the lower edge."""
    wide, high = 2.0 * capital_mm + 0.75 * capital_mm * len(text) / lines, 3.0 * capital_mm * lines
    with new_pdf(wide, high, "letters") as pdf:
        if face == "engraved":
            pdf.canvas.setLineWidth(0.1 * capital_mm)
            for stroke in strokes_of(text, (capital_mm, capital_mm), capital_mm):
                for (x0, y0), (x1, y1) in pairwise(stroke):
                    pdf.canvas.line(x0, y0, x1, y1)
        else:
            pdf.canvas.setFont(face, face_size(capital_mm))
            for i, part in enumerate(text.split("\n")):
                pdf.canvas.drawString(capital_mm, capital_mm * (1.0 + 3.0 * i), part)
    picture = pdfium.PdfDocument(pdf.content)[0].render(scale=dpi / 72.0).to_numpy()
    return 1.0 - picture.mean(axis=2) / 255.0


def reach(sign: str, face: str) -> tuple[float, float]:
    """The lowest and the highest ink of a sign over its base line, from its outline (units)."""
    font = TTLIB.TTFont(FONTS / FILES[face])
    signs = font.getGlyphSet()
    pen = BOUNDS.BoundsPen(signs)
    signs[font.getBestCmap()[ord(sign)]].draw(pen)
    return pen.bounds[1], pen.bounds[3]


def stem(letter: str, face: str) -> float:
    """The ink of a letter across, a third up a capital (units)."""
    picture = inked(letter, face, 20.0, 25.4 * 184 / 20.0)
    return float(picture[picture.shape[0] - 184 - 62].sum()) * CAPITAL / 184


def apart(a: Picture, b: Picture) -> float:
    """The ink that lies elsewhere on the printer's pixels, of the ink of both; the least of all places on it."""
    fixed, shifted = coarse(a), (coarse(np.roll(b, by, axis=1)) for by in range(-6 * FINER, 6 * FINER))
    return min(float(np.abs(fixed - other).sum()) for other in shifted) / float(coarse(a + b).sum())


def coarse(picture: Picture) -> Picture:
    """The picture in the printer's pixels."""
    high, wide = (side // FINER for side in picture.shape)
    return picture[: high * FINER, : wide * FINER].reshape(high, FINER, wide, FINER).mean(axis=(1, 3))


@pytest.mark.parametrize("face", [*FACES.values(), "engraved"])
def test_one_and_l_and_i_are_told_apart_at_the_bench(face: str) -> None:
    pictures = {letter: inked(letter, face, dpi=FINER * DPI) for letter in "1lI"}
    found = {a + b: round(apart(pictures[a], pictures[b]), 3) for a, b in combinations(pictures, 2)}
    assert min(found.values()) > APART, found


@pytest.mark.parametrize("face", FACES.values())
def test_the_letters_of_one_stroke_are_as_high_and_as_heavy_as_the_others(face: str) -> None:
    for letter in "H1lI":
        assert reach(letter, face) == pytest.approx((0, CAPITAL), abs=1), letter
    for letter in "1lI":
        assert stem(letter, face) == pytest.approx(stem("H", face) / 2, rel=0.02), letter


@pytest.mark.parametrize("face", FACES.values())
def test_figures_of_fractions_reach_from_the_base_line_to_the_height_of_a_capital(face: str) -> None:
    high = 0.72 * CAPITAL
    assert showable(RAISED + LOWERED + "⁄−\u2009", face) == RAISED + LOWERED + "⁄−\u2009"
    for figure in RAISED:
        assert reach(figure, face) == pytest.approx((CAPITAL - high, CAPITAL), abs=ROUND), figure
    for figure in LOWERED:
        assert reach(figure, face) == pytest.approx((0, high), abs=ROUND), figure
    assert reach("⁄", face) == pytest.approx((0, CAPITAL), abs=1)
    # in text that is read at the bench, a fraction's figures are no smaller than what is read at a desk
    assert high / CAPITAL * TEXT_MM >= FINE_MM - 1e-9


@pytest.mark.parametrize("face", FACES.values())
def test_figures_of_no_fraction_touch_each_other_or_the_stroke(face: str) -> None:
    fractions = [f"{top}/{bottom}" for bottom in (2, 4, 8, 16, 32, 64) for top in range(1, bottom, 2)]
    text = "\n".join(fractions)
    _, found = ndimage.label(inked(text, face, TEXT_MM, 300.0, len(fractions)) > 0.5, np.ones((3, 3)))
    assert found == sum(len(typeset(fraction)) for fraction in fractions)
