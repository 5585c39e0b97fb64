"""Stage `reports`: what is drawn: a form with its shapes sorted and counted once, for all views, lists and templates.

In: a Form. Out: its holes in the order of their numbers, its largest layer, the edges in which other layers differ.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import compress

import numpy as np

from formgen.form.stack import Groove, Hole, Opening
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import distances_mm
from formgen.geometry.outline import Edge, Outline, Point, whole_circle
from formgen.holding.model import Holding
from formgen.laminate.plies import Laminate
from formgen.lengths import Units
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe
from formgen.reports.drawing.shapes import around, farthest, leans, strip, way_out
from formgen.reports.rows.makes import is_shared

#: Edges farther apart than this are two edges (mm).
APART_MM = 0.01
#: A corner turns by more than this (rad).
LEAST_BEND_RAD = 0.02
#: Names of dowels.
_NAMES = "abcdefghjkmnpqrstuvwxyz"


@dataclass(frozen=True)
class Subject:
    """A form to be drawn."""

    form: Holding

    @property
    def pressing(self) -> Pressing:
        """The pressing of the part on it."""
        return self.form.pressing

    @property
    def laminate(self) -> Laminate:
        """The part's plies."""
        return self.form.laminate

    @property
    def recipe(self) -> Recipe:
        """The recipe that it was made from."""
        return self.form.recipe

    @property
    def units(self) -> Units:
        """Units in which sizes are written."""
        return self.recipe.units

    @property
    def two_legged(self) -> bool:
        """Both springing points are level and belong to this part."""
        return self.laminate.arch.two_legged

    @property
    def male(self) -> bool:
        """The form lies inside the curve."""
        return self.pressing.side == "male"

    @cached_property
    def reliefs(self) -> tuple[Opening, ...]:
        """Each clamp relief once, in the order of the clamps' numbers: from the right end."""
        found = dict.fromkeys(o for _, piece in self.form.pieces for o in piece.openings)
        return tuple(sorted(found, key=lambda o: self.at_face(middle(o.outline))[0]))

    @cached_property
    def _at_face(self) -> dict[Point, tuple[float, float]]:
        return {}

    def at_face(self, at: Point) -> tuple[float, float]:
        """Station of the face's point next to another, and how far it lies to the left; remembered."""
        if at not in self._at_face:
            self._at_face[at] = self.form.face.nearest(*at)
        return self._at_face[at]

    @cached_property
    def _out(self) -> dict[tuple[Point, float, float], tuple[Point, bool]]:
        return {}

    def way_out(self, p: Point, ux: float, uy: float) -> tuple[Point, bool]:
        """Find where a line has left form and part, and whether it runs inside one; remembered."""
        key = (p, ux, uy)
        if key not in self._out:
            self._out[key] = way_out((self.whole, self.blank_strip), p, ux, uy)
        return self._out[key]

    @cached_property
    def extremes(self) -> dict[str, Point]:
        """The form's lowest and highest point, its ends on the right and the left, and the crown of its face."""
        whole = self.whole.edges
        ways = {"low": (0.0, -1.0), "top": (0.0, 1.0), "right": (1.0, 0.0), "left": (-1.0, 0.0)}
        found = {name: farthest(whole, *way) for name, way in ways.items()}
        return {**found, "crown": farthest(self.pressing.face.edges, 0.0, 1.0)}

    @cached_property
    def relief_setback_mm(self) -> tuple[float, ...]:
        """White from the face to the nearest relief; nothing without reliefs."""
        return tuple(sorted(abs(self.at_face(middle(o.outline))[1]) - half_width(o.outline) for o in self.reliefs)[:1])

    def into_form_rad(self, at: Point) -> float:
        """Direction square from the face into the form, at the face's point next to another."""
        ahead = self.form.face.pose(self.at_face(at)[0])
        return math.atan2(ahead.left[1], ahead.left[0]) + (0.0 if self.male else math.pi)

    @cached_property
    def dowels(self) -> tuple[Hole, ...]:
        """Each dowel once, from the right end."""
        found = dict.fromkeys(h for _, piece in self.form.pieces for h in piece.holes)
        return tuple(sorted(found, key=lambda h: self.at_face(h.centre)[0]))

    @cached_property
    def grooves(self) -> tuple[Groove, ...]:
        """Each port once."""
        return tuple(dict.fromkeys(g for _, piece in self.form.pieces for g in piece.grooves))

    @cached_property
    def whole(self) -> Outline:
        """The largest layer: what the others are cut back from."""
        return max((layer.outline for layer in self.form.layers), key=lambda outline: outline.area_mm2)

    @cached_property
    def blank(self) -> ArcSpline:
        """The pressed centre line with the waste at both ends."""
        return self.laminate.pressed.extended(*self.laminate.arch.waste_mm)

    @cached_property
    def blank_strip(self) -> Outline:
        """The plies in the press, waste and all."""
        return strip(self.blank, self.laminate.thickness_mm)

    @cached_property
    def reach(self) -> tuple[float, float, float, float]:
        """Bounds of the form with the plies on it."""
        return around((self.whole.bounds, self.blank_strip.bounds))

    @cached_property
    def other_edges(self) -> tuple[tuple[Edge, bool], ...]:
        """Edges in which a layer differs from the largest, and whether they are the uppermost layer's own."""
        top = self.form.layers[-1].outline
        return tuple(
            (edge, outline == top)
            for outline in dict.fromkeys(layer.outline for layer in self.form.layers)
            if outline != self.whole
            for edge in self.beside(outline)
        )

    def beside(self, outline: Outline) -> list[Edge]:
        """Edges of an outline that are none of the largest layer's."""
        middles = np.array([edge.at(0.5) for edge in outline.edges])
        return list(compress(outline.edges, distances_mm(middles, self.whole.edges) > APART_MM))

    @cached_property
    def channel(self) -> tuple[int, ...]:
        """Numbers of the layers that are set back."""
        return tuple(layer.number for layer in self.form.layers if layer.channel)

    @property
    def set_back_mm(self) -> float:
        """The distance from the form's face back to the channel's; 0 without one."""
        face = next((layer.face for layer in self.form.layers if layer.channel), None)
        if face is None:
            return 0.0
        return abs(self.form.face.nearest(face.start.x_mm, face.start.y_mm)[1])

    def crossings(self) -> Iterator[tuple[float, float, str]]:
        """Stations across which a line is drawn: how it leans, and what it is called."""
        ends = (0.0, self.laminate.pressed.length_mm)
        for station, lean in zip(ends, leans(self.laminate), strict=True):
            yield station, lean, "longest trim" if is_shared(self.form) else "trim"
        for station in self.laminate.springing_mm:
            if 1e-6 < station < ends[1] - 1e-6:
                yield station, 0.0, "springing"

    def on_face(self, station_mm: float) -> Point:
        """The point of the form face square across from a station of the pressed centre line."""
        pose = self.laminate.pressed.pose(station_mm).beside(self.pressing.face_offset_mm)
        return pose.x_mm, pose.y_mm

    @property
    def face_ends(self) -> tuple[Point, Point]:
        """Right and left: the face at the springing lines of a two-legged part, else at the trim lines."""
        ends = self.laminate.springing_mm if self.two_legged else (0.0, self.laminate.pressed.length_mm)
        return self.on_face(ends[0]), self.on_face(ends[1])


