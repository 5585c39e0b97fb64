"""Stage `holding`: what bends the plies to the form: hands that bring each end in, the clamp that closes it.

In: a Laminate, the side of the form, the way of pressing, the clamp reliefs. Out: a Bending; mm, N·mm, N for the whole
depth of the part.

Who pushes on whom. The loose plies want to be straight and push with M = Σ E t³/12 · κ. Before an end is clamped, a
hand at the foot and the form at the spring line hold that moment between them. Afterwards a clamp near the spring line
holds it on a much shorter lever, which is why it must push so much harder. A bag round the part alone does not push
the part to the form: no term for it is here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import groupby

import numpy as np

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.form.curve_ends import ENDS, End
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.bending.contact import closing_force_n_per_mm
from formgen.holding.bending.model import Bending, Closing, EndBending, Means
from formgen.laminate.plies import Laminate
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.lengths import Units
from formgen.press.film import Side
from formgen.recipe.figures import figure
from formgen.recipe.schema import Way
from formgen.recipe.shop import Shop

__all__ = ["Bending", "bend_to_form"]

#: A run of the part that is straighter than this counts as straight (1/mm).
STRAIGHT_PER_MM = 1e-9
#: Places at which the lever of the foot is looked at along the part.
PLACES = 200
#: Ends whose forces differ by less than this share are said to be alike.
ALIKE = 0.01

Pieces = tuple[tuple[float, float], ...]


def bend_to_form(laminate: Laminate, stations_mm: Sequence[float], side: Side, way: Way) -> Bending:
    """Return what it takes to bend the plies to the form, end by end.

    Args:
        laminate: the plies, pressed.
        stations_mm: of the clamp reliefs on the pressed centre line; may be none.
        side: of the form.
        way: of pressing; `form-bagged` needs hands until the legs are down, and the bag closes the rest.

    Raises:
        PressError: no state at rest was found under a clamp.
    """
    recipe, shop = laminate.recipe, laminate.recipe.shop
    means = Means(hand_n=figure("hand_pull_n", shop).value, clamp_n=figure("clamp_force_n", shop).value)
    stack = _Stack(
        stiffness_n_mm=loose_stiffness_n_mm(laminate.plies),
        depth_mm=recipe.part.depth_mm,
        tolerance_mm=recipe.part.tolerance_mm,
        sign=1.0 if side == "male" else -1.0,
        closes=way != "form-bagged",
    )
    ends = _end(laminate, stations_mm, stack, means, "right"), _end(laminate, stations_mm, stack, means, "left")
    return Bending(
        ends=ends,
        depth_mm=stack.depth_mm,
        means=means,
        findings=tuple(_findings(ends, means, way, recipe.units, reliefs=len(stations_mm) > 0)),
    )


@fixed
class _Stack:
    """The loose plies and the form: Σ E t³/12 for each mm of depth, +1 for a male form, whether clamps must close."""

    stiffness_n_mm: float
    depth_mm: float
    tolerance_mm: float
    sign: float
    closes: bool


def _end(laminate: Laminate, stations_mm: Sequence[float], stack: _Stack, means: Means, end: End) -> EndBending:
    """One end: lengths and levers from that end inward, curvature positive to the inside of an arch at either end."""
    pressed, shop, right = laminate.pressed, laminate.recipe.shop, end == "right"
    waste_mm = laminate.arch.waste_mm[ENDS.index(end)]
    curve = pressed if right else pressed.reversed()
    pieces = curve.pieces if right else tuple((n, -k) for n, k in curve.pieces)
    clamps = sorted(s if right else pressed.length_mm - s for s in stations_mm)
    leg = math.fsum(n for n, k in _leading(pieces, bent=False))
    has_leg = 0.0 < leg < pressed.length_mm
    bent = next((k for _, k in pieces if abs(k) > STRAIGHT_PER_MM), 0.0)
    lifts = bent * stack.sign > 0.0
    foot, root = _foot(clamps, leg if has_leg else 0.0, waste_mm, shop)
    moment, lever = _hardest(curve, pieces, foot, root, stack)
    closing = _closing(pieces, leg if has_leg else 0.0, stack, means, shop, lifts=lifts) if stack.closes else None
    force = moment / lever if lever > 0.0 else 0.0
    return EndBending(
        end=end,
        has_leg=has_leg,
        lifts=lifts,
        clamps_on_leg=sum(s <= leg + 1e-6 for s in clamps) if has_leg else 0,
        foot_mm=foot,
        lever_mm=lever,
        moment_n_mm=moment,
        foot_n=force,
        foot_takes=means.takes(force),
        closing=closing,
    )


def _leading(pieces: Pieces, *, bent: bool) -> list[tuple[float, float]]:
    """The pieces from the end on that are all straight, or all bend one way with straights between them."""
    if not bent:
        straight, first = next(groupby(pieces, key=lambda p: abs(p[1]) <= STRAIGHT_PER_MM))
        return list(first) if straight else []
    sign = next((math.copysign(1.0, k) for _, k in pieces if abs(k) > STRAIGHT_PER_MM), 0.0)
    stop = next((i for i, (_, k) in enumerate(pieces) if k * sign < -STRAIGHT_PER_MM), len(pieces))
    return list(pieces[:stop])


def _foot(clamps: Sequence[float], leg_mm: float, waste_mm: float, shop: Shop) -> tuple[float, float]:
    """Stations from the end: where it is pulled, and from where on the plies must bend.

    A leg is pulled where its outermost clamp stands. An end without a leg is pulled at the tip of its waste, until a
    clamp holds it at the trim line, from the clamp next to that, which went on before.
    """
    if leg_mm > 0.0:
        usual = min(figure("foot_clamp_mm", shop).value, leg_mm / 2.0)
        return (clamps[0] if clamps and clamps[0] < 0.9 * leg_mm else usual), leg_mm
    near = figure("closing_clamp_mm", shop).value
    return -waste_mm, next((s for s in clamps if s > near), near)


def _hardest(curve: ArcSpline, pieces: Pieces, foot_mm: float, root_mm: float, stack: _Stack) -> tuple[float, float]:
    """Moment for the whole depth, N·mm, and lever of the pull at the foot where the pull must be greatest.

    F = max M(s)/a(s), a the lever of a pull square to the part at the foot, up to where that lever is longest, in the
    near half of the part and no further than it bends one way. On a leg with one arc that is M over the leg.
    """
    reach = min(math.fsum(n for n, _ in _leading(pieces, bent=True)), curve.length_mm / 2.0)
    stations = np.sort([*np.linspace(min(root_mm, reach), reach, PLACES), *curve.stations_mm])
    stations = stations[(stations >= root_mm - 1e-9) & (stations <= reach + 1e-9)]
    if len(stations) == 0:
        stations = np.array([reach])
    at = curve.pose(foot_mm) if foot_mm >= 0.0 else curve.start.onward(foot_mm, curve.pieces[0][1])
    levers = (curve.points(stations) - (at.x_mm, at.y_mm)) @ at.ahead
    best = (0.0, 0.0)
    for station, lever in zip(stations[: int(np.argmax(levers)) + 1], levers, strict=False):
        moment = stack.stiffness_n_mm * stack.depth_mm * abs(curve.curvature_at(float(station)))
        if lever > 0.0 and (best[1] == 0.0 or moment * best[1] > best[0] * lever):
            best = (moment, float(lever))
    return best


def _closing(pieces: Pieces, leg_mm: float, stack: _Stack, means: Means, shop: Shop, *, lifts: bool) -> Closing:
    """The clamp that closes the plies at the spring line, or at the end where there is no leg.

    On a male form it stands out on the leg, on a female form as far in on the arc; on an end without a leg that lifts
    it stands on the trim line, which it brings within the tolerance.
    """
    usual = figure("closing_clamp_mm", shop).value
    inward = math.fsum(n for n, _ in pieces) / 2.0
    beyond = min(usual, leg_mm) if lifts else -min(usual, inward - leg_mm)
    place = leg_mm - beyond
    bare = lifts and leg_mm == 0.0
    form, stands_off = tuple((n, k * stack.sign) for n, k in pieces), stack.tolerance_mm if bare else 0.0
    contacts = (figure(f"{which}_contact_n_per_mm3", shop).value for which in ("soft", "hard"))
    least, most = sorted(
        stack.depth_mm * closing_force_n_per_mm(form, place, usual, stack.stiffness_n_mm, contact, stands_off)
        for contact in contacts
    )
    return Closing(
        beyond_springing_mm=beyond,
        at_trim_line=bare,
        least_n=least,
        most_n=most,
        clamps=(means.clamps(least), means.clamps(most)),
    )


def _findings(ends: Sequence[EndBending], means: Means, way: Way, units: Units, *, reliefs: bool) -> Iterable[Finding]:
    """Foot and closing of the end that needs more of each; male legs on which no relief lies."""
    hardest = max(ends, key=lambda end: end.foot_n)
    if hardest.foot_n > 0.0:
        yield _foot_finding(hardest, _whose(ends, hardest, [end.foot_n for end in ends]), units)
    most = [end.closing.most_n if end.closing else 0.0 for end in ends]
    if max(most) > 0.0:
        worst = ends[most.index(max(most))]
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
