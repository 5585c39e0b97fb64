"""The press-day sheet, read back by another library: one page, all on it, nothing over anything, true to the record."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from formgen.exports.job import job_record
from formgen.form.model import Form
from formgen.lengths import write_length, write_tape
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.press_sheet import press_sheet
from formgen.reports.press_sheet_items import LEAST_MM

pdfium = pytest.importorskip("pypdfium2")
raw = pytest.importorskip("pypdfium2.raw")

ROOT = Path(__file__).parents[2]
MM_PER_PT = 25.4 / 72.0
Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Read:
    """A page as the other library reads it: its size, its text, the boxes of its words and of its lines, mm."""

    pages: int
    size: tuple[float, float]
    text: str
    words: tuple[Box, ...]
    lines: tuple[Box, ...]


def read(content: bytes) -> Read:
    """The first page."""
    document = pdfium.PdfDocument(content)
    page = document[0]
    boxes: dict[int, list[Box]] = {raw.FPDF_PAGEOBJ_TEXT: [], raw.FPDF_PAGEOBJ_PATH: []}
    for thing in page.get_objects():
        x0, y0, x1, y1 = (v * MM_PER_PT for v in thing.get_bounds())
        boxes[thing.type].append((x0, y0, x1, y1))
    return Read(
        pages=len(document),
        size=(page.get_width() * MM_PER_PT, page.get_height() * MM_PER_PT),
        text=" ".join(page.get_textpage().get_text_bounded().split()),
        words=tuple(boxes[raw.FPDF_PAGEOBJ_TEXT]),
        lines=tuple(boxes[raw.FPDF_PAGEOBJ_PATH]),
    )


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes share ground."""
    return min(a[2], b[2]) - max(a[0], b[0]) > 0.05 and min(a[3], b[3]) - max(a[1], b[1]) > 0.05


def in_order(content: bytes, margin_mm: float = 8.0) -> Read:
    """The page, which has everything inside its margins, no words over words, and no line through a word."""
    page = read(content)
    assert page.pages == 1
    for x0, y0, x1, y1 in (*page.words, *page.lines):
        assert margin_mm <= x0 <= x1 <= page.size[0] - margin_mm
        assert margin_mm <= y0 <= y1 <= page.size[1] - margin_mm
    assert [pair for pair in combinations(page.words, 2) if overlap(*pair)] == []
    assert [(w, line) for w in page.words for line in page.lines if overlap(w, line)] == []
    return page


def large_or_small(tmp_path: Path, arch: str, more: str, plies: str, form: str) -> Form:
    """The form of another part than the shipped ones."""
    text = f"""\
format: 1
name: reading-room-trial
units: mm
part: {{arch: {arch}, measured_on: inside, depth: 60{more}}}
laminate: {{wood: white ash, {plies}}}
press: {{side: male}}
form: {{{form}}}
"""
    (tmp_path / "trial.yaml").write_text(text, encoding="utf-8")
    return run(load_recipe(tmp_path / "trial.yaml"))


def test_every_shipped_sheet_is_one_page_in_order(shipped: Form) -> None:
    page = in_order(press_sheet(shipped))
    units = shipped.pressing.laminate.arch.recipe.asked.units
    assert page.size == pytest.approx((215.9, 279.4) if units == "in" else (210, 297), abs=0.1)
    assert "?" not in page.text  # a letter that the face lacks
    heights = [y1 - y0 for _, y0, _, y1 in page.words]
    assert max(heights) > 4


@pytest.mark.parametrize(
    ("arch", "more", "plies", "form"),
    [
        ("{kind: semicircle, span: 200}", "", "plies: 6, thickness: 6", "backing: 80"),
        ("{kind: semicircle, span: 4000}", ", legs: 600", "plies: 6, thickness: 18", "body: band, backing: 120"),
        (
            "{kind: segmental, span: 4000, rise: 700}",
            ", legs: 1500",
            "plies: 200, thickness: 200",
            "body: band, backing: 220, clamp_reliefs: {spacing: 100}",
        ),
        (
            "{kind: semicircle, span: 4000}",
            ", legs: 600",
            "plies: 40, thickness: 120",
            "body: band, backing: 220, clamp_reliefs: {spacing: 80}",
        ),
    ],
    ids=["200 mm", "4 m", "200 plies", "89 clamps"],
)
def test_small_large_and_crowded_parts_fit(tmp_path: Path, arch: str, more: str, plies: str, form: str) -> None:
    page = in_order(press_sheet(large_or_small(tmp_path, arch, more, plies, form)))
    # a line of lower-case letters at the least height is at least half as high
    assert min(y1 - y0 for _, y0, _, y1 in page.words) > 0.3 * LEAST_MM


