"""Drafting: figures as paper shows them: fractions raised and lowered round a stroke, a true minus.

In: text as the program writes it, `-11 1/2 in`. Out: the same text in the signs of the drafting face. Pages and
measures of text come through here by themselves (`paper`); a drawing for other programs and letters for the router keep
the plain signs, which every face has.
"""

from __future__ import annotations

import re
from functools import lru_cache

#: A fraction by itself or after a whole number with its space; no path, date, ratio of words or part of a name.
_FRACTION = re.compile(r"(?:(?<=\d)[ \u00a0])?(?<![\w/.,])(\d{1,3})/(\d{1,3})(?![\w/]|[.,]\d)")
#: A hyphen that stands before a number and after no letter, figure or bracket.
_MINUS = re.compile(r"(?<![\w.,)\]}’'\"-])-(?=\.?\d)")
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
#: Between a whole number and its fraction; the stroke of a fraction.
THIN_SPACE, STROKE = "\u2009", "\u2044"


@lru_cache(maxsize=20_000)
def typeset(text: str) -> str:
    """The text with its fractions and minus signs as paper shows them: `−11 ¹⁄₂ in`, with a thin space between."""
    return _FRACTION.sub(_raised_and_lowered, _MINUS.sub("−", text))


def _raised_and_lowered(found: re.Match[str]) -> str:
    space = THIN_SPACE if found[0][0] in " \u00a0" else ""
    return space + found[1].translate(_RAISED) + STROKE + found[2].translate(_LOWERED)
