"""Lengths as the trade writes them.

Outside number: 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formgen.errors import LengthError
from formgen.lengths import read_length, write_fine, write_length, write_tape

INCH = Fraction(254, 10)

READ_IN_INCHES = [
    ("19 mm", Fraction(19)),
    ("3/4", Fraction(3, 4) * INCH),
    ("4 9/16", Fraction(73, 16) * INCH),
    ("4-9/16", Fraction(73, 16) * INCH),
    ("4 - 9/16 in.", Fraction(73, 16) * INCH),
    ("5' 11-1/2\"", Fraction(143, 2) * INCH),
    ("5 ft 11 1/2 in", Fraction(143, 2) * INCH),
    ("5′ 11½″", Fraction(143, 2) * INCH),
    ("5’-11 1/2”", Fraction(143, 2) * INCH),
    ("5'", 60 * INCH),
    ("½ in", INCH / 2),
    ("1½", 3 * INCH / 2),
    ("−11\u2009¹⁄₂ in", -Fraction(23, 2) * INCH),
    ("⁶³⁄₆₄ in", Fraction(63, 64) * INCH),
    ("5⁷⁄₈", Fraction(47, 8) * INCH),
    ("1.25", Fraction(5, 4) * INCH),
    (".5 inch", INCH / 2),
    ("2.4 m", Fraction(2400)),
    ("12 cm", Fraction(120)),
    ("12 CM", Fraction(120)),
    ("-3/8", -Fraction(3, 8) * INCH),
    ("-4-9/16", -Fraction(73, 16) * INCH),
    ("−2 mm", Fraction(-2)),
    ("0", Fraction(0)),
    ("0.1", INCH / 10),
]


@pytest.mark.parametrize(("text", "mm"), READ_IN_INCHES)
def test_a_length_is_exact_until_its_last_rounding(text: str, mm: Fraction) -> None:
    assert read_length(text, "in") == float(mm)


@pytest.mark.parametrize(("text", "mm"), [("19", 19.0), ("1228.7", 1228.7), ("3/4 in", 19.05), ("1/2 mm", 0.5)])
def test_bare_numbers_are_in_the_units_asked(text: str, mm: float) -> None:
    assert read_length(text, "mm") == mm


def test_a_bare_fraction_is_not_guessed_to_be_millimetres() -> None:
    with pytest.raises(LengthError, match="expected a unit after a fraction"):
        read_length("3/4", "mm")


HOSTILE = [
    ("", "write a length"),
    (" ", "write a length"),
    ("nan", "write a number"),
    ("NaN mm", "write a number"),
    ("-inf", "write a number"),
    (".inf", "write a number"),
    ("Infinity", "write a number"),
    ("1e400", "without an exponent"),
    ("1E5 mm", "without an exponent"),
    ("1 1/0", "below the line"),
    ("1/0", "below the line"),
    ("3//4", "write one fraction"),
    ("1/2/3", "write one fraction"),
    ("1 5/4", "fraction below 1"),
    ("1,5", "use a point"),
    ("1,200 mm", "use a point"),
    ("1 200 mm", "one number"),
    ("1'200 mm", "one unit"),
    ("5 ft 20 mm", "one unit"),
    ("3 in 2 ft", "one unit"),
    ("5' 14\"", "less than 12 inches"),
    ("5.5 ft 3 in", "one unit"),
    ("12 yd", "units in, ft, mm, cm, m"),
    ("12 parsec", "units in, ft, mm, cm, m"),
    ("--3", "one number"),
    ("1_000", "one number"),
    ("0x10", "one number"),
    ("٣ mm", "one number"),
    ("3 mm; 4", "one number"),
    ("3\n4", "one number"),
    ("1\x00", "one number"),
    ("100.001 m", "within ±100 m"),
    ("-328' 2\"", "within ±100 m"),
    ("9" * 39, "within ±100 m"),
    ("9" * 400, "at most 40 characters"),
    ("1/" + "9" * 39, "at most 40 characters"),
    ("__import__('os')", "one unit"),
]


@pytest.mark.parametrize(("text", "advice"), HOSTILE)
def test_what_is_no_length_is_refused_in_one_line(text: str, advice: str) -> None:
    with pytest.raises(LengthError) as caught:
        read_length(text, "in")
    line = str(caught.value)
    assert advice in line
    assert line.isprintable()
    assert len(line) < 200


@given(st.text(max_size=45))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        mm = read_length(text, "in")
    except LengthError:
        return
    assert abs(mm) <= 100_000


@given(st.integers(-200_000, 200_000))
def test_inches_come_back_as_they_were_written(sixty_fourths: int) -> None:
    mm = float(Fraction(sixty_fourths, 64) * INCH)
    text = write_length(mm, "in")
    assert read_length(text, "mm") == mm


@given(st.floats(-99_000, 99_000))
def test_what_is_printed_is_within_half_a_step(mm: float) -> None:
    inches = write_length(mm, "in")
    assert abs(read_length(inches, "mm") - mm) <= 25.4 / 128 + 1e-9
    assert abs(read_length(write_length(mm, "mm"), "in") - mm) <= 0.05 + 1e-9


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (48.5 * 25.4, "in", "48 1/2 in"),
        (0.75 * 25.4, "in", "3/4 in"),
        (0.0, "in", "0 in"),
        (-0.375 * 25.4, "in", "-3/8 in"),
        (120 * 25.4, "in", "120 in"),
        (1000.0, "in", "39 3/8 in"),  # 39.3701 in
        (1228.7, "mm", "1228.7 mm"),
        (-0.01, "mm", "0.0 mm"),
    ],
)
def test_written_lengths(mm: float, units: str, text: str) -> None:
    assert write_length(mm, "in" if units == "in" else "mm") == text


def test_a_tape_has_sixteenths_or_millimetres() -> None:
    assert write_tape(48.53125 * 25.4, "in") == "48 1/2 in"
    assert write_tape(48.53125 * 25.4, "in", 32) == "48 17/32 in"
    assert write_tape(1229.0, "mm") == "1229 mm"
    assert write_tape(1228.7, "mm") == "1229 mm"


@pytest.mark.parametrize(
    ("mm", "inches", "metric"),
    [(25.4 / 16, "0.063 in", "1.59 mm"), (-25.4 / 16, "-0.063 in", "-1.59 mm"), (18.1, "0.713 in", "18.10 mm"),
     (25.4 * 0.0005, "0.001 in", "0.01 mm"), (-1e-4, "0.000 in", "0.00 mm")],
)  # fmt: skip
def test_a_caliper_rounds_a_half_up(mm: float, inches: str, metric: str) -> None:
    """1/16 in is 0.0625 in by definition, 0.063 as common practice writes it."""
    assert (write_fine(mm, "in"), write_fine(mm, "mm")) == (inches, metric)
