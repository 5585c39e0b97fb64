"""A copy of the program to which a stranger adds one thing of each kind, as `DEVELOPERS.md` says and no further.

Each is used at once through the command line, against a value from outside, and the files that had to be touched are
counted over git's own status: docs and tests apart, an arch at most 3, an output 2, a wood 1, a recipe key 3.
"""

from __future__ import annotations

import json
import math
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

RECIPE = """\
format: 1
name: stranger
units: mm
part:
  arch: {kind: segmental, span: 1200, rise: 200}
  measured_on: centre
  depth: 60
laminate: {wood: white oak, thickness: 12, plies: 4}
press: {side: male}
"""

PARABOLA_ASK = """\
class Parabola(Strict):
    kind: Literal["strangers-parabola"]
    span_mm: PositiveMm
    rise_mm: PositiveMm


"""
PARABOLA = """\


def parabola(ask: Parabola) -> ArcSpline:
    # half of it from the springing to the crown, y = h(1 − (x/a)²), and the same again
    a, h = ask.span_mm / 2.0, ask.rise_mm
    half = Smooth(
        point=lambda u: np.column_stack([a * (1.0 - u), h * (1.0 - (1.0 - u) ** 2)]),
        tangent=lambda u: np.column_stack([np.full_like(u, -a), 2.0 * h * (1.0 - u)]),
        begin=0.0,
        end=1.0,
    )
    return mirrored(fit_biarcs(half, FIT_TOLERANCE_MM))
"""
PIECES = """\
def pieces_text(form):
    return "".join(f"{piece.name}\\n" for _, piece in form.pieces)


def write_pieces(form, folder, files):
    (folder / "pieces.txt").write_text(pieces_text(form), encoding="utf-8")


def check_pieces(path, name, form):
    if path.read_text(encoding="utf-8") != pieces_text(form):
        yield "names other pieces: build again"
"""
PIECES_ROW = """\
    Output(names=lambda _: ("pieces.txt",), write=write_pieces, check=check_pieces),
"""


@dataclass
class Copy:
    """The program's files in a repository of their own."""

    folder: Path

    def write(self, file: str, text: str, *, before: str) -> None:
        """Text into a file, before the first place where another stands."""
        self.replace(file, before, text + before)

    def replace(self, file: str, old: str, new: str) -> None:
        """Text in place of the first place where another stands, which must stand there."""
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text, f"{old!r} does not stand in {file}"
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    def add(self, file: str, text: str) -> None:
        """Text at the end of a file, new or not."""
        with (self.folder / file).open("a", encoding="utf-8") as out:
            out.write(text)

    def touched(self) -> list[str]:
        """Files of the program that are not as they were."""
        return [line[3:] for line in self._git("status", "--porcelain", "--untracked-files=all").splitlines()]

    def formgen(self, *words: str, code: int = 0) -> str:
        """What a command of the copy says on stdout; its exit code is the one expected."""
        done = subprocess.run(
            [sys.executable, "-m", "formgen", *words], cwd=self.folder, env=self._env, capture_output=True, text=True,
            encoding="utf-8", check=False,
        )  # fmt: skip
        assert done.returncode == code, done.stderr
        return done.stdout + (done.stderr if code else "")

    def recipe(self, *changes: tuple[str, str]) -> str:
        """A recipe beside the copy, changed."""
        text = RECIPE
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = self.folder.parent / "stranger.yaml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    def begin(self) -> None:
        """Everything as it is goes into the repository."""
        self._git("init", "--quiet")
        self._git("add", "--all")
        self._git("-c", "user.name=n", "-c", "user.email=e", "commit", "--quiet", "--message=as it was")

    @property
    def _env(self) -> dict[str, str]:
        return {**os.environ, "PYTHONPATH": str(self.folder), "PYTHONDONTWRITEBYTECODE": "1"}

    def _git(self, *words: str) -> str:
        return subprocess.run(
            ["git", *words], cwd=self.folder, capture_output=True, text=True, check=True, encoding="utf-8"
        ).stdout


@pytest.fixture
def copy(tmp_path: Path) -> Copy:
    """A fresh copy of the package."""
    made = Copy(tmp_path / "copy")
    shutil.copytree(ROOT / "formgen", made.folder / "formgen", ignore=shutil.ignore_patterns("__pycache__"))
    made.begin()
    return made


def test_a_wood_is_one_file(copy: Copy) -> None:
    copy.add(
        "formgen/recipe/data/woods.toml",
        '\n[wood."bog oak"]\nmodulus_mpa = 9000\nstrength_mpa = 80.0\nkind = "hardwood"\nsource = "wood_handbook"\n'
        'how_sure = "published"\nchange_radial = 0.002\nchange_tangential = 0.003\nchange_how_sure = "published"\n',
    )
    found = json.loads(copy.formgen("check", "--json", copy.recipe(("white oak", "bog oak"))))["found"]
    assert {ply["modulus_mpa"] for ply in found["laminate"]["plies"]} == {9000}
    assert copy.touched() == ["formgen/recipe/data/woods.toml"]


