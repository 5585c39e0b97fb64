"""What the form bears and weighs: independent sums, areas by shapely, and each finding both ways.

Sources: statics and beam theory (computed here by quadrature); EN 622-5 for MDF over 12 to 19 mm: 20 and 2200 N/mm²;
NIOSH Publication 94-110: 23 kg; Wood Handbook FPL-GTR-282, Table 5-3a: yellow-poplar 0.42.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from shapely import Polygon

from formgen.findings import Severity
from formgen.form.model import Form, StrengthCheck
from formgen.form.strength import HOLLOW
from formgen.geometry.outline import Outline
from formgen.recipe.figures import board

CREEP, STRENGTH = 1.5, 0.6 * 20  # figures: from memory; board: EN 622-5


def codes(form: Form) -> dict[str, Severity]:
    return {f.code: f.severity for f in form.findings}


def check(form: Form, what: str) -> StrengthCheck:
    return next(c for c in form.strength.checks if c.what == what)


@pytest.mark.parametrize(("mm", "mpa", "gpa"), [(18.1, 20, 2.2), (19.0, 20, 2.2), (19.05, 18, 2.1), (25.4, 18, 2.1)])
def test_board_by_its_thickness(mm: float, mpa: float, gpa: float) -> None:
    assert (board(mm).strength_mpa, board(mm).modulus_mpa) == (mpa, pytest.approx(1000 * gpa))


def test_band_under_the_plies_bending(made: Callable[[str], Form]) -> None:
    """Each end of the band turns out by ∫ M/(EI) × distance to the end, reckoned here from the crown by quadrature."""
    form = made("porch-door-jamb")
    found = check(form, "body")
    depth = 5.25 * 25.4 + 6
    plies = 8 * 10900 * (25.4 / 8) ** 3 / 12 * depth
    stack, backing, relief = 8 * 0.746 * 25.4, 6 * 25.4, 45 + 5
    inertia = stack * (backing**3 - relief**3) / 12
    pressed = 18.5 * 25.4 * (1 - 1 / 64)
    moment = plies / pressed
    face = form.face
    begin, finish = face.length_mm / 2, face.length_mm
    end = np.array([face.end.x_mm, face.end.y_mm])

    def push(s: float, axis: int) -> float:
        opens = plies / (2200 * inertia) * CREEP * face.curvature_at(s)
        return float(opens * (end - face.points([s])[0])[axis])

    knots = [float(x) for x in face.stations_mm if begin < x < finish]
    moved = math.hypot(*(quad(push, begin, finish, args=(axis,), points=knots)[0] for axis in (0, 1)))
    assert found.deflection_mm == pytest.approx(moved, rel=2e-3)
    assert form.strength.moment_n_mm == pytest.approx(moment, rel=1e-9)
    assert found.stress_mpa == pytest.approx(moment * backing / 2 / inertia, rel=1e-9)
    assert found.stress_limit_mpa == pytest.approx(STRENGTH)
    assert form.strength.pressure_kpa == 0.0
    assert len(form.strength.checks) == 1  # outside the bag nothing else


def test_a_narrow_band_gives_more_than_the_tolerance(changed: Callable[..., Form], made: Callable[[str], Form]) -> None:
    assert codes(made("porch-door-jamb"))["form.strong-enough"] is Severity.NOTE
    narrow = changed("porch-door-jamb", ("backing: 6", "backing: 4"))
    assert codes(narrow)["form.gives"] is Severity.WARNING
    assert "form.strong-enough" not in codes(narrow)


def test_stiff_plies_break_a_weak_band(changed: Callable[..., Form]) -> None:
    """Two plies of 1 1/2 in: M = 2 · 10900 · 38.1³/12 · 139.35/(R 3/4) on a band of 2 in without reliefs."""
    form = changed(
        "porch-door-jamb", ("plies: 8", "plies: 2"), ("thickness: 1", "thickness: 3"),
        ("backing: 6", "backing: 2\n  clamp_reliefs: false"),
    )  # fmt: skip
    moment = 2 * 10900 * 38.1**3 / 12 * (5.25 * 25.4 + 6) / (19.5 * 25.4 * 0.75)
    section = 8 * 0.746 * 25.4 * 50.8**2 / 6
    assert check(form, "body").stress_mpa == pytest.approx(moment / section, rel=1e-9)
    assert moment / section > STRENGTH
    assert codes(form)["form.breaks"] is Severity.PROBLEM


def test_hollow_band_in_the_bag_against_statics(changed: Callable[..., Form]) -> None:
    """Half a circle under even pressure from outside: at the crown M = q d c²/2 and c² = 2R²; the end moves by
    ∫ M/(EI) × arm, here with M(φ) = q d R² (1 − cos φ) from the end, by quadrature."""
    form = changed(
        "porch-door-jamb", ("legs: 14", "legs: 0"), ("side: male", "side: male\n  way: form-bagged"),
        ("depth: 5 1/4", "depth: 5 1/4\n  end_trim: 0"), ("backing: 6", "backing: 6\n  run_on: 0"),
    )  # fmt: skip
    found = check(form, HOLLOW)
    q, stack, backing = form.pressing.vacuum.held_kpa / 1000, form.depth_mm, 6 * 25.4
    R = 1 / form.face.pieces[0][1]
    half = form.face.sweep_rad / 2
    inertia = stack * backing**3 / 12

    def arm(phi: float, axis: int) -> float:
        moment = q * stack * R * R * (1 - math.cos(phi))
        return moment * R * R * (math.sin(phi) if axis else 1 - math.cos(phi)) / (2200 * inertia)

    moved = math.hypot(*(quad(arm, 0, half, args=(axis,))[0] for axis in (0, 1)))
    assert found.deflection_mm == pytest.approx(CREEP * moved, rel=1e-4)
    worst = q * stack * R * R * (1 - math.cos(half))
    assert found.stress_mpa == pytest.approx(worst * backing / 2 / inertia, rel=1e-6)
    assert codes(form)["form.hollow"] is Severity.WARNING
    assert "collapse" in form.strength.cautions


def test_a_block_in_the_bag_is_not_hollow(made: Callable[[str], Form], changed: Callable[..., Form]) -> None:
    assert HOLLOW in {c.what for c in made("clock-surround").strength.checks}
    block = changed("hall-fireplace-arch", ("side: male", "side: male\n  way: form-bagged"))
    assert HOLLOW not in {c.what for c in block.strength.checks}
    assert "form.hollow" not in codes(block)
    assert "collapse" not in block.strength.cautions


def test_channel_in_the_bag_by_hand(made: Callable[[str], Form]) -> None:
    form = made("clock-surround")
    q = form.pressing.vacuum.held_kpa / 1000
    D = 2200 * 18.1**3 / 12 / (1 - 0.09)
    lip = check(form, "lip")
    assert lip.deflection_mm == pytest.approx(CREEP * q * 6**4 / (8 * D), rel=1e-9)
    assert lip.stress_mpa == pytest.approx(3 * q * 6**2 / 18.1**2, rel=1e-9)
    assert check(form, "face").stress_mpa == pytest.approx(q * 5 / 4)
    part = check(form, "part")
    across = 0.05 * 6 * 12000 * 2.5**3 / 12
    assert part.deflection_mm == pytest.approx(q * 18.1**4 / (384 * across), rel=1e-9)
    assert part.stress_limit_mpa is None
    port = check(form, "floor")
    # 8 mm wide and about 124 mm long: as good as a long strip, 5qa⁴/384D and qa²/8 (Plates and Shells, table 8)
    floor = 2200 * 9.05**3 / 12 / (1 - 0.09)
    assert port.deflection_mm == pytest.approx(CREEP * 5 * q * 8**4 / (384 * floor), rel=2e-3)
    assert port.stress_mpa == pytest.approx(6 * q * 8**2 / 8 / 9.05**2, rel=2e-3)


def test_walls_of_reliefs_in_the_bag(changed: Callable[..., Form], polygon: Callable[[Outline], Polygon]) -> None:
    """The thinnest wall and rib by shapely's distances; the wall as a strip held fast at both ends of the relief."""
    form = changed(
        "clock-surround",
        ("backing: 130", "backing: 130\n  clamp_reliefs: {shape: round, setback: 30, spacing: 120}"),
    )
    q = form.pressing.vacuum.held_kpa / 1000
    outlines = [polygon(layer.outline) for layer in form.layers]  # the channel layer stands back by 6 mm
    reliefs = [polygon(o.outline) for o in form.layers[0].pieces[0].openings]
    assert len(reliefs) > 3
    wall = min(outline.exterior.distance(r) for outline in outlines for r in reliefs)
    assert wall == pytest.approx(30 - 6, abs=0.1)
    rib = min(a.distance(b) for i, a in enumerate(reliefs) for b in reliefs[:i])
    found = check(form, "wall")
    assert (found.span_mm, found.thickness_mm) == (pytest.approx(50, abs=0.1), pytest.approx(wall, abs=0.1))
    D = 2200 * wall**3 / 12 / (1 - 0.09)
    assert found.deflection_mm == pytest.approx(CREEP * q * 50**4 / (384 * D), rel=0.02)
    assert found.stress_mpa == pytest.approx(q * 50**2 / 2 / wall**2, rel=0.02)
    assert check(form, "rib").stress_mpa == pytest.approx(q * (50 + rib) / rib, rel=0.01)


