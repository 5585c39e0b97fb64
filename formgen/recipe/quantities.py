"""Stage `recipe`: the types of every number with a unit. Text or number in, mm, rad, kPa, MPa or min out.

A number without a unit is a length in the recipe's own units; a pressure, stress or angle without one is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo, WithJsonSchema

from formgen.errors import LengthError
from formgen.lengths import LIMIT_MM, LONGEST_TEXT, Units, read_length
from formgen.units import ANGLE_RAD, PRESSURE_KPA, STRESS_MPA

#: Highest ground and deepest mine that a shop may stand at (mm).
ALTITUDE_LIMIT_MM = 9_000_000
#: No gauge vacuum exceeds the air's own pressure; the highest ever measured on the ground is below this (kPa).
VACUUM_LIMIT_KPA = 110.0
#: What the published schema says of a number without a unit.
BARE_NUMBER = "In the file's units."
STRESS_LIMIT_MPA = 1_000_000.0
#: Nothing that a shop asks for is smaller (mm).
LEAST_MM = 0.001
#: Nothing along a form stands closer than this (mm).
LEAST_SPACING_MM = 10.0
#: No shop is colder or hotter than this while somebody works in it (°C).
TEMPERATURE_LIMITS_C = (-20.0, 60.0)

#: Nothing that a shop does with one piece or sheet takes longer (min).
LONGEST_MIN = 6000.0

_DECIMAL = r"[0-9]*\.?[0-9]+"


def _units(info: ValidationInfo) -> Units:
    """The units of bare lengths: the file's, or mm where a model is made inside the program."""
    units: Units = (info.context or {}).get("units", "mm")
    return units


def _length(value: Any, info: ValidationInfo, limit_mm: int = LIMIT_MM) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise LengthError("expected a length; write for example 48 1/2 in or 1232 mm")
    text = value if isinstance(value, str) else _plain(value)
    return read_length(text, _units(info), limit_mm=limit_mm)


def _plain(number: float) -> str:
    """A number as YAML or Python holds it, written without an exponent (nan and inf stay as they are)."""
    if not math.isfinite(number):
        return str(number)
    text = repr(number)
    return text if "e" not in text else f"{number:.20f}".rstrip("0") if abs(number) < 1 else f"{number:.0f}"


def _positive(value: Any, info: ValidationInfo) -> float:
    length_mm = _length(value, info)
    if length_mm <= 0:
        raise LengthError("expected a length above 0; measure it without a sign")
    if length_mm < LEAST_MM:
        raise LengthError(f"expected a length of {LEAST_MM} mm or more; check the unit")
    return length_mm


def _spacing(value: Any, info: ValidationInfo) -> float:
    length_mm = _length(value, info)
    if length_mm < LEAST_SPACING_MM:
        raise LengthError(f"expected {LEAST_SPACING_MM:.0f} mm or more from one to the next; space them wider")
    return length_mm


def _non_negative(value: Any, info: ValidationInfo) -> float:
    length_mm = _length(value, info)
    if length_mm < 0:
        raise LengthError("expected a length of 0 or more; measure it without a sign")
    return length_mm


def _altitude(value: Any, info: ValidationInfo) -> float:
    if value != 0 and not isinstance(value, str):
        raise LengthError("expected a height with its unit; write for example 1600 m or 5280 ft")
    return _length(value, info, ALTITUDE_LIMIT_MM)


def _with_unit(
    what: str,
    example: str,
    factors: Mapping[str, Fraction] | Mapping[str, float],
    spellings: Mapping[str, str],
    up_to: float,
    bound: str = "",
) -> BeforeValidator:
    """Read `number unit` texts, above 0 and up to a bound that is said in words; refuse a number alone."""
    accepted = {**{name.lower(): name for name in factors}, **spellings}
    advice = f"expected {what} with its unit ({', '.join(factors)}); write for example {example}"

    def read(value: Any) -> float:
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            raise LengthError(advice)
        match = re.fullmatch(rf"[ ]*({_DECIMAL})[ ]*([^0-9 .+-].*?)[ ]*", value)
        unit = accepted.get(re.sub(r"\s+", " ", match[2]).lower()) if match else None
        if match is None or unit is None:
            if value.lstrip().startswith(("-", "−")):
                raise LengthError(f"expected {what} without a sign; write for example {example}")
            raise LengthError(advice)
        number = float(Fraction(match[1]) * factors[unit])
        if not 0.0 < number <= up_to * (1 + 1e-12):
            raise LengthError(f"expected {what} above 0{bound}; write for example {example}")
        return number

    return BeforeValidator(read)


