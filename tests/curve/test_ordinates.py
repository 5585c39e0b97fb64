"""Heights of the finished part above its base line, against closed forms, surveyors' rules and shapely."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from formgen.curve.ordinates import Ordinates, ordinates, stations
from formgen.curve.stage import make_arch
from formgen.form.model import Form
from formgen.laminate.plies import Laminate

Laminated = Callable[..., Laminate]
PLIES = "plies: 4, thickness: 20, wood: white ash"


def found(laminated: Laminated, arch: str, measured_on: str = "inside", part: str = "") -> Ordinates:
    """Ordinates of an arch whose part is 20 mm thick; the arch is measured on a face."""
    more = f", {part}" if part else ""
    recipe = laminated(arch, PLIES, part=f"tolerance: 1{more}").arch.recipe
    asked = recipe.part.model_copy(update={"measured_on": measured_on})
    return ordinates(make_arch(replace(recipe, asked=recipe.asked.model_copy(update={"part": asked}))))


# --- closed forms: y = √(R² − x²) − (R − h), the equation of the circle


@pytest.mark.parametrize("legs", ["", "legs: 300"])
def test_a_semicircle(laminated: Laminated, legs: str) -> None:
    o = found(laminated, "{kind: semicircle, span: 1000}", part=legs)
    assert (o.base, o.span_mm, o.step_mm) == ("springing line", pytest.approx(1000), 100)
    assert [r.from_a_mm for r in o.rows] == pytest.approx([*range(0, 1001, 100)], abs=1e-9)
    for row in o.rows:
        x = row.from_a_mm - 500
        assert row.inside is not None
        assert row.outside is not None
        assert row.inside.height_mm == pytest.approx(math.sqrt(max(500**2 - x * x, 0)), abs=1e-6)
        assert row.outside.height_mm == pytest.approx(math.sqrt(520**2 - x * x), abs=1e-9)
        # 1 mm square to a circle is R/√(R² − x²) along an upright
        assert row.outside.play_mm == pytest.approx(520 / math.sqrt(520**2 - x * x), rel=1e-9)
    across = {a.where: (a.inside_mm, a.outside_mm) for a in o.across}
    assert across["springing line"] == pytest.approx((1000, 1040))
    assert ("ends of the legs" in across) == bool(legs)
    if legs:
        assert across["ends of the legs"] == pytest.approx((1000, 1040))


@pytest.mark.parametrize(("face", "inner"), [("inside", 0.0), ("outside", -20.0)])
def test_a_segment_on_the_face_that_was_measured(laminated: Laminated, face: str, inner: float) -> None:
    # Span 1200, rise 200: R 1000 (textbook construction R = (a² + h²)/(2h)).
    o = found(laminated, "{kind: segmental, span: 1200, rise: 200}", face)
    for row in o.rows:
        x = row.from_a_mm - 600
        for height, radius in ((row.inside, 1000 + inner), (row.outside, 1020 + inner)):
            if height is not None:
                assert height.height_mm == pytest.approx(math.sqrt(radius**2 - x * x) - 800, abs=1e-8)
    assert (o.rows[0].inside is None) == (face == "outside")  # its corner lies nearer to the middle than A
    middle = next(row for row in o.rows if abs(row.from_a_mm - 600) < 1e-9)
    on = middle.inside if face == "inside" else middle.outside
    assert on is not None
    assert on.height_mm == pytest.approx(200, abs=1e-9)


def test_the_middle_ordinate_of_a_chord(laminated: Laminated) -> None:
    # Route surveying: the middle ordinate is R·(1 − cos(Δ/2)) (from memory); R 1900, Δ 104°.
    o = found(laminated, "{kind: segmental, radius: 1900, sweep: 104 deg}", "outside")
    middle = max(row.outside.height_mm for row in o.rows if row.outside)
    assert middle == pytest.approx(1900 * (1 - math.cos(math.radians(52))), abs=1e-8)
    assert o.span_mm == pytest.approx(2 * 1900 * math.sin(math.radians(52)))  # long chord 2R sin(Δ/2)


def test_an_ellipse(laminated: Laminated) -> None:
    # y = b√(1 − x²/a²); the arcs that stand for it keep within 0.005 mm, square to it.
    o = found(laminated, "{kind: ellipse, span: 1800, rise: 400}")
    for row in o.rows[1:-1]:
        x = row.from_a_mm - 900
        assert row.inside is not None
        true, slope = 400 * math.sqrt(1 - (x / 900) ** 2), 400 * x / 900**2 / math.sqrt(1 - (x / 900) ** 2)
        assert row.inside.height_mm == pytest.approx(true, abs=0.005 * math.hypot(1, slope) + 1e-6)


def test_a_quarter_stands_on_the_chord_between_its_ends(laminated: Laminated) -> None:
    o = found(laminated, "{kind: quarter, radius: 600}")
    assert o.base == "chord between the ends"
    assert o.span_mm == pytest.approx(600 * math.sqrt(2))
    for row in o.rows:
        x = row.from_a_mm - o.span_mm / 2
        assert row.inside is not None
        assert row.inside.height_mm == pytest.approx(math.sqrt(600**2 - x * x) - 600 / math.sqrt(2), abs=1e-8)


def test_a_serpentine_lies_on_both_sides_of_its_chord(laminated: Laminated) -> None:
    o = found(laminated, "{kind: serpentine, span: 1500, offset: 220}", "centre")
    # turned half about its middle it is itself: the inside at x is the outside at L − x, reversed
    for row, other in zip(o.rows, o.rows[::-1], strict=True):
        if abs(row.from_a_mm + other.from_a_mm - o.span_mm) < 1e-6 and row.inside and other.outside:
            assert row.inside.height_mm == pytest.approx(-other.outside.height_mm, abs=1e-8)
    heights = [row.outside.height_mm for row in o.rows if row.outside]
    assert min(heights) < 0 < max(heights)


def test_the_halves_of_a_pointed_arch_end_in_one_plane(laminated: Laminated) -> None:
    # Equilateral, span 1000: the saw cut is the upright plane of the point, so that the inside face's end, the outside
    # face's and the centre line's lie on one line, and the outside is an arc of 1020 about the other springing.
    o = found(laminated, "{kind: pointed, span: 1000}")
    inside, outside, centre = o.inside.end, o.outside.end, o.centre.end
    a = (centre.x_mm - inside.x_mm, centre.y_mm - inside.y_mm)
    b = (outside.x_mm - inside.x_mm, outside.y_mm - inside.y_mm)
    assert a[0] * b[1] - a[1] * b[0] == pytest.approx(0, abs=1e-6)
    # heights of the point above the springing line: √(R² − 500²), R 1000 and 1020; 60° is the base angle
    assert math.hypot(*b) == pytest.approx(math.sqrt(1020**2 - 500**2) - math.sqrt(1000**2 - 500**2), abs=1e-6)


# --- every shipped part, with shapely


def test_shapely_finds_the_same_heights(shipped: Form) -> None:
    shapely = pytest.importorskip("shapely")
    o = ordinates(shipped.arch)
    for face, name in ((o.inside, "inside"), (o.outside, "outside")):
        line = shapely.LineString(face.sampled(1e-5))
        for row in o.rows[1:-1]:
            height = getattr(row, name)
            upright = shapely.LineString([(row.from_a_mm, -1e4), (row.from_a_mm, 1e4)])
            hits = shapely.get_coordinates(line.intersection(upright))
            assert (height is None) == (len(hits) == 0)
            if height is not None:
                assert height.height_mm == pytest.approx(max(hits[:, 1], key=abs), abs=1e-3)


# --- stations


def test_stations_keep_clear_of_the_middle_and_the_end() -> None:
    assert stations(900, 100, middle=True) == (0, 100, 200, 300, 400, 450, 500, 600, 700, 800, 900)
    assert stations(1010, 100, middle=True) == (0, 100, 200, 300, 400, 505, 600, 700, 800, 900, 1010)
    assert stations(250, 100, middle=False) == (0, 100, 200, 250)
