"""Three ways to press, each with its own sums and nothing of another's.

Sources: the table of ways is common practice, no source; the load of a clamp spreads at 45° through a stiff caul
(common practice, no source); all else is statics by hand.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from formgen.errors import FormError
from formgen.findings import Severity
from formgen.form.model import Form
from formgen.outputs.record.job import job_record
from formgen.press.caul import spread_mm
from formgen.reports.rows.press_day import lying_rows, press_rows

WAYS = ("part-bagged", "form-bagged", "clamped")
#: Findings and keys of the record that hold only where the air pushes the stack to the form.
DRAWN = {"press.pulls-to-form", "press.too-stiff", "press.end-stands-off", "laminate.end-tail"}


def pressed(changed: Callable[..., Form], way: str, name: str = "porch-door-jamb", *edits: tuple[str, str]) -> Form:
    return changed(name, ("side: male", f"side: male\n  way: {way}"), *edits)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", ["porch-door-jamb", "reading-room-head", "newel-handrail"])
def test_each_way_has_its_own_and_no_more(changed: Callable[..., Form], name: str, way: str) -> None:
    form = pressed(changed, way, name)
    pressing, rows = form.pressing, [what for what, _ in press_rows(form.pressing)]
    assert pressing.form_in_bag is (way == "form-bagged")
    assert (pressing.vacuum is None, pressing.bag is None, pressing.caul is None) == (
        way == "clamped", way == "clamped", way != "clamped",
    )  # fmt: skip
    assert (pressing.drawing_down is not None) is (way == "form-bagged")
    assert (pressing.laminate.tails is not None) is (way == "form-bagged")
    codes = {f.code for f in form.all_findings}
    assert bool(codes & DRAWN) is (way == "form-bagged")
    assert bool({"draws down to the form", "ends on the form"} & set(rows)) is (way == "form-bagged")
    assert ("vacuum" in rows) is (way != "clamped")
    assert "plies close" in rows
    assert bool(codes & {"press.plies-close", "press.plies-gape"})
    if pressing.bag is not None:
        assert pressing.bag.holds == ("part" if way == "part-bagged" else "form and part")
    channels = any(layer.channel for layer in form.layers)
    reliefs = any(piece.openings for layer in form.layers for piece in layer.pieces)
    assert (channels, reliefs) == (way == "form-bagged", way != "form-bagged")
    assert ("air-load" in form.strength.cautions) is (way == "form-bagged")
    assert (form.off is not None) is (way == "part-bagged")


@pytest.mark.parametrize("way", ["part-bagged", "clamped"])
def test_the_record_says_nothing_of_another_way(changed: Callable[..., Form], way: str) -> None:
    found = job_record(pressed(changed, way))["found"]
    assert found["press"]["drawing_down"] is None
    assert found["laminate"]["tails"] is None
    assert found["press"]["way"] == way
    if way == "clamped":
        assert found["press"]["vacuum"] is found["press"]["bag"] is None


def test_outside_the_bag_the_air_does_not_push_on_the_form(changed: Callable[..., Form]) -> None:
    """Equal air on all of the part: no force on the form, whatever the vacuum; the plies' own bending stays."""
    alone, weak = pressed(changed, "part-bagged"), pressed(changed, "part-bagged", "porch-door-jamb", (
        "way: part-bagged", "way: part-bagged\n  vacuum: 10 inHg"))  # fmt: skip
    assert alone.strength == weak.strength
    assert (alone.strength.pressure_kpa, alone.strength.broadest_face_kn) == (0.0, 0.0)
    assert alone.pressing.moment_n == pytest.approx(8 * 10900 * 3.175**3 / 12 / (18.5 * 25.4 * (1 - 1 / 64)))
    both = pressed(changed, "form-bagged")
    assert both.strength.moment_n_mm == pytest.approx(alone.strength.moment_n_mm)
    assert both.strength.pressure_kpa == pytest.approx(both.pressing.vacuum.held_kpa)


