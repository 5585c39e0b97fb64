"""Stage `form`: marks and labels on the pieces: what is written on each, and where on it there is room for the words.

In: a piece with its features cut. Out: the same piece with its lines and words, in single-stroke letters, in place; mm.
Pieces that are cut alike in several layers are looked at once and written alike. Letters shrink, lines are joined and
the text is turned until it fits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field, replace

import numpy as np

from formgen.errors import FormError
from formgen.fixed import fixed
from formgen.form.free_space import Capsule, Room, grid_over, size_text
from formgen.form.marking.lettering import strokes_of, text_width
from formgen.form.marking.lines import Guide, marks_on
from formgen.form.marking.words import Words
from formgen.form.stack import Groove, Label, Mark, Piece
from formgen.geometry.distance import Array, Mask
from formgen.geometry.outline import Outline, Point

#: Letters may shrink by these shares of their usual height, but never below this height (mm), before a piece counts as
#: too small to be labelled.
SHRINK, LEAST_MM = (1.0, 0.7, 0.5, 0.35, 0.25, 0.18, 0.125), 2.5
#: How finely places are tried over a piece: steps either way and the least step (mm); closer if there is no room.
LOOKS = ((40, 8.0), (120, 4.0))
#: From base line to base line, and clear ground round a text, in letter heights.
LEADING, MARGIN = 1.8, 0.5
#: Places looked at more closely, of all that have room for a circle as high as the text.
CLOSER_LOOKS = 40
#: Where along a mark its name is tried, as shares of its length: the middle first.
ALONG = (0.5, 0.3, 0.7, 0.15, 0.85)


@fixed
class Writer:
    """Writes on the pieces of one form.

    Args:
        words: what is written.
        guides: the lines to be marked.
        letters_mm: usual height of a capital.
    """

    words: Words
    guides: tuple[Guide, ...]
    letters_mm: float
    _seen: dict[object, tuple[Spot, tuple[Mark, ...], tuple[Label, ...]]] = field(default_factory=dict, init=False)

    def inscribed(self, piece: Piece, layer: int, number: int, pieces: int, reliefs: Sequence[Capsule]) -> Piece:
        """The piece with marks and labels.

        Raises:
            FormError: a piece too small to be labelled.
        """
        *fuller, least = self.words.choices(layer, number, pieces)
        for lines in fuller:
            try:
                return self._written(piece, lines, reliefs)
            except FormError:
                continue
        return self._written(piece, least, reliefs)

    def _written(self, piece: Piece, lines: list[str], reliefs: Sequence[Capsule]) -> Piece:
        key = (piece.cut, len(lines))
        if key not in self._seen:
            self._seen[key] = self._place(piece, lines, reliefs)
        spot, marks, names = self._seen[key]
        return replace(piece, marks=marks, labels=(*write_block(spot, lines), *names))

    def _place(
        self, piece: Piece, lines: list[str], reliefs: Sequence[Capsule]
    ) -> tuple[Spot, tuple[Mark, ...], tuple[Label, ...]]:
        height = self.letters_mm
        marks = marks_on(piece.outline, piece.openings, self.guides)
        taken = [
            *reliefs,
            *(Capsule(a=h.centre, b=h.centre, radius_mm=h.diameter_mm / 2) for h in piece.holes),
            *(_ground(g) for g in piece.grooves),
        ]
        lined = [*taken, *(Capsule(a=m.start, b=m.end, radius_mm=0.0) for m in marks)]
        spot = find_spot(piece.outline, lined, lines, height)
        taken.extend(text_ground(write_block(spot, lines)))
        names: list[Label] = []
        drawn: list[Mark] = []
        for mark in marks:
            text = self.words.name_of(mark)
            others = [Capsule(a=m.start, b=m.end, radius_mm=0.0) for m in marks if m is not mark]
            room = Room(outlines=(piece.outline,), taken=(*taken, *others))
            label = write_beside(text, mark, room, height) if text else None
            if label is not None:
                names.append(label)
                taken.extend(text_ground([label]))
            if label is not None or not mark.openings:  # of several trim lines none is drawn that says not whose it is
                drawn.append(mark)
        least = min((name.height_mm for name in names), default=height)
        return spot, tuple(drawn), tuple(_shrunk(name, least) for name in names)


def _shrunk(label: Label, height_mm: float) -> Label:
    """The label about its own middle in letters of a height: all names on a piece have that of the smallest."""
    if label.height_mm <= height_mm:
        return label
    xs, ys = zip(*(p for stroke in label.strokes for p in stroke), strict=True)
    x, y, share = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, height_mm / label.height_mm

    def nearer(p: Point) -> Point:
        return x + share * (p[0] - x), y + share * (p[1] - y)

    strokes = tuple(tuple(nearer(p) for p in stroke) for stroke in label.strokes)
    return Label(text=label.text, origin=nearer(label.origin), height_mm=height_mm, strokes=strokes)


def _ground(groove: Groove) -> Capsule:
    """The ground that a port takes: its rectangle's middle line, half as wide all round."""
    v = groove.outline.vertices
    a, b = ((v[0][0] + v[3][0]) / 2, (v[0][1] + v[3][1]) / 2), ((v[1][0] + v[2][0]) / 2, (v[1][1] + v[2][1]) / 2)
    return Capsule(a=a, b=b, radius_mm=groove.width_mm / 2)