def lengths(text: str) -> set[str]:
    """Every length on the page as it is written: `36 3/4 in`, `1203.4 mm`."""
    return set(re.findall(r"(?<![\d/.])(?:\d+ )?\d+(?:/\d+)? in\b|\d+\.\d mm\b|(?<![\d.])\d+ mm\b", text))


def test_numbers_are_those_of_the_record(shipped: Form) -> None:
    text = read(press_sheet(shipped)).text
    record: dict[str, Any] = job_record(shipped)
    found, units = record["found"], record["asked"]["recipe"]["units"]
    shown = lengths(text)
    for cut in found["laminate"]["materials"]["cuts"]:
        assert write_length(cut["length_mm"], units).removeprefix("≈ ") in shown
        assert cut["wood"] in text
    for key in ("flat_width_mm", "length_mm"):
        assert write_length(found["press"]["bag"][key], units).removeprefix("≈ ") in shown
    for across in found["gauge"]["across"]:
        for key in ("inside_mm", "outside_mm"):
            assert write_length(across[key], units).removeprefix("≈ ") in shown
    vacuum, inhg = found["press"]["vacuum"], 3.386389  # kPa to the inHg, BIPM's conventional value
    for key in ("held_kpa", "practical_kpa", "atmosphere_kpa"):
        value = f"{vacuum[key] / inhg:.1f} inHg" if units == "in" else f"{vacuum[key]:.1f} kPa"
        assert value in text
    glue = found["press"]["glue"]
    assert (f"{glue['mixed_kg'] / 0.45359237:.2f} lb" if units == "in" else f"{glue['mixed_kg']:.2f} kg") in text
    assert f"{glue['open_least_min']:.0f} to {glue['open_most_min']:.0f} min" in text
    if found["form"]["bar"] is not None:
        setting = found["form"]["bar"]["setting"]
        assert write_tape(setting["between_legs_mm"], units).removeprefix("≈ ") in shown


def test_clamps_go_on_in_turn_and_come_off_in_the_other(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    record = job_record(form)["found"]["form"]["clamps"]
    text = read(press_sheet(form)).text
    groups = [" and ".join(map(str, group)) for group in record["release"]]
    assert " ".join(groups) in text
    assert " ".join(groups[::-1]) in text
    assert text.index(" ".join(groups[::-1])) < text.index(" ".join(groups))


def test_the_bar_is_read_across_the_bench(made: Callable[[str], Form]) -> None:
    page = read(press_sheet(made("porch-door-jamb")))
    # 36 3/4 in: 14 mm capitals; a letter of 1/200 of the distance is read without effort (common practice, no source)
    assert max(y1 - y0 for _, y0, _, y1 in page.words) > 13.0


def test_each_step_has_its_cautions(made: Callable[[str], Form]) -> None:
    text = read(press_sheet(made("porch-door-jamb"))).text
    steps = [text.index(f" {t} ") for t in ("Lay out", "Dry run, without glue", "Glue The", "Vacuum The", "Release")]
    assert steps == sorted(steps)
    assert text.index("Wood dust") < steps[0] < text.index("Formaldehyde") < steps[3]
    assert text.index("A vacuum loads the form heavily") > steps[4]


def test_the_same_bytes_in_every_process(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from formgen.recipe.load import load_recipe;"
        "from formgen.pipeline import run; from formgen.reports.press_sheet import press_sheet;"
        "Path(sys.argv[2]).write_bytes(press_sheet(run(load_recipe(Path(sys.argv[1])))))"
    )
    made = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "TZ": f"Etc/GMT+{seed}"}
        recipe, page = str(ROOT / "recipes" / "porch-door-jamb.yaml"), tmp_path / f"{seed}.pdf"
        subprocess.run([sys.executable, "-c", program, recipe, str(page)], check=True, env=environment, cwd=tmp_path)
        made.append(page.read_bytes())
    assert made[0] == made[1]
