"""Glue by weight and by the clock.

Sources: 1 lb/1000 ft² = 4.8824 g/m² (definition); the handbook's clamp pressures 0.7 to 1.7 MPa; doubling of times for
every 10 °C colder is common practice, no source; urea formaldehyde sets at 21 °C, PVA from 10 °C (from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from formgen.errors import RecipeError
from formgen.findings import Severity
from formgen.form.model import Form
from formgen.press.glue import glue_kg, slower
from formgen.reports.rows.press_day import press_rows

SHOP = "altitude: 310 m"


def codes(form: Form) -> dict[str, Severity]:
    return {f.code: f.severity for f in form.pressing.findings}


def test_eight_plies_have_seven_lines() -> None:
    assert glue_kg(7, 2.0 * 0.15, 200.0) == pytest.approx(0.42)


def test_weight_of_a_whole_jamb_by_hand(changed: Callable[..., Form]) -> None:
    """Semicircle of R 18 1/2 in on legs of 14 in, 25 mm of trim at each end, depth 5 1/4 in with 3 mm on each edge."""
    glue = in_shop(changed, glue="urea formaldehyde").pressing.glue
    length = (18.5 * 3.141592653589793 + 2 * 14) * 25.4 + 2 * 25
    width = 5.25 * 25.4 + 2 * 3
    assert glue.lines == 7
    assert glue.net_kg == pytest.approx(7 * length * width * 1e-6 * 0.200, rel=1e-9)
    assert glue.net_kg is not None
    assert glue.mixed_kg == pytest.approx(1.10 * glue.net_kg)


@pytest.mark.parametrize(("celsius", "times"), [(21, 1.0), (11, 2.0), (31, 0.5), (16, 2**0.5), (1, 4.0)])
def test_ten_degrees_colder_takes_twice_as_long(celsius: float, times: float) -> None:
    assert slower(celsius, 21.0, 10.0) == pytest.approx(times)


def in_shop(changed: Callable[..., Form], *lines: str, name: str = "porch-door-jamb", glue: str = "") -> Form:
    edits = (("plies: 8", f"plies: 8\n  adhesive: {glue}"),) if glue else ()
    return changed(name, *edits, shop=((SHOP, "\n".join((SHOP, *lines))),))


def test_a_shop_at_52_fahrenheit(changed: Callable[..., Form]) -> None:
    """11.1 °C: colder than urea formaldehyde bears, warm enough for PVA; times by the same rule."""
    urea = in_shop(changed, "temperature: 52 F", glue="urea formaldehyde")
    assert codes(urea)["press.too-cold"] is Severity.PROBLEM
    factor = 2 ** ((21 - (52 - 32) / 1.8) / 10)
    assert urea.pressing.glue.press_min == pytest.approx(1440 * factor)  # the longer end of 240 to 1440
    assert urea.pressing.glue.open_most_min == pytest.approx(20 * factor)
    assert "press.too-cold" not in codes(in_shop(changed, "temperature: 52 F", glue="polyvinyl acetate"))
    assert "press.too-cold" in codes(in_shop(changed, "temperature: 49 F", glue="polyvinyl acetate"))


@pytest.mark.parametrize(
    ("celsius", "severity"), [(21, None), (26, Severity.NOTE), (11, Severity.NOTE), (10, Severity.WARNING)]
)
def test_times_by_the_rule_of_thumb_are_said_to_be_so(
    changed: Callable[..., Form], *, celsius: int, severity: Severity | None
) -> None:
    """The rule is common practice, no source, and van 't Hoff's for ten degrees (from memory): past them a warning."""
    form = in_shop(changed, f"temperature: {celsius} C", glue="polyvinyl acetate")
    assert codes(form).get("press.times-by-rule") is severity
    if severity is not None:
        found = next(f for f in form.pressing.findings if f.code == "press.times-by-rule")
        assert (found.value, found.limit) == (pytest.approx(celsius), 21.0)
        assert "no source" in found.source
    press = next(text for what, text in press_rows(form.pressing) if what == "in the press")
    assert ("rule of thumb" in press) is (severity is not None)


def test_more_people_lay_up_sooner(changed: Callable[..., Form]) -> None:
    alone = in_shop(changed, glue="polyvinyl acetate")
    four = in_shop(changed, "people: 4", glue="polyvinyl acetate")
    assert four.pressing.glue.lay_up_min < alone.pressing.glue.lay_up_min
    laying = alone.pressing.glue.lines * alone.pressing.glue.line_m2 / 0.5
    assert alone.pressing.glue.lay_up_min - four.pressing.glue.lay_up_min == pytest.approx(0.75 * laying)
    assert codes(alone)["press.open-time"] is Severity.WARNING  # 5 to 10 min, which nobody looked up
    own = "adhesives: {white: {like: polyvinyl acetate, open_min: 10, source: its own sheet}}"
    assert codes(in_shop(changed, own, glue="white"))["press.open-time"] is Severity.PROBLEM
    quick = "figures: {bending_min: 1, bagging_min: 1}"
    assert "press.open-time" not in codes(in_shop(changed, own, quick, glue="white"))
    assert "press.open-time" not in codes(in_shop(changed, glue="epoxy"))


def test_usual_pressure_is_ten_to_twenty_times_a_vacuum(changed: Callable[..., Form]) -> None:
    form = in_shop(changed, glue="urea formaldehyde")
    glue = form.pressing.glue
    assert glue.asked_least_mpa is not None
    assert glue.asked_most_mpa is not None
    assert 8 < glue.asked_least_mpa / glue.available_mpa < glue.asked_most_mpa / glue.available_mpa < 22
    assert codes(form)["press.glue-pressure"] is Severity.NOTE


def test_contact_pressure_is_enough_for_epoxy(changed: Callable[..., Form]) -> None:
    assert "press.glue-pressure" not in codes(in_shop(changed, glue="epoxy"))


def test_two_thick_plies_with_a_glue_that_bridges_little(changed: Callable[..., Form]) -> None:
    """1/2 in of yellow-poplar spans (384 · 10900 · 12.7³/12 · 0.15/q)^¼ = 190 mm; hollows are 150 mm long."""
    wide = ("span: 36", "span: 180")
    form = changed("porch-door-jamb", ("plies: 8", "plies: 2\n  adhesive: polyvinyl acetate"), wide)
    q = form.pressing.vacuum.held_kpa / 1000
    assert form.pressing.hollows.shortest_mm == pytest.approx((384 * 10900 * 12.7**3 / 12 * 0.15 / q) ** 0.25, rel=1e-6)
    assert codes(form)["press.plies-gape"] is Severity.WARNING
    assert codes(form)["press.glue-pressure"] is Severity.WARNING
    thin = in_shop(changed, glue="polyvinyl acetate")
    assert codes(thin)["press.plies-close"] is Severity.NOTE


def test_the_shops_own_glue(changed: Callable[..., Form]) -> None:
    numbers = "spread_g_per_m2: 180, clamp_min: 300, least_temperature: 60 F"
    own = f"{{like: urea formaldehyde, {numbers}, source: its own sheet}}"
    form = in_shop(changed, "adhesive: blue tub", f"adhesives: {{blue tub: {own}}}", "temperature: 16 C")
    glue = form.pressing.glue
    assert (glue.adhesive, glue.spread_g_per_m2) == ("blue tub", 180)
    assert glue.press_min == pytest.approx(300 * 2**0.5)
    assert glue.usual == ("open time", "pressure")
    assert "press.too-cold" not in codes(form)


@pytest.mark.parametrize(
    ("line", "says"),
    [("adhesive: epoxi", "did you mean epoxy"), ("temperature: 70", "expected a temperature with its unit"),
     ("temperature: 300 F", "-20 to 60 C"), ("figures: {lying_m2_per_min: 1}", "did you mean laying_m2_per_min"),
     ("figures: {mdf_poisson: 0.6}", r"figures\.mdf_poisson = .*0\.6.*, expected 0\.5 or less"),
     ("figures: {cure_reference_celsius: 1e6}", "expected 100 or less"),
     ("adhesives: {x: {like: glue, source: y}}", "expected which glue it is"), ("people: 0", "people")],
)  # fmt: skip
def test_mistakes_are_said_in_one_line(changed: Callable[..., Form], line: str, says: str) -> None:
    with pytest.raises(RecipeError, match=says) as refused:
        in_shop(changed, line)
    assert str(refused.value).startswith("shop.yaml:")
    assert "\n" not in str(refused.value)
