"""Drafting: what is on the paper already, and whether a line of text finds room there; mm on paper.

In: ink. Out: yes or no. A text needs its letters' box and a little white all round free of lines and of other text.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from formgen.drafting.ink import BAR, CENTRE, SIZES, SPRINGING, TRIM, Fill, Ink, Size, Stroke, Words
from formgen.drafting.leaders import Leaders
from formgen.drafting.paper import FACES
from formgen.drafting.segments import Array, Lines, passes
from formgen.drafting.text import wide
from formgen.fixed import fixed
from formgen.geometry.edge import edges_between
from formgen.geometry.outline import Point

#: A text at a place, and the lines and heads that come with it.
Choice = tuple[Words, tuple[Stroke | Fill, ...]]
#: A text on a leader: the leader, its head if it has one, the text.
Led = tuple[Stroke, Words] | tuple[Stroke, Fill, Words]

#: White round a text, and how far letters reach below their base line and above a capital, as shares of its height.
CLEAR_MM, BELOW, ABOVE = 0.5, 0.3, 0.08
#: Chords stand for arcs within this (mm on paper).
FINE_MM = 0.05
#: More white round a text on a leader than round others: its shelf touches nothing, and two of them are not to be read
#: as one: all round, and besides at its ends (mm on paper).
LED_CLEAR_MM, LED_APART_MM = 0.8, 1.2
#: So few lines are looked at one by one: that is quicker.
FEW = 8
#: Lines with a meaning of their own, which a leader crosses only where nothing else is free.
_GUIDES = {pen.name for pen in (CENTRE, SPRINGING, TRIM, BAR)}


@fixed
class Box:
    """A rectangle that may lie at a slant: lower left corner, direction of its length, length and height."""

    corner: Point
    angle_rad: float
    length_mm: float
    height_mm: float

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """Its four corners, anticlockwise."""
        (x, y), c, s = self.corner, math.cos(self.angle_rad), math.sin(self.angle_rad)
        lx, ly, hx, hy = self.length_mm * c, self.length_mm * s, -self.height_mm * s, self.height_mm * c
        return (x, y), (x + lx, y + ly), (x + lx + hx, y + ly + hy), (x + hx, y + hy)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x least, y least, x greatest, y greatest)."""
        xs, ys = [p[0] for p in self.corners], [p[1] for p in self.corners]
        return min(xs), min(ys), max(xs), max(ys)

    def grown(self, by_mm: float, along_mm: float = 0.0) -> Box:
        """The box with so much more all round, and so much more again at both ends of its length."""
        c, s, ends = math.cos(self.angle_rad), math.sin(self.angle_rad), by_mm + along_mm
        corner = (self.corner[0] - ends * c + by_mm * s, self.corner[1] - ends * s - by_mm * c)
        return Box(
            corner=corner,
            angle_rad=self.angle_rad,
            length_mm=self.length_mm + 2 * ends,
            height_mm=self.height_mm + 2 * by_mm,
        )

    def crossed_by(self, segments: Array) -> NDArray[np.bool_]:
        """Return which of the segments (n, 4: x, y, x, y) pass through it, touching not counted."""
        if not len(segments):
            return np.zeros(0, dtype=bool)
        c, s = math.cos(self.angle_rad), math.sin(self.angle_rad)
        turn = np.array([[c, -s], [s, c]])
        a, b = (segments[:, :2] - self.corner) @ turn, (segments[:, 2:] - self.corner) @ turn
        enter, leave = np.zeros(len(segments)), np.ones(len(segments))
        inside = np.ones(len(segments), dtype=bool)
        for axis, size in ((0, self.length_mm), (1, self.height_mm)):
            start, run = a[:, axis], b[:, axis] - a[:, axis]
            still = np.abs(run) < 1e-12
            inside &= ~still | ((start > 1e-9) & (start < size - 1e-9))
            safe = np.where(still, 1.0, run)
            t0, t1 = -start / safe, (size - start) / safe
            enter = np.where(still, enter, np.maximum(enter, np.minimum(t0, t1)))
            leave = np.where(still, leave, np.minimum(leave, np.maximum(t0, t1)))
        return np.asarray(inside & (leave - enter > 1e-9))

    def meets(self, other: Box) -> bool:
        """Tell whether two boxes overlap (separating axes)."""
        a, b = self.bounds, other.bounds
        if a[2] <= b[0] + 1e-9 or b[2] <= a[0] + 1e-9 or a[3] <= b[1] + 1e-9 or b[3] <= a[1] + 1e-9:
            return False
        for angle in {self.angle_rad, other.angle_rad} - {0.0}:
            for ux, uy in ((math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))):
                p, q = ([x * ux + y * uy for x, y in box.corners] for box in (self, other))
                if max(p) <= min(q) + 1e-9 or max(q) <= min(p) + 1e-9:
                    return False
        return True


