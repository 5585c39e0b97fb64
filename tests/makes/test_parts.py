"""What comes off a shared form, against each part alone, against closed forms, and against its own record."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from formgen.building.model import Building, SharedForm
from formgen.building.running.jobs import Job, stands
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.curve.stage import make_arch
from formgen.form.model import Form
from formgen.identity import code_stands
from formgen.laminate.stage import make_laminate
from formgen.makes.model import Made
from formgen.makes.parts import parts_made
from formgen.outputs.record.asked import recipe_from_job
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.press.stage import make_pressing
from formgen.recipe.as_asked import asked_record, part_code
from formgen.recipe.load import load_recipe
from formgen.recipe.model import Recipe
from tests.building.conftest import BASE

ASKED = """\
{format: 1, name: part, units: mm, press: {side: male}, laminate: {wood: white oak, thickness: 18, plies: 6SPARES},
 part: {arch: {kind: semicircle, span: 900}, measured_on: inside, depth: 60}}
"""


def made(recipe: Recipe) -> tuple[Made, ...]:
    return parts_made(make_pressing(make_laminate(make_arch(recipe))))


def test_each_opening_agrees_with_the_part_alone_within_what_it_gives_up(shared: list[SharedForm]) -> None:
    """A face that is nowhere off by more than e moves span and rise by 2 e (1 + sweep) at most: each end, or crown and
    ends, by e, and what e turns the chord.

    An arc of sweep θ that is off by e has a radius that is off by e/tan²(θ/4) (`curve/deviation.py`, checked there by a
    general optimiser). It keeps the length of its centre line, so a curve at a distance d from that is off by
    d θ (e/tan²(θ/4))/R; an arc between legs keeps its sweep, and is off by θ (e/tan²(θ/4)) as a whole. Of other curves
    no such bound is known; there the length is held against the turning.
    """
    compared = 0
    for form in shared:
        for part, member in zip(made(form.recipe), form.members, strict=True):
            (alone,) = made(member.opening.recipe)
            target, e = alone.pressing.arch.target, part.gives_up_mm
            sweep = abs(target.sweep_rad)
            assert e == pytest.approx(member.gives_up_mm, abs=0.01)
            assert e <= member.tolerance_mm
            most = 2.0 * e * (1.0 + sweep) + 1e-6
            assert abs(part.span_mm - alone.span_mm) <= most
            assert abs(part.rise_mm - alone.rise_mm) <= most
            around = 1.05 * sweep * e / math.tan(sweep / 4.0) ** 2 + 1e-6  # to first order, and in the press
            whole = around if form.kind == "arc with legs" else 1e-6

            turned, half = around / target.tightest_radius_mm, part.pressing.laminate.thickness_mm / 2.0
            if form.kind == "other curve":  # a curve at a distance d is longer by d for each rad that it turns less
                here, there = (held.pressing.laminate.pressed.sweep_rad for held in (part, alone))
                turned = abs(here - there) + 1e-6  # where the saw cut leans, it meets another arc
            for mine, own in zip(part.ply_lengths_mm, alone.ply_lengths_mm, strict=True):
                assert abs(mine - own) <= whole + half * turned
            for ends in ("form_face_mm", "centre_line_mm"):
                apart = abs(part.pressing.face_offset_mm) if ends == "form_face_mm" else 0.0
                mine, own = (sum(getattr(held.trim, ends)) for held in (part, alone))
                assert abs(mine - own) <= whole + apart * turned
            assert (part.mark, part.code) == (alone.mark, alone.code)
            compared += 1
    assert compared > 8


def test_the_part_is_the_one_that_sharing_found(shared: list[SharedForm]) -> None:
    """Laid again on the form that was written as a recipe: the curve that sharing decided on before there was one."""
    for form in shared:
        for part, member in zip(made(form.recipe), form.members, strict=True):
            mine, theirs = part.pressing.laminate, member.pressing.laminate
            assert mine.pressed.length_mm == pytest.approx(theirs.pressed.length_mm, abs=1e-6)
            assert mine.pressed.tightest_radius_mm == pytest.approx(theirs.pressed.tightest_radius_mm, rel=1e-9)
            assert mine.springing_mm == pytest.approx(theirs.springing_mm, abs=1e-6)


def test_what_the_recipe_allows_for_moisture_is_in_the_part(scheduled: Callable[..., Schedule]) -> None:
    """Pressed more open by what the drying glue pulls in: the form's curve is that of sharing all the same."""
    base = BASE.replace("adhesive: epoxy}", "adhesive: urea formaldehyde, allow_for_moisture: true}")
    text = "opening,arch,span,rise,legs\nA,semicircle,900,-,300\nB,semicircle,900.4,-,450\nC,,900,180,\nD,,901,180,\n"
    forms = plan_building(scheduled(text, base).openings, 1.0).forms
    assert sorted(len(form.members) for form in forms) == [2, 2]
    for form in forms:
        for part, member in zip(made(form.recipe), form.members, strict=True):
            mine, theirs = part.pressing.laminate, member.pressing.laminate
            assert mine.pressed_factor != pytest.approx(1.0 / (1.0 - mine.spring_back), rel=1e-4)
            assert mine.pressed.length_mm == pytest.approx(theirs.pressed.length_mm, abs=1e-6)
            assert mine.pressed.tightest_radius_mm == pytest.approx(theirs.pressed.tightest_radius_mm, rel=1e-9)
            assert part.gives_up_mm == pytest.approx(member.gives_up_mm, abs=0.01)


