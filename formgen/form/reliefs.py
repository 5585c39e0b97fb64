"""Stage `form`: clamp reliefs: holes behind the face in which the fixed jaws of the clamps bear.

In: the body, the part's stretch of the face, and the room left by edges, joints and the bar. Out: where each
relief lies; mm. A relief that clashes is moved along the face; one that finds no place is dropped with a finding.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from formgen.curve.outline import Outline, Point
from formgen.errors import FormError
from formgen.findings import Finding, Severity
from formgen.form.body import Body
from formgen.form.model import Opening
from formgen.form.room import WALL_MM, Capsule, Room
from formgen.recipe.schema import ReliefAsk
from formgen.recipe.shop import Clamp

#: A relief that clashes is tried this much further along, again and again (mm).
STEP_MM = 5.0


@dataclass(frozen=True, kw_only=True)
class Relief:
    """One relief: its station on the face, and the ground that it takes."""

    station_mm: float
    ground: Capsule

    @property
    def opening(self) -> Opening:
        """The relief as it is cut."""
        a, b, r = self.ground.a, self.ground.b, self.ground.radius_mm
        length = math.dist(a, b)
        along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length > 0 else (1.0, 0.0)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        return Opening(outline=Outline.obround(middle, along, length + 2 * r, 2 * r), purpose="clamp relief")


def place_reliefs(
    body: Body, part: tuple[float, float], ask: ReliefAsk, clamp: Clamp, room: Room, *, asked_for: bool
) -> tuple[tuple[Relief, ...], tuple[Finding, ...]]:
    """Reliefs at even steps along the part, each within `ask.spacing_mm` of the next where there is room.

    Args:
        body: what they are cut into.
        part: stations on the face where the finished part begins and ends.
        ask: shape, distance behind the face and greatest spacing.
        clamp: the jaw that must go in.
        room: what is free before any relief is placed.
        asked_for: the recipe names them, so that a form without room for any is refused.

    Raises:
        FormError: reliefs were asked for and the body has no room for a single one.
    """
    count = max(1, math.ceil((part[1] - part[0]) / ask.spacing_mm - 1e-9))
    step = (part[1] - part[0]) / count
    placed: list[Relief] = []
    moved, dropped = [], []
    for i in range(count):
        wish = part[0] + (i + 0.5) * step
        relief = _nearest_place(body, part, wish, step / 2, ask, clamp, room)
        if relief is None:
            dropped.append(wish)
            continue
        if abs(relief.station_mm - wish) > 1e-9:
            moved.append(abs(relief.station_mm - wish))
        placed.append(relief)
        room = room.less([relief.ground])
    if not placed and asked_for:
        need = ask.setback_mm + clamp.jaw_mm + clamp.play_mm + WALL_MM
        raise FormError(
            f"form.clamp_reliefs: no relief finds room in {body.backing_mm:.0f} mm of backing, expected about "
            f"{need:.0f} mm (setback, jaw with play, and a wall of {WALL_MM:.0f} mm): raise form.backing or lower the "
            "setback"
        )
    return tuple(placed), tuple(_findings(placed, moved, dropped, part, ask))


def _nearest_place(
    body: Body, part: tuple[float, float], wish_mm: float, reach_mm: float, ask: ReliefAsk, clamp: Clamp, room: Room
) -> Relief | None:
    """The relief at the station nearest to the one wished for at which its wall all round is thick enough."""
    tries = [wish_mm]
    for i in range(1, int(reach_mm / STEP_MM) + 1):
        tries.extend((wish_mm + i * STEP_MM, wish_mm - i * STEP_MM))
    for station in tries:
        if not part[0] <= station <= part[1]:
            continue
        relief = _relief(body, station, ask, clamp)
        if room.along(relief.ground.a, relief.ground.b) >= relief.ground.radius_mm + WALL_MM:
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


def _findings(
    placed: Sequence[Relief], moved: list[float], dropped: list[float], part: tuple[float, float], ask: ReliefAsk
) -> list[Finding]:
    found = []
    if moved:
        found.append(
            Finding(
                code="form.relief-moved",
                severity=Severity.NOTE,
                message=f"{len(moved)} of {len(placed)} clamp reliefs moved along the face, "
                "to keep a wall to edges, joints and each other.",
                value=max(moved),
                unit="mm",
                source="clearance of the form's features",
            )
        )
    stations = [part[0], *(r.station_mm for r in placed), part[1]]
    gaps = [b - a for a, b in pairwise(stations[1:-1])]
    gaps.extend(2 * end for end in (stations[1] - stations[0], stations[-1] - stations[-2]))
    if dropped and max(gaps) > ask.spacing_mm + 1e-6:
        found.append(
            Finding(
                code="form.relief-dropped",
                severity=Severity.WARNING,
                message=f"{len(dropped)} clamp reliefs found no room: more backing, a smaller jaw or less setback "
                "makes room; "
                "clamp there from the back of the form.",
                value=max(gaps),
                limit=ask.spacing_mm,
                unit="mm",
                source="form.clamp_reliefs.spacing",
            )
        )
    return found