def test_staggered_joints_leave_about_half_the_layers(made: Callable[[str], Form]) -> None:
    form = made("lending-desk-panel")
    count = len(form.layers)
    assert count == 11
    assert form.strength.continuous_share == pytest.approx(5 / 11)  # six odd layers are cut at the same place
    assert made("porch-door-jamb").strength.continuous_share == 1.0
    # M = 5 · 11900 · 2.5³/12 · 186/(1893.75 · 24/25) on the five whole layers of 140 mm less a relief of 50 mm
    moment = 5 * 11900 * 2.5**3 / 12 * (180 + 6) / (1893.75 * 24 / 25)
    section = 5 * 18.1 * (140**3 - 50**3) / 12 / 70
    assert check(form, "body").stress_mpa == pytest.approx(moment / section, rel=1e-9)


# --- weights


def test_form_weighs_what_its_pieces_do(shipped: Form, polygon: Callable[[Outline], Polygon]) -> None:
    """Areas by shapely: outline less openings and holes, less grooves to their depth, times 750 kg/m³."""
    volume = board_mm2 = 0.0
    for layer, piece in shipped.pieces:
        whole = polygon(piece.outline)
        for o in piece.openings:
            whole = whole.difference(polygon(o.outline))
        for h in piece.holes:
            whole = whole.difference(polygon(Outline.obround(h.centre, (1.0, 0.0), h.diameter_mm, h.diameter_mm)))
        board_mm2 += polygon(piece.outline).area
        volume += whole.area * layer.thickness_mm
        volume -= sum(polygon(g.cleared).area * g.depth_mm for g in piece.grooves)
    assert shipped.weights.form_kg == pytest.approx(750e-9 * volume, rel=1e-4)
    assert shipped.weights.board_m2 == pytest.approx(board_mm2 * 1e-6, rel=1e-5)
    sheet = shipped.recipe.sheet
    usable = (sheet.length_mm - 24) * (sheet.width_mm - 24)
    assert (shipped.weights.sheets_at_least - 1) * usable < board_mm2 <= shipped.weights.sheets_at_least * usable


