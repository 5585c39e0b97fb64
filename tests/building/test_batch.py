"""The batch: only what changed is built, an interrupted one goes on to the same bytes, and the command says so."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import Executor, Future
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from formgen.building.model import Nesting
from formgen.building.running.batch import Options, Outcome, run_building
from formgen.building.running.events import Event
from formgen.building.running.pool import Given, PlaceLostError
from formgen.building.schedule.opening import Schedule
from formgen.cli import main
from formgen.errors import RecipeError
from tests.building.conftest import BASE, SHOP
from tests.here import opened_here

ROOT = Path(__file__).parents[2]
#: The least effort for sheets, as typed and as asked.
EFFORT = ["--effort", "preview"]
QUICKLY = Nesting(effort="preview")
ROWS = "opening,quantity,span,rise,depth\nA,2,900,180,\nB,,900.5,180,80\nC,,700,120,\nD,,500,90,\n"


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def batch(schedule: Schedule, output: Path, **options: Any) -> Outcome:
    return run_building(schedule, output, opened_here, Options(**{"nesting": QUICKLY, **options}))


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Bytes of an uninterrupted batch."""
    folder = tmp_path_factory.mktemp("whole")
    (folder / "openings.csv").write_text(ROWS, encoding="utf-8")
    (folder / "base.yaml").write_text(BASE, encoding="utf-8")
    (folder / "shop.yaml").write_text(SHOP, encoding="utf-8")
    done = CliRunner().invoke(main, ["batch", str(folder / "openings.csv"), "--base", str(folder / "base.yaml"),
                                     "--output", str(folder / "out"), "--workers", "2", *EFFORT])  # fmt: skip
    assert done.exit_code == 0, done.output
    return contents(folder / "out")


@pytest.fixture
def standing(tmp_path: Path, whole: dict[str, bytes]) -> Path:
    for name, content in whole.items():
        path = tmp_path / "out" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return tmp_path / "out"


def test_forms_and_the_summary_and_nothing_else(whole: dict[str, bytes]) -> None:
    assert {name.split("/")[0] for name in whole} == {
        "A-shared", "C", "D", "sheets", "building.json", "building.csv", "building.xlsx", "building.html",
        "press-days.csv", "press-days.svg",
    }  # fmt: skip


