"""Which openings share a form: as few forms as any grouping, and every part really lies on its form."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString

from formgen.building.model import Building, SharedForm
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.curve.deviation import arc_deviation_mm, fitted_deviation_mm
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.spreader_bar import bar_on_form
from formgen.outputs.record.check import as_read, record_lines
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.recipe.schema import Legs
from tests.building.conftest import BASE
from tests.building.partitions import partitions


@pytest.fixture(scope="module")
def building() -> Building:
    from formgen.building.schedule.read import read_schedule
    from tests.building.conftest import RECIPES

    openings = RECIPES / "openings"
    return plan_building(
        read_schedule(openings / "library.csv", openings / "base.yaml", RECIPES / "shop.yaml").openings
    )


def shared(building: Building) -> list[SharedForm]:
    return [form for form in building.forms if len(form.members) > 1]


def grouped(building: Building) -> list[set[str]]:
    return [{m.opening.mark for m in form.members} for form in building.forms]


@pytest.mark.parametrize(
    "sizes",
    [
        [(900, 180), (905, 180), (890, 181), (700, 110), (702, 111), (910, 182)],
        [(600, 60), (620, 66), (640, 68), (660, 76), (680, 76), (700, 82), (720, 90)],
    ],
)
def test_no_grouping_of_plain_arcs_needs_fewer_forms(
    scheduled: Callable[..., Schedule], sizes: list[tuple[int, int]]
) -> None:
    """Brute force over all partitions; a group is possible if one of many radii between its own keeps all in tolerance.

    R = (a² + h²)/(2h) and A = R · 4 atan(h/a) are textbook; equal plies press at R(1 − 1/n²), the same share for all.
    """
    rows = "\n".join(f"A{i},{s},{h}" for i, (s, h) in enumerate(sizes))
    found = plan_building(scheduled(f"opening,span,rise\n{rows}\n").openings)
    arcs = []
    for span, rise in sizes:
        a = span / 2
        radius = (a * a + rise * rise) / (2 * rise)
        arcs.append((radius, radius * 4 * math.atan(rise / a)))

    def possible(group: list[int]) -> bool:
        radii = [arcs[i][0] for i in group]
        trials = np.linspace(min(radii), max(radii), 801)
        return any(all(arc_deviation_mm(*(arcs[i][0], r, arcs[i][1])) <= 0.8 for i in group) for r in trials)

    fewest = min(len(p) for p in partitions(list(range(len(sizes)))) if all(possible(g) for g in p))
    assert 1 < fewest < len(sizes)
    assert len(found.forms) == fewest


def test_every_opening_is_on_one_form(building: Building, library: Schedule) -> None:
    marks = [m.opening.mark for form in building.forms for m in form.members]
    assert sorted(marks) == sorted(o.mark for o in library.openings)
    assert building.openings == len(marks) > 10 + len(building.forms)


def test_every_part_lies_on_the_face_of_its_form_and_within_it(building: Building) -> None:
    """The form as the pipeline makes it from its own recipe, against each part's face: distances by shapely."""
    for form in shared(building):
        face = run(form.recipe).face
        for member in form.members:
            pressing = member.pressing
            copies = pressing.arch.copies
            ends = [(face.length_mm, pressing.face.length_mm)] if copies > 1 else []
            mine = (
                middle_on_middle(pressing.face, face)
                if not ends
                else at_the_point(pressing.face, run(form.recipe).pressing.face)
            )
            line = LineString(face.sampled(1e-4))
            points = shapely.points(mine.points(np.linspace(0, mine.length_mm, 200)))
            assert shapely.distance(line, points).max() < 2e-3, (form.name, member.opening.mark)


def middle_on_middle(part: ArcSpline, face: ArcSpline) -> ArcSpline:
    """The part laid on the face, springing points of two legs level in both; else turned to the face's middle."""
    stations = [0.5 * curve.length_mm for curve in (part, face)]
    return part.held_at(stations[0], face.pose(stations[1]))


def at_the_point(part: ArcSpline, face: ArcSpline) -> ArcSpline:
    return part.held_at(part.length_mm, face.end)


def test_after_release_every_part_is_within_its_tolerance(building: Building) -> None:
    """Released again from the form's own pressed curve with the part's own spring-back, laid on what was asked for."""
    from formgen.curve.stage import make_arch

    for form in shared(building):
        for member in form.members:
            asked = make_arch(member.opening.recipe).target
            laminate = member.pressing.laminate
            made = laminate.pressed.scaled_curvature(1.0 - laminate.spring_back)
            gives_up = fitted_deviation_mm(asked, made)
            assert gives_up <= member.gives_up_mm + 0.01
            assert gives_up <= member.tolerance_mm + 1e-6
            assert member.gives_up_mm <= member.tolerance_mm * (1 + 1e-12)