def test_part_at_twelve_per_cent(made: Callable[[str], Form]) -> None:
    """Yellow-poplar 0.42: 470.4 kg/m³ with its water; one inch thick, mean length and trimmed width by hand."""
    weights = made("porch-door-jamb").weights
    length = (18.5 * math.pi + 2 * 14) * 25.4 + 2 * 25
    assert weights.part_kg == pytest.approx(420 * 1.12 * length * 25.4 * (5.25 * 25.4 + 6) * 1e-9, rel=1e-3)
    assert not weights.part_guessed


def test_a_ply_without_a_wood_is_guessed(made: Callable[[str], Form]) -> None:
    assert made("stair-corner").weights.part_guessed


@pytest.mark.parametrize(("name", "heavy"), [("reading-room-head", True), ("clock-surround", False)])
def test_lifting_caution_over_23_kg(made: Callable[[str], Form], *, name: str, heavy: bool) -> None:
    form = made(name)
    assert (form.weights.form_kg > 23.0) is heavy
    assert ("form.heavy" in codes(form)) is heavy
    assert ("lifting" in form.weights.cautions) is heavy


def test_air_on_the_front_of_the_stack(made: Callable[[str], Form]) -> None:
    form = made("reference-alcove")
    area = max(layer.outline.area_mm2 for layer in form.layers)
    assert form.strength.broadest_face_kn == pytest.approx(24 * 3.386389 * area * 1e-6, rel=1e-6)
