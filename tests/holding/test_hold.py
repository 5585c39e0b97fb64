"""Off the form: what may come off and what stays, what holds it, and what is said of it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from shapely import LineString, Point

from formgen.findings import Finding
from formgen.form.model import Form
from formgen.holding.off_form.advice import OffForm, friction_range, off_form_tolerance_mm, off_the_form
from formgen.holding.off_form.hanging import hang
from formgen.recipe.figures import figure

Made = Callable[..., Form]


def off_of(form: Form, *frictions: float, pressure_kpa: float = 80.0) -> OffForm:
    height = form.bar.touch.height_mm if form.bar is not None else None
    asked = (frictions[0], frictions[1], frictions[2]) if frictions else None
    return off_the_form(form.pressing, height, pressure_kpa=pressure_kpa, frictions=asked)


def found(off: OffForm, code: str) -> Finding:
    (finding,) = [f for f in off.findings if f.code == code]
    return finding


@pytest.fixture
def thin(changed: Made) -> Form:
    """The porch jamb in 64 veneers, which friction locks within a hand's breadth."""
    return changed("porch-door-jamb", ("plies: 8", "plies: 64"))


def test_thick_plies_stay_on_the_form_and_thin_ones_may_come_off(made: Made, thin: Form) -> None:
    thick, veneers = off_of(made("porch-door-jamb")), off_of(thin)
    assert (thick.advice, veneers.advice) == ("stay on the form", "may come off with the bar")
    assert (thick.may_come_off, veneers.may_come_off) == (False, True)
    assert veneers.least.furthest_mm <= veneers.tolerance_mm < thick.least.furthest_mm
    assert found(thick, "press.stay-on-form").value == thick.least.furthest_mm
    assert found(veneers, "press.may-come-off").limit == veneers.tolerance_mm == 1.6  # twice 0.8 mm
    for off in (thick, veneers):
        assert off.departure_mm == off.usual.in_bag.departure_mm


@pytest.mark.parametrize("name", ["porch-door-jamb", "gallery-casing"])
def test_a_bar_across_the_outside_holds_a_part_from_either_form(made: Made, name: str) -> None:
    off = off_of(made(name))
    assert (off.held_by, off.side) == ("bar", "male" if name == "porch-door-jamb" else "female")
    assert off.bar is not None
    assert off.bar.action == "pulls in"
    assert off.bar.face_offset_mm < 0.0
    assert off.bar_force_n > 0.0
    alone = hang(made(name).pressing.laminate, 80.0, 0.2, None)
    assert abs(off.usual.in_bag.departure_mm) < abs(alone.in_bag.departure_mm) / 3.0


def test_a_tie_holds_an_arch_without_legs_and_needs_blocks_where_it_turns_little(changed: Made) -> None:
    """Under a sweep of about 120° bare jaws slide off (common practice, no source)."""
    flat = off_of(changed("reading-room-head", ("plies: 6", "plies: 48")))
    assert (flat.held_by, flat.advice) == ("tie", "may come off with the tie")
    blocks = found(flat, "press.tie-blocks")
    assert blocks.limit == 120.0
    assert blocks.value is not None
    assert blocks.value < 120.0
    round_arch = ("{kind: segmental, span: 48, rise: 9 1/2}", "{kind: segmental, span: 48, rise: 20}")
    steep = off_of(changed("reading-room-head", ("plies: 6", "plies: 64"), round_arch))
    assert steep.advice == "may come off with the tie"
    assert "press.tie-blocks" not in [f.code for f in steep.findings]


def test_what_bends_both_ways_is_held_by_nothing_and_stays(made: Made) -> None:
    off = off_of(made("bench-back-rail"))
    assert (off.held_by, off.bar, off.advice, off.bar_force_n) == ("nothing", None, "stay on the form", 0.0)
    assert off.usual.span_per_bar is None
    assert "with nothing to hold its ends" in off.reason


def test_friction_decides_where_the_ends_of_its_range_disagree(changed: Made) -> None:
    form = changed("porch-door-jamb", ("plies: 8", "plies: 24"))
    both = off_of(form, 0.001, 0.2, 50.0)
    assert both.friction_decides
    assert both.advice == "stay on the form"
    said = found(both, "press.friction-decides")
    assert (said.value, said.limit) == (both.least.furthest_mm, both.tolerance_mm)
    assert not off_of(form, 50.0, 50.0, 50.0).friction_decides
    assert not off_of(form, 0.001, 0.001, 0.002).friction_decides


def test_the_range_of_friction_has_sources_and_the_shops_own_value_widens_it(changed: Made) -> None:
    assert friction_range(changed("porch-door-jamb").recipe.shop) == (0.1, 0.2, 0.7)
    form = changed("porch-door-jamb", shop=(("pump:", "figures: {wet_glue_friction: 0.05}\npump:"),))
    shop = form.recipe.shop
    assert friction_range(shop) == (0.05, 0.05, 0.7)
    assert figure("wet_glue_friction", shop).how_sure == "shop file"


def test_its_tolerance_is_twice_the_parts(made: Made, changed: Made) -> None:
    assert off_form_tolerance_mm(made("porch-door-jamb").recipe) == 1.6
    form = changed("porch-door-jamb", ("depth: 5 1/4", "depth: 5 1/4\n  tolerance: 0.3 mm"))
    assert off_form_tolerance_mm(form.recipe) == pytest.approx(0.6)