def test_a_second_run_builds_nothing_and_loads_no_kernel(
    standing: Path, tmp_path: Path, whole: dict[str, bytes]
) -> None:
    (tmp_path / "openings.csv").write_text(ROWS, encoding="utf-8")
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    code = (
        "import sys; from formgen.cli import main\n"
        "try: main(sys.argv[1:])\n"
        "except SystemExit as end: assert end.code == 0, end.code\n"
        "print(*[m for m in ('cadquery', 'OCP', 'scipy', 'ezdxf', 'openpyxl') if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "batch", "openings.csv", "--base", "base.yaml", "--output", "out", *EFFORT],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    reading, _, ended = done.stderr.split("\n\n", 2)
    assert reading.startswith("Read openings.csv: 4 openings, 5 parts; header in row 1.\n")
    caution, *said = ended.splitlines()
    assert caution.startswith("In 3 nights a bag is on the pump with nobody there.")
    assert said == ["0 built, 3 stood already; see out", ""]
    assert contents(standing) == whole


def test_a_change_to_one_row_builds_one(
    standing: Path, scheduled: Callable[..., Schedule], whole: dict[str, bytes]
) -> None:
    outcome = batch(scheduled(ROWS.replace("C,,700,120,", "C,,700,120,70")), standing)
    assert (outcome.built, outcome.stood) == (("C",), 2)
    after = contents(standing)
    changed = {name for name in after if after[name] != whole.get(name)}
    assert {name.split("/")[0] for name in changed} == {
        "C", "sheets", "building.json", "building.csv", "building.xlsx", "building.html"
    }  # fmt: skip


def test_a_spoiled_or_missing_file_is_built_again(
    standing: Path, scheduled: Callable[..., Schedule], whole: dict[str, bytes]
) -> None:
    (standing / "D" / "form.stl").write_bytes(b"spoiled")
    (standing / "building.csv").unlink()
    assert batch(scheduled(ROWS), standing).built == ("D",)
    assert contents(standing) == whole


@pytest.mark.parametrize("name", ["sheets/sheet-01.dxf", "sheets/sheet-map.csv", "sheets/sheet-map.json"])
def test_spoiled_sheets_are_laid_out_again_and_no_form_is_built(
    standing: Path, scheduled: Callable[..., Schedule], whole: dict[str, bytes], name: str
) -> None:
    assert name in whole
    (standing / name).write_bytes(b"spoiled")
    if name.endswith(".json"):  # what is no record of formgen's would not be overwritten; a missing one is written
        (standing / name).unlink()
        for path in (standing / "sheets").iterdir():
            path.unlink()
    outcome = batch(scheduled(ROWS), standing)
    assert (outcome.built, outcome.stood) == ((), 3)
    assert contents(standing) == whole


def test_without_sheets_there_are_none(standing: Path, scheduled: Callable[..., Schedule]) -> None:
    outcome = run_building(scheduled(ROWS), standing / "none", opened_here, Options(nesting=None))
    assert outcome.record["found"]["sheets"] is None
    assert {form["least_pieces"] for form in outcome.record["found"]["forms"]} == {1}
    assert not (standing / "none" / "sheets").exists()


def test_a_form_may_not_take_the_folder_of_the_sheets(tmp_path: Path, scheduled: Callable[..., Schedule]) -> None:
    with pytest.raises(RecipeError, match=r"openings.csv: row 2, .*Sheets is the folder of the sheets"):
        batch(scheduled("opening,span\nSheets,900\n"), tmp_path / "out")


def test_another_version_builds_everything_again(
    standing: Path, scheduled: Callable[..., Schedule], monkeypatch: pytest.MonkeyPatch
) -> None:
    from formgen.building.running import jobs
    from formgen.building.summary import record
    from formgen.outputs.record.job import versions_used

    for module in (jobs, record):
        monkeypatch.setattr(module, "versions_used", lambda: versions_used() | {"cadquery": "9.9"})
    monkeypatch.setattr("formgen.building.running.pool.build", print)
    told: list[Event] = []
    schedule = scheduled(ROWS)
    with pytest.raises(RuntimeError, match="enough"):
        run_building(schedule, standing, _never, Options(), told.append)
    planned = next(event for event in told if event.what == "planned")
    assert planned.done == 0
    assert planned.of == 3


def _never() -> object:
    raise RuntimeError("enough")


def test_force_builds_all_to_the_same_bytes(
    standing: Path, scheduled: Callable[..., Schedule], whole: dict[str, bytes]
) -> None:
    outcome = batch(scheduled(ROWS), standing, force=True)
    assert outcome.built == ("A-shared", "C", "D")
    assert contents(standing) == whole


@pytest.mark.skipif(os.name != "posix", reason="sends an interrupt as a terminal does")
def test_an_interrupted_batch_goes_on_to_the_same_bytes(tmp_path: Path, whole: dict[str, bytes]) -> None:
    (tmp_path / "openings.csv").write_text(ROWS, encoding="utf-8")
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    hears = (  # a terminal's programs do; those of a shell's background job are born deaf to it
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
        "from formgen.cli import program; program()"
    )
    words = [sys.executable, "-c", hears, "batch", "openings.csv", "--base", "base.yaml", "--output", "out", *EFFORT]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    process = subprocess.Popen(
        [*words, "--workers", "1", "--json"], cwd=tmp_path, env=environment, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
    )  # fmt: skip
    assert process.stdout is not None
    for line in process.stdout:
        if json.loads(line)["event"] == "built":
            os.killpg(process.pid, signal.SIGINT)
            break
    _, said = process.communicate(timeout=300)
    assert process.returncode == 130
    assert "interrupted" in said
    assert "Traceback" not in said
    stands = {name.split("/")[0] for name in contents(tmp_path / "out")}
    assert "A-shared" in stands
    assert "building.json" not in stands
    done = subprocess.run(
        [*words, "--workers", "1"], cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
    )
    assert "0 stood already" not in done.stderr
    assert contents(tmp_path / "out") == whole


def test_json_events_are_one_a_line_and_true(standing: Path, tmp_path: Path) -> None:
    (tmp_path / "openings.csv").write_text(ROWS.replace("D,,500,90", "E,,520,90") + "F,,500,900,\n", encoding="utf-8")
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    words = ["batch", str(tmp_path / "openings.csv"), "--base", str(tmp_path / "base.yaml"), "--output", str(standing)]
    words += EFFORT
    refused = CliRunner().invoke(main, [*words, "--json"])
    assert refused.exit_code == 1
    assert [json.loads(line)["event"] for line in refused.stdout.splitlines()] == ["read", "phase"]
    assert refused.stderr.startswith("openings.csv: row 6, opening F, column rise: part.arch.rise = 900.00 mm")
    done = CliRunner().invoke(main, [*words, "--json", "--keep-going", "--workers", "1"])
    assert done.exit_code == 1
    events = [json.loads(line) for line in done.stdout.splitlines()]
    phases = [(event["done"], event["of"]) for event in events if event["event"] == "phase"]
    assert phases == [(number, 7) for number in range(1, 8)]
    told = [event for event in events if event["event"] not in ("read", "phase", "nesting")]
    assert (events[0]["event"], len(events[0]["openings"])) == ("read", 5)  # a row whose curve cannot be is read
    assert [event["event"] for event in told] == [
        "refused", "estimated", "divided", "planned", "built", "written", "done"
    ]  # fmt: skip
    assert told[4] | {"seconds": 0} == {"event": "built", "form": "E", "done": 3, "of": 3, "seconds": 0}
    assert (told[1]["openings"], told[1]["forms"]) == (4, 3)
    assert told[1]["sheets_full"] <= told[-1]["sheets"]["new"]
    assert told[1]["press_days_at_least"] <= told[-1]["press_days"]["days_at_least"]
    assert events[-1]["built"] == ["E"]
    assert events[-1]["left_over"] == ["D"]
    assert len(events[-1]["not_made"]) == 1
    assert "1 refused" in done.stderr


def test_a_form_that_cannot_be_written_has_an_exit_code_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "openings.csv").write_text("opening,span,rise\nA,900,180\n", encoding="utf-8")
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    (tmp_path / "out" / "A").mkdir(parents=True)
    (tmp_path / "out" / "A" / "letter.txt").write_text("mine", encoding="utf-8")  # a folder of somebody else
    words = ["batch", str(tmp_path / "openings.csv"), "--base", str(tmp_path / "base.yaml"), "--no-sheets"]
    done = CliRunner().invoke(main, [*words, "--output", str(tmp_path / "out"), "--workers", "1"])
    assert done.exit_code == 4, done.stderr
    assert contents(tmp_path / "out" / "A") == {"letter.txt": b"mine"}


