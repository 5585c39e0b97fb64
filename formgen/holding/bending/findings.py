"""Stage `holding`: the sentences about bending: what brings the ends in, what closes them, a leg without a clamp.

In: both ends, the way of pressing. Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formgen.findings import Finding, finding
from formgen.holding.bending.model import EndBending, Means
from formgen.lengths import Units
from formgen.recipe.schema import Way

#: Ends whose forces differ by less than this share are said to be alike.
ALIKE = 0.01


def bending_findings(
    ends: Sequence[EndBending], means: Means, way: Way, units: Units, *, reliefs: bool
) -> Iterable[Finding]:
    """Foot and closing of the end that needs more of each; male legs on which no relief lies."""
    hardest = max(ends, key=lambda end: end.foot_n)
    if hardest.foot_n > 0.0:
        yield _foot_finding(hardest, _whose(ends, hardest, [end.foot_n for end in ends]), units)
    closing = [end for end in ends if end.closing is not None and end.closing.most_n > 0.0]
    if closing:
        worst = max(closing, key=lambda end: end.closing.most_n if end.closing else 0.0)
        most = [end.closing.most_n if end.closing else 0.0 for end in ends]
        yield _closing_finding(worst, _whose(ends, worst, most), means, way, units)
    bare = [end.end for end in ends if reliefs and end.has_leg and end.lifts and end.clamps_on_leg == 0]
    if bare:
        which = "both" if len(bare) > 1 else bare[0]
        yield finding("press.foot-no-clamp", units, value=0.0, limit=1.0, legs=which)


def _whose(ends: Sequence[EndBending], worst: EndBending, values: Sequence[float]) -> str:
    """`each` where both ends are of one kind and need as much, else the name of the end."""
    kinds = {(end.has_leg, end.lifts) for end in ends}
    alike = len(kinds) == 1 and max(values) - min(values) <= ALIKE * max(values)
    return "each" if alike else worst.end


def _foot_finding(end: EndBending, whose: str, units: Units) -> Finding:
    return finding(
        "press.foot-force",
        units,
        value=end.foot_n,
        whose=whose,
        end="foot" if end.has_leg else "free",
        takes=end.foot_takes,
        after="lifts" if end.lifts else "pushes",
    )


def _closing_finding(end: EndBending, whose: str, means: Means, way: Way, units: Units) -> Finding:
    closing = end.closing
    assert closing is not None  # noqa: S101 -- the caller picks ends that have one
    if closing.at_trim_line:
        what, where = "trim", "trim"
    elif end.has_leg:
        what, where = "leg", "leg" if closing.beyond_springing_mm > 0.0 else "arc"
    else:
        what, where = "free", "free"
    return finding(
        "press.closing-force",
        units,
        "short" if closing.least_n > means.clamp_n else "enough",
        value=closing.most_n,
        limit=means.clamp_n,
        what=what,
        whose=whose,
        force=(closing.least_n, closing.most_n),
        where=where,
        away=abs(closing.beyond_springing_mm),
        clamps=means.clamps_text(*closing.clamps),
        bag=way == "part-bagged",
    )
