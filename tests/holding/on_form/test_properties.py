"""What must hold of every lift: more clamps never lift more, thicker plies lift alike, larger parts in proportion."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formgen.form.curve_ends import jumps
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.holding.on_form.bed import Bed, make_bed
from formgen.holding.on_form.strip import Clamping, LoosePlies, lifted
from formgen.press.film import Side

LEG = 300.0


def arch(radius: float, sweep: float) -> ArcSpline:
    leg = (LEG, 0.0)
    return ArcSpline.of(Pose(0.0, 0.0, 0.0), [leg, (radius * sweep, 1.0 / radius), leg])


def stack(modulus: float, thickness: float, plies: int) -> LoosePlies:
    one = modulus * thickness**3 / 12.0
    return LoosePlies(
        bending_n_mm=plies * one,
        stretch_n=plies * modulus * thickness,
        together_n_mm=plies * one * (plies**2 - 1),
        apart_mm=(plies - 1) * thickness,
    )


def most(curve: ArcSpline, plies: LoosePlies, clamps: tuple[float, ...], side: Side = "male", **how: float) -> float:
    """Greatest lift with clamps at these shares of the length of the right half, mirrored."""
    at = tuple(sorted(s * curve.length_mm / 2.0 for s in clamps))
    bed = make_bed(curve, side, [float(s) for s in curve.stations_mm[1:2]], at, mirrored=True)
    return float(np.max(lifted(bed, plies, Clamping(stations_mm=at, **how)).lifts_mm))


radii = st.floats(250.0, 900.0)
sweeps = st.floats(0.8, math.pi)


@settings(max_examples=40)
@given(radii, sweeps, st.floats(0.15, 0.95), st.sampled_from(["male", "female"]))
def test_more_clamps_never_lift_more(radius: float, sweep: float, share: float, side: Side) -> None:
    """Without friction between the plies, on one arc with its legs."""
    curve, plies = arch(radius, sweep), stack(11000.0, 3.0, 8)
    few = most(curve, plies, (0.1,), side)
    assert most(curve, plies, (0.1, share), side) <= few * 1.02 + 0.01


@settings(max_examples=25)
@given(radii, sweeps, st.floats(2.0, 6.0))
def test_a_part_twice_as_large_lifts_twice_as_far(radius: float, sweep: float, thickness: float) -> None:
    """Lengths, thickness and slack doubled, the runs of the bed too: every angle stays.

    The program's own runs are as long on a large part as on a small one; `test_independent.py` says what that leaves.
    """
    curve = arch(radius, sweep)
    at = 0.1 * curve.length_mm / 2.0
    small = make_bed(curve, "male", [float(curve.stations_mm[1])], (at,), mirrored=True)
    large = Bed(stations_mm=2.0 * small.stations_mm, curvatures_per_mm=small.curvatures_per_mm / 2.0, mirrored=True)
    one = lifted(small, stack(10000.0, thickness, 6), Clamping(stations_mm=(at,), slack_mm=0.2)).lifts_mm
    two = lifted(large, stack(10000.0, 2.0 * thickness, 6), Clamping(stations_mm=(2.0 * at,), slack_mm=0.4)).lifts_mm
    assert two == pytest.approx(2.0 * one, rel=1e-6, abs=1e-6)


@settings(max_examples=25)
@given(radii, sweeps, st.floats(0.05, 20.0))
def test_the_modulus_counts_for_nothing_where_nothing_rubs(radius: float, sweep: float, factor: float) -> None:
    one = most(arch(radius, sweep), stack(10000.0, 3.0, 6), (0.1,))
    assert most(arch(radius, sweep), stack(10000.0 * factor, 3.0, 6), (0.1,)) == pytest.approx(one, rel=0.02, abs=0.01)


@settings(max_examples=25)
@given(radii, st.floats(0.0, 1.0), st.floats(0.05, 1.0))
def test_more_slack_never_lifts_less(radius: float, slack: float, more: float) -> None:
    curve, plies = arch(radius, 2.0), stack(10000.0, 3.0, 6)
    near = (LEG - 30.0) / (curve.length_mm / 2.0)
    assert (
        most(curve, plies, (0.1, near), slack_mm=slack + more) >= most(curve, plies, (0.1, near), slack_mm=slack) - 1e-3
    )


@settings(max_examples=25)
@given(radii, sweeps, st.sampled_from(["male", "female"]), st.floats(0.05, 0.6))
def test_a_pair_at_the_furthest_leaves_about_the_tolerance(radius: float, sweep: float, side: Side, tol: float) -> None:
    """√(32 R tol), within what pull along the curve adds; a form of the first order in d/R, so for d small beside R."""
    curve = arch(radius, sweep)
    found = jumps(curve, side, tol)
    assume(found)
    jump = found[0]
    d = jump.furthest_mm(tol)
    assume(2.0 * d < min(jump.room_mm, LEG) and d < min(60.0, radius / 5.0))
    clamp = jump.at_mm(d) / (curve.length_mm / 2.0)
    lift = most(curve, stack(10000.0, 3.0, 6), (0.1, clamp), side)
    assert lift == pytest.approx(tol, rel=0.15, abs=0.03)
    assert jump.out_on_leg == (side == "male")


def test_two_clamps_at_one_joint_hold_as_one() -> None:
    """Reliefs 2 mm apart lie nearer than the runs of a bed are long; a span of no length has no pull."""
    curve, plies = arch(500.0, math.pi), stack(10000.0, 3.0, 6)
    bed = make_bed(curve, "male", [float(s) for s in curve.stations_mm[1:-1]], (100.0,))
    twice = lifted(bed, plies, Clamping(stations_mm=(100.0, 100.9, 1600.0), slack_mm=0.3))
    once = lifted(bed, plies, Clamping(stations_mm=(100.0, 1600.0), slack_mm=0.3))
    assert np.max(once.lifts_mm) > 0.1
    assert twice.lifts_mm == pytest.approx(once.lifts_mm)


def test_one_clamp_alone_lets_both_ends_stand_straight() -> None:
    """A straight line that touches a circle stands off by a²/(2R) at a distance a; a short part may have one clamp.

    A run of 2 mm beside the clamp may lie on its chord: it tilts the line by 2/(2R).
    """
    radius, at, length = 600.0, 70.0, 160.0
    curve, plies = ArcSpline.of(Pose(0.0, 0.0, 0.0), [(length, 1.0 / radius)]), stack(10000.0, 3.0, 6)
    bed = make_bed(curve, "male", [0.0, length], (at,))
    found = lifted(bed, plies, Clamping(stations_mm=(at,))).lifts_mm
    for end, away in zip(found[[0, -1]], (at, length - at), strict=True):
        assert end == pytest.approx(away**2 / (2.0 * radius), abs=2.0 * away / (2.0 * radius) + 0.01 * end)
