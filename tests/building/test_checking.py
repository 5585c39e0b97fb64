"""Each form is looked at before anything is planned, counted or written: can it be cut, and from the shop's sheets?

A band on the inside of a half round of radius R, face at R − t/2 less what lies on it, runs through itself where it is
deeper than the face's radius.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from formgen.building.model import Building, Nesting
from formgen.building.running.batch import Options, Outcome, run_building
from formgen.building.running.checking import cannot_be_made, looked_at
from formgen.building.running.events import Event
from formgen.building.running.pool import Place
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.errors import FormgenError
from tests.building.conftest import BASE
from tests.here import opened_here

HEADER = "opening,arch,span,rise,form.backing,depth\n"
GOOD = "A,,500,60,,12\n"
TOO_WIDE = "B,semicircle,400,-,250,12\n"
#: Pieces may be turned by a right angle only, so that nothing longer than 276 mm goes on the sheet.
ACROSS = (
    "format: 1\nunits: mm\nsheet: b\nsheets: {b: {thickness: 18.1, length: 900, width: 300}}\n"
    "nesting: {rotations_deg: [90]}\npress_days: {overnight: true}\n"
)


def batch(schedule: Schedule, output: Path, told: list[Event], **options: bool) -> Outcome:
    asked = Options(nesting=Nesting(engine="quick", effort="preview"), **options)
    return run_building(schedule, output, opened_here, asked, told.append)


def refused(schedule: Schedule, output: Path, **options: bool) -> tuple[list[str], set[str]]:
    """The lines of a refusal and what was told before it; nothing is written."""
    told: list[Event] = []
    with pytest.raises(FormgenError) as caught:
        batch(schedule, output, told, **options)
    assert not output.exists()
    return str(caught.value).splitlines(), {event.what for event in told}


@pytest.mark.parametrize("anyway", [False, True])
def test_a_form_that_cannot_be_cut_is_refused_before_anything_is_planned(
    scheduled: Callable[..., Schedule], tmp_path: Path, *, anyway: bool
) -> None:
    (line,), told = refused(scheduled(HEADER + GOOD + TOO_WIDE), tmp_path / "out", anyway=anyway)
    assert line.startswith(
        "openings.csv: row 3, opening B, column form.backing: form.backing = 250.0 mm, the band runs"
    )
    assert told == {"phase", "estimated"}


def test_all_that_is_wrong_with_the_forms_is_said_at_once(scheduled: Callable[..., Schedule], tmp_path: Path) -> None:
    """B cannot be cut; C can, but a band of 45 mm does not bear 48 mm of plies round 700 mm."""
    header = HEADER[:-1] + ",laminate.thickness\n"
    rows = "A,,500,60,,12,\nB,semicircle,400,-,250,12,\nC,semicircle,1400,-,45,60,48\n"
    lines, _ = refused(scheduled(header + rows), tmp_path / "out")
    assert [line.split(", ")[1] for line in lines] == ["opening B", "opening C"]
    assert "--anyway" not in lines[0]
    assert "--anyway" in lines[1]


@pytest.mark.parametrize("anyway", [False, True])
def test_a_piece_that_goes_on_no_sheet_is_refused_before_anything_is_built(
    scheduled: Callable[..., Schedule], tmp_path: Path, *, anyway: bool
) -> None:
    schedule = scheduled(HEADER + "A,,250,40,,12\nB,,850,100,,12\n", shop=ACROSS)
    (line,), told = refused(schedule, tmp_path / "out", anyway=anyway)
    assert line.startswith("openings.csv: row 3, opening B")
    assert "expected it to fit inside the margins of a sheet of b (876 × 276 mm)" in line
    assert not told & {"divided", "planned", "built"}


def test_a_piece_that_goes_on_no_sheet_is_left_out(scheduled: Callable[..., Schedule], tmp_path: Path) -> None:
    schedule = scheduled(HEADER + "A,,250,40,,12\nB,,850,100,,12\n", shop=ACROSS)
    outcome = batch(schedule, tmp_path / "out", [], keep_going=True)
    assert outcome.built == ("A",)
    assert [line.split(":")[1] for line in outcome.not_made] == [" row 3, opening B"]
    record = json.loads((tmp_path / "out" / "building.json").read_text(encoding="utf-8"))
    assert (record["found"]["openings"], record["found"]["sheets"]["new"]) == (1, 1)


def test_too_little_stock_is_refused_before_anything_is_built(
    scheduled: Callable[..., Schedule], tmp_path: Path
) -> None:
    shop = ACROSS.replace("width: 300", "width: 300, quantity: 1").replace("[90]", "[0, 90]")
    (line,), told = refused(scheduled(HEADER + "A,,850,100,,50\n", shop=shop), tmp_path / "out")
    assert line.startswith("no stock left for ")
    assert not told & {"divided", "planned", "built"}


def test_a_shared_form_is_looked_at_as_it_is_shared(scheduled: Callable[..., Schedule], tmp_path: Path) -> None:
    """A alone is too tight for its band, on the form that it shares with B it is not.

    Six equal plies press at R(1 − 1/6²), R on the centre line; the face lies 9 mm of plies and 0.1 mm of film inside:
    200 × 35/36 − 9.1 = 185.34 mm for A, 185.83 mm for B, and between them on the shared form.
    """
    rows = "A,semicircle,400,-,185.45,12\nB,semicircle,401,-,185.45,12\n"
    schedule = scheduled(HEADER + rows)
    (line,), _ = refused(schedule, tmp_path / "out", apart=True)
    assert line.startswith("openings.csv: row 2, opening A, ")
    (form,) = plan_building(schedule.openings, 0.5).forms
    assert [member.opening.mark for member in form.members] == ["A", "B"]
    building = Building(forms=(form,), refused=(), share=0.5)
    assert looked_at(building, (), _never, list[Event]().append) == (building, {})
    assert cannot_be_made(building, (), _never, list[Event]().append, anyway=False) == {}


def test_a_bar_that_nobody_asked_for_keeps_no_shared_form_from_being_cut(scheduled: Callable[..., Schedule]) -> None:
    """Legs of 60 and 100 mm: the bar must bear on both, and there the legs, leaning in the press, have no room for it.

    Three plies spring back by a ninth: the half round is pressed to 200°, each leg leans 10°.
    """
    base = BASE.replace("male", "female").replace("thickness: 18, plies: 6", "thickness: 9, plies: 3")
    base = base.replace("backing: 90", "backing: 105")
    rows = "opening,arch,span,rise,legs,depth\nA,semicircle,700,-,60,12\nB,semicircle,700,-,100,12\n"
    shared = plan_building(scheduled(rows, base).openings, 0.5)
    alone = plan_building(scheduled(rows, base).openings, 0.5, apart=True)
    assert looked_at(alone, (), _never, list[Event]().append) == (alone, {})
    building, bad = looked_at(shared, (), _never, list[Event]().append)
    assert bad == {}
    assert [(form.name, form.recipe.asked.form.spreader_bar) for form in building.forms] == [("A-shared", False)]
    assert cannot_be_made(building, (), _never, list[Event]().append, anyway=False) == {}

    asked = plan_building(
        scheduled(rows, base.replace("backing: 105", "backing: 105, spreader_bar: true")).openings, 0.5
    )
    _, bad = looked_at(asked, (), _never, list[Event]().append)
    assert "form.spreader_bar was asked for" in bad["A-shared"]


def _never() -> AbstractContextManager[Place]:
    raise AssertionError("one form is looked at here")


def test_a_shared_form_that_cannot_be_cut_says_who_shares_it(
    scheduled: Callable[..., Schedule], tmp_path: Path
) -> None:
    (line,), _ = refused(scheduled(HEADER + TOO_WIDE + TOO_WIDE.replace("B,", "C,")), tmp_path / "out")
    assert line.startswith("openings.csv: row 2, opening B, ")
    assert line.endswith("(the form is shared with C: --apart builds one for each)")
