"""Stage `form`: dowels that line the layers up, at the same places in every layer.

In: the cells that the joints leave, the pieces of odd and even layers, and the room left by the other features.
Out: dowel places, mm: two far apart in every cell, and more where a piece would also fit turned over.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, compress

import numpy as np

from formgen.errors import FormError
from formgen.form.free_space import WALL_MM, Room, grid_over, size_text
from formgen.geometry.distance import Array, distances_between
from formgen.geometry.outline import Outline, Point

#: How finely places are tried over the whole body: grid step (mm), kept so that no body has more than this many steps.
GRID_MM, GRID_STEPS = 15.0, 48
#: How finely, in turn, they are tried over a piece in which the grid of the whole body finds too few (mm).
FINER_MM = (8.0, 4.0)


def place_dowels(
    cells: Sequence[Outline], pieces: Sequence[Outline], room: Room, diameter_mm: float
) -> tuple[Point, ...]:
    """Places for the dowels.

    Args:
        cells: what all joints together leave of a layer; every piece is made of whole cells.
        pieces: every different piece of every layer.
        room: what is free inside every layer once reliefs, joints and bar are placed.
        diameter_mm: of a dowel.

    Raises:
        FormError: a piece has no room for two dowels, or none that shows which way up it goes.
    """
    x0, y0, x1, y1 = room.outlines[0].bounds
    places = _places(room, room.outlines[0], max(GRID_MM, (x1 - x0) / GRID_STEPS, (y1 - y0) / GRID_STEPS), diameter_mm)
    dowels: list[Point] = []
    for cell in cells:
        mine = places[Room(outlines=(cell,)).inside(places)] if len(places) else places
        dowels.extend(_farthest_pair(mine, diameter_mm + WALL_MM))
    # A dowel added for one piece stands in pieces of other layers too, so all are looked at until none asks for more.
    before = -1
    while before != len(dowels):
        before = len(dowels)
        for piece in pieces:
            _secure(piece, room, places, dowels, diameter_mm)
    return tuple(dowels)


def _secure(piece: Outline, room: Room, places: Array, dowels: list[Point], diameter_mm: float) -> None:
    """Adds the dowels that one piece still needs; looks closer where the grid of the whole body has no place."""
    inside = Room(outlines=(piece,)).inside
    held = list(compress(dowels, inside(np.array(dowels).reshape(-1, 2))))
    mine, finer = places[inside(places)], list(FINER_MM)
    while len(held) < 2 or fits_turned(held, diameter_mm / 2):
        extra = _key_place(mine, held, diameter_mm)
        if extra is not None:
            dowels.append(extra)
            held.append(extra)
        elif finer:
            closer = _places(room, piece, finer.pop(0), diameter_mm)
            mine = closer[inside(closer)]
        else:
            raise FormError(
                f"form.backing: a piece {size_text(piece)} has room for {len(held)} dowels of {diameter_mm:.1f} mm, "
                "expected at least two that cannot be assembled turned over; raise form.backing, take fewer clamp "
                "reliefs (form.clamp_reliefs.spacing) or thinner dowels (dowel.diameter in the shop file)"
            )


def fits_turned(holes: Sequence[Point], near_mm: float) -> bool:
    """Tell whether a piece with these holes would also go over its dowels turned over or turned round.

    Every motion of the plane that is not the identity and brings every hole within `near_mm` of some hole
    counts, mirror images included; a single hole, or two, always fit.
    """
    if len(holes) < 3:
        return True
    points = np.array(holes)
    spread = distances_between(points, points)
    i, j = divmod(int(np.argmax(spread)), len(points))
    as_far = np.argwhere((np.abs(spread - spread[i, j]) <= near_mm) & ~np.eye(len(points), dtype=bool))
    for k, m in as_far.tolist():
        for mirror in (False, True):
            if (k, m) == (i, j) and not mirror:
                continue
            image = _carried(points, (i, j), (k, m), mirror=mirror)
            nearest = np.min(distances_between(image, points), axis=1)
            if np.all(nearest <= near_mm):
                return True
    return False


def _carried(points: Array, pair: tuple[int, int], onto: tuple[int, int], *, mirror: bool) -> Array:
    """All points moved so that one pair lies on another, turned over first if `mirror`."""
    z = points[:, 0] + 1j * points[:, 1]
    a, b = z[pair[0]], z[pair[1]]
    c, d = z[onto[0]], z[onto[1]]
    w = np.conj(z - (a + b) / 2) if mirror else z - (a + b) / 2
    axis = np.conj(b - a) if mirror else b - a
    turned = w * ((d - c) / abs(d - c)) / (axis / abs(axis)) + (c + d) / 2
    return np.column_stack([turned.real, turned.imag])


def _places(room: Room, over: Outline, step_mm: float, diameter_mm: float) -> Array:
    """Points of a grid over an outline at which a dowel keeps its wall to everything, (n, 2)."""
    grid = grid_over(over, step_mm)
    grid = grid[Room(outlines=(over,)).inside(grid)]
    return grid[room.fits(grid, diameter_mm / 2 + WALL_MM)]


def _farthest_pair(places: Array, least_mm: float) -> list[Point]:
    """The two places farthest apart (fewer where there are none that far); they lie on the outer rim of the places."""
    if len(places) < 2:
        return [_point(place) for place in places]
    rim: set[int] = set()
    for angle in np.linspace(0.0, math.pi, 36, endpoint=False):
        reach = places @ np.array([math.cos(angle), math.sin(angle)])
        rim.update((int(np.argmax(reach)), int(np.argmin(reach))))
    pairs = combinations(sorted(rim), 2)
    i, j = max(pairs, key=lambda ij: float(np.hypot(*(places[ij[0]] - places[ij[1]]))))
    chosen = (i,) if np.hypot(*(places[i] - places[j])) < least_mm else (i, j)
    return [_point(places[at]) for at in chosen]


def _key_place(places: Array, held: Sequence[Point], diameter_mm: float) -> Point | None:
    """A further place that tells the piece's two faces and ends apart as clearly as any: the most lopsided triangle."""
    away = np.min([np.full(len(places), np.inf), *(np.hypot(*(places - np.array(h)).T) for h in held)], axis=0)
    usable = away >= diameter_mm + WALL_MM
    if not np.any(usable):
        return None
    if len(held) < 2:
        return _point(places[int(np.argmax(np.where(usable, away, -1.0)))])
    a, b = np.array(held[0]), np.array(held[1])
    axis = (b - a) / np.hypot(*(b - a))
    along = (places - (a + b) / 2) @ axis
    beside = (places - a) @ np.array([-axis[1], axis[0]])
    # Off the pair's middle and off its line, both at once: neither turning over nor turning round fits then.
    lopsided = np.where(usable, np.minimum(np.abs(along), np.abs(beside)), -1.0)
    order = np.argsort(-lopsided, kind="stable")
    for best in order[:200]:
        if lopsided[best] <= 0:
            return None
        place = _point(places[best])
        if not fits_turned([*held, place], diameter_mm / 2):
            return place
    return None


def _point(place: Array) -> Point:
    return float(place[0]), float(place[1])
