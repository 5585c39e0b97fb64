"""`formgen show drawing`, and the newcomer's job: an architect's drawing, from what is in it to the layer drawings."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.cli import main
from formgen.curve.drawn.path import read_drawing
from formgen.recipe.arch_kinds import Drawing
from formgen.recipe.load import load_recipe
from tests.curve.architects import INNER_MM, LEG_MM, OUTER_MM, band, furniture, new

RECIPE = """\
format: 1
name: library-head
units: mm
part:
  {arch}
  measured_on: inside
  depth: 80
laminate: {{wood: white ash, thickness: 44, plies: 14}}
press: {{side: male}}
form: {{backing: 150}}
"""


def _run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    assert "Traceback" not in done.output
    return done.exit_code, done.stdout, done.stderr


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _elevation(folder: Path, units: str = "mm", one: float = 1.0) -> None:
    document, space = new(units)
    band(space, one)
    furniture(document, one)
    document.saveas(folder / "elevation.dxf")


def _arches(out: str) -> list[str]:
    """The lines to type, each put together again."""
    joined = re.sub(r"\n\s{12}", " ", out)
    return re.findall(r"^\s+(arch: \{.*\})$", joined, re.MULTILINE)


def test_from_the_drawing_to_the_layer_drawings_without_a_refusal(here: Path) -> None:
    _elevation(here)
    code, out, err = _run("show", "drawing", "elevation.dxf")
    assert (code, err) == (0, "")
    arch = next(line for line in _arches(out) if "line: inner" in line)
    (here / "head.yaml").write_text(RECIPE.format(arch=arch), encoding="utf-8")
    code, out, err = _run("check", "head.yaml", "--json")
    assert code == 0, err
    codes = {finding["code"] for finding in json.loads(out)["findings"]}
    assert codes >= {"curve.drawing-taken"}
    code, _, err = _run("build", "head.yaml")
    assert code == 0, err
    assert (here / "output/library-head/layers/layer-01.dxf").is_file()
    assert _run("verify", "output/library-head")[0] == 0


def test_what_is_in_it_by_layer_and_the_line_to_type_for_each(here: Path) -> None:
    _elevation(here)
    _, out, _ = _run("show", "drawing", "elevation.dxf")
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "elevation.dxf: drawn in mm" in out
    for said in ("A-ARCH   6 lines, 2 arcs", "A-DIMS   3 dimensions", "1 polyline, 1 block", "Lines that bend, open"):
        assert said in out
    inner, outer = 2 * LEG_MM + math.pi * INNER_MM, 2 * LEG_MM + math.pi * OUTER_MM
    assert f"{inner:.3f} mm long, 914.4 wide, 1057.2 high; 1 arc and 2 straights" in " ".join(out.split())
    assert f"{outer:.3f} mm long" in out
    assert "a corner at both ends" in " ".join(out.split())
    assert "Not for a part: 12 straight lines." in out


@pytest.mark.parametrize("units", ["in", "mm", "m"])
def test_every_line_that_it_says_to_type_takes_what_it_says(here: Path, units: str) -> None:
    per_mm = {"in": 1 / 25.4, "mm": 1.0, "m": 0.001}[units]
    document, space = new(units)
    block = document.blocks.new("HEAD 2")
    band(block, per_mm, layer="0")
    band(space, per_mm, at=(2500 * per_mm, 0))
    band(space, per_mm, at=(5000 * per_mm, 0))
    space.add_blockref("HEAD 2", (0, 0), dxfattribs={"layer": "yes", "xscale": -1})
    space.add_ellipse((0, 3000 * per_mm), (600 * per_mm, 0), 0.5, 0, math.pi, dxfattribs={"layer": "4 centred"})
    furniture(document, per_mm)
    document.saveas(here / "the heads.dxf")
    code, out, _ = _run("show", "drawing", "the heads.dxf", "--json")
    assert code == 0
    listed = [path for path in json.loads(out)["paths"] if path["open"]]
    _, screen, _ = _run("show", "drawing", "the heads.dxf")
    arches = _arches(screen)
    assert len(listed) == len(arches) == 8
    for path, arch in zip(listed, arches, strict=True):
        (here / "head.yaml").write_text(RECIPE.format(arch=arch), encoding="utf-8")
        code, out, err = _run("check", "head.yaml", "--json")
        assert code == 0, f"{arch}: {err}"
        asked = json.loads(out)["asked"]["recipe"]["part"]["arch"]
        assert asked["file"] == path["arch"]["file"]
        assert asked["near"] == path["arch"].get("near")
        curve, _, _ = read_drawing(Drawing.model_validate(path["arch"]), here, "mm")
        assert curve.length_mm == pytest.approx(path["length_mm"], abs=0.02)
        assert path["length_mm"] * per_mm == pytest.approx(path["length"])


def test_layers_whose_names_yaml_would_read_otherwise(here: Path) -> None:
    names = ["yes", "12", "2e3", "{x}", "A-ARCH", "no #1"]
    document, space = new()
    for i, name in enumerate(names):
        space.add_arc((2000 * i, 0), 500 + i, 0, 180, dxfattribs={"layer": name})
    document.saveas(here / "heads.dxf")
    _, out, _ = _run("show", "drawing", "heads.dxf")
    for name, arch in zip(reversed(names), _arches(out), strict=True):
        (here / "head.yaml").write_text(RECIPE.format(arch=arch), encoding="utf-8")
        asked = load_recipe(here / "head.yaml").part.arch
        assert isinstance(asked, Drawing)
        assert asked.layer == name


def test_a_drawing_without_units_asks_for_them(here: Path) -> None:
    document, space = new("none")
    space.add_arc((0, 0), 10, 0, 180)
    document.saveas(here / "head.dxf")
    code, out, _ = _run("show", "drawing", "head.dxf")
    said = " ".join(out.split())
    assert code == 0
    assert "does not say its units. Is the widest line 20 in or 20 mm? Add units: in or units: mm to the arch." in said
    record = json.loads(_run("show", "drawing", "head.dxf", "--json")[1])
    assert (record["units"], record["paths"][0]["length_mm"]) == (None, None)
    assert record["paths"][0]["length"] == pytest.approx(10 * math.pi)


def test_layers_that_are_off_and_names_that_act_on_a_screen(here: Path) -> None:
    document, space = new()
    document.layers.add("OLD").off()
    space.add_arc((0, 0), 500, 0, 180, dxfattribs={"layer": "OLD"})
    space.add_arc((0, 0), 600, 0, 180, dxfattribs={"layer": "a\u202eb"})
    space.add_circle((0, 0), 30)
    document.saveas(here / "head.dxf")
    code, out, _ = _run("show", "drawing", "head.dxf")
    assert code == 0
    assert "1 arc (off)" in out
    assert "\u202e" not in out
    assert "a\\u202eb" in out
    assert "Lines that bend, open and without a corner: 1" in out


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        ((), 2, "name one drawing: formgen show drawing FILE.dxf"),
        (("a.dxf", "b.dxf"), 2, "name one drawing"),
        (("a.dxf",), 1, "a.dxf: no such file, expected a DXF drawing; check the name"),
        (("note.dxf",), 1, "note.dxf cannot be read as a DXF"),
    ],
)
def test_what_is_no_drawing_is_refused(here: Path, words: tuple[str, ...], code: int, says: str) -> None:
    (here / "note.dxf").write_text("This is the drawing you asked for.\n", encoding="utf-8")
    got, out, err = _run("show", "drawing", *words)
    assert (got, out) == (code, "")
    assert says in err


def test_an_empty_drawing_is_listed(here: Path) -> None:
    document, _ = new()
    document.saveas(here / "head.dxf")
    code, out, _ = _run("show", "drawing", "head.dxf")
    assert code == 0
    assert "Lines that bend, open and without a corner: none" in out
