"""Stage `reports`: names on one page of the template: of every edge, hole and line that the page shows.

In: what the template shows, and what a page shows of it. Out: words with their leaders, in the form's axes, mm. Each
page names what it shows for itself: no name and no leader runs across a joint.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.dimension import AROUND_RAD, LEADERS_MM, SHELF, arrow
from formgen.drafting.field import ABOVE, BELOW, CLEAR_MM, Box, Choice, Field, segments_of
from formgen.drafting.ink import SIZES, Ink, Stroke, Words, line
from formgen.drafting.paper import HEAD_MM
from formgen.drafting.text import broken, wide
from formgen.geometry.outline import Point
from formgen.reports.template.contents import Contents, NamedHole, NamedLine
from formgen.reports.template.cut import CutLine, seen
from formgen.reports.template.tiles import Bounds, meets

Array = NDArray[np.float64]

#: No page's edge.
EVERYWHERE: Bounds = (-math.inf, -math.inf, math.inf, math.inf)
#: Longest line of a name; what is longer goes on below (mm).
LONGEST_MM = 80.0
#: White between a hole and its name; between an edge and the middle of its name, the wood's side positive (mm).
OFF_HOLE_MM, OFF_EDGE_MM = (1.2, 2.5, 4.0), (4.2, -4.2, 6.5, -6.5, 9.0, 13.0, 18.0)
#: Where along a stretch of edge its name is tried, in shares; a stretch longer than this is named again (mm).
SHARES, AGAIN_MM = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9), 700.0
#: Shorter stretches of an edge go without a name where the page has a longer one of the same name (mm).
LEAST_MM = 25.0
#: Directions round a hole as unit vectors.
_RAYS = np.column_stack([np.cos(AROUND_RAD), np.sin(AROUND_RAD)])
#: Directions of a name seen from the outward direction of its line's end.
OUTWARD_RAD = (0.0, 0.6, -0.6, 1.2, -1.2, 1.8, -1.8)


@dataclass
class Shown(Field):
    """The field of what a page shows: no text outside of its room, no leader out of the page."""

    room: Bounds = EVERYWHERE
    shows: Bounds = EVERYWHERE
    closed: tuple[Bounds, ...] = ()
    held: list[Array] = field(default_factory=lambda: [np.zeros((0, 4))])

    def is_free(self, box: Box) -> bool:
        """Tell whether a text's box lies in the page's room, in nothing that is closed to it, and holds nothing yet."""
        x0, y0, x1, y1 = box.bounds
        left, low, right, top = self.room
        inside = left <= x0 and x1 <= right and low <= y0 and y1 <= top
        if not inside or any(meets(box.bounds, other) for other in self.closed):
            return False
        grown = box.grown(CLEAR_MM)
        return not grown.crossed_by(_near(self.chords, grown.bounds)).any() and super().is_free(box)

    def has_room(self, left: float, base: float, wide_mm: float, high_mm: float) -> bool:
        """Tell whether a level text would lie in the page's room, before any is made."""
        x0, y0, x1, y1 = self.room
        return x0 <= left <= x1 - wide_mm and y0 + BELOW * high_mm <= base <= y1 - (1.0 + ABOVE) * high_mm

    @property
    def chords(self) -> Array:
        """All chords that text is kept off, (n, 4)."""
        if len(self.held) > 1:
            self.held[:] = [np.concatenate(self.held)]
        return self.held[0]

    def take_room(self, *inks: Ink) -> None:
        """Keep text off ink."""
        self.held += [segments_of(ink) for ink in inks if isinstance(ink, Stroke)]
        super().take_room(*(ink for ink in inks if isinstance(ink, Words)))

    def put_shown(self, ticks: Array, *inks: Ink) -> None:
        """Keep text off ticks (n, 4) and other ink, as far as the page shows it."""
        self.take_room(*inks)
        self.held = [_near(np.concatenate([self.chords, ticks]), self.shows)]

    def clear_line(self, *strokes: Stroke) -> bool:
        """Tell whether strokes stay on the page and cross no text."""
        left, low, right, top = self.shows
        inside = all(left <= x <= right and low <= y <= top for stroke in strokes for x, y, _ in stroke.vertices)
        return inside and super().clear_line(*strokes)


def _near(chords: Array, reach: Bounds) -> Array:
    """The chords whose own bounds touch these."""
    (x0, y0, x1, y1), (ax, ay, bx, by) = reach, chords.T
    near = ((ax >= x0) | (bx >= x0)) & ((ax <= x1) | (bx <= x1)) & ((ay >= y0) | (by >= y0)) & ((ay <= y1) | (by <= y1))
    return np.asarray(chords[near])


def put_names(field: Shown, contents: Contents) -> list[str]:
    """Write the names on a page into its field, which holds the page's lines; those without room are returned."""
    return [
        *(
            hole.names[-1]
            for hole, at in zip(contents.holes, contents.holes_at, strict=True)
            if meets(at, field.shows) and not _hole(field, hole)
        ),
        *(
            named.text
            for named, at in zip(contents.lines, contents.lines_at, strict=True)
            if meets(at, field.shows) and not _line(field, named, field.shows)
        ),
        *_edges(field, contents.edges, field.shows),
    ]


def _hole(field: Shown, hole: NamedHole) -> bool:
    """Name a hole of whose edge the page shows something."""
    x0, y0, x1, y1 = field.shows
    part = hole.edge[((hole.edge > (x0, y0)) & (hole.edge < (x1, y1))).all(axis=1)]
    return not len(part) or any(
        field.put_first_free(_hole_choices(field, part, name, hole.height_mm, hole.round_mm)) for name in hole.names
    )


