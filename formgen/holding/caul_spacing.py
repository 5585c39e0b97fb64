"""Stage `holding`: whether clamps through a caul press the glue line everywhere, and with enough.

In: a Pressing of the way `clamped`, the clamp reliefs. Out: findings; mm, kPa. Other ways press otherwise: nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from formgen.findings import Finding, finding
from formgen.geometry.arcspline import same_place
from formgen.lengths import Units
from formgen.press.caul import CaulPressure, caul_for_mm, clamp_pressure_kpa, clamps_across, spacing_for_mm
from formgen.press.setup import Pressing


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
        across = clamps_across(depth, jaw, caul)
        yield finding(
            "press.caul-pressure",
            units,
            value=pressure,
            limit=asked_kpa,
            each="one" if across == 1 else "several",
            across=across,
            force=force,
            pressure=pressure / 1000.0,
            asked=glue.asked_least_mpa,
            glue=glue.adhesive,
            closer=spacing_for_mm(asked_kpa, force, depth, jaw, caul),
        )


def _gap_finding(spacing: float, caul: CaulPressure, jaw_mm: float, units: Units) -> Finding:
    return finding(
        "press.caul-spacing",
        units,
        "asked" if caul.spacing_mm > caul.reach_mm + 1e-6 else "moved",
        value=spacing,
        limit=caul.reach_mm,
        caul=caul.caul_mm,
        thicker=caul_for_mm(spacing, jaw_mm),
    )