def test_outside_the_bag_nobody_is_told_to_put_it_outside(changed: Callable[..., Form]) -> None:
    thin = (("backing: 6", "backing: 2\n  clamp_reliefs: false"), ("plies: 8", "plies: 3"))
    for way, told in (("part-bagged", False), ("clamped", False), ("form-bagged", True)):
        said = [f.message for f in pressed(changed, way, "porch-door-jamb", *thin).findings if "body" in f.message]
        assert said
        assert any("take the form out of the bag" in line for line in said) is told


# --- clamps through a caul


def test_a_clamp_presses_its_jaw_and_the_caul_on_either_side() -> None:
    """45°: a jaw of 45 mm through 38 mm presses 121 mm, by hand."""
    assert spread_mm(45.0, 38.0) == 121.0


def test_what_the_clamps_press_by_hand(changed: Callable[..., Form]) -> None:
    """A jaw of 45 mm through 0.05 + 38 mm; 5 1/4 in deep with 3 mm on each edge: two clamps side by side of 2 kN."""
    form = pressed(changed, "clamped")
    caul = form.pressing.caul
    assert caul is not None
    reach, depth = 45 + 2 * 38.05, 5.25 * 25.4 + 6
    assert (caul.reach_mm, caul.spacing_mm, caul.side_by_side) == (pytest.approx(reach), pytest.approx(reach), 2)
    assert form.pressing.pressure_kpa == pytest.approx(1e3 * 2 * 2000 / (depth * reach))
    assert form.pressing.hollows.pressure_kpa == form.pressing.pressure_kpa


@pytest.mark.parametrize("side", ["male", "female"])
def test_without_a_word_reliefs_stand_as_close_as_the_caul_asks(changed: Callable[..., Form], side: str) -> None:
    body = ("sheet: mdf-3-4", "sheet: mdf-3-4\n  backing: 8")
    form = changed("reading-room-head", ("side: male", f"side: {side}\n  way: clamped"), body)
    stations, reach = form.relief_stations_mm, 45 + 2 * 38.05
    gaps = [b - a for a, b in pairwise(stations)]
    assert 0.7 * reach < max(gaps) <= reach
    assert "press.caul-spacing" not in {f.code for f in form.all_findings}


@pytest.mark.parametrize(("spacing", "apart"), [("4 5/8", False), ("5 1/8", True)])
def test_clamps_too_far_apart_for_their_caul(changed: Callable[..., Form], *, spacing: str, apart: bool) -> None:
    """121.1 mm = 4.768 in."""
    form = pressed(changed, "clamped", "porch-door-jamb", (
        "backing: 6", f"backing: 6\n  clamp_reliefs: {{spacing: {spacing}}}"))  # fmt: skip
    found = [f for f in form.all_findings if f.code == "press.caul-spacing"]
    assert bool(found) is apart
    for gap in found:
        assert "Set form.clamp_reliefs.spacing" in gap.message
        assert gap.severity is Severity.WARNING
        assert gap.limit == pytest.approx(121.1)


def test_clamps_close_together_press_harder(changed: Callable[..., Form]) -> None:
    one, two = (
        pressed(changed, "clamped", "porch-door-jamb",
                ("backing: 6", f"backing: 6\n  clamp_reliefs: {{spacing: {mm} mm}}")).pressing.pressure_kpa
        for mm in (120, 80)
    )  # fmt: skip
    assert two / one == pytest.approx(1.5)


def test_a_channel_without_a_vacuum_is_refused(changed: Callable[..., Form]) -> None:
    with pytest.raises(FormError, match=r"porch-door-jamb.yaml:\d+:\d+: form.channel was asked for, but press.way"):
        pressed(changed, "clamped", "porch-door-jamb", ("backing: 6", "backing: 6\n  channel: true"))


# --- the shop's own bag