def test_what_friction_holds_is_said_with_its_share_and_places(thin: Form) -> None:
    """From the first to the last place on the arc where nothing slides; the arc lies between the springing points."""
    off = off_of(thin)
    share, stretch = off.usual.locked_share, off.usual.locked_mm
    assert stretch is not None
    right, left = thin.pressing.laminate.springing_mm
    assert right < stretch[0] < right + 60.0
    assert left - 60.0 < stretch[1] < left
    inside = (stretch[1] - stretch[0]) / (left - right)
    assert share == pytest.approx(inside, abs=0.02)
    message = found(off, "press.plies-lock").message
    assert message.startswith(f"Off the form, friction (0.20) holds {share * 100:.0f} % of the curve, from ")


def test_without_pressure_the_plies_slip(made: Made) -> None:
    off = off_of(made("porch-door-jamb"), pressure_kpa=0.0)
    slip = found(off, "press.plies-slip")
    assert slip.limit is None
    assert "without pressure nothing locks them" in slip.message
    assert off.least.in_bag.departure_mm == pytest.approx(off.most.in_bag.departure_mm, rel=1e-6)
    assert off.usual.locked_share == 0.0


def test_locked_all_along_it_stands_as_a_glued_part_and_finishes_true(made: Made) -> None:
    """Friction without end is glue: in its bar it has sprung back a little, and released it is the part asked for."""
    hanging = off_of(made("porch-door-jamb"), 1e6, 1e6, 1e6).usual
    assert abs(hanging.finished.departure_mm) < 0.01
    assert abs(hanging.finished.span_change_mm) < 0.01
    # spring-back 1/64 of a shape whose loose departure is 21 mm: a third of a millimetre
    assert 0.2 < abs(hanging.in_bag.departure_mm) < 0.5
    assert hanging.locked_share == pytest.approx(1.0, abs=1e-9)


def test_loose_the_finished_part_gives_back_a_share_of_every_curvature(made: Made) -> None:
    """Without friction the bar alone bends the plies: glued so, every curvature goes back by s (composite beam)."""
    laminate = made("porch-door-jamb").pressing.laminate
    hanging = off_of(made("porch-door-jamb"), 0.0, 0.0, 0.0).usual
    released = hanging.shape.scaled_curvature(1.0 - laminate.spring_back)
    a, b = (released.pose(s).beside(laminate.thickness_mm / 2) for s in laminate.springing_mm)
    assert hanging.finished.span_mm == pytest.approx(math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm), abs=1e-4)


def test_departure_is_the_distance_that_another_reader_finds(made: Made) -> None:
    """`shapely` on points every half millimetre of both curves, the wanted one run on past its ends."""
    form = made("porch-door-jamb")
    hanging, pressed = off_of(form).least, form.laminate.pressed
    longer = pressed.extended(100.0, 100.0)
    line = LineString(longer.sampled(1e-5))
    shape = hanging.shape
    points = shape.points([shape.length_mm * i / 4000 for i in range(4001)])
    away = max(line.distance(Point(p)) for p in points)
    assert abs(hanging.in_bag.departure_mm) == pytest.approx(away, rel=1e-3)
    assert hanging.in_bag.departure_mm == max(hanging.in_bag.outside_mm, hanging.in_bag.inside_mm)
    assert hanging.in_bag.height_mm == pytest.approx(18.5 * 25.4, rel=0.03)  # at the crown, outside


def test_of_places_equally_far_off_the_first_is_named(made: Made) -> None:
    """A serpentine is the same turned by half a turn, so that both halves stand off alike (symmetry): the first."""
    form = made("bench-back-rail")
    hanging = off_of(form).usual
    assert hanging.in_bag.station_mm < form.laminate.pressed.length_mm / 2.0
    assert hanging.in_bag.outside_mm == pytest.approx(hanging.in_bag.inside_mm, rel=1e-6)


def test_span_by_bar_is_that_of_two_settings(made: Made) -> None:
    """The bar 0.2 mm either way, as a bag thicker by 0.1 mm at each jaw would set it: both parts hung and let go."""
    form = made("porch-door-jamb")
    laminate, off = form.laminate, off_of(form, 0.3, 0.3, 0.3)
    assert off.bar is not None
    assert off.usual.span_per_bar is not None
    # a part whose every curvature is a little less has its legs a little further apart: only the bar's distance counts
    spans, bars = [], []
    for share in (1.0 - 1e-4, 1.0 + 1e-4):
        pressed = laminate.pressed.scaled_curvature(share)
        moved = replace(laminate, pressed=pressed)
        spans.append(hang(moved, 80.0, 0.3, off.bar).finished.span_mm)
        a, b = (pressed.pose(s).beside(off.bar.face_offset_mm) for s in off.bar.stations_mm)
        bars.append(math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm))
    # what bent the plies differs as well, by 1e-4 of a spring-back that no bar holds: a few per cent of the slope
    assert off.usual.span_per_bar == pytest.approx((spans[1] - spans[0]) / (bars[1] - bars[0]), rel=0.1)


def test_the_bars_pull_is_a_real_force(made: Made) -> None:
    """Whatever holds a straight strip bowed by 18 % or more presses with Euler's load at least: P ≥ π²EI/L² (Euler)."""
    off = off_of(made("porch-door-jamb"), 0.0, 0.0, 0.0)
    assert off.bar is not None
    length = off.bar.stations_mm[1] - off.bar.stations_mm[0]
    stiff = 8 * 10900 * 3.175**3 / 12 * off.depth_mm
    assert off.bar_force_n > math.pi**2 * stiff / length**2
    assert off.depth_mm == pytest.approx(5.25 * 25.4)
