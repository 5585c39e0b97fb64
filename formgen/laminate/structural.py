"""Stage `laminate`: what published rules for load-bearing curved timber say of this part. It never stops a job.

In: plies and the inside radius of the finished part, mm. Out: ratios without unit, and findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.laminate.stock import Stock
from formgen.lengths import Units

#: A strength left above this share is not worth a finding.
WORTH_SAYING = 0.99
HARD_LIMIT, SOFT_LIMIT = 1.0 / 100.0, 1.0 / 125.0


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
    number, stock = max(boards, key=lambda pair: pair[1].thickness_mm / _limit(pair[1]))
    return CurvedStrength(
        ply=number,
        inside_radius_mm=inside_radius_mm,
        ratio=stock.thickness_mm / inside_radius_mm,
        ratio_limit=_limit(stock),
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


def _limit(stock: Stock) -> float:
    """Hardwoods and southern pine 1/100, other softwoods 1/125; the stricter where the wood is not known."""
    wood = stock.wood
    hard = wood is not None and (wood.kind == "hardwood" or wood.southern_pine)
    return HARD_LIMIT if hard else SOFT_LIMIT
