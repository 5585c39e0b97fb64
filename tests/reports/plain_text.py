"""Text of a printed page in plain signs again: fractions, minus and spaces as the program writes them."""

from __future__ import annotations

import re

_PLAIN = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")


def plain(text: str) -> str:
    """The text with one space where there is any, `1/2` for a raised and lowered fraction, `-` for a minus."""
    told = re.sub("[⁰¹²³⁴-⁹]+⁄[₀-₉]+", lambda fraction: fraction[0].translate(_PLAIN), text)
    return " ".join(told.replace("−", "-").split())