def middle(outline: Outline) -> Point:
    """Middle of an outline's bounds."""
    x0, y0, x1, y1 = outline.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def half_width(relief: Outline) -> float:
    """Radius of a round relief, or of the ends of a slot."""
    circle = whole_circle(relief)
    return circle[1] if circle else min(e.radius_mm for e in relief.edges if e.bulge)


def dowel_name(number: int) -> str:
    """A to z without i, l and o, which stand beside figures; then aa and on; from 0."""
    tens, units = divmod(number, len(_NAMES))
    return (dowel_name(tens - 1) if tens else "") + _NAMES[units]


@lru_cache(maxsize=64)
def corners_seen(outline: Outline, *, from_right: bool) -> tuple[float, ...]:
    """Heights of the corners that stand in front of all else at their height, seen along the span.

    Remembered: a view is tried at several scales.
    """
    found = []
    sign = 1.0 if from_right else -1.0
    edges = outline.edges
    for before, after in zip((edges[-1], *edges), edges, strict=False):
        x, y = after.a
        turn = _heading(after) - after.sweep_rad / 2 - _heading(before) - before.sweep_rad / 2
        if abs(math.sin(turn)) < LEAST_BEND_RAD:
            continue
        chords = [chord for shift in (-0.01, 0.01) for chord in outline.chords((0.0, y + shift), 1.0, 0.0)]
        if all(sign * end <= sign * x + 0.05 for chord in chords for end in chord):
            found.append(y)
    return tuple(sorted(set(found)))


def _heading(edge: Edge) -> float:
    """Direction of an edge's chord."""
    return math.atan2(edge.b[1] - edge.a[1], edge.b[0] - edge.a[0])
