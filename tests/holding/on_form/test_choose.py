"""Which clamps stay on shipped parts, and what is said of them."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from formgen.findings import Severity
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.holding.on_form.findings import staying_text
from formgen.holding.on_form.model import OnForm, StayingClamp

#: What no output of a part pressed outside the bag may say: the bag is round the part alone and pushes nothing down.
FORBIDDEN = re.compile(r"vacuum (alone|bends|pulls|holds the part)|pulls to the form", re.IGNORECASE)


def on_form(form: Form) -> OnForm | None:
    assert isinstance(form, Holding)
    return form.on_form


def test_only_where_the_bag_goes_round_the_part_alone(shipped: Form) -> None:
    assert (on_form(shipped) is None) == shipped.pressing.form_in_bag


def test_few_clamps_hold_every_shipped_part(shipped: Form) -> None:
    found = on_form(shipped)
    if found is None:
        return
    assert found.holds
    assert found.staying[0].lift_mm <= found.tolerance_mm
    assert found.staying[0].lift_mm <= found.feet_alone.lift_mm + 1e-9
    assert len(found.stays) < max(len(shipped.relief_stations_mm), 3)
    assert [c.station_mm for c in found.stays] == sorted(c.station_mm for c in found.stays)


def test_every_clamp_that_stays_has_a_relief_to_stand_in(shipped: Form) -> None:
    found = on_form(shipped)
    if found is None:
        return
    for clamp in found.stays:
        assert clamp.clamp is not None
        assert clamp.station_mm == pytest.approx(shipped.relief_stations_mm[clamp.clamp - 1], abs=0.5)


def test_the_pair_stands_on_the_leg_of_a_male_form(made: Callable[[str], Form]) -> None:
    found = on_form(made("porch-door-jamb"))
    assert found is not None
    pair = [c for c in found.stays if c.place == "end of the curve"]
    assert [c.end for c in pair] == ["right", "left"]
    assert [c.beyond_springing_mm for c in pair] == pytest.approx([30.0, 30.0], abs=0.1)
    assert found.furthest_pair_mm == pytest.approx(109.0, abs=1.0)
    assert found.by_closed_form


def test_the_pair_stands_on_the_curve_of_a_female_form(made: Callable[[str], Form]) -> None:
    found = on_form(made("gallery-casing"))
    assert found is not None
    pair = [c.beyond_springing_mm for c in found.stays if c.place == "end of the curve"]
    assert pair == pytest.approx([-30.0, -30.0], abs=0.1)
    assert found.per_slack == pytest.approx(0.0, abs=1e-3)  # surplus length presses on a hollow


def test_without_legs_the_pair_stands_at_the_trim_lines(made: Callable[[str], Form]) -> None:
    form = made("reading-room-head")
    found = on_form(form)
    assert found is not None
    assert [c.trim_line for c in found.stays] == [True, True]
    assert [c.station_mm for c in found.stays] == pytest.approx([0.0, form.laminate.pressed.length_mm])


def test_closed_form_and_solver_agree_on_the_pair(made: Callable[[str], Form]) -> None:
    found = on_form(made("porch-door-jamb"))
    assert found is not None
    assert found.staying[0].lift_mm == pytest.approx(found.end_pairs.lift_mm, rel=0.10, abs=0.02)


def test_it_says_which_come_off_and_which_stay(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    text = next(f for f in form.all_findings if f.code == "holding.clamps-off")
    assert text.severity is Severity.NOTE
    assert "1 3/16 in beyond the spring line, on the leg" in text.message
    assert "(clamps 3 and 11)" in text.message
    assert text.limit == pytest.approx(0.8)


def test_nothing_says_that_the_vacuum_holds_the_part_down(shipped: Form) -> None:
    for finding in shipped.all_findings:
        if finding.code.startswith("holding."):
            assert not FORBIDDEN.search(finding.message)


def test_where_no_few_clamps_hold_it_all_stay(changed: Callable[..., Form]) -> None:
    """A tolerance of 0.05 mm is less than the usual clamps can give a tight curve with slack."""
    form = changed("porch-door-jamb", ("depth: 5 1/4", "depth: 5 1/4\n  tolerance: 0.02 mm"))
    found = on_form(form)
    assert found is not None
    assert not found.holds
    warning = next(f for f in form.all_findings if f.code == "holding.leave-clamps-on")
    assert warning.severity is Severity.WARNING
    assert warning.message.endswith("Leave all clamps on until the glue has set.")
    assert "holding.clamps-off" not in {f.code for f in form.all_findings}


def test_on_short_legs_the_foot_is_the_pair(changed: Callable[..., Form]) -> None:
    """Legs of 3 1/8 in: one clamp at each end, within √(32 R tol) of the spring line, is all that stays."""
    found = on_form(changed("porch-door-jamb", ("legs: 14", "legs: 3 1/8")))
    assert found is not None
    assert found.holds
    assert [c.place for c in found.stays] == ["end of the curve"] * 2
    assert found.furthest_pair_mm is not None
    assert all(0.0 < (c.beyond_springing_mm or 0.0) <= found.furthest_pair_mm for c in found.stays)


def test_a_shop_s_own_figures_count(changed: Callable[..., Form]) -> None:
    """Weak clamps let the feet creep: it lifts further."""
    usual, weak = (
        on_form(changed("porch-door-jamb", shop=(("format: 1", f"format: 1\nfigures: {{clamp_force_n: {n}}}"),)))
        for n in (20000, 600)
    )
    assert usual is not None
    assert weak is not None
    assert weak.feet_alone.lift_mm > 1.2 * usual.feet_alone.lift_mm
    assert weak.clamp_holds_n == pytest.approx(180.0)


def test_one_clamp_of_a_pair_from_the_back_is_said() -> None:
    kept = [
        StayingClamp(
            station_mm=s,
            end=end,
            place="end of the curve",
            beyond_springing_mm=25.4,
            trim_line=False,
            clamp=clamp,
        )
        for s, end, clamp in ((300.0, "right", 2), (900.0, "left", None))
    ]
    text = staying_text(kept, "in")
    assert text == (
        "one at each end (clamp 2, the other from the back of the form), 1 in beyond the spring line, on the leg"
    )
    assert "(from the back of the form)" in staying_text(kept[1:], "mm")
