"""Stage `holding`: whether clamps through a caul press the glue line everywhere, and with enough.

In: a Pressing of the way `clamped`, the clamp reliefs. Out: findings; mm, kPa. Other ways press otherwise: nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from formgen.findings import Finding, Severity
from formgen.geometry.across import same_place
from formgen.lengths import Units, write_length
from formgen.press.amounts import newton_text, stress_text
from formgen.press.caul import CaulPressure, caul_for_mm, clamp_pressure_kpa, clamps_across, spacing_for_mm
from formgen.press.setup import Pressing

SPREAD_SOURCE = "load spreads at 45° through a stiff caul: common practice, no source"


def widest_mm(stations_mm: Sequence[float], length_mm: float) -> float:
    """The greatest spacing that counts: between two clamps, or twice from the last clamp to the end of the part."""
    ordered = sorted(stations_mm)
    if not ordered:
        return 2.0 * length_mm
    ends = (2.0 * ordered[0], 2.0 * (length_mm - ordered[-1]))
    return max(*ends, *(b - a for a, b in pairwise(ordered)), 0.0)


def caul_findings(pressing: Pressing, stations_mm: Sequence[float]) -> Iterable[Finding]:
    """Clamps too far apart for the caul, or too weak for the glue.

    Args:
        pressing: the caul and the glue.
        stations_mm: of the reliefs on the pressed centre line.
    """
    if pressing.caul is None or not stations_mm:
        return
    recipe = pressing.recipe
    units, shop, part = recipe.units, recipe.shop, recipe.part
    depth = part.depth_mm + 2.0 * part.edge_trim_mm
    force, caul = pressing.caul.clamp_n, pressing.caul.caul_mm
    jaw = shop.clamp.jaw_mm
    on_face = [same_place(pressing.laminate.pressed, pressing.face, s) for s in stations_mm]
    spacing = widest_mm(on_face, pressing.face.length_mm)  # reliefs are spaced along the face
    if spacing > pressing.caul.reach_mm + 1e-6:
        yield _gap_finding(spacing, pressing.caul, jaw, units)
    glue = pressing.glue
    if glue.asked_least_mpa is None or glue.adhesive is None:
        return
    asked_kpa = 1000.0 * glue.asked_least_mpa
    pressure = clamp_pressure_kpa(force, spacing, depth, jaw, caul)
    if pressure < asked_kpa:
        across, closer = clamps_across(depth, jaw, caul), spacing_for_mm(asked_kpa, force, depth, jaw, caul)
        yield _weak_finding(pressure, asked_kpa, force, across, closer, glue.adhesive, units)


def _gap_finding(spacing: float, caul: CaulPressure, jaw_mm: float, units: Units) -> Finding:
    reach = write_length(caul.reach_mm, units)
    thicker = f"use a caul of {write_length(caul_for_mm(spacing, jaw_mm), units)}"
    if caul.spacing_mm > caul.reach_mm + 1e-6:
        way = f"Set form.clamp_reliefs.spacing to {reach}, or {thicker}."
    else:
        way = f"A relief had to move or was left out: set one more clamp there from the back of the form, or {thicker}."
    return Finding(
        code="press.caul-spacing",
        severity=Severity.WARNING,
        message=f"Clamps stand up to {write_length(spacing, units)} apart, or half of that from an end, and through a "
        f"caul of {write_length(caul.caul_mm, units)} each presses {reach}; the rest of the glue line has none. "
        f"{way}",
        value=spacing,
        limit=caul.reach_mm,
        unit="mm",
        source=SPREAD_SOURCE,
    )


def _weak_finding(
    pressure: float, asked_kpa: float, force: float, across: int, spacing: float, glue: str, units: Units
) -> Finding:
    each = "a clamp" if across == 1 else f"{across} clamps side by side, each"
    return Finding(
        code="press.caul-pressure",
        severity=Severity.WARNING,
        message=f"With {each} of {newton_text(force, units)} at each place the glue line gets "
        f"{stress_text(pressure / 1000.0, units)}, and {glue} asks for {stress_text(asked_kpa / 1000.0, units)} at the "
        f"least: set clamps {write_length(spacing, units)} apart, or use stronger ones.",
        value=pressure,
        limit=asked_kpa,
        unit="kPa",
        source=f"force over the glue line that a clamp presses; {SPREAD_SOURCE}",
    )
