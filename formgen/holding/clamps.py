"""Stage `holding`: clamps on the form: where they go, in which order they go on and come off.

In: a Laminate, the side of the form, the way of pressing, the clamp reliefs and the width of a jaw. Out: a ClampPlan in
mm. It places no reliefs; what a clamp must push is in `bending`, which of them must stay is decided in `on_form`.
Last: whether clamps through a caul press the glue line everywhere, and with enough; mm, kPa.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import pairwise

from formgen.errors import PressError
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import same_place
from formgen.holding.bending.forces import STRAIGHT_PER_MM
from formgen.laminate.plies import Laminate
from formgen.press.caul import caul_for_mm, clamp_pressure_kpa, clamps_across, spacing_for_mm
from formgen.press.film import Side
from formgen.press.setup import Pressing
from formgen.recipe.schema import Way

#: Numbers of the clamps of each step, those of one pair together.
Order = tuple[tuple[int, ...], ...]


@fixed
class ClampPlace:
    """One clamp, in a relief.

    Args:
        number: counted from the right end, from 1, as the reliefs are.
        station_mm: on the pressed centre line.
        height_mm: y there.
        on_curve: whether the jaw bears on a curve rather than a straight leg.
        face_radius_mm: least radius of the face under the jaw; infinite on a leg.
        flat_mm: how deep a flat jaw and that curve differ, c²/(8R); 0 on a leg.
    """

    number: int
    station_mm: float
    height_mm: float
    on_curve: bool
    face_radius_mm: float
    flat_mm: float


@fixed
class ClampPlan:
    """The clamps of a form.

    Args:
        places: from the right end, one to a relief.
        jaw_mm: width of a jaw along the part.
        from_crown: the first clamp stands at the crown; otherwise at the right end, where plies that are not alike at
            both ends are stopped.
        on_order: from the first clamp outward, never from both ends inward: all snug first, then tight in the same
            order.
        off_at_vacuum: which may come off once the gauge reads full, in that order; none but where the bag is round the
            part alone and it is known which must stay.
        release: those that are on while the glue sets, in the order in which they come off: feet first, inward.
        findings: flat spots.
    """

    places: tuple[ClampPlace, ...]
    jaw_mm: float
    from_crown: bool
    on_order: Order
    off_at_vacuum: Order
    release: Order
    findings: tuple[Finding, ...] = ()


def clamp_plan(
    laminate: Laminate,
    relief_stations_mm: Sequence[float],
    side: Side,
    jaw_mm: float,
    way: Way,
    staying: Collection[int] | None = None,
) -> ClampPlan:
    """Clamps in the reliefs.

    Args:
        laminate: the plies, pressed.
        relief_stations_mm: stations of the reliefs on the pressed centre line; may be none.
        side: side of the form; the moving jaw bears on the face of the part that is turned away from it.
        jaw_mm: width of the jaw, or of the block under it, along the part.
        way: of pressing.
        staying: numbers of the clamps that must stay under vacuum, beside the feet; None where all stay.

    Raises:
        PressError: a jaw without width, or a relief that does not lie on the part.
    """
    pressed = laminate.pressed
    stations = sorted(relief_stations_mm)
    if not jaw_mm > 0:
        raise PressError(f"clamp jaw = {jaw_mm} mm, expected above 0; measure the jaw or the block under it")
    if stations and not (stations[0] >= -1e-6 and stations[-1] <= pressed.length_mm + 1e-6):
        raise PressError(
            f"clamp reliefs lie from {stations[0]:.1f} to {stations[-1]:.1f} mm, expected on the part, "
            f"0 to {pressed.length_mm:.1f} mm; move them"
        )
    places = tuple(_place(laminate, i + 1, s, side, jaw_mm) for i, s in enumerate(stations))
    on_order = outward(stations, first_clamp_mm(laminate))
    keep = _kept(places, staying if way == "part-bagged" else None)
    return ClampPlan(
        places=places,
        jaw_mm=jaw_mm,
        from_crown=alike_at_both_ends(laminate),
        on_order=on_order,
        off_at_vacuum=_only(on_order, {place.number for place in places} - keep),
        release=_only(on_order[::-1], keep),
        findings=tuple(_flat_findings(laminate, places, jaw_mm)),
    )


def alike_at_both_ends(laminate: Laminate) -> bool:
    """Tell whether the middle of every ply lies at the crown, so that plies slide towards both ends alike."""
    right, left = laminate.arch.waste_mm
    legs_mm = laminate.springing_mm[0], laminate.pressed.length_mm - laminate.springing_mm[1]
    return laminate.arch.two_legged and abs(right - left) < 1e-6 and abs(legs_mm[0] - legs_mm[1]) < 1e-6


def first_clamp_mm(laminate: Laminate) -> float:
    """Station of the first clamp on the pressed centre line: the crown, or the right end, where plies are stopped."""
    return sum(laminate.springing_mm) / 2.0 if alike_at_both_ends(laminate) else 0.0


def outward(stations_mm: Sequence[float], first_mm: float) -> Order:
    """Numbers (from 1, by rising station) of clamps from a station outward, in pairs where both sides have them.

    A clamp nearer to the first station than a quarter of the least distance between two clamps goes alone, and so do
    those near it of which one side has more than the other; then one from the right together with one from the left.
    Common practice, no source: so the plies slide towards their free ends, and no slack is shut in between two clamps.
    """
    order = sorted(range(len(stations_mm)), key=lambda i: stations_mm[i])
    ordered = [stations_mm[i] for i in order]
    gaps = [b - a for a, b in pairwise(ordered)]
    near = 0.25 * min(gaps) if gaps else math.inf
    alone = [n for n, s in enumerate(ordered, 1) if abs(s - first_mm) <= near]
    right = [n for n, s in enumerate(ordered, 1) if s < first_mm and n not in alone][::-1]
    left = [n for n, s in enumerate(ordered, 1) if s >= first_mm and n not in alone]
    pairs = min(len(right), len(left))
    # Pairs are counted from the ends, so that the bottom pair is one from each end; the longer side begins alone.
    steps = [(n,) for n in (*alone, *right[: len(right) - pairs], *left[: len(left) - pairs])]
    paired = zip(right[len(right) - pairs :], left[len(left) - pairs :], strict=True)
    return (*steps, *paired)


def _kept(places: Sequence[ClampPlace], staying: Collection[int] | None) -> set[int]:
    """Numbers of the clamps that are on while the glue sets: all, or those that must stay and the feet."""
    if staying is None or not places:
        return {place.number for place in places}
    feet = {place.number for place in (places[0], places[-1]) if not place.on_curve}
    return feet | (set(staying) & {place.number for place in places})


def _only(order: Order, numbers: Collection[int]) -> Order:
    """An order with those numbers alone, steps that become empty left out."""
    steps = (tuple(n for n in step if n in numbers) for step in order)
    return tuple(step for step in steps if step)


def _place(laminate: Laminate, number: int, station_mm: float, side: Side, jaw_mm: float) -> ClampPlace:
    pressed = laminate.pressed
    away = (-1 if side == "male" else 1) * laminate.thickness_mm / 2.0
    low, high = max(station_mm - jaw_mm / 2.0, 0.0), min(station_mm + jaw_mm / 2.0, pressed.length_mm)
    tightest = 0.0
    for (length, k), begin in zip(pressed.pieces, pressed.stations_mm, strict=False):
        if begin < high - 1e-9 and begin + length > low + 1e-9 and abs(k) > STRAIGHT_PER_MM:
            tightest = max(tightest, abs(k / (1.0 - k * away)))
    return ClampPlace(
        number=number,
        station_mm=station_mm,
        height_mm=pressed.pose(min(max(station_mm, 0.0), pressed.length_mm)).y_mm,
        on_curve=tightest > 0.0,
        face_radius_mm=1.0 / tightest if tightest > 0.0 else math.inf,
        flat_mm=jaw_mm**2 * tightest / 8.0,
    )


def _flat_findings(laminate: Laminate, places: Sequence[ClampPlace], jaw_mm: float) -> Iterator[Finding]:
    part, units = laminate.recipe.part, laminate.recipe.units
    flat = [p for p in places if p.flat_mm > part.tolerance_mm]
    if not flat:
        return
    worst = max(flat, key=lambda p: p.flat_mm)
    asked = "jaw_mm" in laminate.recipe.shop.clamp.model_fields_set
    yield finding(
        "press.flat-spot",
        units,
        "asked" if asked else "usual",
        value=worst.flat_mm,
        limit=part.tolerance_mm,
        jaw=jaw_mm,
        clamps=tuple(place.number for place in flat),
        longest=math.sqrt(8.0 * worst.face_radius_mm * part.tolerance_mm),
    )


def widest_mm(stations_mm: Sequence[float], length_mm: float) -> float:
    """The greatest spacing that counts: between two clamps, or twice from the last clamp to the end of the part."""
    ordered = sorted(stations_mm)
    if not ordered:
        return 2.0 * length_mm
    ends = (2.0 * ordered[0], 2.0 * (length_mm - ordered[-1]))
    return max(*ends, *(b - a for a, b in pairwise(ordered)), 0.0)


def caul_findings(pressing: Pressing, stations_mm: Sequence[float]) -> Iterable[Finding]:
    """Clamps too far apart for the caul, or too weak for the glue.

    Args:
        pressing: the caul and the glue.
        stations_mm: of the reliefs on the pressed centre line.
    """
    if pressing.caul is None or not stations_mm:
        return
    recipe = pressing.recipe
    units, shop, part = recipe.units, recipe.shop, recipe.part
    depth = part.pressed_depth_mm
    force, caul = pressing.caul.clamp_n, pressing.caul.caul_mm
    jaw = shop.clamp.jaw_mm
    on_face = [same_place(pressing.laminate.pressed, pressing.face, s) for s in stations_mm]
    spacing = widest_mm(on_face, pressing.face.length_mm)  # reliefs are spaced along the face
    if spacing > pressing.caul.reach_mm + 1e-6:
        case = "asked" if pressing.caul.spacing_mm > pressing.caul.reach_mm + 1e-6 else "moved"
        gap = {"value": spacing, "limit": pressing.caul.reach_mm, "caul": caul}
        yield finding("press.caul-spacing", units, case, **gap, thicker=caul_for_mm(spacing, jaw))
    glue = pressing.glue
    if glue.asked_least_mpa is None or glue.adhesive is None:
        return
    asked_kpa = 1000.0 * glue.asked_least_mpa
    pressure = clamp_pressure_kpa(force, spacing, depth, jaw, caul)
    if pressure < asked_kpa:
        across = clamps_across(depth, jaw, caul)
        yield finding(
            "press.caul-pressure",
            units,
            value=pressure,
            limit=asked_kpa,
            each="one" if across == 1 else "several",
            across=across,
            force=force,
            pressure=pressure / 1000.0,
            asked=glue.asked_least_mpa,
            glue=glue.adhesive,
            closer=spacing_for_mm(asked_kpa, force, depth, jaw, caul),
        )
