"""Off the form: slip or lock by hand sums, advice both ways, the bar's setting and what it does to the span."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from scipy.optimize import brentq

from formgen.curve.arcspline import ArcSpline, Pose
from formgen.errors import PressError
from formgen.form.model import Form
from formgen.lengths import read_length
from formgen.press.friction import Stack, locked_stretch
from formgen.press.hold import OffForm, bar_setting, off_the_form
from formgen.press.resting import slipped
from formgen.press.setting import BarSetting
from formgen.recipe.figures import figure

Made = Callable[..., Form]
TOLERANCE_MM = 0.8  # part.tolerance where a recipe gives none


def off_of(form: Form, *, pressure_kpa: float = 80.0, friction: float = 0.2) -> OffForm:
    assert form.bar is not None
    pressing = form.pressing
    return off_the_form(pressing.laminate, pressure_kpa, pressing.side, form.bar.setting.height_mm, friction)


@pytest.fixture
def thin(changed: Made) -> Form:
    """The porch jamb in 64 veneers, which friction locks within a hand's breadth."""
    return changed("porch-door-jamb", ("plies: 8", "plies: 64"))


def test_transfer_length_by_hand(made: Made) -> None:
    """ℓ = 1.5 M/(T μ q): 8 plies of 1/8 in yellow-poplar (10 900 MPa, Wood Handbook), part of 1 in, inside span 36 in.

    Pressed radius (18 in + 1/2 in)(1 − 1/8²); for equal plies ℓ = E t²/(8 R μ q), whatever their number.
    """
    off = off_of(made("porch-door-jamb"))
    R = 18.5 * 25.4 * (1 - 1 / 64)
    t, q = 25.4 / 8, 0.080
    assert off.moment_n_mm_per_mm == pytest.approx(8 * 10900 * t**3 / 12 / R, rel=1e-9)
    assert off.transfer_mm == pytest.approx(1.5 * off.moment_n_mm_per_mm / (25.4 * 0.2 * q), rel=1e-9)
    assert off.transfer_mm == pytest.approx(10900 * t**2 / (8 * R * 0.2 * q), rel=1e-9)
    assert off.half_length_mm == pytest.approx((math.pi * 18.5 * 25.4 + 2 * 14 * 25.4) / 2, rel=1e-9)
    assert off.slips
    assert off.locked_share == 0.0


def test_slip_or_lock_turns_where_half_the_part_is_as_long_as_the_transfer_length() -> None:
    """One arc without legs: R 500, half a circle; ℓ = 1.5 M/(T μ q) set to just below and just above half of it."""
    arc = ArcSpline(Pose(500.0, 0.0, math.pi / 2), ((math.pi * 500.0, 1 / 500.0),))
    half = math.pi * 250.0
    for share, locks in ((0.99, True), (1.01, False)):
        stack = Stack(loose_n_mm=1.0, locked_n_mm=64.0, carried_per_mm=(1 / 500.0) / (half * share))
        assert stack.transfer_mm(1 / 500.0) == pytest.approx(half * share)
        locked, stretch = locked_stretch(stack, arc)
        assert (locked > 0.0, stretch is not None) == (locks, locks)
        assert locked == pytest.approx(max(0.0, 1.0 - share))


def test_thick_plies_stay_on_the_form_and_thin_ones_may_come_off(made: Made, thin: Form) -> None:
    thick, veneers = off_of(made("porch-door-jamb")), off_of(thin)
    assert (thick.advice, veneers.advice) == ("stay on the form", "may come off with the bar")
    assert abs(veneers.departure_mm) <= TOLERANCE_MM < abs(thick.departure_mm)
    assert not veneers.slips
    # A semicircle's chord alone would lift the crown by 6.0 % of R (computed); with legs it is less.
    assert 0.03 < thick.departure_mm / (18.5 * 25.4) < 0.060
    assert thick.departure_height_mm == pytest.approx(18.5 * 25.4, rel=0.02)
    codes = [[f.code for f in off.findings] for off in (thick, veneers)]
    assert codes[0][:2] == ["press.plies-slip", "press.stay-on-form"]
    assert codes[1][:2] == ["press.plies-lock", "press.may-come-off"]
    for off in (thick, veneers):
        verdict = off.findings[1]
        assert (verdict.value, verdict.limit, verdict.unit) == (abs(off.departure_mm), TOLERANCE_MM, "mm")
        assert verdict.source


def test_locked_all_along_the_part_keeps_its_pressed_curve(made: Made) -> None:
    """With friction without end nothing slides, and the bar at its pressed setting has nothing to do."""
    off = off_of(made("porch-door-jamb"), friction=1e6)
    assert abs(off.departure_mm) < 1e-3
    assert abs(off.bar_force_n) < 1.0
    assert off.locked_share == pytest.approx(1.0, abs=1e-3)


