"""Unit factors, each the definition itself and not a rounded quotient. Shared by every stage; computes nothing.

Reference:
    International yard and pound agreement 1959 (1 in = 25.4 mm, 1 lb = 0.45359237 kg, both exact);
    3rd CGPM 1901 (standard gravity 9.80665 m/s², exact); NIST SP 811 (2008), Appendix B.8 (conventional
    inch of mercury 3.386389 kPa, a conventional value rather than a definition).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction

MM_PER_IN = Fraction(254, 10)
KG_PER_LB = Fraction(45359237, 10**8)
STANDARD_GRAVITY_M_PER_S2 = Fraction(980665, 10**5)
N_PER_LBF = KG_PER_LB * STANDARD_GRAVITY_M_PER_S2
MPA_PER_PSI = N_PER_LBF / MM_PER_IN**2
G_PER_M2_PER_LB_PER_1000_FT2 = KG_PER_LB * 1000 / (1000 * (12 * MM_PER_IN / 1000) ** 2)

#: One of each unit, in mm.
LENGTH_MM: Mapping[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": MM_PER_IN,
    "ft": 12 * MM_PER_IN,
}

#: One of each unit, in kPa.
PRESSURE_KPA: Mapping[str, Fraction] = {
    "kPa": Fraction(1),
    "Pa": Fraction(1, 1000),
    "mbar": Fraction(1, 10),
    "bar": Fraction(100),
    "inHg": Fraction(3386389, 10**6),
    "psi": 1000 * MPA_PER_PSI,
    "psf": 1000 * MPA_PER_PSI / 144,
}

#: One of each unit, in MPa.
STRESS_MPA: Mapping[str, Fraction] = {
    "MPa": Fraction(1),
    "GPa": Fraction(1000),
    "N/mm²": Fraction(1),
    "psi": MPA_PER_PSI,
    "Mpsi": 10**6 * MPA_PER_PSI,
}

#: One of each unit, in rad; a degree has no exact fraction.
ANGLE_RAD: Mapping[str, float] = {"deg": math.pi / 180.0, "rad": 1.0}
