"""The bed under the plies: its joints, and how a lift changes turning and length of the way."""

from __future__ import annotations

import math

import numpy as np
import pytest

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.holding.on_form.bed import make_bed
from formgen.press.film import Side

R = 400.0
ARC = ArcSpline.of(Pose(0.0, 0.0, 0.0), [(R * math.pi, 1.0 / R)])


def test_a_part_moved_bodily_bends_no_further() -> None:
    """w = sin(s/R) is a circle moved without change: w″ + κ²w = 0."""
    bed = make_bed(ARC, "male", (), ())
    moved = bed.bending @ np.sin(bed.stations_mm / R) / bed.spreads_mm
    grown = bed.bending @ np.ones(len(bed.stations_mm)) / bed.spreads_mm
    assert moved == pytest.approx(0.0, abs=0.02 / R**2)
    assert grown == pytest.approx(1.0 / R**2, rel=0.01)


@pytest.mark.parametrize(("side", "sign"), [("male", 1.0), ("female", -1.0)])
def test_a_ring_that_grows_is_longer_by_two_pi_for_each_mm(side: Side, sign: float) -> None:
    """Half a ring: π longer for each mm outward, π shorter for each mm inward."""
    bed = make_bed(ARC, side, (), ())
    g, _ = bed.longer(0, len(bed.stations_mm) - 1)
    assert float(np.sum(g)) == pytest.approx(sign * math.pi)


def test_a_slope_makes_the_way_longer_by_half_its_square() -> None:
    bed = make_bed(ArcSpline.of(Pose(0.0, 0.0, 0.0), [(300.0, 0.0)]), "male", (), ())
    _, c = bed.longer(0, len(bed.stations_mm) - 1)
    ramp = 0.02 * bed.stations_mm
    assert 0.5 * float(c @ np.diff(ramp) ** 2) == pytest.approx(300.0 * 0.02**2 / 2.0)


def test_a_stretch_between_two_joints_is_longer_by_what_lies_in_it() -> None:
    bed = make_bed(ARC, "male", (), ())
    middle, last = len(bed.stations_mm) // 2, len(bed.stations_mm) - 1
    parts = [bed.longer(0, middle), bed.longer(middle, last)]
    for whole, right, left in zip(bed.longer(0, last), *parts, strict=True):
        assert right + left == pytest.approx(whole)
    assert not np.any(parts[0][1][middle:])
    assert not np.any(parts[1][1][:middle])


def test_clamps_and_jumps_become_joints() -> None:
    bed = make_bed(ARC, "male", (200.0,), (203.5, 700.0))
    for station in (200.0, 203.5, 700.0):
        assert float(bed.stations_mm[bed.joint(station)]) == pytest.approx(station)
    assert np.all(np.diff(bed.stations_mm) > 0.0)
    assert float(np.sum(bed.lengths_mm * bed.curvatures_per_mm)) == pytest.approx(math.pi)