def test_more_friction_never_takes_the_part_further_away(made: Made) -> None:
    away = [abs(off_of(made("porch-door-jamb"), friction=mu).departure_mm) for mu in (0.0, 0.2, 0.5, 1.0, 3.0, 10.0)]
    assert away == sorted(away, reverse=True)
    assert away[0] > 2 * away[-1]


def test_without_pressure_the_plies_slip(made: Made) -> None:
    off = off_of(made("porch-door-jamb"), pressure_kpa=0.0)
    assert off.slips
    assert math.isinf(off.transfer_mm)
    assert off.findings[0].limit is None
    assert "without pressure" in off.findings[0].message


def test_a_bar_that_pushes_out_holds_nothing_back(made: Made) -> None:
    """A female form: loose plies spring straight, and the legs' ends are a leg's turn of a quarter circle away."""
    off = off_of(made("reference-alcove"))
    assert off.bar is not None
    assert off.bar.action == "pushes out"
    assert not off.bar_holds
    assert off.bar_force_n == 0.0
    assert off.advice == "stay on the form"
    assert "pushes out" in off.reason
    straight = off.shape
    assert straight.sweep_rad == pytest.approx(0.0, abs=1e-12)


def test_without_a_bar_the_part_stays_on_the_form(made: Made) -> None:
    laminate = made("stair-corner").pressing.laminate
    off = off_the_form(laminate, 80.0, "male", None, 0.2)
    assert (off.bar, off.advice, off.loose_span_per_bar) == (None, "stay on the form", None)
    assert "no bar" in off.reason


def test_the_bars_pull_is_a_real_force(made: Made) -> None:
    """Whatever holds a straight strip bowed by 18 % or more presses with Euler's load at least: P ≥ π²EI/L² (Euler)."""
    form = made("porch-door-jamb")
    off = off_of(form)
    assert off.bar is not None
    length = off.bar.stations_mm[1] - off.bar.stations_mm[0]
    stiff = 8 * 10900 * 3.175**3 / 12 * off.depth_mm
    assert off.bar_force_n > math.pi**2 * stiff / length**2
    assert off.depth_mm == pytest.approx(5.25 * 25.4)


def test_setting_by_hand(made: Made) -> None:
    """Outside faces of the legs, h below the springing: each leans by half the over-bend, 90°/(1 − 1/64) − 90°.

    From the springing, R + T/2 = half the outside span there; the pressed radius is (1 − 1/64) of 18 1/2 in, and a leg
    leans inward by δ, so that its outside face comes in by (h − its drop at the springing) tan δ.
    """
    form = made("porch-door-jamb")
    assert form.bar is not None
    setting = bar_setting(form.pressing.laminate, "male", form.bar.setting.height_mm)
    R, T = 18.5 * 25.4 * (1 - 1 / 64), 25.4
    delta = math.pi / 2 / (1 - 1 / 64) - math.pi / 2
    half_at_springing = (R + T / 2) * math.cos(delta)
    # the springing points of the centre line lie on y = 0, those of the outside face T/2 sin δ lower
    drop = -form.bar.setting.height_mm - T / 2 * math.sin(delta)
    assert setting.between_legs_mm == pytest.approx(2 * (half_at_springing - drop * math.tan(delta)), abs=1e-6)
    assert setting.lean_rad == pytest.approx(delta, abs=1e-9)


@pytest.mark.parametrize(("name", "step_mm"), [("porch-door-jamb", 25.4 / 16), ("gallery-casing", 1.0)])
def test_tape_says_the_nearest_mark(made: Made, name: str, step_mm: float) -> None:
    form = made(name)
    assert form.bar is not None
    setting = bar_setting(form.pressing.laminate, form.pressing.side, form.bar.setting.height_mm)
    on_tape = read_length(setting.tape.removeprefix("≈ "), "mm")
    assert on_tape == pytest.approx(setting.between_legs_mm + setting.tape_error_mm, abs=1e-9)
    assert abs(setting.tape_error_mm) <= step_mm / 2
    assert float(Fraction(on_tape / step_mm).limit_denominator(1000)).is_integer()


def test_span_by_bar_of_an_even_change_is_that_of_two_curves(made: Made) -> None:
    """Both curves written out: half a circle with legs, its curvature 10⁻⁴ more and less, its lengths kept."""
    form = made("porch-door-jamb")
    assert form.bar is not None
    laminate = form.pressing.laminate
    setting = bar_setting(laminate, "male", form.bar.setting.height_mm)
    spans = []
    for by in (-1e-4, 1e-4):
        R = 18.5 * 25.4 / (1 + by)
        half = math.pi / 2 * (1 + by)
        spans.append(2 * (R - 12.7) * math.sin(half))  # chord of the inside face, length of the centre line kept
    bars = []
    for by in (-1e-4, 1e-4):
        R = 18.5 * 25.4 * (1 - 1 / 64) / (1 + by)
        half = math.pi / 2 / (1 - 1 / 64) * (1 + by)
        leg = setting.stations_mm[0]
        below = 14 * 25.4 - leg
        bars.append(2 * ((R + 12.7) * math.sin(half) + below * math.cos(half)))
    assert setting.span_per_bar == pytest.approx((spans[1] - spans[0]) / (bars[1] - bars[0]), rel=1e-5)
    assert setting.span_mm_per_sixteenth == pytest.approx(setting.span_per_bar * 1.5875, rel=1e-12)


