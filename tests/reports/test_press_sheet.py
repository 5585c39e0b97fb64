"""The press-day sheet, read back by another library: two sides, all on it, nothing over anything, true to the job."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from formgen.drafting.paper import MARGIN_MM
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.lengths import write_length, write_tape
from formgen.outputs.record.job import job_record
from formgen.recipe.catalogue import cautions
from formgen.reports.gauge.page import gauge_page
from formgen.reports.press_sheet import page
from formgen.reports.press_sheet.band import band_of
from formgen.reports.press_sheet.page import press_sheet
from formgen.reports.press_sheet.strip import strip_height_mm
from tests.reports.page_read import (
    UNUSUAL,
    UNUSUAL_NAMES,
    Read,
    in_order,
    in_order_with_pictures,
    large_or_small,
    lengths,
    read,
    read_all,
)
from tests.reports.press_cases import CASES
from tests.reports.press_read import lines_in
from tests.reports.test_press_steps import made_case, sheet_text

ROOT = Path(__file__).parents[2]


def sides_in_order(form: Form, most: int = 2, least_mm: float = 2.5) -> list[Read]:
    """Every side, each with all inside its margins, nothing over anything, and no capital lower than it may be."""
    assert isinstance(form, Holding)
    margin = MARGIN_MM - 0.3  # half the widest line lies outside
    content = press_sheet(form)
    count = read(content).pages
    assert count <= most
    sides = [in_order_with_pictures(content, 0, strip_of(form), margin)]
    sides += [in_order(content, margin, number=i, pages=most) for i in range(1, count)]
    assert min(height for side in sides for height in side.capitals) >= least_mm - 0.02
    return sides


def strip_of(form: Holding) -> tuple[float, float]:
    """Heights on the page between which the pictures stand."""
    width, height = page.paper_mm(form)
    wide = width - 2 * MARGIN_MM
    top = height - MARGIN_MM - page._head(form, wide).height_mm
    return top - strip_height_mm(form, page._flowed(form, (width, height)).shown, wide), top


def test_every_shipped_sheet_is_at_most_two_sides_in_order(shipped: Form) -> None:
    units = shipped.recipe.units
    for side in sides_in_order(shipped):
        assert side.size == pytest.approx((215.9, 279.4) if units == "in" else (210, 297), abs=0.1)
        assert "?" not in side.text  # a letter that the face lacks


@pytest.mark.parametrize("name", CASES)
def test_every_case_is_at_most_two_sides_in_order(name: str) -> None:
    sides_in_order(made_case(name))


@pytest.mark.parametrize(("arch", "more", "plies", "form"), UNUSUAL, ids=UNUSUAL_NAMES)
def test_small_large_and_crowded_parts_take_sides_rather_than_smaller_letters(
    tmp_path: Path, arch: str, more: str, plies: str, form: str
) -> None:
    holding = large_or_small(tmp_path, arch, more, plies, form)
    assert isinstance(holding, Holding)
    sides_in_order(holding, most=3)
    numbers = [figure.number for figure in band_of(holding) if figure.number]
    assert numbers == [line.text for line in lines_in(press_sheet(holding)) if line.capital_mm >= 8.98][-len(numbers) :]


@pytest.mark.parametrize(("paper", "size"), [("letter", (215.9, 279.4)), ("A3", (297, 420))])
def test_the_shop_says_on_which_paper(changed: Callable[..., Form], paper: str, size: tuple[float, float]) -> None:
    form = changed("gallery-casing", shop=(("altitude:", f"paper: {{size: {paper}}}\naltitude:"),))
    for side in sides_in_order(form):
        assert side.size == pytest.approx(size, abs=0.1)
    assert in_order(gauge_page(form)).size == pytest.approx(size, abs=0.1)


def test_numbers_are_those_of_the_record(shipped: Form) -> None:
    text = read_all(press_sheet(shipped))
    record: dict[str, Any] = job_record(shipped)
    found, units = record["found"], record["asked"]["recipe"]["units"]
    shown = lengths(text)
    for cut in found["laminate"]["materials"]["cuts"]:
        assert stands(on_the_tape(cut["length_mm"], units), text)
        assert stands(on_the_tape(cut["width_mm"], units), text)
        assert stands(fine(cut["thickness_mm"], units), text)
        assert cut["wood"] in text
    bag = found["press"]["bag"]
    if bag is not None:
        for key in ("flat_width_mm", "length_mm"):
            assert write_tape(bag[key], units) in shown
    for across in found["gauge"]["across"]:
        for key in ("inside_mm", "outside_mm"):
            assert write_length(across[key], units) in shown
    vacuum, inhg = found["press"]["vacuum"], 3.386389  # kPa to the inHg, BIPM's conventional value
    if vacuum is not None:
        value = f"{vacuum['held_kpa'] / inhg:.1f} inHg" if units == "in" else f"{vacuum['held_kpa']:.1f} kPa"
        assert f"Pump on, to {value}" in text
    glue = found["press"]["glue"]
    if glue["chosen"]:
        assert (f"{glue['mixed_kg'] / 0.45359237:.2f} lb" if units == "in" else f"{glue['mixed_kg']:.2f} kg") in text
        assert f"begun + {math.floor(glue['open_least_min'])} min" in text


def stands(amount: str, text: str) -> bool:
    """Tell whether a number stands there by itself, with its unit or where the unit is said once for several."""
    number = amount.rsplit(" ", 1)[0]
    return re.search(rf"(?<![\d/.]){re.escape(number)}(?![\d/.])", text) is not None


def on_the_tape(mm: float, units: str) -> str:
    """To the nearest 1/32 in, or half a mm: by fractions, not by the program's own writer."""
    if units == "mm":
        return f"{round(2 * mm) / 2:g} mm"
    whole, part = divmod(round(Fraction(mm) / Fraction("25.4") * 32), 32)
    texts = [str(whole)] * bool(whole) + [str(Fraction(part, 32))] * bool(part)
    return f"{' '.join(texts)} in"


