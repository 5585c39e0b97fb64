"""Stage `form`: clamp reliefs: holes behind the face in which the fixed jaws of the clamps bear.

In: the body, the part's stretch of the face, and the room left by edges, joints and the bar. Out: where each
relief lies; mm. A relief that clashes is moved along the face; one that finds no place is dropped with a finding.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import pairwise

from formgen.errors import FormError
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.form.body import Body
from formgen.form.curve_ends import Stand
from formgen.form.free_space import STEP_MM, WALL_MM, Capsule, Room, steps_about
from formgen.form.stack import Opening
from formgen.geometry.outline import Outline, Point
from formgen.lengths import Units
from formgen.recipe.model import Recipe
from formgen.recipe.schema import ReliefAsk
from formgen.recipe.shop import Clamp


@fixed
class Relief:
    """One relief: its station on the face, and the ground that it takes."""

    station_mm: float
    ground: Capsule

    @cached_property
    def opening(self) -> Opening:
        """The relief as it is cut."""
        a, b, r = self.ground.a, self.ground.b, self.ground.radius_mm
        length = math.dist(a, b)
        along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length > 0 else (1.0, 0.0)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        return Opening(outline=Outline.obround(middle, along, length + 2 * r, 2 * r), purpose="clamp relief")


def place_reliefs(
    body: Body,
    part: tuple[float, float],
    ask: ReliefAsk,
    recipe: Recipe,
    room: Room,
    pairs: Sequence[Stand],
) -> tuple[tuple[Relief, ...], tuple[Finding, ...]]:
    """Reliefs for the pair at the ends of the curve, then at even steps between, each within `ask.spacing_mm`.

    Args:
        body: what they are cut into.
        part: stations on the face where the finished part begins and ends.
        ask: shape, distance behind the face and greatest spacing.
        recipe: the clamp whose jaw must go in; a form without room for any relief is refused where it names them.
        room: what is free before any relief is placed.
        pairs: where a clamp must be able to stand, the right end first.

    Raises:
        FormError: reliefs were asked for and the body has no room for a single one.
    """
    clamp, units = recipe.shop.clamp, recipe.units
    placed, dropped, room = _placed(body, pairs, ask, clamp, room)
    even = _even(part, ask.spacing_mm, sorted(relief.station_mm for _, relief in placed))
    others, without, _ = _placed(body, even, ask, clamp, room)
    moved = [abs(relief.station_mm - wish.station_mm) for wish, relief in others]
    reliefs = sorted((relief for _, relief in (*placed, *others)), key=lambda r: r.station_mm)
    if reliefs:
        found = [*_findings(reliefs, [by for by in moved if by > 1e-9], without, part, ask.spacing_mm, units)]
    else:
        need = ask.setback_mm + clamp.jaw_mm + clamp.play_mm + WALL_MM
        if recipe.asked.form.clamp_reliefs:
            raise FormError(
                f"form.clamp_reliefs: no relief finds room in {body.backing_mm:.0f} mm of backing, expected about "
                f"{need:.0f} mm (setback, jaw with play, and a wall of {WALL_MM:.0f} mm): raise form.backing or lower "
                "the setback"
            )
        found = [finding("form.relief-none", units, value=body.backing_mm, limit=need)]
    return tuple(reliefs), (*_pair_findings(dropped, units), *found)


def _placed(
    body: Body, wishes: Sequence[Stand], ask: ReliefAsk, clamp: Clamp, room: Room
) -> tuple[list[tuple[Stand, Relief]], list[Stand], Room]:
    """Reliefs for as many wishes as have room, in their order; the wishes without; the room that is left."""
    placed, dropped = [], []
    for wish in wishes:
        relief = _nearest_place(body, wish, ask, clamp, room)
        if relief is None:
            dropped.append(wish)
            continue
        placed.append((wish, relief))
        room = room.less([relief.ground])
    return placed, dropped, room


def _even(part: tuple[float, float], spacing_mm: float, fixed_mm: Sequence[float]) -> list[Stand]:
    """Even steps between what is fixed, and from the outermost to the ends, where the last stands half a step in."""
    if not fixed_mm:
        count = max(1, math.ceil((part[1] - part[0]) / spacing_mm - 1e-9))
        step = (part[1] - part[0]) / count
        return [_between(part[0] + (i + 0.5) * step, step) for i in range(count)]
    wishes: list[Stand] = []
    for near, far in ((fixed_mm[0], part[0]), (fixed_mm[-1], part[1])):
        count = max(0, math.ceil(abs(far - near) / spacing_mm - 0.5 - 1e-9))
        step = (far - near) / (count + 0.5)
        wishes.extend(_between(near + (i + 1) * step, abs(step)) for i in range(count))
    for a, b in pairwise(fixed_mm):
        count = max(1, math.ceil((b - a) / spacing_mm - 1e-9))
        step = (b - a) / count
        wishes.extend(_between(a + (i + 1) * step, step) for i in range(count - 1))
    return sorted(wishes, key=lambda wish: wish.station_mm)


def _between(station_mm: float, step_mm: float) -> Stand:
    return Stand(station_mm=station_mm, least_mm=station_mm - step_mm / 2, greatest_mm=station_mm + step_mm / 2)


def _nearest_place(body: Body, wish: Stand, ask: ReliefAsk, clamp: Clamp, room: Room) -> Relief | None:
    """The relief at the station nearest to the one wished for at which its wall all round is thick enough."""
    for station in steps_about(wish.station_mm, int((wish.greatest_mm - wish.least_mm) / STEP_MM) + 1):
        if not wish.least_mm - 1e-9 <= station <= wish.greatest_mm + 1e-9:
            continue
        relief = _relief(body, station, ask, clamp)
        if room.fits_along(relief.ground.a, relief.ground.b, relief.ground.radius_mm + WALL_MM):
            return relief
    return None


def _relief(body: Body, station_mm: float, ask: ReliefAsk, clamp: Clamp) -> Relief:
    width = clamp.jaw_mm + clamp.play_mm
    cx, cy = body.behind(station_mm, ask.setback_mm + width / 2)
    ux, uy = body.face.pose(station_mm).ahead
    half = 0.0 if ask.shape == "round" else width / 2  # a slot is twice as long as it is wide
    a: Point = (cx - half * ux, cy - half * uy)
    b: Point = (cx + half * ux, cy + half * uy)
    return Relief(station_mm=station_mm, ground=Capsule(a=a, b=b, radius_mm=width / 2))


def _pair_findings(dropped: Sequence[Stand], units: Units) -> list[Finding]:
    """List what to do where no relief has room for the clamp that must stay at an end of the curve."""
    ends = [wish.end for wish in dropped if wish.end]
    if not ends:
        return []
    where = "both" if len(set(ends)) > 1 else ends[0]
    return [finding("form.relief-pair", units, value=float(len(ends)), ends=where)]


def _findings(
    placed: Sequence[Relief],
    moved: list[float],
    dropped: Sequence[Stand],
    part: tuple[float, float],
    spacing_mm: float,
    units: Units,
) -> Iterator[Finding]:
    """Find which reliefs were moved, and where those that found no place leave a gap wider than asked."""
    if moved:
        yield finding("form.relief-moved", units, value=max(moved), moved=len(moved), reliefs=len(placed))
    stations = [part[0], *(r.station_mm for r in placed), part[1]]
    gaps = [b - a for a, b in pairwise(stations[1:-1])]
    gaps.extend(2 * end for end in (stations[1] - stations[0], stations[-1] - stations[-2]))
    if dropped and max(gaps) > spacing_mm + 1e-6:
        yield finding("form.relief-dropped", units, value=max(gaps), limit=spacing_mm, dropped=len(dropped))