@fixed
class Spot:
    """A place for a block of text: its middle, direction, letter height, and how many lines are joined into one."""

    middle: Point
    angle_rad: float
    height_mm: float
    joined: int


def find_spot(outline: Outline, taken: Sequence[Capsule], lines: Sequence[str], height_mm: float) -> Spot:
    """A place for the lines on a piece, the largest letters first.

    Raises:
        FormError: even the smallest letters find no room.
    """
    room = Room(outlines=(outline,), taken=tuple(taken))
    for steps, least_mm in LOOKS:
        spot = _spot(room, outline, lines, height_mm, steps, least_mm)
        if spot is not None:
            return spot
    raise FormError(
        f"form.backing: a piece {size_text(outline)} has no room for its label, expected room for letters "
        f"{min(LEAST_MM, height_mm):.1f} mm high; raise form.backing, take larger pieces or fewer clamp reliefs"
    )


def heights_mm(height_mm: float) -> tuple[float, ...]:
    """Heights of capitals that are tried, from the usual one down."""
    return tuple(height_mm * share for share in SHRINK if share == 1.0 or height_mm * share >= LEAST_MM - 1e-9)


def _spot(
    room: Room, outline: Outline, lines: Sequence[str], height_mm: float, steps: int, least_mm: float
) -> Spot | None:
    x0, y0, x1, y1 = outline.bounds
    step = max(least_mm, (x1 - x0) / steps, (y1 - y0) / steps)
    grid = grid_over(outline, step)
    free = room.free(grid)
    order = np.argsort(-free, kind="stable")
    grid, free = grid[order], free[order]
    for h in heights_mm(height_mm):
        for joined in (1, 2, len(lines)):
            block = _blocks(lines, joined)
            wide, high = max(text_width(t, h) for t in block), h * (1 + LEADING * (len(block) - 1))
            radius = high / 2 + MARGIN * h
            spots = grid[free >= radius][:CLOSER_LOOKS]
            angles = _angles(outline, wide)
            good = np.argwhere(_fits(room, spots, angles, wide, radius))
            if len(good):
                angle, (x, y) = angles[good[0, 0]], spots[good[0, 1]]
                return Spot(middle=(float(x), float(y)), angle_rad=angle, height_mm=h, joined=joined)
    return None


def write_block(spot: Spot, lines: Sequence[str]) -> tuple[Label, ...]:
    """The lines of text at their place, the first on top."""
    block = _blocks(lines, spot.joined)
    c, s = math.cos(spot.angle_rad), math.sin(spot.angle_rad)
    h = spot.height_mm
    top = h * (1 + LEADING * (len(block) - 1)) / 2
    labels = []
    for i, text in enumerate(block):
        along, up = -text_width(text, h) / 2, top - h - i * LEADING * h
        origin = (spot.middle[0] + c * along - s * up, spot.middle[1] + s * along + c * up)
        labels.append(Label(text=text, origin=origin, height_mm=h, strokes=strokes_of(text, origin, h, spot.angle_rad)))
    return tuple(labels)


