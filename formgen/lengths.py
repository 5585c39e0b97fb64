"""Lengths as people write them, read exactly and written back.

In: text such as `4 9/16`, `5' 11-1/2"`, `2.4 m`. Out: mm. Reading is exact on fractions and rounds once, to the
float that is returned; writing rounds to 1/64 in or 0.1 mm, with no mark for it. Knows nothing of recipes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal
from unicodedata import normalize

from formgen.errors import LengthError
from formgen.quoted import quoted
from formgen.units import LENGTH_MM, MM_PER_IN

Units = Literal["in", "mm"]

LONGEST_TEXT = 40
LIMIT_MM = 100_000
#: Shorter than this nobody takes a tape to it.
CALIPER_MM = 10.0

_EXAMPLES = "expected a length such as 48 1/2 in, 5' 11-1/2\" or 1232 mm"

#: Typographic signs and what they stand for. The apostrophes and quotes mean feet and inches.
_PLAIN = str.maketrans({
    "′": "'", "’": "'", "‘": "'",
    "″": '"', "”": '"', "“": '"',
    "−": "-", "–": "-", "‐": "-", "‑": "-",
    "\u2044": "/", "\u00a0": " ", "\u2009": " ", "\u202f": " ",
    "¼": " 1/4", "½": " 1/2", "¾": " 3/4",
    "⅓": " 1/3", "⅔": " 2/3",
    "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
})  # fmt: skip

#: A fraction copied from a printed page.
_RAISED = re.compile("[⁰¹²³⁴-⁹]+⁄[₀-₉]+")

_UNIT_NAMES = {
    "mm": "mm", "cm": "cm", "m": "m",
    '"': "in", "''": "in", "in": "in", "in.": "in", "inch": "in", "inches": "in",
    "'": "ft", "ft": "ft", "ft.": "ft", "foot": "ft", "feet": "ft",
}  # fmt: skip

_NUMBER = r"(?:[0-9]+(?:[ ]+|[ ]*-[ ]*)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]*\.[0-9]+|[0-9]+\.?)"
_FEET = r"(?:'|ft\.?|foot|feet)"
_INCHES = r"(?:\"|''|in\.?|inch|inches)"
_PLAIN_LENGTH = re.compile(rf"(?P<sign>[-+]?)[ ]*(?P<number>{_NUMBER})[ ]*(?P<unit>[a-z]+\.?|\"|''|')?", re.IGNORECASE)
_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>[-+]?)[ ]*(?P<feet>[0-9]+)[ ]*{_FEET}[ ]*-?[ ]*(?P<inches>{_NUMBER})[ ]*{_INCHES}?", re.IGNORECASE
)


def read_length(text: str, units: Units, *, limit_mm: int = LIMIT_MM) -> float:
    """The length that a text says, in mm, exact until the last rounding to a float.

    Args:
        text: a whole number, decimal, fraction or mixed number with or without a unit, or feet and inches.
        units: what a number without a unit is in. A bare fraction is only read in inches.
        limit_mm: greatest size of either sign that is believed.

    Raises:
        LengthError: the text is no length; one line that says what to write instead.
    """
    got = quoted(text)
    if len(text) > LONGEST_TEXT:
        raise LengthError(f"expected a length of at most {LONGEST_TEXT} characters; shorten it", got)
    plain = _plain(text)
    if "," in plain:
        raise LengthError("expected a length without a comma; use a point for decimals, nothing between thousands", got)
    both = _FEET_AND_INCHES.fullmatch(plain)
    if both:
        inches = _number(both["inches"], got)
        if inches >= 12:
            raise LengthError("expected less than 12 inches after the feet; write it in inches or add to the feet", got)
        value = _signed(both["sign"], (12 * int(both["feet"]) + inches) * MM_PER_IN)
    else:
        value = _one_number(plain, units, got)
    if abs(value) > limit_mm:
        raise LengthError(f"expected a length within ±{limit_mm // 1000} m; check the unit", got)
    return float(value)


def _plain(text: str) -> str:
    """The text in typewriter's signs; a fraction raised and lowered, as it stands on paper, is one again."""
    return _RAISED.sub(lambda found: f" {normalize('NFKC', found[0])}", text).translate(_PLAIN).strip(" ")


def units_of(text: str) -> Units | None:
    """The system that a length is written in, by the unit beside it; None where it has none, or is no length."""
    plain = _plain(text)
    match = _PLAIN_LENGTH.fullmatch(plain)
    unit = _UNIT_NAMES.get((match["unit"] or "").lower()) if match else None
    if unit is None:
        return "in" if _FEET_AND_INCHES.fullmatch(plain) else None
    return "in" if unit in ("in", "ft") else "mm"