def test_the_bag_is_named_once_and_all_follows(changed: Callable[..., Form]) -> None:
    """Two sheets of 0.76 mm where folds lie; half of 1 in and one sheet from the centre line to the face."""
    shop = (("bag: {sheeting: vinyl, thickness: 0.5 mm}", "bag: {sheeting: polyurethane, thickness: 0.76 mm}"),)
    pressing = changed("porch-door-jamb", shop=shop).pressing
    assert pressing.between == (("polyurethane bag", 0.76),)
    assert pressing.face_offset_mm == pytest.approx(12.7 + 0.76)
    assert pressing.film.most_mm == pytest.approx(1.52)
    named = changed("porch-door-jamb", ("side: male", "side: male\n  between: [mesh, bag]"), shop=shop).pressing
    assert named.between == (("mesh", 0.8), ("polyurethane bag", 0.76))


def test_a_bag_that_nobody_named_is_asked_for(changed: Callable[..., Form]) -> None:
    none = (("bag: {sheeting: vinyl, thickness: 0.5 mm}", ""),)
    found = {f.code: f for f in changed("porch-door-jamb", shop=none).all_findings}
    assert found["recipe.bag-usual"].value == 0.5
    assert "vinyl" in found["recipe.bag-usual"].message
    assert "recipe.bag-usual" not in {f.code for f in changed("porch-door-jamb").all_findings}
    for way in ("form-bagged", "clamped"):  # there it lies nowhere between part and form
        form = changed("porch-door-jamb", ("side: male", f"side: male\n  way: {way}"), shop=none)
        assert "recipe.bag-usual" not in {f.code for f in form.all_findings}


def test_how_much_of_the_length_lies_on_folds(changed: Callable[..., Form]) -> None:
    """(part + sheet)/(2R) on an arc, by hand: 1 in on R 18 1/2 in, legs lying flat."""
    film = changed("porch-door-jamb").pressing.film
    R = 18.5 * 25.4 * (1 - 1 / 64)
    arc = 18.5 * 25.4 * 3.141592653589793
    length = arc + 2 * 14 * 25.4
    assert film.covered_share == pytest.approx((25.4 + 0.5) / (2 * R) * arc / length, rel=1e-6)
    rows = dict(lying_rows(changed("porch-door-jamb").pressing))
    assert f"on up to {100 * film.covered_share:.1f} % of the length" in rows["folds in the bag"]


# --- the glue


def test_a_glue_that_nobody_chose_is_asked_for_and_left_blank(changed: Callable[..., Form]) -> None:
    form = changed("porch-door-jamb")
    glue, rows = form.pressing.glue, dict(press_rows(form.pressing))
    assert not glue.chosen
    assert (glue.adhesive, glue.spread_g_per_m2, glue.mixed_kg, glue.open_most_min) == (None,) * 4
    assert glue.press_min == 1440  # the longest of all classes: days may be planned with it
    (asked,) = [f for f in form.all_findings if f.code == "press.glue-not-chosen"]
    assert asked.message.startswith("Glue: not chosen.")
    assert asked.message.endswith("Name the glue (laminate.adhesive, or adhesive in shop.yaml).")
    assert asked.source == "usual value, fill in from your data sheet"
    assert rows["glue"].startswith("not chosen")
    assert "glue pressure" not in rows
    assert form.pressing.hollows.bridged_mm == 0.0
    assert not {f.code for f in form.all_findings} & {"press.open-time", "press.too-cold", "press.glue-pressure"}


def test_no_figure_from_memory_is_cited(shipped: Form) -> None:
    pressing = shipped.pressing
    for finding in (*pressing.findings, *pressing.laminate.findings):
        if "from memory" in finding.source or "handbook" in finding.source.lower():
            assert finding.code.startswith(("laminate.", "form.")), finding
    for what, text in press_rows(pressing):
        assert "from memory" not in text, (what, text)
