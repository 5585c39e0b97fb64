"""Stage `holding`: the plies off the form under full vacuum: their shape in the bag, and the part after release.

In: a Laminate, its stack under pressure, and what holds the ends. Out: two curves with how they stand, mm, and the
pull of bar or tie for each mm of depth. It decides nothing.
"""

from __future__ import annotations

import math

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import Array
from formgen.geometry.pose import Pose
from formgen.holding.free_strip.arcs import left, steps
from formgen.holding.free_strip.plies import AtRest, SlidingStrip
from formgen.holding.free_strip.trial import at_rest
from formgen.holding.off_form.friction import Stack
from formgen.holding.off_form.standing import Standing, laid_on, standing, through
from formgen.holding.spreader_bar import SMALL, BarSetting, measured_offset_mm
from formgen.laminate.plies import Laminate

#: The part is cut into at least so many elements: departures are then within 2 % or 0.02 mm of those of 960.
ELEMENTS = 240
#: Elements at the ends of a stretch are shorter by this share, those in its middle longer by it.
CLOSER = 0.3
#: No element is shorter: marks nearer to each other than this are one.
CLOSEST_MM = 0.01
#: Plies count as locked where they slide by less than this part of the most that they do, and than this turn.
LOCKED_SHARE, LOCKED_RAD = 1e-3, 1e-6


@fixed
class Hanging:
    """The part off the form at one friction.

    Args:
        friction: coefficient between wet plies.
        in_bag: how the part in its bag stands against the pressed curve: what a tape finds there.
        finished: how the part stands against the curve asked for, once glue has set and bar and bag are off.
        force_n_per_mm: pull of bar or tie for each mm of depth; 0 where nothing holds.
        span_per_bar: mm of finished span for each mm that bar or tie is set further apart; None where nothing holds.
        locked_share: share of the curve's turning along which no ply slides on another, 0 to 1.
        locked_mm: stations between which that lies; None where plies slide everywhere.
        shape: the middle line in the bag, in the form's axes.
    """

    friction: float
    in_bag: Standing
    finished: Standing
    force_n_per_mm: float
    span_per_bar: float | None
    locked_share: float
    locked_mm: tuple[float, float] | None
    shape: ArcSpline

    @property
    def furthest_mm(self) -> float:
        """Greatest departure either way, in the bag or finished."""
        return max(abs(self.in_bag.departure_mm), abs(self.finished.departure_mm))


def hang(laminate: Laminate, pressure_kpa: float, friction: float, holder: BarSetting | None) -> Hanging:
    """The part off the form.

    Args:
        laminate: the plies, pressed.
        pressure_kpa: what the bag really presses with, gauge; it presses ply on ply and pushes the part nowhere.
        friction: coefficient of friction between plies with wet glue, 0 or more.
        holder: bar or tie; None where nothing holds the ends.

    Raises:
        NoRestError: no shape at rest is found.

    Assumptions:
        Those of `at_rest`; no weight; bar or tie keep the distance of the two places on the outside that they touch
        and let the part turn there. Ends are the finished ones: ply that is cut off later would only help. Glue then
        sets in that shape; released, the part gives back the moment that bar and unset plies left in it, M s/ΣEI of
        curvature. A part that nothing holds is laid on the pressed curve at its middle; the finished one on the curve
        asked for by its springing points.
    """
    cut = _Cut.of(laminate, holder)
    stack = Stack.of(laminate, pressure_kpa, friction)
    pressed = laminate.pressed
    rest = at_rest(
        SlidingStrip(
            lengths_mm=cut.lengths,
            pressed_per_mm=cut.curvatures,
            loose_n_mm=stack.loose_n_mm,
            joined_n_mm=stack.joined_n_mm,
            friction_n=stack.friction_n,
            held=cut.held if holder is not None else None,
            pin_offset_mm=holder.face_offset_mm if holder is not None else 0.0,
        ),
        pressed.start.heading_rad,
    )
    shape = _placed(pressed, cut, rest)
    back = laminate.spring_back / stack.loose_n_mm
    released = through(cut.lengths, rest.curvatures_per_mm - back * rest.moments_n, 0, pressed.start)
    springing, face, target = laminate.springing_mm, measured_offset_mm(laminate), laminate.arch.target
    share, stretch = _locked(cut, rest)
    return Hanging(
        friction=friction,
        in_bag=standing(shape, pressed, springing, face),
        finished=standing(laid_on(released, target, springing), target, springing, face),
        force_n_per_mm=0.0 if holder is None else _pull_n(cut, rest),
        span_per_bar=None if holder is None else _span_per_bar(cut, rest, back, face),
        locked_share=share,
        locked_mm=stretch,
        shape=shape,
    )


