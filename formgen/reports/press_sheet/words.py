"""Stage `reports`: how the press-day sheet writes numbers and lists: as the tape, the caliper and the gauge show them.

In: mm, kPa, minutes. Out: text without a mark of rounding; `HOW_ROUNDED` is the one line that says how lengths are
rounded.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from formgen.lengths import Units, write_fine, write_length, write_tape
from formgen.units import MM_PER_IN

#: Said once on the sheet, for each system of units.
HOW_ROUNDED: dict[Units, str] = {
    "in": "Lengths to 1/32 in, sizes to check to 1/64 in, thicknesses in thousandths.",
    "mm": "Lengths to 0.5 mm, sizes to check to 0.1 mm, thicknesses to 0.01 mm.",
}


def tape(mm: float, units: Units) -> str:
    """A length as the tape gives it: to 1/32 in, or to half a mm."""
    if units == "in":
        return write_tape(mm, units, 32)
    return f"{round(2.0 * mm) / 2.0:g} mm"


def checked(mm: float, units: Units) -> str:
    """A length that is held against the tolerance: to 1/64 in, or to 0.1 mm."""
    return write_length(mm, units)


def thin(mm: float, units: Units) -> str:
    """A thickness as the caliper gives it: thousandths of an inch, or hundredths of a mm."""
    return write_fine(mm, units)


def feeler(mm: float, units: Units) -> str:
    """A gap that a feeler finds: a fraction where it is one of 64ths, else thousandths; hundredths of a mm."""
    marks = Fraction(mm) / MM_PER_IN * 64
    if units == "in" and abs(marks - round(marks)) < Fraction(1, 100) and round(marks) > 0:
        return checked(mm, units)
    return thin(mm, units)


def listed(texts: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    *most, last = texts
    return f"{', '.join(most)} and {last}" if most else last


def numbers(which: Sequence[int]) -> str:
    """Clamp numbers, rising: `2, 3 and 4`; a run of three or more as `2 to 4`."""
    runs: list[list[int]] = []
    for n in sorted(which):
        if runs and runs[-1][-1] == n - 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return listed([t for r in runs for t in ([f"{r[0]} to {r[-1]}"] if len(r) > 2 else map(str, r))])


def many(count: int, noun: str) -> str:
    """`1 clamp`, `2 clamps`."""
    return f"1 {noun}" if count == 1 else f"{count} {noun}s"


def capital(text: str) -> str:
    """The text with a capital first."""
    return f"{text[:1].upper()}{text[1:]}"