def test_what_drying_pulls_in_is_built_into_a_shared_form_too(scheduled: Callable[..., Schedule]) -> None:
    """One glue pulls in and one does not: both come off one form, pressed alike, each dry at a radius of its own.

    By hand: the radius in the press over 1 less spring-back of 1/36, closed by the middle of the drying.
    """
    wet = BASE.replace("adhesive: epoxy", "adhesive: epoxy, allow_for_moisture: true")
    rows = "opening,span,rise,laminate.adhesive\nA,900,180,polyvinyl acetate\nB,900,179.2,epoxy\n"
    building = plan_building(scheduled(rows, base=wet).openings)
    (form,) = shared(building)
    pressed = run(form.recipe).pressing.laminate.pressed.tightest_radius_mm
    closes = []
    for member in form.members:
        own = member.pressing.laminate
        assert own.pressed.tightest_radius_mm == pytest.approx(pressed, rel=1e-9)
        assert own.moisture is not None
        closes.append(own.moisture.middle.radius_change)
        assert member.made_radius_mm == pytest.approx(pressed / (1 - 1 / 36) * (1 + closes[-1]), rel=1e-9)
        assert member.gives_up_mm < 0.4
    assert closes[0] < -0.001
    assert closes[1] == 0.0


def test_the_form_is_long_and_deep_enough(building: Building) -> None:
    for form in shared(building):
        made = run(form.recipe)
        for member in form.members:
            part = member.opening.recipe.part
            assert made.depth_mm >= part.depth_mm + 2 * part.edge_trim_mm - 1e-6
            assert made.face.length_mm >= member.pressing.face.length_mm + part.end_trim_mm


def test_the_bar_takes_up_the_rest(building: Building) -> None:
    """Jambs of one curve with legs of 12, 14 and 20 in: the bar's seat is where all of them reach."""
    form = next(f for f in building.forms if f.kind == "arc with legs" and len(f.members) > 2)
    seat = run(form.recipe).bar
    assert seat is not None
    legs = sorted(m.opening.recipe.part.legs for m in form.members)
    assert legs[-1] > legs[0] + 100
    for member in form.members:
        laminate, height = member.pressing.laminate, seat.touch.height_mm
        setting = bar_on_form(member.pressing, height)
        # by hand: outside faces of straight legs that lean inward below the springing points
        radius = 1 / laminate.pressed.curvature_range_per_mm[1] + laminate.thickness_mm / 2
        h = laminate.pressed.sweep_rad / 2
        centre_y = -(radius - laminate.thickness_mm / 2) * math.cos(h)
        at_springing = (radius * math.sin(h), centre_y + radius * math.cos(h))
        x = at_springing[0] - (at_springing[1] - height) * math.tan(h - math.pi / 2)
        assert setting.between_legs_mm == pytest.approx(2 * x, abs=1e-6)
        assert height - laminate.recipe.shop.bar.height_mm / 2 >= laminate.pressed.start.y_mm - 1e-6


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("press.side", "female"), ("laminate.plies", "9"), ("press.between", '"[film, breather]"'),
        ("form.backing", "95"),
        ("laminate.thickness", "19"), ("press.way", "form-bagged"), ("form.sheet", "MDF 16 mm"),
    ],
)  # fmt: skip
def test_what_shapes_the_face_must_agree(scheduled: Callable[..., Schedule], column: str, value: str) -> None:
    text = f"opening,span,{column}\nA,900,\nB,900,{value}\nC,900,\n"
    assert grouped(plan_building(scheduled(text).openings)) == [{"A", "C"}, {"B"}]


def test_a_wood_that_changes_no_curve_need_not_agree(scheduled: Callable[..., Schedule]) -> None:
    """Equal plies of one wood spring back by 1/n², whatever the wood; the form is made for the stiffer."""
    found = plan_building(scheduled("opening,laminate.wood\nA,western red cedar\nB,sugar maple\n").openings)
    assert grouped(found) == [{"A", "B"}]
    assert found.forms[0].recipe.asked.laminate.wood == "sugar maple"


