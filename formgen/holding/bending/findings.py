"""Stage `holding`: the sentences about bending: what brings the ends in, what closes them, a leg without a clamp.

In: both ends, the way of pressing. Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formgen.findings import Finding, Severity
from formgen.holding.bending.model import EndBending, Means
from formgen.lengths import Units, write_tape
from formgen.press.amounts import newton_range_text, newton_text
from formgen.recipe.schema import Way
from formgen.units import STANDARD_GRAVITY_M_PER_S2

STANDARD_GRAVITY = float(STANDARD_GRAVITY_M_PER_S2)
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
        yield Finding(
            code="press.foot-no-clamp",
            severity=Severity.WARNING,
            message=f"No clamp relief lies on the {' and the '.join(bare)} leg: clamp its end from the back of the "
            "form, or set the reliefs closer (form.clamp_reliefs.spacing).",
            value=0.0,
            limit=1.0,
            unit="clamps",
            source="common practice, no source",
        )


def _whose(ends: Sequence[EndBending], worst: EndBending, values: Sequence[float]) -> str:
    """`each` where both ends are of one kind and need as much, else the name of the end."""
    kinds = {(end.has_leg, end.lifts) for end in ends}
    alike = len(kinds) == 1 and max(values) - min(values) <= ALIKE * max(values)
    return "each" if alike else f"the {worst.end}"


def _foot_finding(end: EndBending, whose: str, units: Units) -> Finding:
    felt = newton_text(end.foot_n, units)
    if units == "mm":  # in kg as well: that is what a hand can judge
        felt += f" ({end.foot_n / STANDARD_GRAVITY:.0f} kg)"
    if end.has_leg:
        what = f"Bringing {whose} foot in takes {felt}: {end.foot_takes}"
    else:
        what = f"Bringing {whose} end round from the clamp next to it takes {felt}: {end.foot_takes}"
    after = "" if end.lifts else "; on this form it then pushes out against the form by itself"
    return Finding(
        code="press.foot-force",
        severity=Severity.NOTE,
        message=f"{what}{after}.",
        value=end.foot_n,
        unit="N",
        source="moment of the loose plies, Σ E t³/12 · κ, over the lever of the pull, for the whole depth: computed; "
        "a hand's pull in figures (common practice, no source)",
    )


def _closing_finding(end: EndBending, whose: str, means: Means, way: Way, units: Units) -> Finding:
    closing = end.closing
    assert closing is not None  # noqa: S101 -- the caller picks ends that have one
    force = newton_range_text(closing.least_n, closing.most_n, units)
    away = write_tape(abs(closing.beyond_springing_mm), units).removeprefix("≈ ")
    if closing.at_trim_line:
        what, where = f"{whose} end at the trim line", "there"
    elif end.has_leg:
        side = "out on the leg" if closing.beyond_springing_mm > 0.0 else "in on the arc"
        what, where = f"{whose} leg at the spring line", f"{away} {side}"
    else:
        what, where = f"the plies next to {whose} end", f"{away} in"
    short = closing.least_n > means.clamp_n
    bag = "; the bag round the part does not" if way == "part-bagged" else ""
    advice = f"; one clamp gives {newton_text(means.clamp_n, units)}: set several side by side, or bend thinner plies"
    return Finding(
        code="press.closing-force",
        severity=Severity.WARNING if short else Severity.NOTE,
        message=f"Closing {what} takes {force} on a block {where}: {means.clamps_text(*closing.clamps)}{bag}"
        f"{advice if short else ''}.",
        value=closing.most_n,
        limit=means.clamp_n,
        unit="N",
        source="loose plies on a contact that gives, soft to hard (figures), for the whole depth: computed; a clamp's "
        "force in figures (common practice, no source)",
    )
