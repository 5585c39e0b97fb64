"""Drafting: text for paper: what the drafting face can show, and lines broken to a width.

In: text as the other stages write it. Out: lines that fit, mm. A page says once how it rounds, so that no length on it
carries the mark of rounding, which the face lacks.
"""

from __future__ import annotations

import re
from functools import lru_cache

from formgen.amounts import tied
from formgen.drafting.paper import NARROW, PLAIN, face_size, text_width_mm
from formgen.drafting.typeset import typeset

#: What the face cannot show, and what stands for it.
_INSTEAD = {
    "≤ ": "at most ",
    "≤": "at most ",
    "≥ ": "at least ",
    "≥": "at least ",
    "√": "root of ",
    "κ": "k",
    "ε": "e",
    "ℓ": "l",
}
#: What no line ends within, even in a word too long for it: a fraction, a letter.
_WHOLE = re.compile(r"\d+/\d+|.", re.DOTALL)
#: A space that does not break.
_HARD = "\u00a0"


def showable(text: str, face: str = PLAIN) -> str:
    """The text in letters that the face has: others are replaced, `?` where nothing stands for them."""
    for letter, other in _INSTEAD.items():
        text = text.replace(letter, other)
    known = _letters(face)
    return "".join(c if ord(c) in known or c == _HARD else "?" for c in text)


def broken(text: str, width_mm: float, capital_mm: float, face: str = PLAIN) -> list[str]:
    """Lines no longer than a width; an amount stays with its unit, a word too long for a line is cut.

    The lines are plain text still; they are measured as they are printed, with raised and lowered fractions.
    """
    lines: list[str] = []
    words: list[str] = []
    room, space = width_mm, wide(" ", capital_mm, face)
    for word in tied(showable(text, face)).split(" "):
        long = wide(word, capital_mm, face)
        if words and long + space <= room:
            words.append(word)
            room -= long + space
            continue
        if words:
            lines.append(" ".join(words))
        *whole, rest = _cut(word, width_mm, capital_mm, face) if long > width_mm else [word]
        lines += whole
        words, room = [rest], width_mm - wide(rest, capital_mm, face)
    return [line.replace(_HARD, " ") for line in (*lines, " ".join(words))]


def wide(text: str, capital_mm: float, face: str = PLAIN) -> float:
    """Find how long a line of text is, mm: remembered for each text, since a page is tried at several sizes."""
    return capital_mm * _wide_at_one(text, face)


@lru_cache(maxsize=20_000)
def _wide_at_one(text: str, face: str) -> float:
    return text_width_mm(text.replace(_HARD, " "), 1.0, face)


@lru_cache(maxsize=20_000)
def squeezed(text: str, face: str = PLAIN) -> float:
    """Find the share of its width, 1 at most, that a text in plain signs may take where it was laid out as printed.

    `14 55/64` in plain figures is wider than with its fraction raised and lowered.
    """
    from reportlab.pdfbase.pdfmetrics import stringWidth

    printed = _wide_at_one(text, face)
    return min(1.0, printed / stringWidth(text, face, face_size(1.0))) if typeset(text) != text else 1.0


def fitting(
    text: str, width_mm: float, capitals_mm: tuple[float, ...], faces: tuple[str, ...] = (PLAIN, NARROW)
) -> tuple[float, str]:
    """The largest of some heights, and for each the first face, at which a line of text fits; else the last of both."""
    for capital in capitals_mm:
        for face in faces:
            if wide(text, capital, face) <= width_mm:
                return capital, face
    return capitals_mm[-1], faces[-1]


def _cut(word: str, width_mm: float, capital_mm: float, face: str) -> list[str]:
    parts = [""]
    for piece in _WHOLE.findall(word):
        if parts[-1] and wide(parts[-1] + piece, capital_mm, face) > width_mm:
            parts.append("")
        parts[-1] += piece
    return parts


@lru_cache(maxsize=8)
def _letters(face: str) -> frozenset[int]:
    from reportlab.pdfbase import pdfmetrics

    text_width_mm("", 1.0, face)  # registers the faces
    return frozenset(pdfmetrics.getFont(face).face.charToGlyph)
