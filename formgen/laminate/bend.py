"""Stage `laminate`: whether every ply bends: strain against breaking strain, or a panel's radius against the published.

In: plies as they lie in the press. Out: findings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.findings import Finding, finding
from formgen.laminate.ply import Ply
from formgen.laminate.stock import Stock, listed
from formgen.lengths import Units

#: Share of the breaking strain above which a ply is too near it. Common practice, no source.
NEAR_SHARE = 0.75


def bend_findings(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """List what is known to break, what comes near it, and what nothing is known about."""
    if all(s.strength_mpa is None and s.panel is None for s in stocks):
        yield finding("laminate.no-strength", units)
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
    )


def _panels(plies: Sequence[Ply], stocks: Sequence[Stock], units: Units) -> Iterable[Finding]:
    """One finding for each kind of panel: too tight, or not listed."""
    seen: dict[str, Ply] = {}
    for ply, stock in zip(plies, stocks, strict=True):
        kind = f"{stock.name} {stock.thickness_mm}"
        if stock.panel is not None and (kind not in seen or ply.radius_mm < seen[kind].radius_mm):
            seen[kind] = ply
    for ply in seen.values():
        panel = stocks[ply.number - 1].panel
        if panel is None:
            continue
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
