"""Folds of the bag's film: length against two curves drawn by shapely, and the side that they decide.

Sources: geometry (offset curves of shapely, a general-purpose library). That film gathers on the hollow side of a part
draped over a male form is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from shapely import LineString

from formgen.findings import Severity
from formgen.form.model import Form
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose
from formgen.press.film import film_folds


def codes(form: Form) -> dict[str, Severity]:
    return {f.code: f.severity for f in form.pressing.findings}


def test_gathered_length_is_that_between_two_offset_curves() -> None:
    """The inner film lies half the part and half a film inside the centre line, the outer as far outside."""
    pressed = ArcSpline(Pose(0.0, 0.0, math.pi / 2), ((200.0, 0.0), (900.0, 1 / 400), (300.0, 1 / 900), (150.0, 0.0)))
    thickness, film = 19.05, 0.76
    line = LineString(pressed.sampled(1e-4))
    away = (thickness + film) / 2
    inner, outer = line.offset_curve(away, quad_segs=64).length, line.offset_curve(-away, quad_segs=64).length
    folds = film_folds(pressed, thickness, film, "male")
    assert folds.gathered_mm == pytest.approx(outer - inner, abs=2e-3)
    assert (folds.least_mm, folds.most_mm) == (0.0, pytest.approx(2 * film))


def test_a_female_form_gathers_nothing_on_its_side_of_a_plain_arch() -> None:
    pressed = ArcSpline(Pose(0.0, 0.0, math.pi / 2), ((900.0, 1 / 400),))
    folds = film_folds(pressed, 20.0, 0.5, "female")
    assert (folds.gathered_mm, folds.most_mm, folds.covered_share) == (0.0, 0.0, 0.0)


def test_a_curve_that_bends_both_ways_gathers_on_either_side() -> None:
    pressed = ArcSpline(Pose(0.0, 0.0, 0.0), ((300.0, 1 / 400), (500.0, -1 / 500)))
    male, female = (film_folds(pressed, 20.0, 0.5, side) for side in ("male", "female"))
    assert male.gathered_mm == pytest.approx(0.75 * 20.5)
    assert female.gathered_mm == pytest.approx(1.0 * 20.5)


def test_no_film_no_folds() -> None:
    pressed = ArcSpline(Pose(0.0, 0.0, 0.0), ((300.0, 1 / 400),))
    assert film_folds(pressed, 20.0, 0.0, "male").most_mm == 0.0


@pytest.mark.parametrize(
    ("film", "side"),
    [
        ("film", "male"),
        ("vinyl bag", "female"),
        ("polyurethane bag", "female"),
        ("{name: own, thickness: 0.40 mm}", "male"),
        ("{name: own, thickness: 0.39 mm, folds: true}", "male"),
        ("{name: own, thickness: 0.40 mm, folds: true}", "female"),
    ],
)
def test_auto_goes_by_two_films_against_the_tolerance(changed: Callable[..., Form], film: str, side: str) -> None:
    """The part's tolerance is 1/32 in = 0.794 mm, so that 0.397 mm of film is the limit."""
    form = changed("reading-room-head", ("side: male", f"side: auto\n  between: [{film}]"))
    assert form.pressing.side == side
    assert form.recipe.asked.press.side == "auto"
    assert ("female form" in form.pressing.side_reason) is (side == "female")
    assert "press.film-folds" not in codes(form)


def test_a_male_form_that_was_asked_for_is_kept_and_advised_against(changed: Callable[..., Form]) -> None:
    form = changed("reading-room-head", ("side: male", "side: male\n  between: [polyurethane bag]"))
    found = next(f for f in form.pressing.findings if f.code == "press.film-folds")
    assert form.pressing.side == "male"
    assert (found.value, found.limit) == (pytest.approx(2 * 0.76), pytest.approx(25.4 / 32))
    assert "female form" in found.message


def test_inside_the_bag_a_film_between_is_a_sheet_that_lies_flat(changed: Callable[..., Form]) -> None:
    form = changed("clock-surround", ("side: male", "side: auto"), ("between: [release,", "between: [vinyl bag,"))
    assert form.pressing.side == "male"
    assert form.pressing.film.most_mm == 0.0


def test_where_both_sides_gather_auto_stays_male_and_says_so(changed: Callable[..., Form]) -> None:
    form = changed("bench-back-rail", ("side: male", "side: auto\n  between: [polyurethane bag]"))
    assert form.pressing.side == "male"
    assert "both ways" in form.pressing.side_reason
    assert codes(form)["press.film-folds"] is Severity.WARNING


def test_auto_takes_the_only_side_whose_face_exists(changed: Callable[..., Form]) -> None:
    """R 24 in less half of 1 1/2 in and a pad of 23 1/2 in is less than nothing; the bend outward has R 30 in."""
    pad = "between: [{name: pad, thickness: 23 1/2 in}]"
    form = changed("newel-handrail", ("side: male", f"side: auto\n  {pad}"), ("body: band", "body: block"))
    assert form.pressing.side == "female"
    assert "inside out" in form.pressing.side_reason
