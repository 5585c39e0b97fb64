"""Stage `laminate`: whether every ply bends: strain against breaking strain, or a panel's radius against the published.

In: plies as they lie in the press, the inside radius of the finished part, mm. Out: ratios without unit, findings.
Last comes what published rules for load-bearing curved timber say of the part; it never stops a job.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.laminate.ply import Ply
from formgen.laminate.stock import Stock, listed
from formgen.lengths import Units
from formgen.recipe.entries import Panel

#: Share of the breaking strain above which a ply is too near it. Common practice, no source.
NEAR_SHARE = 0.75
#: A strength left above this share is not worth a finding.
WORTH_SAYING = 0.99
HARD_LIMIT, SOFT_LIMIT = 1.0 / 100.0, 1.0 / 125.0


def bend_findings(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """List what is known to break, what comes near it, and what nothing is known about."""
    if all(s.strength_mpa is None and s.panel is None for s in stocks):
        yield finding("laminate.no-strength", units)
    yield from _strain(plies, stocks, units)
    yield from _panels(plies, stocks, units)


def _strain(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """The ply nearest to its limit, where it is past it or within a quarter of it."""
    known = [(p, s.wood) for p, s in zip(plies, stocks, strict=True) if p.strain_limit is not None]
    if not known:
        return
    worst, wood = max(known, key=lambda held: held[0].strain / (held[0].strain_limit or math.inf))
    limit = worst.strain_limit or math.inf
    if worst.strain <= NEAR_SHARE * limit:
        return
    yield finding(
        "laminate.ply-strain",
        units,
        "past" if worst.strain > limit else "near",
        value=worst.strain,
        limit=limit,
        ply=worst.number,
        wood=worst.wood,
        thickness=worst.thickness_mm,
        radius=worst.radius_mm,
        wood_source="" if wood is None else wood.source,
    )


def _panels(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """One finding for each kind of panel: too tight, or not listed."""
    seen: dict[str, tuple[Ply, Panel]] = {}
    for ply, stock in zip(plies, stocks, strict=True):
        kind = f"{stock.name} {stock.thickness_mm}"
        if stock.panel is not None and (kind not in seen or ply.radius_mm < seen[kind][0].radius_mm):
            seen[kind] = ply, stock.panel
    for ply, panel in seen.values():
        if ply.radius_limit_mm is None:
            yield finding(
                "laminate.panel-not-listed",
                units,
                value=ply.thickness_mm,
                ply=ply.number,
                wood=ply.wood,
                way="any" if listed(panel, ply.thickness_mm) is None else "this",
                known=tuple(row[0] for row in panel.layers),
                panel_source=panel.source,
            )
        elif ply.radius_mm < ply.radius_limit_mm:
            yield finding(
                "laminate.panel-radius",
                units,
                value=ply.radius_mm,
                limit=ply.radius_limit_mm,
                ply=ply.number,
                wood=ply.wood,
                thickness=ply.thickness_mm,
                panel_source=panel.source,
            )


@fixed
class CurvedStrength:
    """The bending strength that curving the plies leaves the part.

    Args:
        ply: number of the ply that decides.
        inside_radius_mm: tightest radius of the finished part's concave face.
        ratio: t/R of that ply.
        ratio_limit: greatest t/R that the rule allows for its wood.
        curvature_factor: 1 − 2000 (t/R)²; means nothing past the limit.
        k_r: EN 1995-1-1's factor.
    """

    ply: int
    inside_radius_mm: float
    ratio: float
    ratio_limit: float
    curvature_factor: float
    k_r: float


def curvature_factor(thickness_mm: float, radius_mm: float) -> float:
    """Share of the bending strength left to a lamination bent to a radius: 1 − 2000 (t/R)².

    Args:
        thickness_mm: of the lamination.
        radius_mm: of the member's inside face.

    Assumptions:
        Dry laminations, t/R within the published limit; past it the number means nothing and may fall below 0.

    Reference:
        NDS, curvature factor for curved glued laminated timber; ANSI A190.1.
    """
    return 1.0 - 2000.0 * (thickness_mm / radius_mm) ** 2


def k_r(inside_radius_mm: float, thickness_mm: float) -> float:
    """Share of the bending strength left by bending the laminations in production.

    Reference:
        EN 1995-1-1:2004, 6.4.3: 1 for r_in/t ≥ 240, else 0.76 + 0.001 r_in/t.
    """
    slenderness = inside_radius_mm / thickness_mm
    return 1.0 if slenderness >= 240.0 else 0.76 + 0.001 * slenderness


def curved_strength(stocks: Sequence[Stock], inside_radius_mm: float) -> CurvedStrength | None:
    """The ply nearest to, or furthest past, its published t/R; None where all are panels."""
    boards = [(i, s) for i, s in enumerate(stocks, start=1) if s.panel is None]
    if not boards:
        return None
    number, stock = max(boards, key=lambda pair: pair[1].thickness_mm / _ratio_limit(pair[1]))
    return CurvedStrength(
        ply=number,
        inside_radius_mm=inside_radius_mm,
        ratio=stock.thickness_mm / inside_radius_mm,
        ratio_limit=_ratio_limit(stock),
        curvature_factor=curvature_factor(stock.thickness_mm, inside_radius_mm),
        k_r=k_r(inside_radius_mm, stock.thickness_mm),
    )


def strength_findings(found: CurvedStrength | None, units: Units) -> Iterable[Finding]:
    """Past the published radius, or what is left of the strength within it."""
    if found is None:
        return
    if found.ratio > found.ratio_limit * (1.0 + 1e-9):
        yield finding(
            "laminate.structural-radius",
            units,
            value=found.ratio,
            limit=found.ratio_limit,
            ply=found.ply,
            found=1.0 / found.ratio,
            allowed=1.0 / found.ratio_limit,
        )
    elif found.curvature_factor < WORTH_SAYING:
        yield finding("laminate.curvature-factor", units, value=found.curvature_factor, limit=1.0)
    if found.k_r < 1.0:
        yield finding("laminate.k-r", units, value=found.k_r, limit=1.0)


def _ratio_limit(stock: Stock) -> float:
    """Hardwoods and southern pine 1/100, other softwoods 1/125; the stricter where the wood is not known."""
    wood = stock.wood
    hard = wood is not None and (wood.kind == "hardwood" or wood.southern_pine)
    return HARD_LIMIT if hard else SOFT_LIMIT
