"""How far loose plies lift off the form: the closed forms, and the check values of the order.

Source: the check values that the work was ordered with, computed before it with two independent models that agree
within 3 %. Stack A: R 462, legs 340, 8 plies of 3.175 mm, E 10 900, q 0.081 MPa, foot clamps 50 mm from the end. Each
value is held against the program and, in tests/holding/on_form, against n separate plies solved another way.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from formgen.form.curve_ends import Jump
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.holding.on_form.bed import Bed, make_bed
from formgen.holding.on_form.lifts import lift_per_slack, pair_lift_mm
from formgen.holding.on_form.strip import Clamping, Lifted, LoosePlies, lifted
from formgen.press.film import Side

R, LEG, E, T, N, Q = 462.0, 340.0, 10900.0, 3.175, 8, 0.081
ARC = math.pi * R
CURVE = ArcSpline.of(Pose(0.0, 0.0, 0.0), [(LEG, 0.0), (ARC, 1.0 / R), (LEG, 0.0)])
LENGTH = CURVE.length_mm
PLIES = LoosePlies(
    bending_n_mm=N * E * T**3 / 12.0,
    stretch_n=N * E * T,
    together_n_mm=(N**2 - 1) * N * E * T**3 / 12.0,
    apart_mm=(N - 1) * T,
)
FEET = (50.0, LENGTH - 50.0)
#: "every ply held there": under the jaw nothing slips.
HELD = 1e6


def lie(clamps: tuple[float, ...], side: Side = "male", **how: float) -> tuple[Bed, Lifted]:
    """The right half of stack A between clamps, as the program takes it."""
    right = tuple(s for s in clamps if s < LENGTH / 2.0)
    bed = make_bed(CURVE, side, (LEG,), right, mirrored=True)
    if how.get("shear_mpa"):
        how.setdefault("jaw_n_per_mm", HELD)
    return bed, lifted(bed, PLIES, Clamping(stations_mm=right, **how))


def most(clamps: tuple[float, ...], side: Side = "male", **how: float) -> float:
    """Its greatest lift."""
    return float(np.max(lie(clamps, side, **how)[1].lifts_mm))


def pair(d: float) -> tuple[float, ...]:
    """A pair that far beyond the spring lines; before them where negative."""
    return (LEG - d, LENGTH - LEG + d)


def near(value: float) -> object:
    """Within 5 % or 0.02 mm: half of what the brief allows."""
    return pytest.approx(value, rel=0.05, abs=0.02)


@pytest.mark.parametrize(("friction", "lift"), [(0.0, 2.71), (0.2, 2.41), (0.5, 1.95)])
def test_feet_alone(friction: float, lift: float) -> None:
    assert most(FEET, shear_mpa=friction * Q) == near(lift)


@pytest.mark.parametrize(("slack", "lift"), [(0.5, 4.39), (1.0, 5.59)])
def test_feet_alone_with_slack(slack: float, lift: float) -> None:
    assert most(FEET, slack_mm=slack) == near(lift)


@pytest.mark.parametrize("feet", [FEET, ()])
@pytest.mark.parametrize(("d", "lift"), [(30, 0.06), (40, 0.12), (60, 0.26), (80, 0.45), (120, 0.94)])
def test_a_pair_beyond_the_spring_line(d: float, lift: float, feet: tuple[float, ...]) -> None:
    """The same whether the feet are held or not."""
    assert most(tuple(sorted((*feet, *pair(d))))) == near(lift)


@pytest.mark.parametrize(("slack", "crown"), [(0.5, 0.31), (1.0, 0.62)])
def test_slack_comes_out_at_the_crown(slack: float, crown: float) -> None:
    bed, rest = lie(tuple(sorted((*FEET, *pair(30)))), slack_mm=slack)
    at = bed.joint(LENGTH / 2.0)
    assert float(rest.lifts_mm[at]) == near(crown)
    assert float(rest.lifts_mm[at]) <= slack * lift_per_slack(math.pi) + 1e-6


def test_feet_that_creep() -> None:
    """2 kN on 100 mm at 0.3, friction 0.2 between plies and under the jaw."""
    rest = most(FEET, shear_mpa=0.2 * Q, hold_n_per_mm=6.0, jaw_n_per_mm=0.2 * 20.0)
    assert rest == pytest.approx(3.60, rel=0.05)
    bed, lying = lie(FEET, shear_mpa=0.2 * Q, hold_n_per_mm=6.0, jaw_n_per_mm=0.2 * 20.0)
    assert lying.pulls_n_per_mm == pytest.approx([6.0])
    assert bed.mirrored


def test_no_legs_the_end_beyond_the_pair_is_loose() -> None:
    arc = ArcSpline.of(Pose(0.0, 0.0, 0.0), [(ARC, 1.0 / R)])
    bed = make_bed(arc, "male", (50.0, ARC - 50.0), (50.0, ARC - 50.0))
    rest = lifted(bed, PLIES, Clamping(stations_mm=(50.0, ARC - 50.0)))
    assert float(rest.lifts_mm[0]) == pytest.approx(50.0**2 / (2.0 * R), rel=0.07)  # κa²/2: 2.71 mm


def test_on_a_female_form_the_pair_stands_before_the_spring_line() -> None:
    assert most(tuple(sorted((*FEET, *pair(-40)))), "female") == near(0.12)


def test_on_a_female_form_with_feet_alone() -> None:
    """0.60 is the linear value; a push along the curve makes it a little more."""
    assert most(FEET, "female") == pytest.approx(0.60, rel=0.10)


# --- limits


def test_a_pair_close_to_the_spring_line_lets_nothing_lift() -> None:
    """d → 0 gives 0: at 8 mm it is κd²/32 = 0.004."""
    assert most(tuple(sorted((*FEET, *pair(8.0))))) < 0.01


def test_half_a_part_and_the_whole_give_the_same() -> None:
    whole = make_bed(CURVE, "male", (LEG, LENGTH - LEG), (*FEET, *pair(40)))
    clamping = Clamping(stations_mm=tuple(sorted((*FEET, *pair(40)))), slack_mm=0.3, shear_mpa=0.2 * Q)
    assert float(np.max(lifted(whole, PLIES, clamping).lifts_mm)) == near(
        most(tuple(sorted((*FEET, *pair(40)))), slack_mm=0.3, shear_mpa=0.2 * Q, jaw_n_per_mm=0.0)
    )


@pytest.mark.parametrize("d", [20.0, 30.0, 40.0])
def test_near_the_jump_the_closed_form_holds(d: float) -> None:
    bed, rest = lie(pair(d))
    at = int(np.argmax(rest.lifts_mm[: bed.joint(LEG + d)]))
    assert float(rest.lifts_mm[at]) == near(pair_lift_mm(1.0 / R, d))
    assert LEG - float(bed.stations_mm[at]) == pytest.approx(d / 4.0, abs=4.0)
    lifts = bed.stations_mm[rest.lifts_mm > 0.01 * rest.lifts_mm[at]]
    assert float(np.max(lifts[lifts < LEG + d])) == pytest.approx(LEG + d / 2.0, abs=7.0)


@pytest.mark.parametrize("factor", [0.01, 100.0])
def test_the_lift_at_a_pair_is_the_same_whatever_the_stiffness(factor: float) -> None:
    other = LoosePlies(
        bending_n_mm=PLIES.bending_n_mm * factor,
        stretch_n=PLIES.stretch_n * factor,
        together_n_mm=PLIES.together_n_mm * factor,
        apart_mm=PLIES.apart_mm,
    )
    bed = make_bed(CURVE, "male", (LEG, LENGTH - LEG), pair(30))
    one, two = (float(np.max(lifted(bed, p, Clamping(stations_mm=pair(30))).lifts_mm)) for p in (PLIES, other))
    assert two == pytest.approx(one, rel=1e-3)


def test_where_the_part_ends_at_the_clamp_it_turns_there() -> None:
    """0.061 κd²: nothing beyond the clamp lies on the form to keep the slope."""
    d = 40.0
    curve = ArcSpline.of(Pose(0.0, 0.0, 0.0), [(d, 0.0), (ARC, 1.0 / R), (d, 0.0)])
    bed = make_bed(curve, "male", (d, curve.length_mm - d), ())
    rest = lifted(bed, PLIES, Clamping(stations_mm=(0.0, curve.length_mm)))
    assert float(np.max(rest.lifts_mm)) == near(0.061 * d**2 / R)


def test_the_furthest_pair() -> None:
    """R 462, 0.25 mm: 61 mm."""
    jump = Jump(station_mm=LEG, by_per_mm=1.0 / R, toward=-1, room_mm=LEG, spring_line=-1)
    d = jump.furthest_mm(0.25)
    assert d == pytest.approx(61.0, abs=0.5)
    assert pair_lift_mm(1.0 / R, d) == pytest.approx(0.25)


def test_much_friction_locks_the_stack() -> None:
    """As an order of size κd²/(9√3 n²): here within a factor of four, and far below the loose plies."""
    d = 120.0
    locked = most(pair(d), shear_mpa=1e4)
    assert d**2 / R / (9.0 * math.sqrt(3.0) * N**2) / 4.0 < locked < 4.0 * d**2 / R / (9.0 * math.sqrt(3.0) * N**2)