def test_trims_and_spans_of_plain_arcs_by_hand(scheduled: Callable[..., Schedule]) -> None:
    """n = 6 equal plies release 1 − 1/36; the radius in the press is read from the form's face, all else by hand.

    R = (a² + h²)/(2h), A = 4 R atan(h/a) (textbook); on the form each part keeps A; after release it has the radius
    R' = R_pressed/(1 − 1/36), so a span of 2 R' sin(A/2R') and a rise of R' (1 − cos(A/2R')).
    """
    sizes = {"A": (900.0, 180.0), "B": (901.0, 180.0), "C": (700.0, 105.0)}
    rows = "\n".join(f"{mark},{span},{rise}" for mark, (span, rise) in sizes.items())
    plan = plan_building(scheduled(f"opening,span,rise\n{rows}\n").openings, 1.0)
    (form,) = [f for f in plan.forms if len(f.members) > 1]
    pressing = make_pressing(make_laminate(make_arch(form.recipe)))
    face_mm = 1.0 / pressing.face.pieces[0][1]
    pressed_mm = face_mm + 9.0 + sum(mm for _, mm in pressing.between)
    released_mm = pressed_mm / (1.0 - 1.0 / 36.0)
    for part in parts_made(pressing):
        span, rise = sizes[part.mark]
        radius = ((span / 2) ** 2 + rise**2) / (2 * rise)
        length = 4.0 * radius * math.atan(2.0 * rise / span)
        assert part.trim.measured_from == "centre line"
        assert part.trim.centre_line_mm == pytest.approx((length / 2, length / 2), abs=1e-6)
        assert part.trim.form_face_mm == pytest.approx((length / 2 * face_mm / pressed_mm,) * 2, abs=1e-6)
        half = length / 2 / released_mm
        assert part.span_mm == pytest.approx(2 * released_mm * math.sin(half), abs=1e-6)
        assert part.rise_mm == pytest.approx(released_mm * (1 - math.cos(half)), abs=1e-6)
        plies = [length * (pressed_mm + 3.0 * i - 7.5) / pressed_mm + 50.0 for i in range(6)]
        assert part.ply_lengths_mm == pytest.approx(plies, abs=1e-6)
        assert part.ply_step_mm == pytest.approx(3.0 * length / pressed_mm, abs=1e-6)


def test_trims_of_jambs_by_hand(scheduled: Callable[..., Schedule]) -> None:
    """A semicircle on legs: on the form the sweep is π/(1 − 1/36), along its face R_face of it, and the leg."""
    text = "opening,arch,span,rise,legs\nA,semicircle,900,-,300\nB,semicircle,900.4,-,450\n"
    plan = plan_building(scheduled(text).openings, 1.0)
    (form,) = plan.forms
    pressing = make_pressing(make_laminate(make_arch(form.recipe)))
    face_mm = next(1.0 / k for _, k in pressing.face.pieces if k)
    for part, leg in zip(parts_made(pressing), (300.0, 450.0), strict=True):
        along = math.pi / (1.0 - 1.0 / 36.0) / 2.0 * face_mm + leg
        assert part.trim.form_face_mm == pytest.approx((along, along), abs=1e-6)
        feet, springing = ([r for r in part.readings if r.place == place] for place in ("feet", "springing line"))
        assert feet[0].height_mm == pytest.approx(-leg, abs=1e-9)
        released = (face_mm + 9.0 + sum(mm for _, mm in pressing.between)) / (1.0 - 1.0 / 36.0)
        assert [r.wanted_mm for r in springing] == pytest.approx([2 * released - 18, 2 * released + 18], abs=1e-6)


