"""Stage `laminate`: what the water in the glue does to the curve, with its sign, as a range with its middle.

In: plies, glue and water in g/m², swelling of the wood for 1 % of moisture. Out: ratios; negative means tighter.
How much it pulls in nobody knows beforehand: how much of the water has swollen the plies when the glue locks, how
thick the glue lies, how the rings run. So there is a least, a middle and a most of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, Literal

from formgen.curve.arch import Arch
from formgen.findings import Finding, finding, phrase
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.stock import Stock
from formgen.lengths import Units
from formgen.recipe.entries import Adhesive, Wood

#: The swelling coefficients are published for 6 to 14 % of moisture; a rise past their spread is an estimate (%).
COEFFICIENT_SPAN_PCT = 8.0

Sawn = Literal["flat", "quarter", "mixed"]
#: A least, a middle and a most.
Range = tuple[float, float, float]


@fixed
class PullIn:
    """The effect of drying after release, if so much of the water swells the plies.

    Args:
        water_share: the part of the glue's water that has swollen the plies when the glue locks.
        water_g_per_m2: that water, in all lines together.
        moisture_rise_pct: how much wetter the plies then are, % of their dry weight, in the mean.
        radius_change: by which every radius changes through drying, as a ratio; negative: tighter.
        chord_change_mm: distance between springing points (or ends) of the dry part, less the one asked for.
    """

    water_share: float
    water_g_per_m2: float
    moisture_rise_pct: float
    radius_change: float
    chord_change_mm: float


@fixed
class Moisture:
    """The effect of drying after release, as a range.

    Args:
        adhesive: its name.
        spread_g_per_m2: wet glue on one line, in the middle.
        least, middle, most: the range of it.
        allowed_for: the middle is built into the pressed curve.
        curvature_change_from_press: curvature of the dry part over that in the press, less 1, in the middle:
            spring-back (negative) and pull-in (positive) together; above 0 the part ends tighter than the form.
    """

    adhesive: str
    spread_g_per_m2: float
    least: PullIn
    middle: PullIn
    most: PullIn
    allowed_for: bool
    curvature_change_from_press: float

    @property
    def built_in(self) -> float:
        """The factor on every curvature in the press that allows for it; 1 where nothing is allowed for."""
        return 1.0 + self.middle.radius_change if self.allowed_for else 1.0


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
        The water goes into the wood before the glue locks, half of a line's to either neighbour, and spreads evenly
        through the ply; swelling is straight with moisture; the glue itself takes no room. What comes after the glue
        has locked swells and shrinks again without a trace.

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
    stocks: Sequence[Stock], adhesive: Adhesive, spread_g_per_m2: Range, sawn: Sawn, least_share: float,
    spring_back: float, arch: Arch, *, allow: bool,
) -> Moisture | None:  # fmt: skip
    """Return what drying does to this part; None where a ply's density or swelling is not known.

    Args:
        stocks: the plies.
        adhesive: names the share of water.
        spread_g_per_m2: least, middle and most wet glue on one line.
        sawn: how the growth rings lie in the plies.
        least_share: the least part of the glue's water that swells the plies before it locks; the most is all.
        spring_back: s, factors included.
        arch: the target.
        allow: build the middle into the pressed curve.

    Assumptions:
        Least, middle and most of water, spread and swelling come together, so that the ends of the range are wider than
        likely. The middle is that of all three.
    """
    known = [(s.wood.specific_gravity, _changes(s.wood, sawn)) for s in stocks if s.wood is not None]
    gravities = [g for g, _ in known if g is not None]
    changes = [c for _, c in known if c is not None]
    if not len(stocks) == len(gravities) == len(changes):
        return None
    shares = (least_share, (least_share + 1.0) / 2.0, 1.0)
    swellings, waters = [], []
    for i, (share, spread) in enumerate(zip(shares, spread_g_per_m2, strict=True)):
        line = share * spread * adhesive.water_share
        per_ply = [line / 2.0 if k in (0, len(stocks) - 1) else line for k in range(len(stocks))]
        now = [change[i] for change in changes]
        swellings.append(thickness_swelling(per_ply, gravities, now, [s.thickness_mm for s in stocks]))
        waters.append(line * (len(stocks) - 1))
    ratios = [dried_radius_ratio(swelling) for swelling in swellings]
    built = ratios[1] if allow else 1.0
    dry_mass = math.fsum(1000.0 * g * s.thickness_mm for g, s in zip(gravities, stocks, strict=True))
    asked = chord_mm(arch.target, arch)
    least, middle, most = (
        PullIn(
            water_share=share,
            water_g_per_m2=water,
            moisture_rise_pct=100.0 * water / dry_mass,
            radius_change=ratio - 1.0,
            chord_change_mm=chord_mm(arch.target.scaled_curvature(built / ratio), arch) - asked,
        )
        for share, water, ratio in zip(shares, waters, ratios, strict=True)
    )
    return Moisture(
        adhesive=adhesive.name,
        spread_g_per_m2=spread_g_per_m2[1],
        least=least,
        middle=middle,
        most=most,
        allowed_for=allow,
        curvature_change_from_press=(1.0 - spring_back) / ratios[1] - 1.0,
    )


def chord_mm(curve: ArcSpline, arch: Arch) -> float:
    """Straight distance between the springing points of a two-legged part, else between its ends."""
    stations = arch.springing_mm if arch.two_legged else (0.0, curve.length_mm)
    a, b = (curve.pose(s) for s in stations)
    return math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm))


def range_text(found: Moisture, units: Units) -> str:
    """Say how the ends move: the middle, and from the least to the most."""
    return phrase("laminate.moisture-pull-in", "ends", units, **_range_mm(found))


def _range_mm(found: Moisture) -> dict[str, Any]:
    return {name: getattr(found, name).chord_change_mm for name in ("least", "middle", "most")}


def moisture_findings(
    found: Moisture | None, spring_back: float, tolerance_mm: float, units: Units
) -> Iterable[Finding]:
    """Tighter than the form, or closed by more than the tolerance, in the middle of the range; what is allowed for.

    The middle decides, not the most: the most comes of the wettest glue, the thickest spread and the worst rings all
    at once, and a warning on every wet glue would be read by nobody. Where only the most is past it, a note says so.
    """
    if found is None or found.most.radius_change == 0.0:
        return
    rise = found.middle.moisture_rise_pct
    ends = {**_range_mm(found), "rough": rise > COEFFICIENT_SPAN_PCT, "rise": rise}
    if found.allowed_for:
        yield finding(
            "laminate.moisture-allowed",
            units,
            value=max((found.least.chord_change_mm, found.most.chord_change_mm), key=abs),
            limit=math.copysign(tolerance_mm, found.least.chord_change_mm),
            **ends,
        )
    elif found.curvature_change_from_press > 0.0:
        yield finding(
            "laminate.moisture-pull-in",
            units,
            "tighter",
            value=-found.middle.radius_change / (1.0 + found.middle.radius_change),
            limit=spring_back / (1.0 - spring_back),
            **ends,
        )
    elif abs(found.most.chord_change_mm) > tolerance_mm:
        past = abs(found.middle.chord_change_mm) > tolerance_mm
        moved = found.middle.chord_change_mm if past else found.most.chord_change_mm
        case = "past" if past else "may"
        yield finding("laminate.moisture-pull-in", units, case, value=moved, limit=-tolerance_mm, **ends)


def _changes(wood: Wood, sawn: Sawn) -> Range | None:
    """Swelling of a ply's thickness: across the rings of a flat-sawn ply, along those of a quarter-sawn one.

    Where plies are mixed the least is the smaller of the two for all of them, the middle their mean.
    """
    radial, tangential = wood.change_radial, wood.change_tangential
    one = {"flat": radial, "quarter": tangential, "mixed": None}[sawn]
    if one is not None:
        return one, one, one
    if sawn != "mixed" or radial is None or tangential is None:
        return None
    return min(radial, tangential), (radial + tangential) / 2.0, max(radial, tangential)
