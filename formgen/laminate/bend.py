"""Stage `laminate`: whether every ply bends: strain against breaking strain, or a panel's radius against the published.

In: plies as they lie in the press. Out: findings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.findings import Finding, Severity
from formgen.laminate.panels import listed
from formgen.laminate.ply import Ply
from formgen.laminate.stock import Stock
from formgen.lengths import Units, write_fine, write_length

#: Share of the breaking strain above which a ply is too near it. Common practice, no source.
NEAR_SHARE = 0.75
STRAIN_SOURCE = "strain t/(2R) against MOR/E of clear wood, Wood Handbook FPL-GTR-282, Table 5-3a"


def bend_findings(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """What is known to break, what comes near it, and what nothing is known about."""
    if all(s.strength_mpa is None and s.panel is None for s in stocks):
        yield Finding(
            code="laminate.no-strength",
            severity=Severity.NOTE,
            message=(
                "Only a modulus was given, so nothing is known about breaking: "
                "bend one spare ply over the dry form first."
            ),
        )
    yield from _strain(plies, units)
    yield from _panels(plies, stocks, units)


def _strain(plies: Iterable[Ply], units: Units) -> Iterable[Finding]:
    """The ply nearest to its limit, where it is past it or within a quarter of it."""
    known = [p for p in plies if p.strain_limit is not None]
    if not known:
        return
    worst = max(known, key=lambda p: p.strain / (p.strain_limit or math.inf))
    limit = worst.strain_limit or math.inf
    if worst.strain <= NEAR_SHARE * limit:
        return
    past = worst.strain > limit
    yield Finding(
        code="laminate.ply-strain",
        severity=Severity.PROBLEM if past else Severity.WARNING,
        message=(
            f"Ply {worst.number} ({worst.wood}, {write_fine(worst.thickness_mm, units)}) "
            f"{'is bent past' if past else 'comes close to'} its breaking strain at "
            f"R {write_length(worst.radius_mm, units)}: "
            "use thinner plies, another wood or a larger radius, and bend a spare ply first."
        ),
        value=worst.strain,
        limit=limit,
        source=STRAIN_SOURCE,
    )


def _panels(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """One finding for each kind of panel: too tight, or not listed."""
    seen: dict[str, Ply] = {}
    for ply, stock in zip(plies, stocks, strict=True):
        kind = f"{stock.name} {stock.thickness_mm}"
        if stock.panel is not None and (kind not in seen or ply.radius_mm < seen[kind].radius_mm):
            seen[kind] = ply
    for ply in seen.values():
        stock = stocks[ply.number - 1]
        if stock.panel is None:
            continue
        what = f"Ply {ply.number} ({ply.wood}, {write_fine(ply.thickness_mm, units)})"
        if ply.radius_limit_mm is None:
            known = ", ".join(f"{row[0]:g}" for row in stock.panel.layers)
            way = "" if listed(stock.panel, ply.thickness_mm) is None else " bent this way"
            yield Finding(
                code="laminate.panel-not-listed",
                severity=Severity.WARNING,
                message=(
                    f"{what} has no published least radius{way}; listed are {known} mm: "
                    "bend a strip of it over the dry form first."
                ),
                value=ply.thickness_mm,
                unit="mm",
                source=stock.panel.source,
            )
        elif ply.radius_mm < ply.radius_limit_mm:
            yield Finding(
                code="laminate.panel-radius",
                severity=Severity.PROBLEM,
                message=(
                    f"{what} is bent tighter than its published least radius: "
                    "use thinner panels, turn the face grain across the curve, or wet it, bend it and dry it again."
                ),
                value=ply.radius_mm,
                limit=ply.radius_limit_mm,
                unit="mm",
                source=stock.panel.source,
            )