def test_a_wood_that_lacks_a_value_is_named(copy: Copy) -> None:
    copy.add("formgen/recipe/data/woods.toml", '\n[wood."bog oak"]\nmodulus_mpa = 9000\n')
    said = copy.formgen("check", copy.recipe(), code=1)
    assert 'woods.toml: [wood."bog oak"] has no strength_mpa, kind' in said
    assert "Traceback" not in said


def test_an_arch_is_three_files(copy: Copy) -> None:
    copy.write("formgen/recipe/arch_kinds.py", PARABOLA_ASK, before="ArchAsk = Annotated[\n")
    copy.write("formgen/recipe/arch_kinds.py", "    | Parabola\n", before="    | Drawing,\n")
    entry = '\n[arch.strangers-parabola]\nwhat = "A parabola."\ngive = ["span and rise"]\n'
    copy.add("formgen/recipe/data/arches.toml", entry)
    arches = "formgen/curve/arches.py"
    copy.write(arches, "    Parabola,\n", before="    Pointed,\n")
    copy.write(
        arches, "import numpy as np\nfrom formgen.geometry.biarc import Smooth\n", before="from formgen.geometry.biarc"
    )
    copy.write(arches, PARABOLA, before="\n\nclass Given")
    row = "    _by_sizes(Parabola, parabola, Springs.LEVEL_PAIR),\n"
    copy.write(arches, row, before="    ArchKind(\n        model=Points")
    found = json.loads(copy.formgen("check", "--json", copy.recipe(("segmental", "strangers-parabola"))))["found"]
    a, h = 600.0, 200.0  # length of a parabola's arc: √(a² + 4h²) + a²/(2h) asinh(2h/a), a handbook's formula
    length = math.hypot(a, 2 * h) + a * a / (2 * h) * math.asinh(2 * h / a)
    assert found["arch"]["target"]["length_mm"] == pytest.approx(length, abs=0.02)
    assert found["arch"]["two_legged"]
    assert "A parabola." in copy.formgen("show", "arches")
    assert len(copy.touched()) <= 3


def test_an_arch_without_a_row_says_so(copy: Copy) -> None:
    copy.replace("formgen/curve/arches.py", "    _by_sizes(Segmental, segmental, Springs.LEVEL_PAIR),\n", "")
    assert "ARCHES has no row for Segmental" in copy.formgen("check", copy.recipe(), code=1)


def test_an_output_is_two_files(copy: Copy, tmp_path: Path) -> None:
    copy.add("formgen/outputs/pieces_text.py", PIECES)
    table = "formgen/outputs/table.py"
    copy.write(
        table,
        "from formgen.outputs.pieces_text import check_pieces, write_pieces\n",
        before="from formgen.outputs.step",
    )
    copy.replace(table, "FILES: tuple[Output, ...] = (\n", f"FILES: tuple[Output, ...] = (\n{PIECES_ROW}")
    copy.formgen("build", copy.recipe(), "--output", str(tmp_path / "out"))
    written = tmp_path / "out" / "stranger" / "pieces.txt"
    assert written.read_text(encoding="utf-8").splitlines()[0].startswith("L01")
    copy.formgen("verify", str(written.parent))
    written.write_text("L99\n", encoding="utf-8")
    assert "pieces.txt" in copy.formgen("verify", str(written.parent), code=3)
    assert len(copy.touched()) <= 2


def test_a_recipe_key_is_three_files(copy: Copy) -> None:
    copy.write("formgen/recipe/schema.py", "    finish: Line | None = None\n", before="    measured_on: Literal[")
    shown = '    if asked.part.finish:\n        yield "finish", asked.part.finish\n'
    copy.write("formgen/reports/rows/decisions.py", shown, before='    yield "measured radius"')
    said = copy.formgen("check", "--all", copy.recipe(("  depth: 60", "  depth: 60\n  finish: two coats of oil")))
    assert "two coats of oil" in said
    assert '"finish"' in copy.formgen("schema")
    assert "part.finsh" in copy.formgen("check", copy.recipe(("  depth: 60", "  depth: 60\n  finsh: oil")), code=1)
    assert len(copy.touched()) <= 3


def test_a_finding_is_two_files(copy: Copy) -> None:
    copy.add(
        "formgen/findings/data/curve.toml",
        '\n[curve.wide-span]\nseverity = "warning"\ntitle = "Wide opening"\n'
        'sentence = "The curve is {value:length} long."\ndo = "Ask a second person to carry it."\n'
        'source = "common practice, no source"\nunit = "mm"\n',
    )
    stage = "formgen/curve/stage.py"
    made = '        findings=(*findings, finding("curve.wide-span", recipe.units, value=target.length_mm)),\n'
    copy.replace(stage, "        findings=findings,\n", made)
    copy.write(stage, "from formgen.findings import finding\n", before="from formgen.geometry.arcspline")
    found = json.loads(copy.formgen("check", "--json", copy.recipe()))["findings"]
    (one,) = [finding for finding in found if finding["code"] == "curve.wide-span"]
    assert (one["severity"], one["message"][-32:]) == ("warning", "Ask a second person to carry it.")
    assert "curve.wide-span" in copy.formgen("show", "findings", "--json")
    assert len(copy.touched()) <= 2
