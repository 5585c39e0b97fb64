"""A schedule with openings that must not be pressed: refused before anything is written, left out, or built and marked.

C: two plies of 9 mm at R 183 are strained by 9/(2 × 183) = 2.5 %, past what ash bears (MOR/E = 103/12 000 = 0.86 %,
Wood Handbook, FPL-GTR-282, Table 5-3a). E: its plies bend, but a band of 45 mm of MDF does not bear them, which only
the form stage can tell.
"""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from click.testing import CliRunner

from formgen.building.model import Building
from formgen.building.running.jobs import Job, stands
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.building.summary.remarks import Remark, remarks_on, verdict_for, verdict_text
from formgen.cli import main
from formgen.outputs.record.job import FORMAT, job_record, versions_used
from formgen.pipeline import run
from formgen.recipe.as_asked import asked_record
from formgen.recipe.load import load_recipe
from tests.building.conftest import BASE
from tests.conftest import RECIPES

HEADER = "opening,arch,span,rise,laminate.plies,laminate.thickness,form.backing,depth\n"
FIRST = "A,,900,180,,,,\n"
GOOD = FIRST + "B,,900.5,180,,,,\nD,,700,120,,,,\n"
BROKEN = "C,,500,240,2,,,\n"
WEAK = "E,semicircle,1400,-,6,48,45,\n"
MARK = "DO NOT PRESS"


def written(folder: Path, rows: str) -> list[str]:
    """The command line for a schedule of these rows."""
    (folder / "openings.csv").write_text(HEADER + rows, encoding="utf-8")
    (folder / "base.yaml").write_text(BASE, encoding="utf-8")
    return ["batch", str(folder / "openings.csv"), "--base", str(folder / "base.yaml"), "--output", str(folder / "out"),
            "--workers", "1", "--nesting", "quick", "--effort", "preview"]  # fmt: skip


def batch(words: list[str], *more: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, [*words, *more])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("row", "line"),
    [
        (BROKEN, "openings.csv: row 5, opening C: Ply 1 (white ash, 9.00 mm) is bent past its breaking strain"),
        (
            WEAK,
            "openings.csv: row 5, opening E, column form.backing: The body under the plies' own bending is stressed",
        ),
    ],
    ids=["plies", "form"],
)
def test_one_bad_row_stops_the_batch_in_one_line_and_nothing_is_written(tmp_path: Path, row: str, line: str) -> None:
    code, out, err = batch(written(tmp_path, GOOD + row))
    assert (code, out) == (1, "")
    refused = [said for said in err.splitlines() if said.startswith("openings.csv")]
    assert len(refused) == 1
    assert refused[0].startswith(line)
    assert ", limit " in refused[0]
    assert refused[0].endswith(f"--anyway builds it, marked {MARK}")
    assert not (tmp_path / "out").exists()


def test_bad_rows_are_named_and_left_out_built_anyway_and_never_stand_without_it(tmp_path: Path) -> None:
    words = written(tmp_path, FIRST + BROKEN + WEAK)
    out = tmp_path / "out"

    code, said, err = batch(words, "--keep-going")
    assert code == 1
    assert {path.name for path in out.iterdir() if path.is_dir()} == {"A", "sheets"}
    assert "1 form can be made. 2 rows or forms are refused." in said
    for line in ("row 3, opening C: Ply 1", "row 4, opening E, column form.backing: The body"):
        assert sum(line in told for told in err.splitlines()) == 1
    assert MARK not in (out / "sheets" / "sheet-map.csv").read_text("utf-8-sig")

    code, said, err = batch(words, "--anyway")
    assert code == 0
    assert "2 built, 1 stood already" in err
    assert f"1 of 3 forms can be made. {MARK}: C, E." in said
    held = list(csv.DictReader(io.StringIO((out / "building.csv").read_text("utf-8-sig"), newline="")))
    verdicts = {row["opening"]: row["verdict"] for row in held if row["row"] == "opening"}
    assert {mark for mark, verdict in verdicts.items() if verdict == "may be pressed"} == {"A"}
    assert verdicts["C"].startswith(f"{MARK}: laminate.ply-strain")
    assert verdicts["E"] == f"{MARK}: form.breaks"
    assert {row["verdict"] for row in held if row["row"] == "form"} == set(verdicts.values())
    page = (out / "building.html").read_text(encoding="utf-8")
    assert (
        page.index(f"1 of 3 forms can be made. {MARK}: C, E.") < page.index("What is wrong") < page.index('id="forms"')
    )
    assert "All of it" not in page
    record = json.loads((out / "building.json").read_text(encoding="utf-8"))["found"]
    assert {form["name"]: form["verdict"]["may"] for form in record["forms"]} == {
        "A": True, "C": False, "E": False,
    }  # fmt: skip
    planned, left = record["press_days"]["glue_ups"], record["press_days"]["left_out"]
    assert not {"C", "E"} & {held["opening"] for held in planned}
    assert {held["opening"] for held in left if held["why"].startswith(MARK)} == {"C", "E"}

    code, said, err = batch(words, "--anyway")  # all of it stands
    assert code == 0
    assert "0 built, 3 stood already" in err
    assert f"1 of 3 forms can be made. {MARK}: C, E." in said

    before = (out / "building.json").read_bytes()
    assert batch(words)[0] == 1
    assert (out / "building.json").read_bytes() == before
    assert batch(words, "--keep-going")[0] == 1
    assert {path.name for path in (out / "sheets").iterdir()} >= {"sheet-map.csv"}
    assert MARK not in (out / "sheets" / "sheet-map.csv").read_text("utf-8-sig")