def _temperature(value: Any) -> float:
    """A temperature in °C, from °C or °F; a number alone is refused, since either is likely in a shop."""
    advice = "expected a temperature with its unit; write for example 21 C or 70 F"
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise LengthError(advice)
    match = re.fullmatch(rf"[ ]*([-−+]?{_DECIMAL})[ ]*°?[ ]*(C|F|c|f|deg ?C|deg ?F)[ ]*", value)
    if match is None:
        raise LengthError(advice)
    degrees = float(match[1].replace("−", "-"))
    celsius = degrees if match[2].upper().endswith("C") else (degrees - 32.0) / 1.8
    if not TEMPERATURE_LIMITS_C[0] <= celsius <= TEMPERATURE_LIMITS_C[1]:
        raise LengthError("expected a shop's temperature, -20 to 60 C; write for example 21 C or 70 F")
    return celsius


_LENGTH_TEXT = r"^[-+−]?[ ]*[0-9.¼½¾⅓⅔⅛⅜⅝⅞][0-9 ./⁄'\"′″’”–¼½¾⅓⅔⅛⅜⅝⅞a-zA-Z-]*$"


def _length_schema(description: str, **limits: float) -> WithJsonSchema:
    number = {"type": "number", "description": BARE_NUMBER} | limits
    text = {"type": "string", "maxLength": LONGEST_TEXT, "pattern": _LENGTH_TEXT, "examples": ["48 1/2 in", "1232 mm"]}
    return WithJsonSchema({"anyOf": [number, text], "description": description})


def _text_schema(description: str, pattern: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema(
        {
            "type": "string",
            "maxLength": LONGEST_TEXT,
            "pattern": pattern,
            "description": description,
            "examples": [*examples],
        }
    )


def _unit_schema(description: str, units: str, example: str) -> WithJsonSchema:
    return _text_schema(description, rf"^ *{_DECIMAL} *({units}) *$", example)


LengthMm = Annotated[float, BeforeValidator(_length), _length_schema("A length of either sign.")]
PositiveMm = Annotated[float, BeforeValidator(_positive), _length_schema("A length above 0.", exclusiveMinimum=0)]
SpacingMm = Annotated[
    float, BeforeValidator(_spacing), _length_schema("From one to the next, 10 mm or more.", exclusiveMinimum=0)
]
NonNegativeMm = Annotated[float, BeforeValidator(_non_negative), _length_schema("A length of 0 or more.", minimum=0)]
AltitudeMm = Annotated[
    float,
    BeforeValidator(_altitude),
    WithJsonSchema(
        {
            "anyOf": [{"const": 0}, {"type": "string", "maxLength": LONGEST_TEXT, "pattern": _LENGTH_TEXT}],
            "description": "Height above the sea, with its unit.",
            "examples": ["1600 m", "5280 ft"],
        }
    ),
]
AngleRad = Annotated[
    float,
    _with_unit(
        "an angle", "84 deg", ANGLE_RAD, {"°": "deg", "degree": "deg", "degrees": "deg"},
        2 * math.pi, " and up to 360 deg",
    ),
    _unit_schema("An angle above 0, up to a full turn.", "deg|degrees?|°|rad", "84 deg"),
]  # fmt: skip
PressureKpa = Annotated[
    float,
    _with_unit(
        "a gauge vacuum", "25 inHg", PRESSURE_KPA, {"in hg": "inHg", "in. hg": "inHg", '"hg': "inHg"},
        VACUUM_LIMIT_KPA, " and at most the air's pressure (29.9 inHg)",
    ),
    _unit_schema(
        "A gauge vacuum: how far the bag is below the air outside.",
        r"[iI]n\.? ?[hH]g|\"[hH]g|kPa|Pa|mbar|bar|psi|psf",
        "25 inHg",
    ),
]  # fmt: skip
StressMpa = Annotated[
    float,
    _with_unit(
        "a modulus or strength", "12.3 GPa", STRESS_MPA,
        {"n/mm2": "N/mm²", "n/mm^2": "N/mm²", "million psi": "Mpsi"}, STRESS_LIMIT_MPA,
    ),
    _unit_schema("A modulus or a strength.", r"GPa|MPa|N/mm²|N/mm2|N/mm\^2|psi|Mpsi|million psi", "12.3 GPa"),
]  # fmt: skip
TemperatureC = Annotated[
    float,
    BeforeValidator(_temperature),
    _text_schema("A temperature.", rf"^ *[-−+]?{_DECIMAL} *°? *(deg ?)?[CFcf] *$", "21 C", "70 F"),
]
DurationMin = Annotated[
    float,
    _with_unit(
        "a time", "6 min", {"min": 1.0, "h": 60.0, "s": 1.0 / 60.0},
        {"minute": "min", "minutes": "min", "hour": "h", "hours": "h", "hr": "h", "hrs": "h", "sec": "s"},
        LONGEST_MIN, " and at most 100 h",
    ),
    _unit_schema("A time that something takes.", "min|minutes?|h|hrs?|hours?|s|sec", "6 min"),
]  # fmt: skip
