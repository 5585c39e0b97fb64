"""Stage `press`: the shape that the plies take off the form, and how far it stands from the pressed curve.

In: a Laminate, what friction carries, and the places that the bar holds. Out: a curve in the form's axes, mm, and the
bar's pull for each mm of depth. It decides nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from formgen.curve.arcspline import ArcSpline, Pose
from formgen.laminate.plies import Laminate
from formgen.press.elastica import pinned_elastica
from formgen.press.friction import Stack, carried_moments, sliding_shares
from formgen.press.setting import SMALL, BarSetting, apart_mm, measured_offset_mm
from formgen.press.strip import AtRest, Strip, between_pins

Array = NDArray[np.float64]

#: The part is cut into at least so many elements: the elastica of a semicircle is then within 0.001 mm for each metre.
ELEMENTS = 120
#: Friction is followed in steps this much finer, for it turns over within one step.
FINER = 4
#: Points along the pressed curve from which departures are first measured.
COMPARED = 400


@dataclass(frozen=True, kw_only=True)
class Resting:
    """The part off the form.

    Args:
        shape: its centre line in the form's axes.
        departure_mm: greatest distance from the pressed curve, positive where the part stands outside it.
        station_mm: station on the pressed curve there.
        height_mm: y there, on the pressed curve.
        force_n_per_mm: pull of the bar for each mm of depth, positive where it must pull in; 0 without a bar.
        span_per_bar: how far the span after release moves for each mm of bar, if the glue sets in this shape; None
            without a bar.
    """

    shape: ArcSpline
    departure_mm: float
    station_mm: float
    height_mm: float
    force_n_per_mm: float
    span_per_bar: float | None


@dataclass(frozen=True, kw_only=True)
class _Cut:
    """The part in elements: lengths and curvatures (n,), stations of its joints (n + 1,), and what the bar holds."""

    lengths: Array
    curvatures: Array
    joints: Array
    held: tuple[int, int]

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
    knots = np.unique(np.concatenate([pressed.stations_mm, places, [pressed.length_mm / 2.0]]))
    knots = knots[np.concatenate([[True], np.diff(knots) > 1e-6])]
    longest = pressed.length_mm / ELEMENTS
    counts = np.maximum(1, np.ceil(np.diff(knots) / longest - 1e-9)).astype(int)
    runs = zip(knots[:-1], knots[1:], counts, strict=True)
    joints = np.concatenate([*(np.linspace(a, b, n, endpoint=False) for a, b, n in runs), knots[-1:]])
    middles = (joints[1:] + joints[:-1]) / 2.0
    held = tuple(int(np.argmin(np.abs(joints - s))) for s in places)
    return _Cut(
        lengths=np.diff(joints),
        curvatures=np.array([pressed.curvature_at(float(s)) for s in middles]),
        joints=joints,
        held=(held[0], held[1]),
    )


def _at_rest(laminate: Laminate, cut: _Cut, natural: Array, stiffness: Array, bar: BarSetting | None) -> Resting:
    pressed = laminate.pressed
    if bar is None:
        middle = int(np.argmin(np.abs(cut.joints - pressed.length_mm / 2.0)))
        shape = _through(cut, natural, middle, pressed.pose(float(cut.joints[middle])))
        return _compared(pressed, shape, 0.0, None)
    near, far = (pressed.pose(s).beside(bar.face_offset_mm) for s in bar.stations_mm)
    strip = cut.strip(natural, stiffness, bar.face_offset_mm)
    pins = (far.x_mm - near.x_mm, far.y_mm - near.y_mm)
    loose = not np.any(natural)
    rest = between_pins(strip, pins, _bowed(pressed, bar, cut) if loose else _as_pressed(pressed, bar, cut))
    i, j = cut.held
    curvatures = natural.copy()
    curvatures[i:j] = rest.curvatures_per_mm
    heading = float(rest.headings[0])
    at_pin = Pose(near.x_mm, near.y_mm, heading).beside(-bar.face_offset_mm)
    # The bar's pull on the far pin runs back along the line of the pins.
    pull = -(rest.force_n_per_mm[0] * pins[0] + rest.force_n_per_mm[1] * pins[1]) / float(np.hypot(*pins))
    shape = _through(cut, curvatures, i, at_pin)
    return _compared(pressed, shape, pull, _span_per_bar(laminate, cut, rest, curvatures))


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
    start = pose
    for h, k in zip(cut.lengths[:joint][::-1], curvatures[:joint][::-1], strict=True):
        start = start.onward(-float(h), float(k))
    return ArcSpline(start, tuple((float(h), float(k)) for h, k in zip(cut.lengths, curvatures, strict=True)))


def _compared(pressed: ArcSpline, shape: ArcSpline, force: float, span_per_bar: float | None) -> Resting:
    """How far the shape's joints lie from the pressed curve, seen first against its chords and then exactly."""
    points = np.array([(p.x_mm, p.y_mm) for p in shape.knots])
    chain = pressed.points(np.linspace(0.0, pressed.length_mm, COMPARED))
    a, d = chain[:-1], np.diff(chain, axis=0)
    gap = points[:, None, :] - a
    along = np.clip(np.einsum("psj,sj->ps", gap, d) / np.einsum("sj,sj->s", d, d), 0.0, 1.0)
    away = np.min(np.sum((gap - along[..., None] * d) ** 2, axis=2), axis=1)
    worst = points[int(np.argmax(away))]
    station, distance = pressed.nearest(float(worst[0]), float(worst[1]))
    return Resting(
        shape=shape,
        departure_mm=-distance,
        station_mm=station,
        height_mm=pressed.pose(station).y_mm,
        force_n_per_mm=force,
        span_per_bar=span_per_bar,
    )


def _span_per_bar(laminate: Laminate, cut: _Cut, rest: AtRest, curvatures: Array) -> float:
    """Slope of the span after release by the far pin's move outward, from the equilibrium's own derivative."""
    i, j = cut.held
    turn = np.zeros(len(cut.lengths))
    turn[i:j] = np.diff(rest.headings_per_mm) / cut.lengths[i:j]
    step, face, kept = SMALL * laminate.pressed.length_mm, measured_offset_mm(laminate), 1.0 - laminate.spring_back
    spans = [
        apart_mm(_through(cut, kept * (curvatures + by * turn), 0, Pose(0.0, 0.0, 0.0)), laminate.springing_mm, face)
        for by in (-step, step)
    ]
    # The far pin lies to the left: moving it by +1 mm in x brings the legs 1 mm nearer.
    return -(spans[1] - spans[0]) / (2.0 * step)
