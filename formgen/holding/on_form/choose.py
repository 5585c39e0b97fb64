"""Stage `holding`: which clamps stay on once the gauge reads full, and how far the part then lifts off the form.

In: a Laminate, the side of the form, the clamp reliefs, the vacuum that is held. Out: an OnForm; mm, N. Which clamps
stay is decided without friction between the plies, so that neither its coefficient nor creep matters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from formgen.form.curve_ends import ENDS
from formgen.holding.on_form.findings import on_form_findings
from formgen.holding.on_form.layout import Layout, Pair
from formgen.holding.on_form.lifts import Lifting
from formgen.holding.on_form.model import TOLD_TO, Lift, OnForm, Place
from formgen.holding.on_form.strip import LoosePlies
from formgen.laminate.plies import Laminate
from formgen.press.film import Side
from formgen.recipe.figures import figure

#: Pairs at most beside the feet: who keeps more on may keep all on.
MOST_PAIRS = 4
#: A pair that takes off less than this share of the lift does not help.
HELPS = 0.05
#: Places tried at a time, those nearest to the greatest lift.
TRIED = 3

#: A length left over lifts the crown by this many times itself over the sweep: 2e/θ.
CROWN_SHARE = 2.0

Kept = tuple[tuple[float, Place], ...]


def on_the_form(
    laminate: Laminate, side: Side, reliefs_mm: Sequence[float], pressure_kpa: float, slack_mm: float | None
) -> OnForm:
    """The part on its form under vacuum: feet alone, end pairs alone, and the few clamps that must stay.

    Args:
        laminate: the plies, pressed.
        side: side of the form.
        reliefs_mm: stations of the clamp reliefs on the pressed centre line; may be none.
        pressure_kpa: what the bag presses ply on ply with, gauge.
        slack_mm: what the recipe says was left over; None for the usual figure.
    """
    shop, part = laminate.recipe.shop, laminate.recipe.part
    force, grip = figure("clamp_force_n", shop).value, figure("clamp_friction", shop).value
    friction = figure("wet_glue_friction", shop).value
    lifting = Lifting(
        layout=Layout.of(laminate, side, reliefs_mm),
        plies=LoosePlies.of(laminate.plies),
        pressure_mpa=pressure_kpa / 1000.0,
        clamp_n_per_mm=force / part.depth_mm,
        form_friction=grip,
        slack_mm=_usual_slack(laminate, side) if slack_mm is None else slack_mm,
    )
    layout = lifting.layout
    feet, ends = layout.feet(), layout.end_pairs()
    kept, decided, closed = _few(lifting, feet, ends)
    at = [s for s, _ in kept]
    pair = [j.furthest_mm(part.tolerance_mm) for end in ENDS if (j := layout.spring_line(end)) is not None]
    # without friction first: the lifts with friction are looked for from there
    per_slack = lifting.per_slack(at, lifting.slack_mm or part.tolerance_mm / 2.0)
    found = OnForm(
        tolerance_mm=part.tolerance_mm,
        slack_mm=lifting.slack_mm,
        slack_usual=slack_mm is None,
        clamp_holds_n=force * grip,
        feet_alone=_told(lifting.lift(feet.stations_mm, 0.0), part.tolerance_mm),
        end_pairs=_told(lifting.lift(ends.stations_mm, 0.0), part.tolerance_mm),
        staying=(_told(decided, part.tolerance_mm), _told(lifting.lift(at, friction), part.tolerance_mm)),
        stays=tuple(layout.staying(s, _called(layout, s, place, kept)) for s, place in kept),
        holds=decided.lift_mm <= part.tolerance_mm,
        by_closed_form=closed,
        per_slack=per_slack,
        furthest_pair_mm=min(pair, default=None),
    )
    return on_form_findings(found, laminate.recipe.units)


def _usual_slack(laminate: Laminate, side: Side) -> float:
    """The usual figure, but no more than leaves half the tolerance at the crown.

    More shows under the feeler that goes along the edge before any clamp comes off.
    """
    sign = 1.0 if side == "male" else -1.0
    bulging = sum(max(sign * k, 0.0) * length for length, k in laminate.pressed.pieces)
    shows = laminate.recipe.part.tolerance_mm / 2.0 * bulging / CROWN_SHARE
    return min(figure("usual_slack_mm", laminate.recipe.shop).value, shows)


def _few(lifting: Lifting, feet: Pair, ends: Pair) -> tuple[Kept, Lift, bool]:
    """The feet, and pair after pair the one that helps most, until the part lies within its tolerance.

    The pair at the ends of the curve is tried first, then the places nearest to the greatest lift; at each the
    handiest station that is enough.
    """
    layout = lifting.layout
    kept: Kept = tuple((s, feet.place) for s in feet.stations_mm)
    best, closed = _decide(lifting, kept)
    places = layout.candidates()
    for round_ in range(MOST_PAIRS):
        if best.lift_mm <= layout.tolerance_mm:
            break
        near = [[ends]] if round_ == 0 else _nearest(places, best.station_mm, layout)
        tried: list[tuple[Lift, bool, Kept]] = []
        for place in near:
            added = _enough(lifting, kept, place)
            if added is not None:
                tried.append((*_decide(lifting, added), added))
                if _worth(layout, tried[-1][0], added)[:2] == (False, 0):
                    break  # enough, and every clamp has its relief
        if not tried:
            continue
        lift, by_form, new = min(tried, key=lambda t: _worth(layout, t[0], t[2]))
        if lift.lift_mm > (1.0 - HELPS) * best.lift_mm:
            if round_ == 0:
                continue
            break
        kept, best, closed = new, lift, by_form
    return tuple(sorted(kept)), best, closed


def _enough(lifting: Lifting, kept: Kept, place: Sequence[Pair]) -> Kept | None:
    """Clamps kept with the first station of a place that is enough, else with the one that leaves least."""
    best: tuple[float, Kept] | None = None
    for pair in place:
        new = [s for s in pair.stations_mm if all(abs(s - have) > 1.0 for have, _ in kept)]
        if not new:
            continue
        added = (*kept, *((s, pair.place) for s in new))
        lift = _decide(lifting, added)[0].lift_mm
        if lift <= lifting.layout.tolerance_mm:
            return added
        if best is None or lift < best[0]:
            best = (lift, added)
    return None if best is None else best[1]


def _called(layout: Layout, station_mm: float, place: Place, kept: Kept) -> Place:
    """Return what a clamp holds down: at the foot of a leg too short for another it is both."""
    clamp = layout.staying(station_mm, place)
    beyond, jump = clamp.beyond_springing_mm, layout.spring_line(clamp.end)
    if place != "foot" or jump is None or beyond is None:
        return place
    paired = any(p == "end of the curve" and layout.staying(s, p).end == clamp.end for s, p in kept)
    near = 0.0 < beyond <= jump.furthest_mm(layout.tolerance_mm)
    return "end of the curve" if near and not paired else place


def _worth(layout: Layout, lift: Lift, kept: Kept) -> tuple[bool, int, float]:
    """Enough before not enough; of those that are, the ones that stand in reliefs; then the least lift."""
    enough = lift.lift_mm <= layout.tolerance_mm
    outside = sum(layout.staying(s, place).clamp is None for s, place in kept) if enough else 0
    return not enough, outside, lift.lift_mm


def _nearest(places: Sequence[Sequence[Pair]], station_mm: float, layout: Layout) -> list[Sequence[Pair]]:
    length = layout.pressed.length_mm
    worst = (station_mm, length - station_mm) if layout.mirrored else (station_mm,)
    return sorted(places, key=lambda p: min(abs(s - w) for s in p[0].stations_mm for w in worst))[:TRIED]


def _decide(lifting: Lifting, kept: Kept) -> tuple[Lift, bool]:
    """The lift without friction, and whether a closed form gave it."""
    at = [s for s, _ in kept]
    closed = lifting.closed_form(at)
    return (closed, True) if closed is not None else (lifting.lift(at, 0.0), False)


def _told(lift: Lift, tolerance_mm: float) -> Lift:
    """The lift as far as the sums hold."""
    return lift if lift.lift_mm <= TOLD_TO * tolerance_mm else replace(lift, lift_mm=float("inf"))