def test_span_by_bar_of_an_arc_without_legs_is_that_of_two_chords(made: Made) -> None:
    """Segmental, span 48 in and rise 9 1/2 in on the inside face: R = (s²/4 + h²)/(2h), bar and span both chords."""
    laminate = made("reading-room-head").pressing.laminate
    setting = bar_setting(laminate, "male", 10.0)
    inside = (24.0**2 + 9.5**2) / 19.0 * 25.4
    R, half, T = inside + 19.05 / 2, math.asin(24 * 25.4 / inside), 19.05
    begin = setting.stations_mm[0]

    def chord(radius: float, over: float, face: float, share: float) -> float:
        """Between points `face` out from the centre line, `over` to either side of the crown along it."""
        now = radius / (1.0 + share)
        return 2.0 * (now + face) * math.sin(over / now)

    spans = [chord(R, R * half, -T / 2, by) for by in (-1e-4, 1e-4)]
    bars = [chord(R * (1 - 1 / 36), R * half - begin, T / 2, by) for by in (-1e-4, 1e-4)]
    assert setting.span_per_bar == pytest.approx((spans[1] - spans[0]) / (bars[1] - bars[0]), rel=1e-5)


def test_span_by_bar_of_loose_plies_is_that_of_two_shapes(made: Made) -> None:
    """Finite differences: the bar 0.2 mm either way, the glue set there, every curvature back by s on release."""
    form = made("porch-door-jamb")
    laminate = form.pressing.laminate
    off = off_of(form)
    assert off.bar is not None
    assert off.loose_span_per_bar is not None
    stack = Stack.of(laminate, 0.0, 0.0)
    spans, by = [], 0.2
    for move in (-by, by):
        # the pins move apart by turning nothing: the faces that the bar touches are shifted sideways
        moved = replace(laminate, pressed=_opened(laminate.pressed, off.bar.stations_mm, move, off.bar.face_offset_mm))
        shape = slipped(moved, stack, bar_at(off, move)).shape
        finished = shape.scaled_curvature(1.0 - laminate.spring_back)
        a, b = (finished.pose(s).beside(laminate.thickness_mm / 2) for s in laminate.springing_mm)
        spans.append(math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm))
    assert off.loose_span_per_bar == pytest.approx((spans[1] - spans[0]) / (2 * by), rel=1e-3)


def bar_at(off: OffForm, move_mm: float) -> BarSetting:
    assert off.bar is not None
    return replace(off.bar, between_legs_mm=off.bar.between_legs_mm + move_mm)


def _opened(pressed: ArcSpline, stations: tuple[float, float], move_mm: float, offset_mm: float) -> ArcSpline:
    """The curve with all curvatures changed alike until the faces held at the stations are that much further apart."""

    def apart(share: float) -> float:
        curve = pressed.scaled_curvature(1.0 + share)
        a, b = (curve.pose(s).beside(offset_mm) for s in stations)
        return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)

    share = brentq(lambda e: apart(e) - apart(0.0) - move_mm, -0.02, 0.02, xtol=1e-15)
    return pressed.scaled_curvature(1.0 + share)


def test_bar_above_the_crown_is_refused(made: Made) -> None:
    with pytest.raises(PressError, match="does not reach that height on both legs"):
        bar_setting(made("porch-door-jamb").pressing.laminate, "male", 2000.0)


def test_tape_that_moves_the_span_too_far_is_a_warning(changed: Made) -> None:
    off = off_of(changed("porch-door-jamb", ("depth: 5 1/4", "depth: 5 1/4\n  tolerance: 0.01 mm")))
    assert off.bar is not None
    (finding,) = [f for f in off.findings if f.code == "press.bar-tape"]
    assert finding.value == pytest.approx(abs(off.bar.tape_error_mm * off.bar.span_per_bar))
    assert finding.limit == 0.01


def test_friction_has_a_source_and_the_shops_own_value_goes_first(changed: Made) -> None:
    form = changed("porch-door-jamb", shop=(("pump:", "figures: {wet_glue_friction: 0.35}\npump:"),))
    shop = form.pressing.laminate.arch.recipe.shop
    assert (figure("wet_glue_friction", shop).value, figure("wet_glue_friction", shop).how_sure) == (0.35, "shop file")
