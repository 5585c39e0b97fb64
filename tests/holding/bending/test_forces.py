"""Forces for the whole depth: hand sums on levers, ends of every kind, ways of pressing, what hands and clamps give."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from formgen.findings import Severity
from formgen.form.model import Form
from formgen.holding.bending.forces import Bending, bend_to_form
from formgen.holding.bending.model import Means
from formgen.holding.model import Holding
from formgen.laminate.plies import Laminate

Made = Callable[..., Form]
Laminated = Callable[..., Laminate]
MEANS = Means(hand_n=200.0, clamp_n=2000.0)

#: Stack A of the press page: centre line R 462 in the press, eight plies of 3.175 mm of E 10 900, legs 340; here 60
#: deep.
A_PLIES = "thickness: 25.4, plies: 8, modulus: 10900 MPa"
A_ARCH = "{kind: semicircle, span: 938.667}"  # pressed 1/(1 − 1/64) tighter: R 462


def bent(form: Form, way: str = "part-bagged") -> Bending:
    pressing = form.pressing
    return bend_to_form(pressing.laminate, form.relief_stations_mm, pressing.side, way)  # type: ignore[arg-type]


@pytest.fixture
def stack_a(laminated: Laminated) -> Laminate:
    return laminated(A_ARCH, A_PLIES, part="legs: 340")


def test_stack_a_of_the_press_page(stack_a: Laminate) -> None:
    """1.7 N/mm at a foot clamp 50 mm from the end, one hand: 17 kg on 100 mm; 13 to 23 N/mm at 30 mm (press page)."""
    assert stack_a.tightest.radius_mm == pytest.approx(462.0, rel=1e-4)
    found = bend_to_form(stack_a, [50.0, stack_a.pressed.length_mm - 50.0], "male", "part-bagged")
    for end in found.ends:
        assert end.foot_n / 60.0 == pytest.approx(1.7, abs=0.05)
        assert end.foot_n * (100.0 / 60.0) / 9.80665 == pytest.approx(17.0, abs=1.0)
        assert end.foot_takes == "one hand"
        assert end.closing is not None
        assert end.closing.least_n / 60.0 == pytest.approx(13.0, rel=0.05)
        assert end.closing.most_n / 60.0 == pytest.approx(23.0, rel=0.05)
        assert end.closing.beyond_springing_mm == 30.0


def test_foot_of_a_jamb_by_hand(made: Made) -> None:
    """M over the lever: 8 plies of 1/8 in yellow-poplar (10 900 MPa, Wood Handbook), R 18 1/2 in × 63/64.

    5 1/4 in deep.
    """
    form = made("porch-door-jamb")
    moment = 8 * 10900 * (25.4 / 8) ** 3 / 12 / (18.5 * 25.4 * 63 / 64) * 5.25 * 25.4
    for end in bent(form).ends:
        assert end.moment_n_mm == pytest.approx(moment, rel=1e-9)
        assert end.lever_mm == pytest.approx(14 * 25.4 - end.foot_mm)
        assert end.foot_mm == pytest.approx(form.relief_stations_mm[0])
        assert end.foot_n == pytest.approx(moment / end.lever_mm)
        assert (end.has_leg, end.lifts) == (True, True)
        assert end.clamps_on_leg == 3  # at 75, 195 and 326 mm, the leg being 356 mm


def test_on_a_female_form_the_clamp_stands_in_on_the_arc(made: Made) -> None:
    found = bent(made("gallery-casing"))
    for end in found.ends:
        assert (end.has_leg, end.lifts) == (True, False)
        assert end.closing is not None
        assert end.closing.beyond_springing_mm == -30.0
    foot, closing = (next(f for f in found.findings if f.code == f"press.{c}-force") for c in ("foot", "closing"))
    assert "pushes out against the form by itself" in foot.message
    assert "30 mm in on the arc" in closing.message


def test_an_arch_without_legs_is_closed_at_its_trim_line(made: Made) -> None:
    """To within the tolerance a rigid form takes M/√(6 e R) (closed form); a form that gives takes no more."""
    form = made("reading-room-head")
    laminate = form.laminate
    part = laminate.recipe.part
    t, R = 25.4 * 0.75 / 6, laminate.tightest.radius_mm
    moment = 6 * laminate.plies[0].modulus_mpa * t**3 / 12 / R * part.depth_mm
    for end in bent(form).ends:
        assert (end.has_leg, end.lifts) == (False, True)
        assert end.closing is not None
        assert end.closing.at_trim_line
        assert end.closing.most_n == pytest.approx(moment / math.sqrt(6 * part.tolerance_mm * R), rel=0.02)
        assert end.closing.least_n <= end.closing.most_n
        # from the clamp next to that at the trim line, one spacing in, to the tip of the waste: R sin(a/R)
        arm = R * math.sin((form.relief_stations_mm[1] + laminate.arch.waste_mm[0]) / R)
        assert end.foot_n == pytest.approx(moment / arm, rel=0.002)


def test_a_curve_that_bends_both_ways_has_one_end_of_each_kind(made: Made) -> None:
    """A serpentine on a male form lifts at one end and presses on the form at the other."""
    ends = bent(made("bench-back-rail")).ends
    assert sorted(end.lifts for end in ends) == [False, True]
    assert [end.closing is not None and end.closing.at_trim_line for end in ends] == [end.lifts for end in ends]


def test_more_than_half_a_turn_needs_no_more_at_the_foot(laminated: Laminated) -> None:
    """Equilibrium: the lever grows from the spring line inward, so that M over the leg stands whatever the sweep."""
    forces = []
    for sweep in (120, 180, 270):
        turned = f"{{length: {400 * math.radians(sweep)}, radius: 400}}"
        arch = f"{{kind: chain, pieces: [{{length: 200}}, {turned}, {{length: 200}}]}}"
        laminate = laminated(arch, "thickness: 20, plies: 8, modulus: 10000 MPa")
        found = bend_to_form(laminate, [40.0], "male", "part-bagged")
        forces.append(found.ends[0].foot_n)
    assert forces == pytest.approx([forces[0]] * 3, rel=1e-9)


def test_a_bag_on_the_form_closes_what_hands_have_brought_in(made: Made) -> None:
    found = bent(made("reference-alcove"), "form-bagged")
    assert all(end.closing is None and end.foot_n > 0 for end in found.ends)
    assert [f.code for f in found.findings] == ["press.foot-force"]


def test_only_where_there_is_a_bag_round_the_part_its_lack_is_said(made: Made) -> None:
    said = {
        way: next(f for f in bent(made("porch-door-jamb"), way).findings if f.code == "press.closing-force").message
        for way in ("part-bagged", "clamped")
    }
    assert "the bag round the part does not" in said["part-bagged"]
    assert "bag" not in said["clamped"]


def test_a_leg_without_a_clamp_is_a_warning(made: Made) -> None:
    laminate = made("porch-door-jamb").pressing.laminate
    middle = laminate.pressed.length_mm / 2
    found = bend_to_form(laminate, [middle - 200, middle, middle + 200], "male", "part-bagged")
    (warning,) = [f for f in found.findings if f.code == "press.foot-no-clamp"]
    assert "right and the left leg" in warning.message
    assert found.ends[0].foot_mm == 50.0  # the usual place, where no relief says


def test_one_clamp_that_is_not_enough_is_a_warning(changed: Made) -> None:
    """Two plies of half an inch are 16 times as stiff as eight of an eighth together: some 6 kN at the least."""
    form = changed("porch-door-jamb", ("plies: 8", "plies: 2"), ("backing: 6", "backing: 4"))
    (finding,) = [f for f in bent(form).findings if f.code == "press.closing-force"]
    assert finding.severity is Severity.WARNING
    assert finding.limit == 2000.0
    assert "bend thinner plies" in finding.message


@pytest.mark.parametrize(
    ("newtons", "takes"),
    [
        (199.0, "one hand"),
        (201.0, "two hands"),
        (401.0, "a clamp"),
        (2000.0, "a clamp"),
        (2001.0, "2 clamps"),
        (7000.0, "4 clamps"),
    ],
)
def test_what_it_takes(newtons: float, takes: str) -> None:
    assert MEANS.takes(newtons) == takes


def test_a_range_of_clamps() -> None:
    assert [MEANS.clamps_text(*pair) for pair in ((1, 1), (1, 3), (2, 2))] == ["a clamp", "1 to 3 clamps", "2 clamps"]


def test_every_shipped_recipe_answers(shipped: Holding) -> None:
    bending = shipped.bending
    for end in bending.ends:
        assert end.foot_n > 0
        assert end.foot_takes
        if shipped.pressing.way == "form-bagged":
            assert end.closing is None
            continue
        assert end.closing is not None
        assert 0 < end.closing.least_n <= end.closing.most_n
        assert end.closing.clamps[0] <= end.closing.clamps[1]
    assert {f.code for f in bending.findings} <= {"press.foot-force", "press.closing-force", "press.foot-no-clamp"}
    for finding in bending.findings:
        assert finding.source
        assert "vacuum" not in finding.message


@pytest.mark.parametrize("times", [2.0, 3.5])
def test_a_deeper_part_needs_as_much_more(changed: Made, made: Made, times: float) -> None:
    base = bent(made("porch-door-jamb"))
    deep = bent(changed("porch-door-jamb", ("depth: 5 1/4", f"depth: {5.25 * times}")))
    for a, b in zip(base.ends, deep.ends, strict=True):
        assert a.closing is not None
        assert b.closing is not None
        assert b.foot_n == pytest.approx(times * a.foot_n, rel=1e-9)
        assert b.closing.most_n == pytest.approx(times * a.closing.most_n, rel=1e-9)


def test_thicker_plies_go_with_the_cube(laminated: Laminated) -> None:
    """As many plies, all twice as thick, to the same pressed curve: 8 times the pull at the foot (Σ E t³/12)."""
    thin, thick = (
        laminated("{kind: semicircle, span: 1200}", f"thickness: {t}, plies: 6, modulus: 9000 MPa", part="legs: 300")
        for t in (12.0, 24.0)
    )
    pulls = [bend_to_form(one, [50.0], "male", "part-bagged").ends[0].foot_n for one in (thin, thick)]
    assert pulls[1] == pytest.approx(8.0 * pulls[0], rel=1e-9)
