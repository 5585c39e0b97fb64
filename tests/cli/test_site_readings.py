"""A joiner comes from the site with heights, one of them a slip of the pen, and goes away with layers to cut."""

from __future__ import annotations

import json
import math
from pathlib import Path

import ezdxf
import pytest
from click.testing import CliRunner

from formgen.cli.commands import main

ROOT = Path(__file__).parents[2]

#: Heights in inches every 4 in under a circle of R 30 over a span of 40, to the nearest 1/16: its centre lies
#: √(30² − 20²) = 22 3/8 in below the straight edge.
TRUE = [round(16.0 * (math.sqrt(900.0 - x * x) - math.sqrt(500.0))) / 16.0 for x in range(-20, 21, 4)]
BAD = 7

RECIPE = """\
format: 1
name: stair-window
units: in
part:
  arch:
    kind: points
    ordinates: {{spacing: 4, heights: {heights}}}
{more}  measured_on: inside
  depth: 4
laminate: {{wood: white oak, thickness: 5/8, plies: auto}}
press: {{side: male}}
form: {{sheet: mdf-3-4}}
"""


@pytest.fixture
def window(tmp_path: Path) -> Path:
    """A folder with the recipe as typed on the day: reading 7 is 2 in too low."""
    (tmp_path / "shop.yaml").write_bytes((ROOT / "recipes" / "shop.yaml").read_bytes())
    _type(tmp_path / "window.yaml")
    return tmp_path


def _type(path: Path, more: str = "") -> None:
    heights = [h - (2.0 if i == BAD - 1 else 0.0) for i, h in enumerate(TRUE)]
    path.write_text(RECIPE.format(heights=heights, more=more), encoding="utf-8")


def _run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(words))
    return done.exit_code, done.stdout, done.stderr


def test_it_goes_to_layer_drawings_and_the_bad_reading_is_named(window: Path) -> None:
    code, _, said = _run("build", str(window / "window.yaml"), "--output", str(window / "out"))
    assert code == 0
    (named,) = [line for line in said.splitlines() if "curve.bad-reading" in line]
    wrong, true = TRUE[BAD - 1] - 2.0, TRUE[BAD - 1]
    assert f"Reading {BAD} (at 24 in, height {wrong:.0f} " in named or f"height {math.floor(wrong)} " in named
    near = named.partition("should be near ")[2].partition(" in.")[0]
    whole, _, part = near.partition(" ")
    above, _, below = part.partition("/")
    assert float(whole) + float(above or 0) / float(below or 1) == pytest.approx(true, abs=1 / 16)
    layers = sorted((window / "out" / "stair-window" / "layers").glob("*.dxf"))
    assert layers
    assert all(len(ezdxf.readfile(layer).modelspace()) for layer in layers)


def test_one_line_mends_it(window: Path) -> None:
    _, _, said = _run("build", str(window / "window.yaml"), "--output", str(window / "out"))
    line = said.partition("part.arch.")[2].partition("]")[0] + "]"
    assert line == f"leave_out: [{BAD}]"
    _type(window / "window.yaml", f"    {line}\n")
    code, _, said = _run("build", str(window / "window.yaml"), "--output", str(window / "out"))
    assert code == 0
    assert "curve." not in said
    fit = json.loads((window / "out" / "stair-window" / "job.json").read_text(encoding="utf-8"))["found"]["arch"]["fit"]
    assert fit["compared"][0]["radii_mm"] == [pytest.approx(30.0 * 25.4, rel=0.01)]
    assert fit["left_out"] == [{"number": BAD, "off_mm": pytest.approx(2.0 * 25.4, rel=0.05)}]
    report = (window / "out" / "stair-window" / "report.html").read_text(encoding="utf-8")
    for curve in ("circle", "three-centred arch", "ellipse", "four-centred arch", "fair curve"):
        assert f"as a {curve}" in report or f"as an {curve}" in report


def test_the_table_of_check_holds_all_five_and_what_is_taken(window: Path) -> None:
    code, said, _ = _run("check", "--all", str(window / "window.yaml"))
    said = " ".join(said.split())
    assert code == 0
    assert said.count(" arcs") + said.count(" arc;") + said.count("none:") >= 5
    assert said.count("; taken") == 1
    assert "the simplest within" in said


def test_a_measured_opening_with_a_point_is_built_as_two_halves(tmp_path: Path) -> None:
    # Four-centred on the span in four, s 48: r 12, R 45.941 in (0.957107 s), to the nearest 1/16 in.
    def height(x: float) -> float:
        upper = math.sqrt(max(45.941**2 - (x + 12.0) ** 2, 0.0)) - 24.0
        return upper if x < 45.941 / math.sqrt(2.0) - 12.0 else math.sqrt(max(144.0 - (x - 12.0) ** 2, 0.0))

    heights = [round(16.0 * height(abs(x))) / 16.0 for x in range(-24, 25, 3)]
    text = RECIPE.format(heights=heights, more="    fit: four-centred\n").replace("spacing: 4", "spacing: 3")
    (tmp_path / "shop.yaml").write_bytes((ROOT / "recipes" / "shop.yaml").read_bytes())
    (tmp_path / "tudor.yaml").write_text(text.replace("thickness: 5/8", "thickness: 3/8"), encoding="utf-8")
    code, said, _ = _run("check", "--json", str(tmp_path / "tudor.yaml"))
    assert code == 0
    arch = json.loads(said)["found"]["arch"]
    assert arch["copies"] == 2
    assert arch["fit"]["what"] == "four-centred arch"
    assert [piece["radius_mm"] for piece in arch["measured"]["pieces"]] == pytest.approx(
        [12.0 * 25.4, 45.941 * 25.4], rel=0.03
    )
