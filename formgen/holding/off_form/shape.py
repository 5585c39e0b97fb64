"""Stage `holding`: the shape that the plies take off the form, and how far it stands from the pressed curve.

In: a Laminate, what friction carries, and the places that the bar holds. Out: a curve in the form's axes, mm, and the
bar's pull for each mm of depth. It decides nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from formgen.curve.arcspline import ArcSpline
from formgen.curve.pose import Pose
from formgen.holding.free_strip.elastica import pinned_elastica
from formgen.holding.free_strip.strip import AtRest, Strip, between_pins
from formgen.holding.off_form.friction import Stack, carried_moments, sliding_shares
from formgen.holding.spreader_bar import SMALL, BarSetting, measured_offset_mm
from formgen.laminate.plies import Laminate

Array = NDArray[np.float64]

#: The part is cut into at least so many elements: the elastica of a semicircle is then within 0.001 mm for each metre.
ELEMENTS = 120
#: Friction is followed in steps this much finer, for it turns over within one step.
FINER = 4
#: Points along the pressed curve from which departures are first measured.
COMPARED = 400
#: Departures this near to the greatest count as equal to it.
TIED = 1.0 - 1e-6


@dataclass(frozen=True, kw_only=True)
class Resting:
    """The part off the form.

    Args:
        shape: its centre line in the form's axes.
        departure_mm: greatest distance from the pressed curve, positive where the part stands outside it.
        station_mm: station on the pressed curve there.
        height_mm: y there, on the pressed curve.
        force_n_per_mm: pull of the bar for each mm of depth, positive where it must pull in; 0 without a bar.
        leg_turn_rad: greatest turn against the pressed curve at what the bar holds; 0 without a bar.
        span_per_bar: how far the span after release moves for each mm of bar, if the glue sets in this shape; None
            without a bar.
    """

    shape: ArcSpline
    departure_mm: float
    station_mm: float
    height_mm: float
    force_n_per_mm: float = 0.0
    leg_turn_rad: float = 0.0
    span_per_bar: float | None = None


@dataclass(frozen=True, kw_only=True)
class _Cut:
    """The part in elements.

    Args:
        lengths, curvatures: (n,) of each, as pressed.
        joints: (n + 1,) their stations.
        held, springing: numbers of the joints that the bar holds, and of those at the springing, right and left.
    """

    lengths: Array
    curvatures: Array
    joints: Array
    held: tuple[int, int]
    springing: tuple[int, int]

    def strip(self, natural: Array, stiffness: Array, offset_mm: float = 0.0) -> Strip:
        """The elements between the places held."""
        i, j = self.held
        return Strip(
            lengths_mm=self.lengths[i:j],
            natural_per_mm=natural[i:j],
            stiffness_n_mm=stiffness[i:j],
            pin_offset_mm=offset_mm,
        )


def slipped(laminate: Laminate, stack: Stack, bar: BarSetting | None) -> Resting:
    """The shape where the plies slide freely: straight strips, bowed between the bar's two ends.

    Args:
        laminate: the plies, pressed.
        stack: their stiffness.
        bar: what the bar holds; None where nothing does, so that the plies spring straight.

    Assumptions:
        No friction and no glue yet; the bar keeps the distance of the two faces that it touches and lets the legs
        turn; below it they are free and straight.
    """
    cut = _cut(laminate, bar)
    return _at_rest(laminate, cut, np.zeros(len(cut.lengths)), np.full(len(cut.lengths), stack.loose_n_mm), bar)


def locked(laminate: Laminate, stack: Stack, bar: BarSetting | None) -> Resting:
    """The shape where friction holds what it can: locked in the middle, sliding near ends and jumps of curvature.

    Each element keeps a curvature of its own, the moment carried by friction over the loose stiffness: the pressed one
    where friction carries all. Its stiffness is that of the locked stack there, and of the loose one where plies slide.
    """
    cut = _cut(laminate, bar)
    fine = np.repeat(cut.lengths / FINER, FINER)
    asked = stack.loose_n_mm * np.repeat(cut.curvatures, FINER)
    carried = carried_moments(stack, fine, asked)
    loose = sliding_shares(stack, fine, asked, carried).reshape(-1, FINER).mean(axis=1)
    give = loose / stack.loose_n_mm + (1.0 - loose) / stack.locked_n_mm
    kept = carried.reshape(-1, FINER).mean(axis=1) / stack.loose_n_mm
    return _at_rest(laminate, cut, kept, 1.0 / give, bar)


def _cut(laminate: Laminate, bar: BarSetting | None) -> _Cut:
    pressed = laminate.pressed
    places = (0.0, pressed.length_mm) if bar is None else bar.stations_mm
    marks = [*places, *laminate.springing_mm, pressed.length_mm / 2.0]
    knots = np.unique(np.concatenate([pressed.stations_mm, marks]))
    knots = knots[np.concatenate([[True], np.diff(knots) > 1e-6])]
    longest = pressed.length_mm / ELEMENTS
    counts = np.maximum(1, np.ceil(np.diff(knots) / longest - 1e-9)).astype(int)
    runs = zip(knots[:-1], knots[1:], counts, strict=True)
    joints = np.concatenate([*(np.linspace(a, b, n, endpoint=False) for a, b, n in runs), knots[-1:]])
    middles = (joints[1:] + joints[:-1]) / 2.0
    pieces = np.clip(np.searchsorted(pressed.stations_mm, middles, side="right") - 1, 0, len(pressed.pieces) - 1)

    def joint(station_mm: float) -> int:
        return int(np.argmin(np.abs(joints - station_mm)))

    return _Cut(
        lengths=np.diff(joints),
        curvatures=np.array([k for _, k in pressed.pieces])[pieces],
        joints=joints,
        held=(joint(places[0]), joint(places[1])),
        springing=(joint(laminate.springing_mm[0]), joint(laminate.springing_mm[1])),
    )


def _at_rest(laminate: Laminate, cut: _Cut, natural: Array, stiffness: Array, bar: BarSetting | None) -> Resting:
    pressed = laminate.pressed
    if bar is None:
        middle = int(np.argmin(np.abs(cut.joints - pressed.length_mm / 2.0)))
        return _compared(pressed, _through(cut, natural, middle, pressed.pose(float(cut.joints[middle]))))
    near, far = (pressed.pose(s).beside(bar.face_offset_mm) for s in bar.stations_mm)
    strip = cut.strip(natural, stiffness, bar.face_offset_mm)
    pins = (far.x_mm - near.x_mm, far.y_mm - near.y_mm)
    loose = not np.any(natural)
    rest = between_pins(strip, pins, _bowed(pressed, bar, cut) if loose else _as_pressed(pressed, bar, cut))
    i, j = cut.held
    curvatures = natural.copy()
    curvatures[i:j] = rest.curvatures_per_mm
    first, last = float(rest.headings[0]), float(rest.headings[-1])
    at_pin = Pose(near.x_mm, near.y_mm, first).beside(-bar.face_offset_mm)
    return replace(
        _compared(pressed, _through(cut, curvatures, i, at_pin)),
        # The bar's pull on the far pin runs back along the line of the pins.
        force_n_per_mm=-(rest.force_n_per_mm[0] * pins[0] + rest.force_n_per_mm[1] * pins[1]) / float(np.hypot(*pins)),
        leg_turn_rad=max(abs(first - near.heading_rad), abs(last - far.heading_rad)),
        span_per_bar=_span_per_bar(laminate, cut, rest, curvatures),
    )


def _as_pressed(pressed: ArcSpline, bar: BarSetting, cut: _Cut) -> Array:
    i, j = cut.held
    start = pressed.pose(bar.stations_mm[0]).heading_rad
    return np.asarray(start + np.concatenate([[0.0], np.cumsum((cut.lengths * cut.curvatures)[i:j])]))


def _bowed(pressed: ArcSpline, bar: BarSetting, cut: _Cut) -> Array:
    """Headings of the closed-form elastica between the places held, at the centre line: where Newton starts."""
    a, b = (pressed.pose(s) for s in bar.stations_mm)
    i, j = cut.held
    length, chord = float(cut.joints[j] - cut.joints[i]), float(np.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm))
    bow = pinned_elastica(length, min(chord, length * (1.0 - 1e-9)))
    side = 1.0 if pressed.sweep_rad > 0 else -1.0
    ahead = a.heading_rad + side * bow.lean_rad  # near enough to pick the right turn of the chord's direction
    direction = np.arctan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)
    direction += 2.0 * np.pi * np.round((ahead - direction) / (2.0 * np.pi))
    return np.asarray(direction - side * bow.headings(cut.joints[i : j + 1] - cut.joints[i]))


def _through(cut: _Cut, curvatures: Array, joint: int, pose: Pose) -> ArcSpline:
    """The arcs of those curvatures, laid so that a joint has a pose."""
    points, headings = _laid(cut.lengths, curvatures)
    turn = pose.heading_rad - float(headings[joint])
    c, s = math.cos(turn), math.sin(turn)
    x, y = points[joint]
    start = Pose(pose.x_mm - float(c * x - s * y), pose.y_mm - float(s * x + c * y), turn)
    return ArcSpline(start, tuple(zip(cut.lengths.tolist(), curvatures.tolist(), strict=True)))


def _laid(lengths: Array, curvatures: Array) -> tuple[Array, Array]:
    """Joints (n + 1, 2) and headings (n + 1,) of arcs end to end, from the origin along x."""
    turns = lengths * curvatures
    headings = np.concatenate([[0.0], np.cumsum(turns)])
    middle, chords = headings[:-1] + turns / 2.0, lengths * np.sinc(turns / (2.0 * np.pi))
    steps = np.column_stack([chords * np.cos(middle), chords * np.sin(middle)])
    return np.vstack([[0.0, 0.0], np.cumsum(steps, axis=0)]), headings


def _compared(pressed: ArcSpline, shape: ArcSpline) -> Resting:
    """How far the shape's joints lie from the pressed curve, seen first against its chords and then exactly."""
    lengths, curvatures = np.array(shape.pieces).T
    laid = _laid(lengths, curvatures)[0]
    c, s = math.cos(shape.start.heading_rad), math.sin(shape.start.heading_rad)
    points = laid @ np.array([[c, s], [-s, c]]) + (shape.start.x_mm, shape.start.y_mm)
    chain = pressed.points(np.linspace(0.0, pressed.length_mm, COMPARED))
    away = _from_chain(points, chain)
    # Of places equally far, on parts that mirror, the first: rounding must not choose.
    worst = points[int(np.argmax(away >= TIED * np.max(away)))]
    station, distance = pressed.nearest(float(worst[0]), float(worst[1]))
    return Resting(shape=shape, departure_mm=-distance, station_mm=station, height_mm=pressed.pose(station).y_mm)


