"""Stage `holding`: the form as the part lies on it, cut into short runs: what a lift is measured against.

In: a curve, the side of the form, and the stations that must be seen (jumps of curvature, clamps). Out: a Bed, mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import Array
from formgen.press.film import Side

#: Shortest and longest run (mm), and the share of its distance to the nearest jump or clamp that a run may be long.
#: Plies tilt at a clamp as far as the first joint beside it lets them: a run twice as short there halves what is left,
#: some hundredths of the lift.
SHORTEST_MM, LONGEST_MM, SHARE = 2.0, 40.0, 0.2
#: Marks nearer to each other than this are one (mm).
SAME_MM = 1e-3


@fixed
class Bed:
    """The bed on which the part lies, from its right end to its left, waste included.

    Args:
        stations_mm: (m,) of the joints between the runs.
        curvatures_per_mm: (m − 1,) of the runs, positive where the form bulges toward the part, so that a lift makes
            the way longer; negative where it is hollow.
        mirrored: it ends in the middle of a part that is alike on both sides; the joint there tilts no way.
    """

    stations_mm: Array
    curvatures_per_mm: Array
    mirrored: bool = False

    @cached_property
    def lengths_mm(self) -> Array:
        """(m − 1,) of the runs."""
        return np.diff(self.stations_mm)

    @cached_property
    def spreads_mm(self) -> Array:
        """(n,) what each joint that bends stands for: half a run to each side; n is m − 2, or m − 1 if mirrored."""
        return self._halves(self.lengths_mm)

    @cached_property
    def turns_rad(self) -> Array:
        """(n,) turning of the bed over what each joint that bends stands for."""
        return self._halves(self.lengths_mm * self.curvatures_per_mm)

    def _halves(self, runs: Array) -> Array:
        after = runs[1:] if not self.mirrored else np.append(runs[1:], 0.0)
        before = runs[:-1] if not self.mirrored else runs
        return np.asarray((before + after) / 2.0)

    @cached_property
    def bending(self) -> Array:
        """(n, m) by which a lift w lessens the turning at each joint that bends: w″ + κ²w, over its spread."""
        m, h = len(self.stations_mm), self.lengths_mm
        rows = np.arange(len(self.spreads_mm))
        out = np.zeros((len(rows), m))
        out[rows, rows] = 1.0 / h[rows]
        out[rows, rows + 1] = -1.0 / h[rows] + self.turns_rad**2 / self.spreads_mm
        inner = rows[: m - 2]
        out[inner, inner + 1] -= 1.0 / h[1:]
        out[inner, inner + 2] = 1.0 / h[1:]
        return out

    def longer(self, first: int, last: int) -> tuple[Array, Array]:
        """By how much a lift lengthens the way between two joints: ∫κw + ½∫w′² is g·w + ½ Σ c·(Δw)².

        g (m,) by the joints; c (m − 1,) by the runs, 1/mm, 0 for those outside.
        """
        g, c = np.zeros(len(self.stations_mm)), np.zeros(len(self.lengths_mm))
        runs = slice(first, last)
        turned = self.lengths_mm[runs] * self.curvatures_per_mm[runs] / 2.0
        g[runs] += turned
        g[first + 1 : last + 1] += turned
        c[runs] = 1.0 / self.lengths_mm[runs]
        return g, c

    def joint(self, station_mm: float) -> int:
        """Number of the joint nearest to a station."""
        return int(np.argmin(np.abs(self.stations_mm - station_mm)))


def make_bed(
    curve: ArcSpline, side: Side, jumps_mm: Iterable[float], clamps_mm: Sequence[float], *, mirrored: bool = False
) -> Bed:
    """The bed under a curve.

    Args:
        curve: the pressed centre line, waste included.
        side: `male`: the form lies to the left of it, inside the curve, and the part lifts to the right.
        jumps_mm: stations that become joints, near which the runs are short.
        clamps_mm: the same for clamps.
        mirrored: the curve and all that is on it are alike on both sides: the right half is enough.
    """
    end = curve.length_mm / 2.0 if mirrored else curve.length_mm
    marks = _apart([0.0, end, *(s for s in (*jumps_mm, *clamps_mm) if 0.0 < s < end)])
    runs = [_graded(a, b) for a, b in pairwise(marks)]
    if mirrored and not any(abs(s - end) < SAME_MM for s in clamps_mm):  # nothing jumps in the middle
        runs[-1] = _graded(marks[-2], 2.0 * end - marks[-2])
        runs[-1] = runs[-1][runs[-1] < end - SAME_MM]
    stations = np.concatenate([*runs, marks[-1:]])
    turned = np.concatenate([[0.0], np.cumsum([length * k for length, k in curve.pieces])])
    sign = 1.0 if side == "male" else -1.0
    across = np.diff(np.interp(stations, curve.stations_mm, turned))
    return Bed(stations_mm=stations, curvatures_per_mm=sign * across / np.diff(stations), mirrored=mirrored)


def _apart(stations_mm: list[float]) -> Array:
    ordered = np.sort(stations_mm)
    return np.asarray(ordered[np.concatenate([[True], np.diff(ordered) > SAME_MM])])


def _graded(begin_mm: float, end_mm: float) -> Array:
    """Joints from one mark to the next, the last left out: close at both, wider in between."""
    half = (end_mm - begin_mm) / 2.0
    away = [0.0]
    while away[-1] < half:
        away.append(away[-1] + min(max(SHARE * away[-1], SHORTEST_MM), LONGEST_MM))
    way = np.array(away) * (half / away[-1])
    return np.concatenate([begin_mm + way[:-1], end_mm - way[:0:-1]])
