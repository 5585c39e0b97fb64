"""Drafting: paper, pen and letters for every PDF: sizes, margins, line widths, the drafting face.

In: a size and a title. Out: a canvas whose bytes depend on nothing but what is drawn. Lengths on paper are in mm, from
the lower left corner of the page. Lettering heights and line widths follow ISO 3098-1 and ISO 128-2 (from memory).
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from typing import Any

from formgen.drafting.typeset import typeset
from formgen.fixed import fixed

#: Points in a millimetre of paper: 72 to the inch of 25.4 mm.
PT_PER_MM = 72.0 / 25.4
#: Sizes of paper, upright (mm): ISO 216 A4 and A3, ANSI/ASME Y14.1 A (letter) and B (tabloid).
SIZES_MM: dict[str, tuple[float, float]] = {
    "letter": (8.5 * 25.4, 11.0 * 25.4),
    "tabloid": (11.0 * 25.4, 17.0 * 25.4),
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
}
#: Heights of capitals in which drawings are lettered (ISO 3098-1), the least first (mm).
LETTERING_MM = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
#: Which of them is for what: sources and check sums at a desk; text, sizes and warnings; heads; names; a figure to act
#: on and the one figure to set, which are read across the bench (mm). At 650 mm a capital of 2.2 mm is the least.
FINE_MM, TEXT_MM, HEAD_MM, NAME_MM, ACT_MM, SET_MM = 1.8, 2.5, 3.5, 5.0, 9.0, 14.0
#: The step on which everything stands, and white to the paper's edge (mm).
STEP_MM, MARGIN_MM = 4.0, 12.0
#: Widths of lines: hatching, dimensions and the part, cut edges, the frame (ISO 128-2, thick : thin 2 : 1; mm).
HATCH_MM, THIN_MM, THICK_MM, FRAME_MM = 0.18, 0.25, 0.5, 0.7
#: Long dash, gap, dot, gap of a centre line; dash and gap of a hidden edge (ISO 128-2; mm).
CENTRE_DASH_MM = (6.0, 1.5, 0.5, 1.5)
#: The faces: plain, narrow for long lines, leaning for remarks. They have all figures raised and lowered, ⌀, ″ and °,
#: but no ≈, ≤, ☐.
PLAIN, NARROW, LEANING = "Bench Gothic", "Bench Gothic Narrow", "Bench Gothic Half Italic"
#: Each by its name in a drawing.
FACES = {"plain": PLAIN, "narrow": NARROW, "leaning": LEANING}
#: The file of each.
FILES = {PLAIN: "bench-gothic.ttf", NARROW: "bench-gothic-narrow.ttf", LEANING: "bench-gothic-half-italic.ttf"}
#: Height of a capital as a share of the face's size: 736 of 1024 units.
CAPITAL = 736.0 / 1024.0


@fixed
class Pdf:
    """A document being drawn: reportlab's canvas with its unit set to mm, and the bytes once it is closed."""

    canvas: Any
    _held: io.BytesIO

    @property
    def content(self) -> bytes:
        """The document; whole when `new_pdf` has closed it."""
        return self._held.getvalue()


@contextmanager
def new_pdf(width_mm: float, height_mm: float, title: str) -> Iterator[Pdf]:
    """A document of pages of one size; the canvas draws in mm; the last page is ended and the document closed for you.

    Printing at full size is asked for in the file; no date, no chance: the same drawing gives the same bytes.
    """
    held = io.BytesIO()
    canvas = new_canvas(held, width_mm, height_mm, title)
    begin_page(canvas)
    yield Pdf(canvas=canvas, _held=held)
    canvas.showPage()
    canvas.save()


def new_canvas(held: io.BytesIO, width_mm: float, height_mm: float, title: str) -> Any:
    """A canvas in points that is written to `held` when it is saved; each page is to be begun with `begin_page`."""
    from reportlab import rl_config

    rl_config.useA85 = 0  # plain bytes: a quarter smaller than letters, and quicker
    _know_faces()
    size = (width_mm * PT_PER_MM, height_mm * PT_PER_MM)
    # begun in a face of ours: each page would else name one that is neither embedded nor used
    canvas = _canvas()(held, pagesize=size, invariant=1, pageCompression=1, initialFontName=PLAIN)
    canvas.setTitle(title)
    canvas.setCreator("formgen")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


@cache
def _canvas() -> Any:
    """Reportlab's canvas with figures as paper shows them: whoever draws a text writes it plain."""
    from reportlab.pdfgen.canvas import Canvas

    class Lettered(Canvas):  # type: ignore[misc]  # reportlab has no types
        def drawString(self, x: float, y: float, text: str) -> None:  # noqa: N802  # reportlab's name
            super().drawString(x, y, typeset(text))

        def drawCentredString(self, x: float, y: float, text: str) -> None:  # noqa: N802  # reportlab's name
            super().drawCentredString(x, y, typeset(text))

        def drawRightString(self, x: float, y: float, text: str) -> None:  # noqa: N802  # reportlab's name
            super().drawRightString(x, y, typeset(text))

    return Lettered


def begin_page(canvas: Any) -> None:
    """Set the unit to mm: at the start, and after each `showPage`."""
    canvas.scale(PT_PER_MM, PT_PER_MM)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    canvas.setLineWidth(THIN_MM)


def face_size(capital_mm: float) -> float:
    """Size to set a face to, in a canvas of mm, for capitals of this height."""
    return capital_mm / CAPITAL


def text_width_mm(text: str, capital_mm: float, face: str = PLAIN) -> float:
    """Measure a line of text as it is printed: fractions are narrower, a minus is wider."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    _know_faces()
    return float(stringWidth(typeset(text), face, face_size(capital_mm)))


def _know_faces() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in FILES.items():
        if name not in pdfmetrics.getRegisteredFontNames():
            content = files("formgen.drafting").joinpath("fonts", file).read_bytes()
            pdfmetrics.registerFont(TTFont(name, io.BytesIO(content)))