def _from_chain(points: Array, chain: Array) -> Array:
    """Distances (n,) of points (n, 2) from the two chords that meet at the nearest joint of a chain (m, 2)."""
    squares = np.sum(chain**2, axis=1) - 2.0 * points @ chain.T
    joint = np.argmin(squares, axis=1)
    away = np.full(len(points), np.inf)
    for first in (np.maximum(joint - 1, 0), np.minimum(joint, len(chain) - 2)):
        d, gap = chain[first + 1] - chain[first], points - chain[first]
        along = np.clip(np.sum(gap * d, axis=1) / np.sum(d * d, axis=1), 0.0, 1.0)
        away = np.minimum(away, np.hypot(*(gap - along[:, None] * d).T))
    return away


def _span_per_bar(laminate: Laminate, cut: _Cut, rest: AtRest, curvatures: Array) -> float:
    """Slope of the span after release by the far pin's move outward, from the equilibrium's own derivative."""
    i, j = cut.held
    turn = np.zeros(len(cut.lengths))
    turn[i:j] = np.diff(rest.headings_per_mm) / cut.lengths[i:j]
    step, face, kept = SMALL * laminate.pressed.length_mm, measured_offset_mm(laminate), 1.0 - laminate.spring_back

    def span(by: float) -> float:
        points, headings = _laid(cut.lengths, kept * (curvatures + by * turn))
        ends = [points[k] + face * np.array([-np.sin(headings[k]), np.cos(headings[k])]) for k in cut.springing]
        return float(np.hypot(*(ends[1] - ends[0])))

    # The far pin lies to the left: moving it by +1 mm in x brings the legs 1 mm nearer.
    return (span(-step) - span(step)) / (2.0 * step)
