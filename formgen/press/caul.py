"""Stage `press`: what clamps press through a caul, where there is no bag.

In: clamps, their spacing, what lies under them, the part's depth. Out: reach and pressure; mm, N, kPa.
Who pushes on whom: each clamp pushes the caul on the plies and the plies on the form, square to the face; the caul
spreads that at 45° on its way down. Between the reaches of two clamps nothing presses.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from formgen.findings import Finding, Severity
from formgen.lengths import Units, write_length
from formgen.recipe.figures import figure
from formgen.recipe.schema import ReliefAsk
from formgen.recipe.shop import Shop

SPREAD = "load spreads at 45° through a stiff caul: common practice, no source"


@dataclass(frozen=True, kw_only=True)
class CaulPressure:
    """Clamps on a caul.

    Args:
        caul_mm: thickness of all that lies between jaw and part.
        clamp_n: force of one clamp.
        side_by_side: clamps across the part's depth, so that their reaches meet there.
        reach_mm: length along the part that one of them presses.
        spacing_mm: from one to the next along the part.
        pressure_kpa: mean pressure where they press.
    """

    caul_mm: float
    clamp_n: float
    side_by_side: int
    reach_mm: float
    spacing_mm: float
    pressure_kpa: float

    @property
    def covered_share(self) -> float:
        """The part of the length that is pressed, 0 to 1."""
        return min(self.reach_mm / self.spacing_mm, 1.0)


def caul_reach_mm(jaw_mm: float, caul_mm: float) -> float:
    """Length that one clamp presses through a caul: its jaw and the caul's thickness on either side.

    Assumptions:
        The caul is stiff enough to spread the load at 45° (common practice, no source).
    """
    return jaw_mm + 2.0 * caul_mm


def caul_pressure(caul_mm: float, depth_mm: float, asked: ReliefAsk | None, shop: Shop) -> CaulPressure:
    """What the shop's clamps press.

    Args:
        caul_mm: thickness of all that lies between jaw and part.
        depth_mm: of the plies, edge trim included.
        asked: the reliefs that the recipe describes, which say the spacing; None sets it to the reach.
        shop: jaw and clamp force.

    Assumptions:
        A clamp's force is spread evenly over its reach; where reaches overlap, over the spacing.
    """
    reach = caul_reach_mm(shop.clamp.jaw_mm, caul_mm)
    spacing = reach if asked is None else asked.spacing_mm
    across = max(1, math.ceil(depth_mm / reach - 1e-9))
    force = figure("clamp_force_n", shop).value
    return CaulPressure(
        caul_mm=caul_mm,
        clamp_n=force,
        side_by_side=across,
        reach_mm=reach,
        spacing_mm=spacing,
        pressure_kpa=1000.0 * across * force / (depth_mm * min(reach, spacing)),
    )


def caul_findings(caul: CaulPressure, units: Units) -> list[Finding]:
    """Clamps too far apart for their caul."""
    if caul.covered_share >= 1.0 - 1e-9:
        return []
    reach = write_length(caul.reach_mm, units)
    return [
        Finding(
            code="press.clamps-apart",
            severity=Severity.WARNING,
            message=(
                f"Clamps stand {write_length(caul.spacing_mm, units)} apart and each presses {reach} through its caul: "
                f"between them the glue line gets no pressure. Set form.clamp_reliefs.spacing to {reach}, or take a "
                "thicker caul (press.over)."
            ),
            value=caul.spacing_mm,
            limit=caul.reach_mm,
            unit="mm",
            source=SPREAD,
        )
    ]