def _hole_choices(field: Shown, part: Array, name: str, high: float, round_mm: float) -> Iterator[Choice]:
    """In the part of the hole that is seen, beside it, then on a leader."""
    (x0, y0), (x1, y1) = part.min(axis=0).tolist(), part.max(axis=0).tolist()
    x, y, width = (x0 + x1) / 2, (y0 + y1) / 2, wide(name, high)

    def middles() -> Iterator[Point]:
        if width < x1 - x0 and high < y1 - y0:
            aside, up = width / 2 + 1.2, 0.7 * high + 1.2
            for dx, dy in product((0.0, -aside, aside), (0.0, up, -up)):
                yield x + dx, y + dy
        for away in OFF_HOLE_MM:
            for (c, s), far in zip(rays, out, strict=True):
                beside = far + round_mm + away
                yield x + c * (beside + width / 2), y + s * (beside + high / 2)

    rays: list[list[float]] = _RAYS.tolist()
    out: list[float] = ((part - (x, y)) @ _RAYS.T).max(axis=0).tolist()
    for mx, my in middles():
        if field.has_room(mx - width / 2, my - high / 2, width, high):
            yield Words(text=name, at=(mx, my - high / 2), height_mm=high, anchor="middle"), ()
    for length in LEADERS_MM:
        for angle, (c, s), far in zip(AROUND_RAD, rays, out, strict=True):
            yield from on_leader(field, (x + c * far, y + s * far), name, angle, length, high, head=True)


def _line(field: Shown, named: NamedLine, window: Bounds) -> bool:
    """Name a line where the page shows at least two of its points; on more lines where the name is long."""
    points = named.points[[i for run in seen(named.points, window) for i in run]]
    if len(points) < 2:
        return True
    return all(
        field.put_first_free(_line_choices(field, named, points, text))
        for text in broken(named.text, LONGEST_MM, HEAD_MM)
    )


def _line_choices(field: Shown, named: NamedLine, points: Array, text: str) -> Iterator[Choice]:
    end = tuple(named.points[0].tolist())
    for i in dict.fromkeys((0, len(points) // 3, 2 * len(points) // 3, len(points) - 1)):
        tip: Point = (float(points[i][0]), float(points[i][1]))
        away = named.away_rad if tip == end else None
        angles = AROUND_RAD if away is None else [away + turn for turn in OUTWARD_RAD]
        for length, angle in product(LEADERS_MM, angles):
            yield from on_leader(field, tip, text, angle, length, HEAD_MM, head=named.head or away is None)


def on_leader(
    field: Shown, tip: Point, text: str, angle: float, length: float, high: float, *, head: bool
) -> Iterator[Choice]:
    """A text on its shelf with a leader to a point, to the side to which the leader goes, where the page has room."""
    x, y = tip
    knee = (x + length * math.cos(angle), y + length * math.sin(angle))
    width = wide(text, high)
    for sign in (1.0, -1.0) if abs(math.cos(angle)) < 0.5 else (math.copysign(1.0, math.cos(angle)),):
        end = (knee[0] + sign * (width + 1.0), knee[1])
        at = (min(knee[0], end[0]) + 0.5, knee[1] + SHELF * high)
        if field.has_room(*at, width, high):
            leader = line(SIZES, tip, knee, end)
            words = Words(text=text, at=at, height_mm=high)
            yield words, (leader, arrow(tip, angle + math.pi)) if head else (leader,)


def _edges(field: Shown, edges: Iterable[CutLine], window: Bounds) -> Iterator[str]:
    """Name each stretch of edge, along it on the wood's side; what found no room is given back."""
    found: dict[str, list[tuple[CutLine, list[int]]]] = {}
    for cut in edges:
        if not meets(cut.at, window):
            continue
        for run in seen(cut.points, window):
            found.setdefault(cut.name, []).append((cut, run))
    for name, runs in found.items():
        runs.sort(key=lambda each: -_length(*each))
        for number, (cut, run) in enumerate(runs):
            length = _length(cut, run)
            if number and length < LEAST_MM:
                break
            for part in np.array_split(np.array(run), max(1, math.ceil(length / AGAIN_MM))):
                if not field.put_first_free(_edge_choices(field, cut, part.tolist())):
                    yield name


def _length(cut: CutLine, run: list[int]) -> float:
    return float(np.hypot(*np.diff(cut.points[run], axis=0).T).sum())


def _edge_choices(field: Shown, cut: CutLine, run: list[int]) -> Iterator[Choice]:
    at = [run[int(share * len(run))] for share in SHARES]
    for away, i in product(OFF_EDGE_MM, at):
        (x, y), (ux, uy) = cut.points[i].tolist(), cut.ahead[i].tolist()
        middle = (x - away * uy, y + away * ux)
        if field.has_room(*middle, 0.0, 0.0):
            yield _along(middle, math.atan2(uy, ux), cut.name), ()
    for i in at:
        tip: Point = (float(cut.points[i][0]), float(cut.points[i][1]))
        for length, angle in product(LEADERS_MM, AROUND_RAD):
            yield from on_leader(field, tip, cut.name, angle, length, HEAD_MM, head=True)


def _along(middle: Point, angle: float, text: str) -> Words:
    """A text about a point, upright for the reader."""
    if math.cos(angle) < -1e-9 or (abs(math.cos(angle)) <= 1e-9 and math.sin(angle) < 0):
        angle += math.pi
    down = HEAD_MM / 2
    at = (middle[0] + down * math.sin(angle), middle[1] - down * math.cos(angle))
    return Words(text=text, at=at, height_mm=HEAD_MM, angle_rad=angle, anchor="middle")