@fixed
class _Cut:
    """The part in elements.

    Args:
        lengths, curvatures: (n,) of each, as pressed.
        joints: (n + 1,) their stations.
        held, springing: numbers of the joints that are held, and of those at the springing, right and left.
        middle: number of the joint at half the part.
    """

    lengths: Array
    curvatures: Array
    joints: Array
    held: tuple[int, int]
    springing: tuple[int, int]
    middle: int

    @classmethod
    def of(cls, laminate: Laminate, holder: BarSetting | None) -> _Cut:
        pressed = laminate.pressed
        places = (0.0, pressed.length_mm) if holder is None else holder.stations_mm
        marks = [*places, *laminate.springing_mm, pressed.length_mm / 2.0]
        knots = np.sort(np.concatenate([pressed.stations_mm, marks]))
        knots = knots[np.concatenate([[True], np.diff(knots) > CLOSEST_MM])]
        knots[-1] = pressed.length_mm
        longest = pressed.length_mm / ELEMENTS
        counts = np.maximum(1, np.ceil(np.diff(knots) / longest - 1e-9)).astype(int)
        runs = zip(knots[:-1], knots[1:], counts, strict=True)
        joints = np.concatenate([*(a + (b - a) * _closer(n) for a, b, n in runs), knots[-1:]])
        middles = (joints[1:] + joints[:-1]) / 2.0
        pieces = np.clip(np.searchsorted(pressed.stations_mm, middles, side="right") - 1, 0, len(pressed.pieces) - 1)

        def joint(station_mm: float) -> int:
            return int(np.argmin(np.abs(joints - station_mm)))

        return cls(
            lengths=np.diff(joints),
            curvatures=np.array([k for _, k in pressed.pieces])[pieces],
            joints=joints,
            held=(joint(places[0]), joint(places[1])),
            springing=(joint(laminate.springing_mm[0]), joint(laminate.springing_mm[1])),
            middle=joint(pressed.length_mm / 2.0),
        )


def _closer(count: int) -> Array:
    """(count,) shares of a stretch from 0 to below 1, closer at its two ends, where plies begin to slide."""
    even = np.arange(count) / count
    return np.asarray(even - CLOSER * np.sin(2.0 * np.pi * even) / (2.0 * np.pi))


def _placed(pressed: ArcSpline, cut: _Cut, rest: AtRest) -> ArcSpline:
    """The shape where bar or tie hold it, or on the pressed curve's middle."""
    if rest.strip.held is None:
        return through(cut.lengths, rest.curvatures_per_mm, cut.middle, pressed.pose(float(cut.joints[cut.middle])))
    i, offset = rest.strip.held[0], rest.strip.pin_offset_mm
    pin = pressed.pose(float(cut.joints[i])).beside(offset)
    at_pin = Pose(pin.x_mm, pin.y_mm, float(rest.headings[i])).beside(-offset)
    return through(cut.lengths, rest.curvatures_per_mm, i, at_pin)


def _pull_n(cut: _Cut, rest: AtRest) -> float:
    """Pull along the line between the two places held, for each mm of depth, positive where it pulls in."""
    i, j = cut.held
    x, y = steps(cut.lengths[i:j], rest.headings[i : j + 1])
    chord = np.array([np.sum(x), np.sum(y)])
    offset = rest.strip.pin_offset_mm
    for joint, sign in ((i, -1.0), (j, 1.0)):
        chord += sign * offset * left(float(rest.headings[joint]))
    return -float(np.dot(rest.force_n_per_mm, chord)) / float(np.hypot(*chord))


def _locked(cut: _Cut, rest: AtRest) -> tuple[float, tuple[float, float] | None]:
    """Share of the turning along which nothing slides, and the stations from the first to the last of it."""
    slid = np.max(np.abs(rest.slides), axis=1)
    still = slid < max(LOCKED_RAD, LOCKED_SHARE * float(np.max(slid)))
    whole, turns = still[1:] & still[:-1], np.abs(cut.lengths * cut.curvatures)
    held = np.flatnonzero(whole & (turns > 0.0))
    if len(held) == 0:
        return 0.0, None
    return float(np.sum(turns[held]) / np.sum(turns)), (float(cut.joints[held[0]]), float(cut.joints[held[-1] + 1]))


def _span_per_bar(cut: _Cut, rest: AtRest, back: float, face_offset_mm: float) -> float:
    """Slope of the finished span by the distance held, from the equilibrium's own derivative."""
    turn = np.diff(rest.headings_per_mm) / cut.lengths
    i, j = cut.springing

    def span(by: float) -> float:
        curvatures = rest.curvatures_per_mm + by * turn - back * (rest.moments_n + by * rest.moments_per_mm)
        headings = np.concatenate([[0.0], np.cumsum(cut.lengths * curvatures)])
        x, y = steps(cut.lengths[i:j], headings[i : j + 1])
        a, b = float(headings[i]), float(headings[j])
        x_mm = float(np.sum(x)) - face_offset_mm * (math.sin(b) - math.sin(a))
        return math.hypot(x_mm, float(np.sum(y)) + face_offset_mm * (math.cos(b) - math.cos(a)))

    step = SMALL * float(cut.joints[-1])
    return (span(step) - span(-step)) / (2.0 * step)
