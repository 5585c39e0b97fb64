"""The stack of plies: offsets, own radii and lengths, strain and limits."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pytest

from formgen.errors import LaminateError
from formgen.findings import Severity
from formgen.form.model import Form

Made = Callable[[str], Form]


def test_plies_fill_the_thickness_from_the_inside_face(made: Made) -> None:
    laminate = made("gallery-casing").pressing.laminate
    edges = [(p.offset_mm + p.thickness_mm / 2, p.offset_mm - p.thickness_mm / 2) for p in laminate.plies]
    assert edges[0][0] == pytest.approx(laminate.thickness_mm / 2)
    assert edges[-1][1] == pytest.approx(-laminate.thickness_mm / 2)
    for (_, low), (high, _) in pairwise(edges):
        assert low == pytest.approx(high)
    assert [p.wood for p in laminate.plies] == ["black walnut", *["yellow-poplar"] * 5, "black walnut"]


def test_ply_lengths_step_by_sweep_times_thickness(made: Made) -> None:
    """Geometry: the length of parallel arcs differs by their distance times the sweep."""
    laminate = made("porch-door-jamb").pressing.laminate
    sweep = math.pi / (1 - 1 / 64)
    for a, b in pairwise(laminate.plies):
        assert b.length_mm - a.length_mm == pytest.approx(sweep * 25.4 / 8, abs=1e-9)
    # The middle of the stack keeps the target's length: 14 in legs and half a circle of R 18 1/2 in, and 25 mm trim at
    # each end.
    mean = sum(p.length_mm for p in laminate.plies) / 8
    assert mean == pytest.approx(25.4 * (28 + math.pi * 18.5) + 50, abs=1e-9)


def test_strain_is_half_the_thickness_over_the_own_radius(made: Made) -> None:
    """Wood Handbook, FPL-GTR-282, Table 5-3a: white oak MOE 12 300 MPa, MOR 105 MPa."""
    laminate = made("reading-room-head").pressing.laminate
    inside = laminate.plies[0]
    radius = (48**2 / 4 + 9.5**2) / (2 * 9.5) * 25.4  # measured face
    centre = (radius + 0.375 * 25.4) * (1 - 1 / 36)
    assert inside.radius_mm == pytest.approx(centre - 0.375 * 25.4 + 25.4 / 16, abs=1e-9)
    assert inside.strain == pytest.approx(25.4 / 8 / 2 / inside.radius_mm)
    assert inside.strain_limit == pytest.approx(105 / 12300)


def test_a_ply_past_its_breaking_strain_is_a_problem(changed: Callable[..., Form]) -> None:
    laminate = changed(
        "reading-room-head", ("plies: 6", "plies: 2"), ("span: 48, rise: 9 1/2", "span: 12, rise: 5")
    ).pressing.laminate
    found = [f for f in laminate.findings if f.code == "laminate.ply-strain"]
    assert [f.severity for f in found] == [Severity.PROBLEM]
    assert found[0].value is not None
    assert found[0].limit is not None
    assert found[0].value > found[0].limit


def test_a_single_ply_is_refused(changed: Callable[..., Form]) -> None:
    with pytest.raises(LaminateError, match="two plies or more"):
        changed("reading-room-head", ("plies: 6", "plies: 1"))