def _one_number(plain: str, units: Units, got: str) -> Fraction:
    """A length with at most one unit, in mm."""
    match = _PLAIN_LENGTH.fullmatch(plain)
    if match is None:
        raise LengthError(f"{_EXAMPLES}; {_advice(plain)}", got)
    written = match["unit"]
    number = _number(match["number"], got)
    if written is None and units == "mm" and "/" in match["number"]:
        raise LengthError("expected a unit after a fraction where bare numbers are mm; write in or mm after it", got)
    unit = units if written is None else _UNIT_NAMES.get(written.lower())
    if unit is None:
        raise LengthError(f"{_EXAMPLES}; use one of the units in, ft, mm, cm, m", got)
    return _signed(match["sign"], number * LENGTH_MM[unit])


def _number(written: str, got: str) -> Fraction:
    """The value of a whole number, decimal, fraction or mixed number."""
    whole, _, fraction = re.sub(r"[ -]+", " ", written).rpartition(" ")
    if "/" not in fraction:
        return Fraction(fraction if fraction[-1] != "." else fraction[:-1])
    top, bottom = (int(n) for n in fraction.split("/"))
    if bottom == 0:
        raise LengthError("expected a fraction with something below the line; write for example 1/2", got)
    if whole and top >= bottom:
        raise LengthError("expected a fraction below 1 after the whole number; write for example 4 9/16", got)
    return Fraction(int(whole or 0)) + Fraction(top, bottom)


def _signed(sign: str, value: Fraction) -> Fraction:
    return -value if sign == "-" else value


def _advice(plain: str) -> str:
    """Say what to do about a text that is not read, as far as can be guessed."""
    if not plain:
        return "write a length"
    if re.search(r"[0-9]\.?e[-+]?[0-9]", plain, re.IGNORECASE):
        return "write the number out, without an exponent"
    if re.search(r"nan|inf(?!t)", plain, re.IGNORECASE):
        return "write a number"
    if len(re.findall(r"[a-z'\"]+", plain, re.IGNORECASE)) > 1:
        return "use one unit, or feet and inches"
    if plain.count("/") > 1:
        return "write one fraction"
    return "write one number and its unit"


def write_sizes(mm: Iterable[float], units: Units) -> str:
    """Sizes as a tape shows them, the unit once: `97 × 48 1/2 in`, `2440 × 1220 mm`."""
    return " × ".join(write_tape(size, units).removesuffix(f" {units}") for size in mm) + f" {units}"


def write_length(mm: float, units: Units) -> str:
    """The length for people: inches to the nearest 1/64, or mm to 0.1.

    Args:
        mm: length in mm, finite.
        units: `in` gives `48 1/2 in`, never feet; `mm` gives `1228.7 mm`.
    """
    if units == "in":
        return _write_inches(mm, 64)
    return f"{_no_minus_zero(round(mm, 1)):.1f} mm"


def write_tape(mm: float, units: Units, denominator: int = 16) -> str:
    """The nearest mark on a tape: 1/16 in (or another denominator), or whole mm."""
    if units == "in":
        return _write_inches(mm, denominator)
    return f"{round(Fraction(mm))} mm"


def write_fine(mm: float, units: Units) -> str:
    """A thickness as a caliper shows it: thousandths of an inch (0.063 for 1/16), or hundredths of a mm."""
    if units == "in":
        return f"{_half_up(float(Fraction(mm) / MM_PER_IN), 3):.3f} in"
    return f"{_half_up(mm, 2):.2f} mm"


def write_measured(mm: float, units: Units) -> str:
    """A length that may be anything: up to 10 mm as a caliper shows it, longer as `write_length`."""
    return write_fine(mm, units) if abs(mm) < CALIPER_MM else write_length(mm, units)


def _half_up(number: float, places: int) -> float:
    """Rounded so that a half, within 1e-9, goes away from zero; no minus before a zero."""
    return _no_minus_zero(float(Decimal(f"{number:.9f}").quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)))


def _write_inches(mm: float, denominator: int) -> str:
    marks = round(Fraction(mm) / MM_PER_IN * denominator)
    whole, part = divmod(abs(marks), denominator)
    fraction = Fraction(part, denominator)
    number = " ".join(str(n) for n in (whole, fraction) if n) or "0"
    minus = "-" if marks < 0 else ""
    return f"{minus}{number} in"


def _no_minus_zero(value: float) -> float:
    return value + 0.0 if value else 0.0