def write_beside(text: str, mark: Mark, room: Room, height_mm: float) -> Label | None:
    """The mark's name along its line, on whichever side there is room; None where there is none."""
    length = math.dist(mark.start, mark.end)
    ux, uy = (mark.end[0] - mark.start[0]) / length, (mark.end[1] - mark.start[1]) / length
    if ux < -1e-9 or (abs(ux) <= 1e-9 and uy < 0):  # so that nobody reads upside down
        ux, uy = -ux, -uy
    angle = math.atan2(uy, ux)
    for share in SHRINK[:4]:
        h = 0.7 * height_mm * share
        wide = text_width(text, h)
        if wide > 1.5 * length:
            continue
        off = (0.5 + MARGIN) * h
        start, run, beside = np.array(mark.start), np.array(mark.end) - np.array(mark.start), np.array([-uy, ux])
        spots = np.array([start + at * run + side * off * beside for at in ALONG for side in (1.0, -1.0)])
        good = np.flatnonzero(_fits(room, spots, (angle,), wide, 0.75 * h))
        if len(good):
            x, y = (float(v) for v in spots[good[0]])
            origin = (x - ux * wide / 2 + uy * h / 2, y - uy * wide / 2 - ux * h / 2)
            return Label(text=text, origin=origin, height_mm=h, strokes=strokes_of(text, origin, h, angle))
    return None


def text_ground(labels: Sequence[Label]) -> list[Capsule]:
    """The ground that labels take, for the next to keep clear of."""
    grounds = []
    for label in labels:
        xs, ys = zip(*(p for stroke in label.strokes for p in stroke), strict=True)
        x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        half = (max(xs) - min(xs)) / 2, (max(ys) - min(ys)) / 2
        ax, ay = (half[0], 0.0) if half[0] >= half[1] else (0.0, half[1])
        grounds.append(Capsule(a=(x - ax, y - ay), b=(x + ax, y + ay), radius_mm=min(half)))
    return grounds


def _blocks(lines: Sequence[str], joined: int) -> list[str]:
    return ["  ".join(lines[i : i + joined]) for i in range(0, len(lines), joined)]


def _angles(outline: Outline, wide_mm: float) -> tuple[float, ...]:
    """Level first, then upright, then along the longest straight run from end to end of a slanting piece.

    Without those at which no piece of its width and height holds both ends of the text.
    """
    x0, y0, x1, y1 = outline.bounds
    slant = math.atan2(y1 - y0, x1 - x0)
    return tuple(
        angle
        for angle in (0.0, math.pi / 2, slant, -slant)
        if wide_mm * abs(math.cos(angle)) < x1 - x0 and wide_mm * abs(math.sin(angle)) < y1 - y0
    )


def _fits(room: Room, middles: Array, angles_rad: Sequence[float], wide_mm: float, radius_mm: float) -> Mask:
    """For each angle and each middle, (n, 2): whether circles of that radius along the text are all free, (a, n)."""
    count = max(2, math.ceil(wide_mm / radius_mm) + 1)
    t = np.linspace(-wide_mm / 2, wide_mm / 2, count)[:, None]
    lines = np.array([t * np.array([math.cos(angle), math.sin(angle)]) for angle in angles_rad]).reshape(-1, count, 2)
    needed = math.hypot(radius_mm, wide_mm / (count - 1) / 2)  # so that the corners between circles are free too
    good = np.ones((len(angles_rad), len(middles)), dtype=bool)
    # most places fail at an end: the rest is measured only where both are free
    for samples in (lines[:, [0, -1]], lines[:, 1:-1]):
        if samples.shape[1] and np.any(good):
            at, on = np.nonzero(good)
            fits = room.fits((middles[on][:, None] + samples[at]).reshape(-1, 2), needed)
            good[at, on] = np.all(fits.reshape(-1, samples.shape[1]), axis=1)
    return good