def test_plies_of_two_woods_meet_at_the_pressed_radius(scheduled: Callable[..., Schedule]) -> None:
    """Spring-back differs (an outer ply of another wood); the pressed radii are what must agree, not the asked ones."""
    groups = (
        '"[{count: 6, thickness: 3, wood: white ash}]"',
        '"[{count: 5, thickness: 3, wood: basswood}, {thickness: 3, wood: sugar maple}]"',
    )
    text = f"opening,laminate.plies,laminate.thickness\nA,{groups[0]},-\nB,{groups[1]},-\n"
    form = plan_building(scheduled(text).openings).forms[0]
    pressed = {round(m.pressing.laminate.pressed.tightest_radius_mm, 9) for m in form.members}
    assert len(form.members) == 2
    assert len(pressed) == 1
    made = [m.made_radius_mm for m in form.members]
    assert made[0] != pytest.approx(made[1], abs=1e-3)


def test_without_tolerance_only_equal_curves_share(library: Schedule) -> None:
    found = plan_building(library.openings, share=0.0)
    for form in found.forms:
        assert max(m.gives_up_mm for m in form.members) == 0.0
    assert {"N-301", "N-302"} in grouped(found)
    assert any({"D-201", "D-202"} <= group for group in grouped(found))
    assert {"W-102"} in grouped(found)
    assert len(plan_building(library.openings, apart=True).forms) == len(library.openings)


def test_the_saving_is_what_counting_gives(building: Building, library: Schedule) -> None:
    """Layers counted on forms that were made: each opening's own, and the shared one."""
    form = next(f for f in building.forms if f.members[0].opening.mark == "D-201")
    assert form.layers == len(run(form.recipe).layers)
    own = [run(m.opening.recipe) for m in form.members]
    assert form.layers_apart == sum(len(made.layers) for made in own)


def test_a_change_of_one_row_changes_the_forms_that_it_is_on_only(library: Schedule) -> None:
    before = {f.name: f.recipe.asked for f in plan_building(library.openings).forms}
    changed = []
    for opening in library.openings:
        asked = opening.recipe.asked
        if opening.mark == "D-207":
            part = asked.part.model_copy(update={"depth_mm": asked.part.depth_mm + 5})
            asked = asked.model_copy(update={"part": part})
        changed.append(replace(opening, recipe=replace(opening.recipe, asked=asked)))
    after = {f.name: f.recipe.asked for f in plan_building(changed).forms}
    assert {name for name in after if after[name] != before.get(name)} == {"D-207"}


def test_an_impossible_opening_is_refused_with_its_row(scheduled: Callable[..., Schedule]) -> None:
    found = plan_building(scheduled("opening,rise\nA,180\nB,600\n").openings)
    assert grouped(found) == [{"A"}]
    assert (
        found.refused[0].lines[0].startswith("openings.csv: row 3, opening B, column rise: part.arch.rise = 600.00 mm")
    )


def test_a_shared_name_that_is_taken_gets_another(scheduled: Callable[..., Schedule]) -> None:
    found = plan_building(
        scheduled("opening,span,rise\nA,as base,as base\nB,as base,as base\nA-shared,500,80\n").openings
    )
    assert [f.name for f in found.forms] == ["A-shared-2", "A-shared"]


def test_splayed_legs_share_with_their_like_and_plumb_ones_with_heads(
    scheduled: Callable[..., Schedule],
) -> None:
    """Legs that run on belong to the part; plumb ones do not, and the head alone is an arc like any other."""
    text = "opening,legs,part.legs.run\nA,300,tangent\nB,400,tangent\nC,300,plumb\nD,,\n"
    found = plan_building(scheduled(text).openings)
    assert grouped(found) == [{"A", "B"}, {"C", "D"}]
    splayed, heads = found.forms
    assert (splayed.kind, heads.kind) == ("arc with legs", "arc")
    legs = splayed.recipe.part.legs
    assert isinstance(legs, Legs)
    assert (legs.right_and_left_mm, legs.run) == ((400.0, 400.0), "tangent")
    made = run(splayed.recipe).pressing.arch
    assert made.springing_mm == pytest.approx((400.0, made.target.length_mm - 400.0))
    assert run(heads.recipe).pressing.arch.springing_mm[0] == 0.0
    assert found.refused == ()


def test_a_shared_form_says_of_its_own_sizes_alone_that_nobody_typed_them(scheduled: Callable[..., Schedule]) -> None:
    """Its arc and legs have other fields than the openings' own; its record must read back as its own."""
    arch = "arch: {kind: semicircle, span: 900}\n  legs: {right: 200, left: 200}"
    base = BASE.replace("arch: {kind: segmental, span: 900, rise: 180}", arch)
    building = plan_building(scheduled("opening,span\nA,900\nB,900.3\n", base).openings, 1.0, apart=False)
    (form,) = shared(building)
    made = run(form.recipe)
    assert list(record_lines(as_read(job_record(made)) | {"files": {}}, made)) == []