@lru_cache(maxsize=4096)
def box_of(words: Words) -> Box:
    """The box of a text's letters."""
    length = wide(words.text, words.height_mm, FACES[words.face])
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor] * length
    c, s = math.cos(words.angle_rad), math.sin(words.angle_rad)
    down = BELOW * words.height_mm
    return Box(
        corner=(words.at[0] - back * c + down * s, words.at[1] - back * s - down * c),
        angle_rad=words.angle_rad,
        length_mm=length,
        height_mm=words.height_mm * (1.0 + BELOW + ABOVE),
    )


@lru_cache(maxsize=4096)
def segments_of(stroke: Stroke) -> Array:
    """The chords of a stroke, (n, 4); not to be written to."""
    points: list[Point] = [stroke.vertices[0][:2]]
    for edge in edges_between((*stroke.vertices, stroke.vertices[0]) if stroke.closed else stroke.vertices):
        if edge.bulge:
            step = 4.0 * math.asin(min(math.sqrt(FINE_MM / edge.radius_mm / 2.0), 0.7))
            count = max(1, math.ceil(abs(edge.sweep_rad) / step))
            points.extend(edge.at(i / count) for i in range(1, count))
        points.append(edge.b)
    p = np.array(points)
    chords = np.hstack([p[:-1], p[1:]]) + 0.0  # -0.0 + 0.0 = 0.0: strokes that are equal have the same chords
    chords.flags.writeable = False  # the same array serves whoever asks again
    return chords