def test_a_form_that_was_lost_is_built_by_the_next_run(tmp_path: Path, scheduled: Callable[..., Schedule]) -> None:
    class Lost(Executor):
        def submit(self, *_given: object, **_named: object) -> Future[Any]:  # type: ignore[override]
            raise PlaceLostError("no worker is left")

    read = scheduled("opening,span\nD,500\n")
    lost = run_building(read, tmp_path, lambda: nullcontext(Given(Lost(), 1)), Options(keep_going=True, nesting=None))
    assert lost.built == ()
    assert [line.endswith("D: no worker is left") for line in lost.not_made] == [True]
    again = batch(read, tmp_path, nesting=None)
    assert (again.built, again.not_made) == (("D",), ())


def test_the_table_says_what_is_shared(tmp_path: Path, standing: Path) -> None:
    (tmp_path / "openings.csv").write_text(ROWS, encoding="utf-8")
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    words = ["batch", str(tmp_path / "openings.csv"), "--base", str(tmp_path / "base.yaml"), "--output", str(standing)]
    words += EFFORT
    out = CliRunner().invoke(main, words).stdout
    record = json.loads((standing / "building.json").read_text(encoding="utf-8"))
    # 60 + 2 × 3 mm and 80 + 2 × 3 mm of 18 mm sheet: 4 and 5 layers apart, 5 together
    assert "5 for 9 apart" in out
    assert "4 openings on 3 forms: 1 forms and 4 layers saved by sharing" in out
    assert record["found"]["layers_saved"] == 4
