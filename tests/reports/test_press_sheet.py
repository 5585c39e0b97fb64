"""The press-day sheet, read back by another library: one page, all on it, nothing over anything, true to the record."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from formgen.exports.job import job_record
from formgen.form.model import Form
from formgen.lengths import write_length, write_tape
from formgen.recipe.catalogue import cautions
from formgen.reports.gauge import gauge_page
from formgen.reports.press_sheet import press_sheet
from formgen.reports.press_sheet_laid import LEAST_MM
from tests.reports.page_read import UNUSUAL, UNUSUAL_NAMES, in_order, large_or_small, lengths, read

ROOT = Path(__file__).parents[2]


def test_every_shipped_sheet_is_one_page_in_order(shipped: Form) -> None:
    page = in_order(press_sheet(shipped))
    units = shipped.pressing.laminate.arch.recipe.asked.units
    assert page.size == pytest.approx((215.9, 279.4) if units == "in" else (210, 297), abs=0.1)
    assert "?" not in page.text  # a letter that the face lacks
    heights = [y1 - y0 for _, y0, _, y1 in page.words]
    assert max(heights) > 4


@pytest.mark.parametrize(
    ("arch", "more", "plies", "form"),
    UNUSUAL,
    ids=UNUSUAL_NAMES,
)
def test_small_large_and_crowded_parts_fit(tmp_path: Path, arch: str, more: str, plies: str, form: str) -> None:
    page = in_order(press_sheet(large_or_small(tmp_path, arch, more, plies, form)))
    # a line of lower-case letters at the least height is at least half as high
    assert min(y1 - y0 for _, y0, _, y1 in page.words) > 0.3 * LEAST_MM


@pytest.mark.parametrize(("paper", "size"), [("letter", (215.9, 279.4)), ("A3", (297, 420))])
def test_the_shop_says_on_which_paper(changed: Callable[..., Form], paper: str, size: tuple[float, float]) -> None:
    form = changed("gallery-casing", shop=(("altitude:", f"paper: {{size: {paper}}}\naltitude:"),))
    for content in (press_sheet(form), gauge_page(form)):
        assert in_order(content).size == pytest.approx(size, abs=0.1)


def test_numbers_are_those_of_the_record(shipped: Form) -> None:
    text = read(press_sheet(shipped)).text
    record: dict[str, Any] = job_record(shipped)
    found, units = record["found"], record["asked"]["recipe"]["units"]
    shown = lengths(text)
    for cut in found["laminate"]["materials"]["cuts"]:
        assert write_length(cut["length_mm"], units).removeprefix("≈ ") in shown
        assert cut["wood"] in text
    for key in ("flat_width_mm", "length_mm"):
        assert write_tape(found["press"]["bag"][key], units).removeprefix("≈ ") in shown
    for across in found["gauge"]["across"]:
        for key in ("inside_mm", "outside_mm"):
            assert write_length(across[key], units).removeprefix("≈ ") in shown
    vacuum, inhg = found["press"]["vacuum"], 3.386389  # kPa to the inHg, BIPM's conventional value
    for key in ("held_kpa", "practical_kpa", "atmosphere_kpa"):
        value = f"{vacuum[key] / inhg:.1f} inHg" if units == "in" else f"{vacuum[key]:.1f} kPa"
        assert value in text
    glue = found["press"]["glue"]
    if not glue["chosen"]:
        assert "not chosen" in text
        return
    assert (f"{glue['mixed_kg'] / 0.45359237:.2f} lb" if units == "in" else f"{glue['mixed_kg']:.2f} kg") in text
    assert f"{glue['open_least_min']:.0f} to {glue['open_most_min']:.0f} min" in text
    if found["holding"]["bar_setting"] is not None:
        setting = found["holding"]["bar_setting"]
        assert write_tape(setting["jaw_to_jaw_mm"], units).removeprefix("≈ ") in shown


def test_clamps_go_on_from_the_crown_outward_and_come_off_feet_first(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    record = job_record(form)["found"]["holding"]["clamps"]
    text = read(press_sheet(form)).text
    on, off = ([" and ".join(map(str, group)) for group in record[order]] for order in ("on_order", "release"))
    assert (on[0], off[0]) == ("6", "1 and 11")
    assert text.index("Clamps on") < text.index(" ".join(on)) < text.index("Release") < text.index(" ".join(off))


def test_the_bar_is_read_across_the_bench(made: Callable[[str], Form]) -> None:
    page = read(press_sheet(made("porch-door-jamb")))
    # 36 3/4 in: 14 mm capitals; a letter of 1/200 of the distance is read without effort (common practice, no source)
    assert max(y1 - y0 for _, y0, _, y1 in page.words) > 13.0


def test_each_step_has_its_cautions(changed: Callable[..., Form]) -> None:
    text = read(press_sheet(changed("porch-door-jamb", ("plies: 8", "plies: 8\n  adhesive: urea formaldehyde")))).text
    steps = [text.index(f" {t} ") for t in ("Lay out", "Dry run, without glue", "Glue The", "Vacuum The", "Release")]
    assert steps == sorted(steps)
    assert text.index("Wood dust") < steps[0] < text.index("Formaldehyde") < steps[3]
    assert text.index("A stack bent over a form is a spring") > steps[4]


def test_no_caution_of_the_job_is_missing(shipped: Form) -> None:
    text = " ".join(read(press_sheet(shipped)).text.split())
    found = job_record(shipped)["found"]
    named = [found["press"][k]["cautions"] for k in ("vacuum", "glue")]
    named += [found["form"][k]["cautions"] for k in ("strength", "weights")]
    for name in {name for names in named for name in names} - {"router"}:  # nothing is routed on the press day
        assert cautions()[name].line in text, name


def test_a_problem_stands_on_the_sheet_whatever_is_left_out(tmp_path: Path) -> None:
    # 200 plies with one person, and a glue whose own sheet says 20 min: it dries before the bag is closed
    glue = "{own: {like: urea formaldehyde, open_min: 20, source: its own sheet}}"
    (tmp_path / "shop.yaml").write_text(f"format: 1\nadhesive: own\nadhesives: {glue}\n", encoding="utf-8")
    form = large_or_small(tmp_path, *UNUSUAL[2])
    problems = [f["message"] for f in job_record(form)["findings"] if f["severity"] == "problem"]
    text = read(press_sheet(form)).text
    assert problems
    for message in problems:
        assert message.replace("≈ ", "") in text


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