@dataclass
class Field:
    """Ink that grows, and where there is still room."""

    inks: list[Ink] = field(default_factory=list)
    leaders: Leaders = field(default_factory=Leaders)
    _segments: Lines = field(default_factory=Lines)
    _boxes: list[Box] = field(default_factory=list)
    _strips: list[Box] = field(default_factory=list)
    _bounds: Array | None = None

    def put(self, *inks: Ink) -> None:
        """Add ink, whatever is there."""
        self.inks.extend(inks)
        self.take_room(*inks)

    def take_room(self, *inks: Ink) -> None:
        """Keep text off ink that is put later, as part of a size."""
        for ink in inks:
            if isinstance(ink, Size):
                self.take_room(*ink.parts)
            elif isinstance(ink, Words):
                self._boxes.append(box_of(ink))
                self._bounds = None
            elif isinstance(ink, Stroke):
                self._segments.add(segments_of(ink))
                if ink.pen.name in _GUIDES:
                    self.leaders.guides.add(segments_of(ink))
                elif ink.pen is SIZES:
                    self.leaders.sizes.add(segments_of(ink))
            elif ink.pen is SIZES:  # the head of an arrow
                self.leaders.sizes.add(segments_of(Stroke(pen=SIZES, vertices=ink.vertices, closed=True)))

    def keep_leaders_off(self, *strokes: Stroke) -> None:
        """Leaders go round what is drawn there, where they can."""
        for stroke in strokes:
            self.leaders.guides.add(segments_of(stroke))

    def keep_clear(self, box: Box) -> None:
        """Text is kept out of a place; lines may cross it."""
        self._strips.append(box)

    def is_free(self, box: Box) -> bool:
        """Tell whether a text's box, and the white round it, holds nothing yet."""
        grown = box.grown(CLEAR_MM)
        if any(grown.meets(other) for other in (*self._boxes_near(grown.bounds), *self._strips)):
            return False
        lines = self._segments.near(grown.bounds)
        if len(lines) <= FEW and not grown.angle_rad:
            return not any(passes(run, grown.bounds) for run in lines)
        return not bool(grown.crossed_by(lines).any())

    def clear_line(self, *strokes: Stroke) -> bool:
        """Tell whether strokes cross no text."""
        return self._clear_runs(np.concatenate([segments_of(stroke) for stroke in strokes]))

    def _clear_runs(self, runs: Array) -> bool:
        """Tell whether segments (n, 4) cross no text."""
        xs, ys = runs[:, (0, 2)], runs[:, (1, 3)]
        reach = (float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))
        return not any(bool(box.grown(CLEAR_MM).crossed_by(runs).any()) for box in self._boxes_near(reach))

    def _boxes_near(self, reach: tuple[float, float, float, float]) -> list[Box]:
        """Boxes that may touch what lies within these bounds."""
        if not self._boxes:
            return []
        if self._bounds is None:
            self._bounds = np.array([box.bounds for box in self._boxes])
        b, far = self._bounds, CLEAR_MM
        close = (b[:, 0] <= reach[2] + far) & (b[:, 2] >= reach[0] - far)
        close &= (b[:, 1] <= reach[3] + far) & (b[:, 3] >= reach[1] - far)
        return [self._boxes[i] for i in np.flatnonzero(close)]

    def untouched(self, strokes: Iterable[Stroke]) -> bool:
        """Tell whether strokes meet no text and no line that is there."""
        held = list(strokes)
        return self.clear_line(*held) and not any(self._segments.met_by(segments_of(stroke)) for stroke in held)

    def put_first_free(self, choices: Iterable[Choice]) -> bool:
        """Put the first text that finds room, with the lines that come with it; False where none does."""
        shown = self.first_free(choices)
        self.put(*shown)
        return bool(shown)

    def first_free(self, choices: Iterable[Choice]) -> tuple[Stroke | Fill | Words, ...]:
        """The lines that come with the first text that finds room, and the text; nothing where none does."""
        return next(((*beside, words) for words, beside in choices if self._has_room(words, beside)), ())

    def _has_room(self, words: Words, beside: Iterable[Stroke | Fill]) -> bool:
        strokes = [ink for ink in beside if isinstance(ink, Stroke)]
        box = box_of(words)
        if not self.is_free(box) or (strokes and not self.clear_line(*strokes)):
            return False
        return not any(box.grown(0.1).crossed_by(segments_of(stroke)).any() for stroke in strokes)

    def first_led(self, choices: Iterable[Led], *, over_guides: bool = True) -> Led | None:
        """The first text on a leader that is clear of everything, else the first that is clear of sizes and leaders.

        Args:
            choices: leaders with their texts, in the order of trial.
            over_guides: where nothing else is free a leader may cross guide lines.
        """
        found: Led | None = None
        for led in choices:
            leader, words = led[0], led[-1]
            whole = found is not None or not over_guides
            if self.leaders.is_taken(leader.vertices[0][:2]) or not self.is_free(
                box_of(words).grown(LED_CLEAR_MM, LED_APART_MM)
            ):  # with its shelf
                continue
            runs = self.leaders.clear_of_sizes([(x, y) for x, y, _ in leader.vertices])
            if runs is None or not self._clear_runs(runs) or passes(runs[0], box_of(words).grown(0.4).bounds):
                continue
            over = self.leaders.guides.met_by(runs)
            if over and whole:
                continue
            found = led
            if not over:
                break
        return found

    def put_first_led(self, choices: Iterable[Led], *, over_guides: bool = True) -> bool:
        """Put that text and its leader, whose tip is then taken; False where none has room."""
        found = self.first_led(choices, over_guides=over_guides)
        if found is not None:
            self.put(*found)
            self.leaders.tips.append(found[0].vertices[0][:2])
        return found is not None

    @property
    def reach(self) -> tuple[float, float, float, float]:
        """(x least, y least, x greatest, y greatest) of all ink."""
        return reach_of(self.inks)


def reach_of(inks: Iterable[Ink]) -> tuple[float, float, float, float]:
    """Bounds of ink: of the letters' boxes, of strokes without their width."""
    points = np.concatenate([_corners(ink) for ink in inks])
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _corners(ink: Ink) -> Array:
    if isinstance(ink, Size):
        return np.concatenate([_corners(part) for part in ink.parts])
    if isinstance(ink, Words):
        return np.array(box_of(ink).corners)
    if isinstance(ink, Stroke):
        runs = segments_of(ink)
        return np.vstack([runs[:, :2], runs[:, 2:]])
    return segments_of(Stroke(pen=ink.pen, vertices=ink.vertices, closed=True))[:, :2]