def fine(mm: float, units: str) -> str:
    return f"{mm / 25.4:.3f} in" if units == "in" else f"{mm:.2f} mm"


def test_clamps_go_on_outward_and_only_those_that_stay_come_off_last(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    plan = job_record(form)["found"]["holding"]["clamps"]
    text = " ".join(sheet_text(form).replace("[ ] ", "").split())  # type: ignore[arg-type]
    on, off = text.index(" Clamps on "), text.index(" Release ")
    assert on < text.index(groups(plan["on_order"])) < text.index(" Full vacuum ") < off
    assert text.index(groups(plan["release"]), off)
    gone = {n for group in plan["off_at_vacuum"] for n in group}
    assert gone
    assert not gone & {n for group in plan["release"] for n in group}


def groups(order: list[list[int]]) -> str:
    return " ".join(" and ".join(map(str, sorted(group))) for group in order)


def test_the_bar_is_read_across_the_bench(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    content = press_sheet(form)
    # 14 mm capitals: a letter of 1/200 of the distance is read without effort (common practice, no source)
    assert max(y1 - y0 for i in range(read(content).pages) for _, y0, _, y1 in read(content, i).words) > 13.0
    setting = job_record(form)["found"]["holding"]["bar_setting"]
    over = 2 * sum(mm for _, mm in setting["lies"])  # jaw to jaw lies as much further out on both faces
    assert setting["jaw_to_jaw_mm"] - setting["between_legs_mm"] == pytest.approx(over, rel=0.02)
    assert write_tape(setting["jaw_to_jaw_mm"], "in") in read_all(content)


def test_no_caution_of_the_job_is_missing(shipped: Form) -> None:
    text = sheet_text(shipped)  # type: ignore[arg-type]
    found = job_record(shipped)["found"]
    named = [(found["press"][k] or {}).get("cautions", ()) for k in ("vacuum", "glue")]
    named += [found["form"][k]["cautions"] for k in ("strength", "weights")]
    for name in {name for names in named for name in names} - {"router"}:  # nothing is routed on the press day
        said = cautions()[name].said(shipped.recipe.units)
        line = next(line for line in text.splitlines() if line.strip().startswith(f"! {said}"))
        named = [part for part in re.split(r"[;,] ", cautions()[name].source) if part in line]
        assert named or "no source" in cautions()[name].source, name


def test_a_problem_stands_on_the_sheet_whatever_is_left_out(tmp_path: Path) -> None:
    # two plies of 22 mm ash round a radius of 450: bent past their breaking strain
    form = large_or_small(tmp_path, "{kind: semicircle, span: 900}", "", "plies: 2, thickness: 44", "backing: 150")
    problems = [f["message"] for f in job_record(form)["findings"] if f["severity"] == "problem"]
    text = read_all(press_sheet(form))
    assert "DO NOT PRESS" in text
    assert problems
    for message in problems:
        assert message in text


def test_the_same_bytes_in_every_process(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from formgen.recipe.load import load_recipe;"
        "from formgen.pipeline import run; from formgen.reports.press_sheet.page import press_sheet;"
        "Path(sys.argv[2]).write_bytes(press_sheet(run(load_recipe(Path(sys.argv[1])))))"
    )
    made = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "TZ": f"Etc/GMT+{seed}"}
        recipe, page = str(ROOT / "recipes" / "porch-door-jamb.yaml"), tmp_path / f"{seed}.pdf"
        subprocess.run([sys.executable, "-c", program, recipe, str(page)], check=True, env=environment, cwd=tmp_path)
        made.append(page.read_bytes())
    assert made[0] == made[1]


def test_picture_and_step_ask_for_a_look_after_the_shops_own_minutes(changed: Callable[..., Form]) -> None:
    own = ("sheet: mdf-18\n", "figures: {look_again_first_min: 8, look_again_last_min: 40}\nsheet: mdf-18\n")
    form = changed("newspaper-stall", shop=(own,))
    assert isinstance(form, Holding)
    said = read_all(press_sheet(form))
    assert "at once, 8, 40 min" in said
    assert {"8 min", "40 min"} <= set(re.findall(r"\d+ min", sheet_text(form)))
    assert "30 min" not in said
