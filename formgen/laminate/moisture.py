"""Stage `laminate`: what the water in the glue does to the curve, with its sign.

In: plies, glue and water in g/m², swelling of the wood for 1 % of moisture. Out: ratios; negative means tighter.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from formgen.curve.arch import Arch
from formgen.curve.arcspline import ArcSpline
from formgen.findings import Finding, Severity
from formgen.laminate.stock import Stock
from formgen.recipe.entries import Adhesive, Wood

SOURCE = "R(1 + ε_r), spring-in of curved parts; swelling by Wood Handbook FPL-GTR-190, Table 13-5"
#: The swelling coefficients are published for 6 to 14 % of moisture; a rise past their spread is an estimate (%).
COEFFICIENT_SPAN_PCT = 8.0


@dataclass(frozen=True, kw_only=True)
class Moisture:
    """What drying does after release.

    Args:
        adhesive: its name.
        spread_g_per_m2: wet glue on one line.
        water_g_per_m2: water in all lines together.
        moisture_rise_pct: how much wetter the plies are in the press, % of their dry weight, in the mean.
        thickness_strain: ε_r, by which the thickness shrinks after the glue has set; negative.
        radius_change: by which every radius changes through drying, as a ratio; negative: tighter.
        curvature_change_from_press: curvature of the dry part over that in the press, less 1: spring-back (negative)
            and pull-in (positive) together; above 0 the part ends tighter than the form.
        chord_change_mm: distance between springing points (or ends) of the dry part, less the one asked for.
    """

    adhesive: str
    spread_g_per_m2: float
    water_g_per_m2: float
    moisture_rise_pct: float
    thickness_strain: float
    radius_change: float
    curvature_change_from_press: float
    chord_change_mm: float


def thickness_swelling(
    water_g_per_m2_per_ply: Sequence[float], gravities: Sequence[float], changes: Sequence[float],
    thicknesses_mm: Sequence[float],
) -> float:  # fmt: skip
    """By how much the stack is thicker in the press than dry, as a ratio of its dry thickness, 0 or more.

    A ply of dry mass ρt takes up w: its moisture rises by 100 w/(ρt) % and its thickness by C t times that, which is
    100 C w/ρ whatever its thickness: thin plies swell by the same amount and so by a greater share.

    Args:
        water_g_per_m2_per_ply: w, water that each ply takes up.
        gravities: dry mass over volume of each ply, as a ratio to water.
        changes: C, swelling in thickness for 1 % of moisture, as a ratio.
        thicknesses_mm: t.

    Assumptions:
        All the water goes into the wood before the glue locks, half of a line's to either neighbour, and spreads
        evenly through the ply; swelling is straight with moisture; the glue itself takes no room.
        Some of the water leaves early or stays in the glue, so this is the most that it can be.

    Reference:
        Wood Handbook, FPL-GTR-190, eq. 13-2: ΔD = D C ΔM, with the coefficients of Table 13-5.
    """
    # 1 mm of a wood of specific gravity G weighs 1000 G grams per square metre
    rows = zip(water_g_per_m2_per_ply, gravities, changes, strict=True)
    swollen_mm = math.fsum(100.0 * c * w / (1000.0 * g) for w, g, c in rows)
    return swollen_mm / math.fsum(thicknesses_mm)


def dried_radius_ratio(swelling: float) -> float:
    """Radius after drying over radius before: 1 + ε_r, with ε_r = −swelling/(1 + swelling). Below 1: tighter.

    Water goes into the plies while they lie in the press, they swell in thickness and the glue locks them so. Later
    they shrink again. Along the grain wood neither swells nor shrinks to speak of, so the arcs of the two faces keep
    their lengths, inside θR and outside θ(R + T): their difference θT stays while T becomes T(1 + ε_r), so the angle
    between any two sections grows to θ/(1 + ε_r) and every radius falls to R(1 + ε_r). It is the spring-in of curved
    parts of fibre and resin, Δθ/θ = (ε_l − ε_r)/(1 + ε_r), with no strain ε_l along the fibres.

    Args:
        swelling: thickness in the press over dry thickness, less 1; 0 or more.

    Assumptions:
        One thickness strain all along and across the part; the part dries to the moisture that the plies began with.

    Reference:
        Spring-in of curved anisotropic parts (Nelson and Cairns 1989; Radford and Diefendorf 1993; from memory).
    """
    return 1.0 / (1.0 + swelling)


def pull_in(
    stocks: Sequence[Stock], adhesive: Adhesive, spread_g_per_m2: float, sawn: Literal["flat", "quarter", "mixed"],
    spring_back: float, arch: Arch,
) -> Moisture | None:  # fmt: skip
    """What drying does to this part; None where a ply's density or swelling is not known.

    Args:
        stocks: the plies.
        adhesive: names the share of water.
        spread_g_per_m2: wet glue on one line.
        sawn: how the growth rings lie in the plies.
        spring_back: s, factors included.
        arch: the target.
    """
    known = [(s.wood.specific_gravity, _change(s.wood, sawn)) for s in stocks if s.wood is not None]
    gravities = [g for g, _ in known if g is not None]
    changes = [c for _, c in known if c is not None]
    if not len(stocks) == len(gravities) == len(changes):
        return None
    thicknesses = [s.thickness_mm for s in stocks]
    line = spread_g_per_m2 * adhesive.water_share
    per_ply = [line / 2.0 if i in (0, len(stocks) - 1) else line for i in range(len(stocks))]
    swelling = thickness_swelling(per_ply, gravities, changes, thicknesses)
    ratio = dried_radius_ratio(swelling)
    dry_mass = math.fsum(1000.0 * g * t for g, t in zip(gravities, thicknesses, strict=True))
    water = line * (len(stocks) - 1)
    return Moisture(
        adhesive=adhesive.name,
        spread_g_per_m2=spread_g_per_m2,
        water_g_per_m2=water,
        moisture_rise_pct=100.0 * water / dry_mass,
        thickness_strain=ratio - 1.0,
        radius_change=ratio - 1.0,
        curvature_change_from_press=(1.0 - spring_back) / ratio - 1.0,
        chord_change_mm=chord_mm(arch.target.scaled_curvature(1.0 / ratio), arch) - chord_mm(arch.target, arch),
    )


def chord_mm(curve: ArcSpline, arch: Arch) -> float:
    """Straight distance between the springing points of a two-legged part, else between its ends."""
    stations = arch.springing_mm if arch.two_legged else (0.0, curve.length_mm)
    a, b = (curve.pose(s) for s in stations)
    return math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm))


def moisture_findings(found: Moisture | None, spring_back: float, tolerance_mm: float) -> Iterable[Finding]:
    """Tighter than the form, or closed by more than the tolerance."""
    if found is None or found.thickness_strain == 0.0:
        return
    way = "nearer" if found.chord_change_mm < 0 else "further apart"
    end = f"the ends come {abs(found.chord_change_mm):.1f} mm {way}"
    rough = (
        f" The moisture rises by {found.moisture_rise_pct:.0f} %, past what the wood's coefficient covers: "
        "a rough number."
        if found.moisture_rise_pct > COEFFICIENT_SPAN_PCT
        else ""
    )
    if found.curvature_change_from_press > 0.0:
        yield Finding(
            code="laminate.moisture-pull-in",
            severity=Severity.WARNING,
            message=(
                "Drying of the glue's water pulls in more than spring-back opens: it may end tighter than the form; "
                f"as it dries {end}. Use a glue with less water, thicker plies or less glue, and make a trial.{rough}"
            ),
            value=1.0 / (1.0 + found.radius_change) - 1.0,
            limit=spring_back / (1.0 - spring_back),
            source=SOURCE,
        )
    elif abs(found.chord_change_mm) > tolerance_mm:
        yield Finding(
            code="laminate.moisture-pull-in",
            severity=Severity.NOTE,
            message=(
                "As the glue's water dries out, over days, every radius shrinks by up to "
                f"{-100.0 * found.radius_change:.2f} % and {end}: the form does not allow for it. "
                f"Let the part dry before you trim it, and measure.{rough}"
            ),
            value=found.chord_change_mm,
            limit=-tolerance_mm,
            unit="mm",
            source=SOURCE,
        )


def _change(wood: Wood, sawn: str) -> float | None:
    """Swelling of a ply's thickness: across the rings of a flat-sawn ply, along those of a quarter-sawn one."""
    radial, tangential = wood.change_radial, wood.change_tangential
    if sawn != "mixed":
        return radial if sawn == "flat" else tangential
    return None if radial is None or tangential is None else (radial + tangential) / 2.0
