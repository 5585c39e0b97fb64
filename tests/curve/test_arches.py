"""Sizes of arches that cannot be, and what every builder's curve must satisfy."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formgen.curve.arches import ARCHES, kind_of
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline
from formgen.recipe import arch_kinds
from formgen.recipe.catalogue import arches


def built(kind: str, **sizes: Any) -> ArcSpline:
    for row in ARCHES:
        if row.model.model_fields["kind"].annotation.__args__ == (kind,):  # type: ignore[union-attr]
            asked = row.model.model_validate({"kind": kind, **sizes})
            return row.make(asked, None).curve  # type: ignore[arg-type]  # sizes alone settle it
    raise AssertionError(kind)


def test_every_arch_of_the_recipe_has_a_row_and_a_place_in_the_catalogue() -> None:
    asked = [*arch_kinds.ArchAsk.__origin__.__args__]
    assert [row.model for row in ARCHES] == asked, "a model in ArchAsk has no row in ARCHES, or a row no model"
    names = [model.model_fields["kind"].annotation.__args__[0] for model in asked]
    assert names == [*arches()], "a kind of arch has no entry in arches.toml, or an entry no model"


def test_a_model_without_a_row_is_named() -> None:
    with pytest.raises(LookupError, match="no row for ChainPiece: add what makes it"):
        kind_of(arch_kinds.ChainPiece.model_construct())


@pytest.mark.parametrize(
    ("kind", "sizes", "says"),
    [
        ("segmental", {"span": 1000, "rise": 500}, r"rise = 500.00 mm .* expected under half the span"),
        ("segmental", {"span": 1000, "rise": 800}, r"use a semicircle"),
        ("segmental", {"span": 1000, "radius": 499}, r"radius = 499.00 mm .* at least half the span"),
        ("segmental", {"radius": 500, "sweep": "180 deg"}, r"sweep = 180.00 deg, expected under 180 deg"),
        ("three-centred", {"span": 1000, "rise": 500}, r"rise = 500.00 mm"),
        ("three-centred", {"span": 1000, "rise": 300, "springing_radius": 300}, r"expected under the rise"),
        ("three-centred", {"span": 1000, "springing_radius": 300}, r"add the rise"),
        ("pointed", {"span": 1000, "rise": 500}, r"expected above half the span .* four-centred"),
        ("pointed", {"span": 1000, "radius": 500}, r"make no point"),
        ("four-centred", {"span": 1000, "rise": 450, "springing_radius": 460, "crown_radius": 900}, r"smaller"),
        ("four-centred", {"span": 1000, "rise": 450, "springing_radius": 250, "crown_radius": 400}, r"crown_radius"),
        ("ogee", {"span": 1000, "rise": 499}, r"at least half the span"),
        ("ogee", {"span": 1000, "rise": 750, "lower_radius": 813}, r"under 812.50 mm"),
        ("chain", {"pieces": [{"length": 10, "radius": 0}]}, r"pieces\[0\].radius = 0"),
    ],
)
def test_an_arch_that_cannot_be_is_refused_in_one_line(kind: str, sizes: dict[str, Any], says: str) -> None:
    with pytest.raises(CurveError, match=says) as caught:
        built(kind, **sizes)
    assert "\n" not in str(caught.value)
    assert "expected" in str(caught.value)


spans = st.floats(100.0, 3000.0)


@given(spans, st.floats(0.02, 0.98))
def test_round_arches_stand_on_their_springing_points_and_reach_their_rise(span: float, share: float) -> None:
    rise = share * span / 2.0
    for kind in ("segmental", "three-centred"):
        curve = built(kind, span=span, rise=rise)
        crown = curve.pose(curve.length_mm / 2.0)
        assert (curve.start.x_mm, curve.start.y_mm) == (pytest.approx(span / 2.0), 0.0)
        assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((-span / 2.0, 0.0), abs=1e-8 * span)
        assert (crown.x_mm, crown.y_mm) == pytest.approx((0.0, rise), abs=1e-8 * span)


@given(spans, st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_any_springing_radius_under_the_rise_makes_a_three_centred_arch(span: float, up: float, part: float) -> None:
    rise = up * span / 2.0
    curve = built("three-centred", span=span, rise=rise, springing_radius=part * rise)
    crown = curve.pose(curve.length_mm / 2.0)
    assert (crown.x_mm, crown.y_mm) == pytest.approx((0.0, rise), abs=1e-7 * span)
    assert 1.0 / curve.pieces[0][1] == pytest.approx(part * rise)
    assert curve.pieces[1][1] < curve.pieces[0][1]


@given(spans, st.floats(0.1, 0.95), st.floats(0.05, 0.9), st.floats(1.001, 5.0))
@settings(max_examples=200)
def test_any_crown_radius_above_the_limit_makes_a_four_centred_arch(
    span: float, up: float, part: float, more: float
) -> None:
    a, rise = span / 2.0, up * span
    r = part * min(a, rise)
    # The crown's centre moves from under the point (three-centred) or from the springing line (pointed) outward.
    least = max((a * a + rise * rise - 2 * a * r) / (2 * (rise - r)), (a * a + rise * rise) / (2 * a), r)
    assume(least * more < 100_000.0)  # no longer length is believed
    curve = built("four-centred", span=span, rise=rise, springing_radius=r, crown_radius=least * more)
    assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((0.0, rise), abs=1e-6 * span)
    assert math.pi / 2.0 < curve.end.heading_rad < math.pi
    with pytest.raises(CurveError):
        built("four-centred", span=span, rise=rise, springing_radius=r, crown_radius=least * 0.999)


@given(spans, st.floats(0.5, 3.0), st.floats(0.05, 0.95))
def test_an_ogee_is_upright_at_both_ends(span: float, up: float, part: float) -> None:
    a, rise = span / 2.0, max(up * span, span / 2.0)
    curve = built("ogee", span=span, rise=rise, lower_radius=part * (a * a + rise * rise) / (2.0 * a))
    assert curve.end.heading_rad == pytest.approx(math.pi / 2.0)
    assert (curve.end.x_mm, curve.end.y_mm) == pytest.approx((0.0, rise), abs=1e-8 * span)
    assert curve.pieces[0][1] > 0.0 > curve.pieces[1][1]


@given(spans, st.floats(0.01, 2.0))
def test_a_serpentine_ends_parallel_and_is_its_own_half_turn(span: float, share: float) -> None:
    curve = built("serpentine", span=span, offset=share * span)
    assert curve.start.x_mm - curve.end.x_mm == pytest.approx(span)
    assert curve.start.y_mm - curve.end.y_mm == pytest.approx(share * span)
    assert curve.end.heading_rad == pytest.approx(curve.start.heading_rad)
    middle = curve.pose(curve.length_mm / 2.0)
    assert (middle.x_mm, middle.y_mm) == pytest.approx((0.0, 0.0), abs=1e-8 * span)