def test_ids_copies_and_codes(library: Building) -> None:
    codes = set()
    for form in library.forms:
        for part, member in zip(made(form.recipe), form.members, strict=True):
            count = member.opening.quantity * part.pressing.arch.copies
            mark = member.opening.mark
            assert part.ids == (tuple(f"{mark}#{n}" for n in range(1, count + 1)) if count > 1 else (mark,))
            assert code_stands(part.code)
            codes.add(part.code)
    assert len(codes) == library.openings


def test_a_part_has_one_code_wherever_it_is_made(shared: list[SharedForm]) -> None:
    for form in shared:
        for part, member in zip(made(form.recipe), form.members, strict=True):
            again = replace(member.opening.recipe, file="elsewhere.csv", findings=(), quantity=7)
            assert part.code == part_code(again)
        wider = form.members[0].opening.recipe
        deep = wider.asked.part.model_copy(update={"depth_mm": wider.asked.part.depth_mm + 1.0})
        other = replace(wider, asked=wider.asked.model_copy(update={"part": deep}))
        assert part_code(other) != part_code(wider)


def test_a_key_that_asks_for_what_is_usual_changes_no_code(tmp_path: Path) -> None:
    """A program of later years has more keys: a part that does not use them keeps the code on its paper."""
    path, codes = tmp_path / "part.yaml", []
    for spares in ("", ", spares: 1", ", spares: 2"):
        path.write_text(ASKED.replace("SPARES", spares), encoding="utf-8")
        codes.append(part_code(load_recipe(path)))
    assert codes[0] == codes[1] != codes[2]


def test_a_form_is_made_again_from_its_record(shared: list[SharedForm]) -> None:
    form = run(shared[0].recipe)
    record = json.loads(json.dumps(job_record(form), allow_nan=False))
    again = recipe_from_job(record, form.recipe.folder)
    assert [held.quantity for held in again.makes] == [member.opening.quantity for member in shared[0].members]
    made_again = json.loads(json.dumps(job_record(run(again)), allow_nan=False))
    for held in (record, made_again):
        held["asked"].pop("shop_defaults_used")
    assert made_again == record
    marks = [part["mark"] for part in record["found"]["makes"]]
    assert marks == [member.opening.mark for member in shared[0].members]
    assert {
        "ids",
        "code",
        "span_mm",
        "rise_mm",
        "measured_on",
        "trim",
        "ply_lengths_mm",
        "ply_step_mm",
        "readings",
    } <= (record["found"]["makes"][0].keys())


def test_another_quantity_is_another_job(shared: list[SharedForm], tmp_path: Path) -> None:
    recipe = shared[0].recipe
    (tmp_path / recipe.name).mkdir()
    record = {"asked": asked_record(recipe), "versions": {}, "files": {}}
    (tmp_path / recipe.name / "job.json").write_text(json.dumps(record))
    first, *others = recipe.makes
    more = replace(recipe, makes=(replace(first, quantity=first.quantity + 1), *others))
    assert asked_record(more) != asked_record(recipe)
    assert not stands(Job(recipe=more, output=tmp_path))


def test_a_form_of_its_own_makes_one_part(shipped: Form) -> None:
    (part,) = shipped.makes
    assert part.pressing is shipped.pressing
    assert part.gives_up_mm == 0.0
    assert part.gauge.tolerance_mm == shipped.recipe.part.tolerance_mm
    assert sum(part.trim.centre_line_mm) == pytest.approx(shipped.laminate.pressed.length_mm, abs=1e-9)


def test_a_wood_that_breaks_is_named_with_its_opening(scheduled: Callable[..., Schedule]) -> None:
    """The form is made for the stiffer maple; the cedar's own limit is less, and its warning names the opening."""
    text = "opening,laminate.wood,span,rise\nA,western red cedar,600,290\nB,sugar maple,600,290\n"
    (form,) = plan_building(scheduled(text).openings, 1.0).forms
    parts = {part.mark: part for part in made(form.recipe)}
    (alone,) = [made(m.opening.recipe)[0] for m in form.members if m.opening.mark == "A"]
    grave = [f for f in alone.pressing.laminate.findings if f.severity.value in ("warning", "problem")]
    lead = [f.code for f in parts["B"].pressing.laminate.findings if f.severity.value in ("warning", "problem")]
    expected = {f.code for f in grave} - set(lead)
    assert expected
    assert expected <= {f.code for f in parts["A"].findings}
    assert all(f.message.startswith("A: ") for f in parts["A"].findings)
    assert parts["B"].findings == ()
