"""The press-day sheet as its reader sees it: each line of text with its height, face, side and place."""

from __future__ import annotations

import ctypes
import re
from dataclasses import dataclass
from functools import cache

import pypdfium2 as pdfium
from pypdfium2 import raw

from formgen.holding.model import Holding
from formgen.reports.press_sheet.page import press_sheet
from tests.conftest import SHIPPED, shipped_form
from tests.reports.page_read import CAPITAL, MM_PER_PT, Box
from tests.reports.press_cases import CASES, WAYS
from tests.reports.test_press_steps import made_case

_PLAIN = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line of text: its side from 1, height of its capitals and box in mm, y up from the lower edge."""

    side: int
    text: str
    capital_mm: float
    face: str
    box: Box


#: Every shipped recipe, every way of pressing with a glue, and one of each without.
NAMES = (*SHIPPED, *CASES, *(f"{way}-male, no glue" for way in WAYS))


@cache
def holding_of(name: str) -> Holding:
    """The part of one of `NAMES`."""
    if name in SHIPPED:
        form = shipped_form(name)
        assert isinstance(form, Holding)
        return form
    case, _, without = name.partition(", ")
    return made_case(case, glue="" if without else "urea formaldehyde")


@cache
def sheet_of(name: str) -> bytes:
    """The sheet of one of `NAMES`."""
    return press_sheet(holding_of(name))


@cache
def lines_of(name: str) -> tuple[Line, ...]:
    """Every line of text on the sheet of one of `NAMES`."""
    return tuple(lines_in(sheet_of(name)))


def lines_in(content: bytes) -> list[Line]:
    """Every line of text of every side."""
    found = []
    for side, page in enumerate(pdfium.PdfDocument(content), start=1):
        text_page = page.get_textpage()
        for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
            size = ctypes.c_float()
            raw.FPDFTextObj_GetFontSize(thing, size)
            x0, y0, x1, y1 = (v * MM_PER_PT for v in thing.get_bounds())
            found.append(
                Line(
                    side=side,
                    text=_text(thing, text_page),
                    capital_mm=size.value * abs(thing.get_matrix().d) * MM_PER_PT * CAPITAL,
                    face=_face(thing),
                    box=(x0, y0, x1, y1),
                )
            )
    return found


def _text(thing: pdfium.PdfObject, page: pdfium.PdfTextPage) -> str:
    """Its text in plain signs: a fraction as `1/2`, one space where there is any."""
    length = raw.FPDFTextObj_GetText(thing, page, None, 0)
    held = (ctypes.c_ushort * (length // 2 + 1))()
    raw.FPDFTextObj_GetText(thing, page, held, length)
    text = bytes(held).decode("utf-16-le").rstrip("\0")
    text = re.sub("[⁰¹²³⁴-⁹]+⁄[₀-₉]+", lambda fraction: fraction[0].translate(_PLAIN), text)
    return " ".join(text.replace("−", "-").split())


def _face(thing: pdfium.PdfObject) -> str:
    held = ctypes.create_string_buffer(200)
    raw.FPDFFont_GetBaseFontName(raw.FPDFTextObj_GetFont(thing), held, 200)
    return held.value.decode()
