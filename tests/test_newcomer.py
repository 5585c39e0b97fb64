"""The newcomer's five jobs, from an empty folder to the layer drawings, as README and the program itself tell them.

Each job is a list of commands as somebody would type them. Counted are commands, look-ups (`show`, `schema`, a help
text) and refusals (an exit code that is not 0). There is no shop file and no look-up but what README names for the job:
`show drawing`, which lists what an architect drew.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf
import pytest
from click.testing import CliRunner

from formgen.cli import main
from tests.building.offices import OPENINGS, office_workbook
from tests.curve import architects
from tests.here import opened_here

LOOK_UPS = ("show", "schema", "--help")
#: Heights under a circle of R 24 over a span of 36, every 4 in, to the eighth; the fifth is written down 2 in too high.
SITE = "0, 3 5/8, 6, 7 3/8, 10, 8, 7 3/8, 6, 3 5/8, 0"


@dataclass
class Newcomer:
    """Somebody in an empty folder who types commands, and what came of them."""

    folder: Path
    commands: int = 0
    look_ups: list[str] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    said: str = ""

    def types(self, *words: str) -> str:
        """Type a command; return what it printed on stdout."""
        done = CliRunner().invoke(main, list(words))
        assert "Traceback" not in done.output
        self.commands += 1
        self.said = done.stderr
        if any(word in LOOK_UPS for word in words):
            self.look_ups.append(" ".join(words))
        if done.exit_code:
            self.refusals.append(f"{' '.join(words)}: {done.stderr.strip().splitlines()[-1]}")
        return done.stdout

    def writes(self, name: str, text: str) -> str:
        """Write a file with an editor."""
        (self.folder / name).write_text(text, encoding="utf-8")
        return name

    def layers(self, part: str) -> list[Path]:
        """The layer drawings of a part, each of which a DXF library opens and finds something in."""
        drawings = sorted((self.folder / "output" / part / "layers").glob("layer-*.dxf"))
        assert drawings, self.refusals
        assert all(len(ezdxf.readfile(path).modelspace()) > 3 for path in drawings)
        return drawings

    def job(self, part: str) -> dict[str, object]:
        """The record of a part."""
        held: dict[str, object] = json.loads((self.folder / "output" / part / "job.json").read_text(encoding="utf-8"))
        return held


@pytest.fixture
def newcomer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Newcomer:
    monkeypatch.chdir(tmp_path)
    return Newcomer(tmp_path)


def warnings_of(job: dict[str, object]) -> list[str]:
    findings: Sequence[dict[str, str]] = job["findings"]  # type: ignore[assignment]
    return [found["code"] for found in findings if found["severity"] != "note"]


def clean(newcomer: Newcomer, commands: int, look_ups: int = 0) -> None:
    assert (newcomer.commands, len(newcomer.look_ups), newcomer.refusals) == (commands, look_ups, [])


def test_a_segmental_head_of_oak(newcomer: Newcomer) -> None:
    """915 × 152 mm, 44 mm thick: asked for by options, looked at on one screen, built."""
    newcomer.types(
        "new", "head", "--units", "mm", "--arch", "segmental", "--span", "915", "--rise", "152",
        "--measured-on", "inside", "--depth", "100", "--thickness", "44", "--wood", "White Oak", "--way", "part-bagged",
    )  # fmt: skip
    screen = newcomer.types("check", "head.yaml").splitlines()
    newcomer.types("build", "head.yaml")
    assert "No warnings" in screen[1]
    assert len(screen) <= 23
    newcomer.layers("head")
    clean(newcomer, 3)
    assert warnings_of(newcomer.job("head")) == []


def test_an_elliptical_casing_over_a_six_foot_opening(newcomer: Newcomer) -> None:
    """Six lines in an editor, in feet and inches; the casing lies outside the opening's own line."""
    newcomer.writes(
        "casing.yaml",
        "arch: {kind: ellipse, span: 6 ft, rise: 1' 6\"}\nmeasured_on: inside\ndepth: 3/4 in\nthickness: 3 1/2 in\n"
        "wood: yellow poplar\nway: part-bagged\n",
    )
    newcomer.types("check", "casing.yaml")
    newcomer.types("build", "casing.yaml")
    newcomer.layers("casing")
    clean(newcomer, 2)


def test_fourteen_openings_from_an_office_s_workbook(newcomer: Newcomer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("formgen.building.running.engine.Kept", opened_here)
    office_workbook(newcomer.folder / "openings.xlsx")
    newcomer.writes(
        "base.yaml",
        "units: mm\nmeasured_on: inside\nthickness: 18\nwood: white oak\nway: part-bagged\n",
    )
    preview = newcomer.types("batch", "openings.xlsx", "--base", "base.yaml", "--preview")
    assert "14 openings" in preview
    newcomer.types("batch", "openings.xlsx", "--base", "base.yaml")
    record = json.loads((newcomer.folder / "output" / "building.json").read_text(encoding="utf-8"))
    made = [member["opening"] for form in record["found"]["forms"] for member in form["openings"]]
    assert sorted(made) == sorted(mark for mark, *_ in OPENINGS)
    for form in record["found"]["forms"]:
        newcomer.layers(form["name"])
    clean(newcomer, 2)


def test_readings_from_the_site_one_of_them_wrong(newcomer: Newcomer) -> None:
    newcomer.writes(
        "window.yaml",
        f"units: in\narch: {{kind: points, ordinates: {{spacing: 4, heights: [{SITE}]}}}}\nmeasured_on: inside\n"
        "depth: 4\nthickness: 5/8\nwood: white oak\nway: part-bagged\n",
    )
    screen = newcomer.types("check", "window.yaml")
    assert "leave_out=[5]" in screen
    newcomer.types("check", "window.yaml", "--set", "part.arch.leave_out=[5]")
    line = next(line for line in newcomer.said.splitlines() if "leave_out" in line).strip()
    text = (newcomer.folder / "window.yaml").read_text(encoding="utf-8")
    newcomer.writes("window.yaml", text.replace("kind: points,", "kind: points, leave_out: [5],"))
    assert "leave_out: [5]" in line
    newcomer.types("build", "window.yaml")
    newcomer.layers("window")
    clean(newcomer, 3)
    assert "curve.bad-reading" not in warnings_of(newcomer.job("window"))


def test_an_architect_s_drawing_with_blocks_and_dimensions(newcomer: Newcomer) -> None:
    document, space = architects.new()
    architects.band(space, 1.0)
    architects.furniture(document, 1.0)
    document.saveas(newcomer.folder / "elevation.dxf")
    listed = newcomer.types("show", "drawing", "elevation.dxf")
    arch = next(line.strip() for line in listed.splitlines() if line.strip().startswith("arch:"))
    newcomer.writes(
        "hall.yaml", f"units: mm\n{arch}\nmeasured_on: inside\ndepth: 100\nthickness: 18\nwood: white oak\n"
    )
    newcomer.types("build", "hall.yaml")
    newcomer.layers("hall")
    clean(newcomer, 2, look_ups=1)