def test_a_marked_form_stands_only_for_who_asks_for_it_anyway(
    tmp_path: Path, scheduled: Callable[..., Schedule]
) -> None:
    opened = scheduled(HEADER + GOOD + BROKEN)
    recipes = {opening.mark: opening.recipe for opening in opened.openings}
    from formgen.outputs.folder.write import write_all

    for mark in ("C", "D"):
        write_all(run(recipes[mark]), tmp_path / "out")
    told = {
        (mark, anyway): stands(Job(recipe=recipes[mark], output=tmp_path / "out", anyway=anyway))
        for mark in ("C", "D")
        for anyway in (True, False)
    }
    assert told == {("C", True): True, ("C", False): False, ("D", True): True, ("D", False): True}
    job = tmp_path / "out" / "D" / "job.json"
    job.write_text(json.dumps({**json.loads(job.read_text(encoding="utf-8")), "format": 1}), encoding="utf-8")
    assert not stands(Job(recipe=recipes["D"], output=tmp_path / "out"))


def found_of(schedule: Schedule) -> tuple[Building, tuple[Remark, ...]]:
    building = plan_building(schedule.openings, anyway=True)
    jobs = {form.name: json.loads(json.dumps(job_record(run(form.recipe)))) for form in building.forms}
    return building, remarks_on(building.forms, jobs)


def test_what_is_wrong_is_said_of_the_opening_that_it_is_about(scheduled: Callable[..., Schedule]) -> None:
    """A and B share a form; only B is so deep that its glue lines outlast the open time: 600 mm against 60."""
    rows = HEADER + "A,,900,180,,,,\nB,,900,180,,,,600\n" + BROKEN
    glued = BASE.replace("adhesive: epoxy", 'adhesive: "polyurethane, one part"')
    building, found = found_of(scheduled(rows, glued))
    assert [[m.opening.mark for m in form.members] for form in building.forms] == [["A", "B"], ["C"]]
    severities = [remark.finding.severity.value for remark in found]
    assert severities == sorted(severities)  # problem before warning
    slow = [remark for remark in found if remark.finding.code == "press.open-time"]
    assert [remark.openings for remark in slow] == [("B",)]
    dropped = [remark for remark in found if remark.finding.code.startswith("form.") and remark.form == "A-shared"]
    assert dropped
    assert {remark.openings for remark in dropped} == {("A", "B")}
    assert [verdict_for(mark, found).may for mark in ("A", "C")] == [True, False]


def test_an_opening_that_must_not_be_pressed_shares_no_form(scheduled: Callable[..., Schedule]) -> None:
    """Two that are alike: each gets a form of its own, so that none is pressed for the other's sake."""
    schedule = scheduled(HEADER + BROKEN + BROKEN.replace("C,", "C2,") + GOOD)
    building = plan_building(schedule.openings, anyway=True)
    assert [[m.opening.mark for m in form.members] for form in building.forms] == [["C"], ["C2"], ["A", "B"], ["D"]]
    left = plan_building(schedule.openings)
    assert [row.mark for row in left.refused] == ["C", "C2"]
    assert [[m.opening.mark for m in form.members] for form in left.forms] == [["A", "B"], ["D"]]


def test_can_be_made_is_said_only_of_what_can(scheduled: Callable[..., Schedule]) -> None:
    building, found = found_of(scheduled(HEADER + GOOD + BROKEN))
    said, state = verdict_text(building.forms, (), found)
    assert said.startswith(f"2 of 3 forms can be made. {MARK}: C. Read ")
    assert state == "problem"
    good = [form for form in building.forms if form.name != "C"]
    calm = [remark for remark in found if remark.form != "C"]
    assert verdict_text(good, (), calm)[1] == "warning"
    assert verdict_text(good, (), calm)[0].startswith(f"All of it can be made. Read {len(calm)} warnings first.")
    assert verdict_text(good, ("a row",), calm)[0].startswith("2 forms can be made. 1 row or form is refused.")
    assert verdict_text(good, (), ()) == ("All of it can be made, with no warnings.", "good")


def test_the_shipped_schedule_may_all_be_pressed(library: Schedule) -> None:
    building = plan_building(library.openings)
    assert [row.lines for row in building.refused] == []
    assert {form.name: run(form.recipe).verdict.why for form in building.forms} == {
        form.name: () for form in building.forms
    }


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_form_whose_drawing_became_a_pipe_does_not_stand_and_is_not_waited_for(tmp_path: Path) -> None:
    shutil.copy(RECIPES / "reference-alcove.yaml", tmp_path)
    recipe = load_recipe(tmp_path / "reference-alcove.yaml")
    record: dict[str, Any] = {"format": FORMAT, "versions": versions_used(), "asked": asked_record(recipe), "files": {}}
    (tmp_path / "reference-alcove").mkdir()
    record["found"] = {"verdict": {"may": True}}
    (tmp_path / "reference-alcove" / "job.json").write_text(json.dumps(record), encoding="utf-8")
    os.mkfifo(tmp_path / "alcove-path.dxf")
    answers: list[bool] = []
    asked = Thread(target=lambda: answers.append(stands(Job(recipe=recipe, output=tmp_path))), daemon=True)
    asked.start()
    asked.join(20.0)
    assert answers == [False]
