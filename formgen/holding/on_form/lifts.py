"""Stage `holding`: how far the finished part lifts between given clamps: by closed forms where they hold, else solved.

In: a Layout, the plies, what clamps hold. Out: Lifts in mm on the pressed centre line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field

import numpy as np

from formgen.errors import PressError
from formgen.fixed import fixed
from formgen.form.curve_ends import LIFT_SHARE
from formgen.geometry.distance import Array
from formgen.holding.on_form.bed import Bed, make_bed
from formgen.holding.on_form.layout import ALIKE_MM, SAME_MM, Layout
from formgen.holding.on_form.model import Lift
from formgen.holding.on_form.strip import Clamping, LoosePlies, lifted

#: Where the lift between a jump and a pair a distance d beyond it is greatest, as a share of d.
GREATEST_AT = 0.25
#: Beyond this distance (mm) the pull along the curve counts as well.
TRUSTED_TO_MM = 60.0


def pair_lift_mm(jump_per_mm: float, distance_mm: float) -> float:
    """The lift between a jump of curvature and a clamp beyond it that holds the slope: κd²/32.

    Args:
        jump_per_mm: by how much the curvature jumps.
        distance_mm: from the jump to the clamp.
    """
    return jump_per_mm * distance_mm**2 / LIFT_SHARE


def lift_per_slack(sweep_rad: float) -> float:
    """Lift at the crown in mm for each mm of slack, at most, where pairs stand at both ends of the arc: 2/θ."""
    return 2.0 / sweep_rad


@fixed
class Lifting:
    """The part on its form with what holds and presses it.

    Args:
        layout: the part and the places of its clamps.
        plies: their stiffness.
        pressure_mpa: of ply on ply.
        clamp_n_per_mm: force of a clamp for each mm of depth.
        form_friction: coefficient under a clamp, along the form.
        slack_mm: length left over when the plies were drawn round.
    """

    layout: Layout
    plies: LoosePlies
    pressure_mpa: float
    clamp_n_per_mm: float
    form_friction: float
    slack_mm: float
    _known: dict[tuple[tuple[float, ...], float, float], tuple[Bed, Array]] = field(
        default_factory=dict, compare=False, repr=False
    )

    def lift(self, stations_mm: Sequence[float], friction: float = 0.0) -> Lift:
        """The greatest lift of the finished part with clamps at these stations; solved.

        Infinite, in the middle, where the plies find no rest between their clamps, since they then leave the form.
        """
        try:
            stations, lifts = self.profile(stations_mm, friction, self.slack_mm)
        except PressError:
            return self._lift(friction, math.inf, self.layout.pressed.length_mm / 2.0)
        most = int(np.argmax(lifts))
        return self._lift(friction, float(lifts[most]), float(stations[most]))

    def closed_form(self, stations_mm: Sequence[float]) -> Lift | None:
        """The same without friction where closed forms hold, else None.

        They hold for one arc between straight legs with a pair near both spring lines, and no other clamp on the curve.
        """
        layout = self.layout
        pieces = layout.pressed.merged().pieces
        if len(pieces) != 3 or len(layout.jumps) != 2 or not layout.mirrored or len(stations_mm) not in {2, 4}:
            return None
        away = [sorted((s - j.station_mm) * j.toward for s in stations_mm) for j in layout.jumps]
        near = [next((d for d in found if d >= 0.0), TRUSTED_TO_MM * 2.0) for found in away]
        jump, d = layout.jumps[0], near[0]
        lies_on = jump.room_mm - d
        stations_ok = abs(near[0] - near[1]) < ALIKE_MM and d <= TRUSTED_TO_MM
        on_curve = [s for s in stations_mm if layout.jumps[0].station_mm < s < layout.jumps[1].station_mm]
        if not stations_ok or lies_on < d or pieces[1][0] < 3.0 * d or (jump.out_on_leg and on_curve):
            return None
        at_jump = pair_lift_mm(jump.by_per_mm, d)
        slack = lift_per_slack(abs(layout.pressed.sweep_rad)) * self.slack_mm if jump.out_on_leg else 0.0
        if slack > at_jump:
            return self._lift(0.0, slack, layout.pressed.length_mm / 2.0)
        return self._lift(0.0, at_jump, jump.at_mm(GREATEST_AT * d))

    def per_slack(self, stations_mm: Sequence[float], try_mm: float) -> float:
        """Lift in mm for each mm of slack, where it counts most: against the same clamps without slack."""
        _, drawn = self.profile(stations_mm, 0.0, 0.0)
        _, loose = self.profile(stations_mm, 0.0, try_mm)
        return float(np.max(loose - drawn)) / try_mm

    def profile(self, stations_mm: Sequence[float], friction: float, slack_mm: float) -> tuple[Array, Array]:
        """Stations (n,) on the pressed centre line of the finished part, and the lifts (n,) there.

        Of a part that is alike on both sides, the right half.
        """
        length = self.layout.pressed.length_mm
        bed, lifts = self._solved(tuple(sorted(set(stations_mm))), friction, slack_mm)
        stations = bed.stations_mm - self.layout.waste_mm[0]
        inside = (stations > -SAME_MM) & (stations < length + SAME_MM)
        return stations[inside], lifts[inside]

    def _solved(self, clamps: tuple[float, ...], friction: float, slack_mm: float) -> tuple[Bed, Array]:
        key = (clamps, friction, slack_mm)
        if key not in self._known:
            bed, at = self._bed(clamps)
            known = [w for (c, _, _), (_, w) in self._known.items() if c == clamps]
            clamping = Clamping(
                stations_mm=at,
                hold_n_per_mm=self.form_friction * self.clamp_n_per_mm,
                slack_mm=slack_mm,
                shear_mpa=friction * self.pressure_mpa,
                jaw_n_per_mm=friction * self.clamp_n_per_mm,
            )
            self._known[key] = bed, lifted(bed, self.plies, clamping, *known[-1:]).lifts_mm
        return self._known[key]

    def _bed(self, clamps: tuple[float, ...]) -> tuple[Bed, tuple[float, ...]]:
        """The bed, and where the clamps stand on it: of the right half alone where the left is its mirror image."""
        layout = self.layout
        before, after = layout.waste_mm
        length = layout.pressed.length_mm
        mirror = [abs(a + b - length) < ALIKE_MM for a, b in zip(clamps, clamps[::-1], strict=True)]
        mirrored = layout.mirrored and all(mirror)
        straight = [k == 0.0 for _, k in (layout.pressed.pieces[0], layout.pressed.pieces[-1])]
        ends = [s for s, leg in zip((0.0, length), straight, strict=True) if not leg]
        fine = [before + s for s in (*ends, *(j.station_mm for j in layout.jumps))]
        at = [before + s for s in clamps if not mirrored or s <= length / 2.0 + ALIKE_MM]
        bed = make_bed(layout.pressed.extended(before, after), layout.side, fine, at, mirrored=mirrored)
        return bed, tuple(at)

    def _lift(self, friction: float, lift_mm: float, station_mm: float) -> Lift:
        station = min(max(station_mm, 0.0), self.layout.pressed.length_mm)
        height = self.layout.pressed.pose(station).y_mm
        return Lift(friction=friction, lift_mm=lift_mm, station_mm=station, height_mm=height)
