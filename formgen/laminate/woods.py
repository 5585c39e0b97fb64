"""Stage `laminate`: what is to be known of the woods: figures that are in no book, and what they ask of a glue.

In: the material of each ply, the glue that was named, and whether the plies' swelling is counted. Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from formgen.findings import Finding, finding
from formgen.laminate.stock import Stock
from formgen.lengths import Units
from formgen.recipe.entries import Adhesive, Wood

_MEMORY = "from memory"


def wood_findings(
    stocks: Sequence[Stock], glue: Adhesive | None, units: Units, *, swelling_counts: bool
) -> Iterable[Finding]:
    """List woods whose figures are from memory, as far as they count here, and what each wood asks of the glue.

    Args:
        stocks: the plies, from the inside face outward.
        glue: the adhesive that was named, or None.
        units: what the shop reads.
        swelling_counts: whether a number of this job rests on the woods' swelling.
    """
    for wood in {stock.wood.name: stock.wood for stock in stocks if stock.wood is not None}.values():
        bent, swells = wood.how_sure == _MEMORY, swelling_counts and wood.change_how_sure == _MEMORY
        if bent or swells:
            which = "all" if bent and swells else "bending" if bent else "swelling"
            yield finding("laminate.wood-from-memory", units, which, wood=wood.name)
        if wood.glue:
            yield _glue(wood, glue, units)


def _glue(wood: Wood, glue: Adhesive | None, units: Units) -> Finding:
    said: dict[str, Any] = {"wood": wood.name, "line": wood.glue, "glue_source": wood.glue_source}
    if glue is None or not wood.good_glues or glue.kind in wood.good_glues:
        return finding("laminate.wood-glue", units, "says", **said)
    return finding("laminate.wood-glue", units, "other", **said, glue=glue.name, good="; ".join(wood.good_glues))
