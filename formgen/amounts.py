"""Pressures, weights, temperatures and the like as the shop reads them: inHg, lb, °F beside inches.

In: a number in the program's own unit, the recipe's units. Out: text. Rounded only here; lengths are in `lengths`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from formgen.lengths import Units
from formgen.units import G_PER_M2_PER_LB_PER_1000_FT2, KG_PER_LB, LENGTH_MM, MPA_PER_PSI, N_PER_LBF, PRESSURE_KPA

INHG_KPA = float(PRESSURE_KPA["inHg"])
FT_MM = float(LENGTH_MM["ft"])
LITRE_MM3 = 1e6
#: Spaces inside an amount, at which no line ends: before a fraction, and before a unit.
_WITHIN = re.compile(
    r"(?<=\d) (?=(?:\d+/\d+|in|mm|m|m²|ft|ft²|ft³|l|lb|lbf|psi|inHg|kPa|MPa|GPa|kN|N|kg|g/m²|mg/m³|min|h|s|°F|°C|%)"
    r"(?!\w))"
)


def fahrenheit(celsius: float) -> float:
    """°F of a temperature in °C."""
    return 1.8 * celsius + 32.0


#: For units of findings that an inch shop reads otherwise: its own unit, and the number in it.
_INCH: Mapping[str, tuple[str, Callable[[float], float]]] = {
    "kPa": ("inHg", lambda kpa: kpa / INHG_KPA),
    "kPa/min": ("inHg/min", lambda kpa: kpa / INHG_KPA),
    "MPa": ("psi", lambda mpa: mpa / float(MPA_PER_PSI)),
    "N": ("lbf", lambda n: n / float(N_PER_LBF)),
    "kg": ("lb", lambda kg: kg / float(KG_PER_LB)),
    "°C": ("°F", fahrenheit),
}


def amount_text(value: float, unit: str, units: Units) -> str:
    """A number that is no length, in the unit that the shop reads: four digits of it, all of a large one."""
    if unit == "min" and value >= 120.0:
        return time_text(value)
    if units == "in" and unit in _INCH:
        unit, convert = _INCH[unit]
        value = convert(value)
    return f"{value:{'.4g' if abs(value) < 1e4 else '.0f'}} {unit}".rstrip()


def pressure_text(kpa: float, units: Units) -> str:
    """A gauge vacuum: inHg, or kPa."""
    return f"{kpa / INHG_KPA:.1f} inHg" if units == "in" else f"{kpa:.1f} kPa"


def small_reading(kpa: float, units: Units) -> str:
    """A gauge vacuum near nothing, two digits of it: inHg, or kPa."""
    return f"{kpa / INHG_KPA:.2g} inHg" if units == "in" else f"{kpa:.2g} kPa"


def stress_text(mpa: float, units: Units) -> str:
    """A stress, or a press's pressure: psi, or MPa."""
    return f"{mpa / float(MPA_PER_PSI):.0f} psi" if units == "in" else f"{mpa:.3g} MPa"


def temperature_text(celsius: float, units: Units) -> str:
    """°F, or °C, whole degrees."""
    return f"{fahrenheit(celsius):.0f} °F" if units == "in" else f"{celsius:.0f} °C"


def force_text(kn: float, units: Units) -> str:
    """Pounds of force, or kN."""
    return f"{1000.0 * kn / float(N_PER_LBF):.0f} lbf" if units == "in" else f"{kn:.1f} kN"


def newton_text(newtons: float, units: Units) -> str:
    """A force that hands or clamps give: whole pounds of force, or N to two digits, kN from 1000 N on."""
    if units == "in":
        return f"{newtons / float(N_PER_LBF):.0f} lbf"
    return f"{newtons / 1000.0:.1f} kN" if newtons >= 1000.0 else f"{newtons:.0f} N"


def newton_range_text(least_n: float, most_n: float, units: Units) -> str:
    """A range of such forces, the unit said once where both have the same."""
    least, most = newton_text(least_n, units), newton_text(most_n, units)
    if least == most:
        return most
    number, unit = least.split(" ")
    return f"{number if most.endswith(f' {unit}') else least} to {most}"


def weight_text(kg: float, units: Units) -> str:
    """Of form, piece or part: whole pounds, or kg."""
    return f"{kg / float(KG_PER_LB):.0f} lb" if units == "in" else f"{kg:.1f} kg"


def glue_text(kg: float, units: Units) -> str:
    """Of glue, to a hundredth."""
    return f"{kg / float(KG_PER_LB):.2f} lb" if units == "in" else f"{kg:.2f} kg"


def spread_text(g_per_m2: float, units: Units) -> str:
    """Of glue on one line: lb on 1000 ft², or g/m²."""
    if units == "in":
        return f"{g_per_m2 / float(G_PER_M2_PER_LB_PER_1000_FT2):.0f} lb per 1000 ft²"
    return f"{g_per_m2:.0f} g/m²"


def area_text(m2: float, units: Units) -> str:
    """ft², or m²."""
    return f"{m2 * 1e6 / FT_MM**2:.1f} ft²" if units == "in" else f"{m2:.2f} m²"


def air_text(litres: float, units: Units) -> str:
    """ft³, or litres."""
    return f"{litres * LITRE_MM3 / FT_MM**3:.2f} ft³" if units == "in" else f"{litres:.1f} l"


def altitude_text(mm: float, units: Units) -> str:
    """Whole feet, or metres."""
    return f"{mm / FT_MM:.0f} ft" if units == "in" else f"{mm / 1000.0:.0f} m"


def angle_text(rad: float) -> str:
    """Whole degrees; tenths under 10."""
    degrees = math.degrees(rad)
    return f"{degrees:.0f}°" if degrees >= 10.0 else f"{degrees:.1f}°"


def time_text(minutes: float) -> str:
    """A stretch of time as people say it: minutes up to two hours, then `3 h 20 min`; whole hours from two days on."""
    whole = round(minutes)
    if whole < 120:
        return f"{whole} min"
    if whole >= 48 * 60:
        return f"{round(minutes / 60.0)} h"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def tied(text: str) -> str:
    """The text with its numbers tied to their fractions and units by spaces that do not break."""
    return _WITHIN.sub("\u00a0", text)
