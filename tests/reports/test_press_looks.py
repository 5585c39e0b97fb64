"""The press-day sheet at arm's length: heights, the band of four numbers, cautions before steps, units, white."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import Any

import pytest

from formgen.drafting.paper import MARGIN_MM, PLAIN, TEXT_MM
from formgen.holding.model import Holding
from formgen.lengths import write_tape
from formgen.outputs.record.job import job_record
from formgen.reports.press_sheet.band import band, band_of
from formgen.reports.press_sheet.day import steps_of
from formgen.reports.press_sheet.items import Care
from formgen.reports.press_sheet.page import _step
from formgen.reports.rows.makes import code_text
from tests.reports.page_read import read
from tests.reports.press_read import NAMES, holding_of, lines_of, sheet_of

#: Units of each system, as they stand behind a number.
INCH = r"in|ft|ft²|ft³|lb|lbf|psi|psf|inHg|°F"
METRIC = r"mm|cm|m|m²|m³|kg|g|kN|N|kPa|MPa|GPa|bar|mbar|°C|l|g/m²"
KPA_TO_INHG = 3.386389


def mixed(text: str, units: str) -> list[str]:
    """Numbers with a unit of the other system; limits in air are published in mg/m³ and are no such unit."""
    other = METRIC if units == "in" else INCH
    return re.findall(rf"\d (?:{other}|(?:inches|feet|metres))(?![\w/²³])", text)


@pytest.mark.parametrize("name", NAMES)
def test_no_unit_of_the_other_system(name: str) -> None:
    text = " ".join(line.text for line in lines_of(name))
    assert mixed(text, holding_of(name).recipe.units) == []
    assert mixed(text, "mm" if holding_of(name).recipe.units == "in" else "in")  # the pattern finds the shop's own


@pytest.mark.parametrize(("text", "units"), [("1.2 × 0.6 m carries 61.0 kN", "in"), ("23 kg (51 lb)", "mm")])
def test_a_mixed_sentence_would_be_found(text: str, units: str) -> None:
    assert mixed(text, units)


@pytest.mark.parametrize("name", NAMES)
def test_every_letter_is_upright_plain_and_large_enough(name: str) -> None:
    for line in lines_of(name):
        assert line.capital_mm >= TEXT_MM - 0.02, line
        assert line.face.split("+")[-1].replace("-", "").lower() == PLAIN.replace(" ", "").lower(), line


@pytest.mark.parametrize("name", NAMES)
def test_four_numbers_are_read_across_the_bench_and_are_the_records(name: str) -> None:
    holding, lines = holding_of(name), lines_of(name)
    found: dict[str, Any] = job_record(holding)["found"]
    large = [line.text for line in lines if line.side == 1 and line.capital_mm >= 9.0 - 0.02]
    wanted = wanted_numbers(holding, found)
    assert len(band_of(holding)) == 4
    assert large[-len(wanted) :] == wanted


def wanted_numbers(holding: Holding, found: dict[str, Any]) -> list[str]:
    """The numbers of the band that are known, by arithmetic of their own from the record; of a bag but the first."""
    vacuum, glue, units = found["press"]["vacuum"], found["press"]["glue"], holding.recipe.units
    numbers = [band_of(holding)[0].number]
    if vacuum is not None:
        numbers.append(f"{vacuum['held_kpa'] / (KPA_TO_INHG if units == 'in' else 1.0):.1f}")
    else:
        caul = found["press"]["caul"]
        numbers = [f"{caul['clamp_n'] / 4.4482216:.0f}", write_tape(caul["reach_mm"], units, 32).rsplit(" ", 1)[0]]
    if glue["chosen"]:
        minutes = glue["press_min"]
        numbers.append(f"+{math.floor(glue['open_least_min'])}")
        numbers.append(f"{minutes / 60:.0f}" if minutes >= 120 and minutes % 60 == 0 else f"{minutes:.0f}")
    return numbers


def test_the_bars_setting_is_the_records_and_the_highest_of_all() -> None:
    lines = lines_of("porch-door-jamb")
    setting = job_record(holding_of("porch-door-jamb"))["found"]["holding"]["bar_setting"]
    (line,) = [line for line in lines if line.capital_mm > 13.0]
    assert line.text == write_tape(setting["jaw_to_jaw_mm"], "in").removesuffix(" in")
    assert line.capital_mm == pytest.approx(14.0, abs=0.05)


@pytest.mark.parametrize("name", [n for n in NAMES if n.endswith("no glue")])
def test_what_the_glue_would_say_is_a_line_to_write_on(name: str) -> None:
    laid = band(band_of(holding_of(name)), 190.0)
    lines = [r for r in laid.rules if r.y0_mm == r.y1_mm and 10.0 < r.x1_mm - r.x0_mm < 100.0]
    assert len(lines) == 2
    for line in lines:
        unit = min((w for w in laid.words if w.x_mm > line.x1_mm and w.y_mm == line.y0_mm), key=lambda w: w.x_mm)
        assert unit.text in {"min", "h"}
        above = max(w.y_mm for w in laid.words if w.y_mm < line.y0_mm and line.x0_mm - 5 < w.x_mm < line.x1_mm)
        assert line.y0_mm - above >= 9.0  # room for figures as high as the printed ones


@pytest.mark.parametrize("name", NAMES)
def test_a_band_keeps_to_its_width_and_its_boxes(name: str) -> None:
    for wide_mm in (150.0, 186.0, 192.0):
        laid = band(band_of(holding_of(name)), wide_mm)
        edges = sorted({r.x0_mm for r in laid.rules if r.x0_mm == r.x1_mm})
        assert (edges[0], edges[-1]) == (0.0, wide_mm)
        assert len(edges) == 5
        assert min(b - a for a, b in pairwise(edges)) >= 20.0


@pytest.mark.parametrize("name", NAMES)
def test_plies_are_cut_by_figures_that_are_read_across_the_bench(name: str) -> None:
    holding = holding_of(name)
    high = [line.text for line in lines_of(name) if line.capital_mm >= 3.5 - 0.02]
    for cut in holding.laminate.materials.cuts:
        if cut.ply:
            lengths = [text for text in high if re.match(r"(?:\d+ to )?\d+: ", text)]
            number = write_length_of(cut.length_mm, holding.recipe.units)
            assert any(re.search(rf"(?<![\d/.]){re.escape(number)}(?![\d/.])", text) for text in lengths), cut


def write_length_of(mm: float, units: str) -> str:
    """To the nearest 1/32 in or half a mm, without its unit."""
    return f"{round(2 * mm) / 2:g}" if units == "mm" else write_tape(mm, "in", 32).removesuffix(" in")


@pytest.mark.parametrize("name", NAMES)
def test_a_caution_stands_in_its_frame_above_its_step(name: str) -> None:
    cautioned = 0
    for number, step in enumerate(steps_of(holding_of(name)), start=1):
        top = _step(number, step, 90.0, 2.5)[0]
        title = next(w for w in top.words if w.text == step.title)
        frames = sorted({r.y0_mm for r in top.rules if r.y0_mm == r.y1_mm})
        inside = [w for w in top.words if w.y_mm < title.y_mm - 1.0]
        assert bool(frames) == bool(inside) == bool(step.cautions)
        if step.cautions:
            cautioned += 1
            assert frames[-1] < title.y_mm - title.capital_mm
            assert all(frames[0] < w.y_mm - w.capital_mm < w.y_mm < frames[-1] for w in inside)
            said = " ".join(w.text for w in inside)
            assert all(care.text.split()[0] in said for care in step.cautions)
    assert cautioned


@pytest.mark.parametrize("name", NAMES)
def test_no_side_has_a_column_with_a_fifth_more_white_than_the_other(name: str) -> None:
    content = sheet_of(name)
    for side in range(read(content).pages):
        page = read(content, side)
        middle = page.size[0] / 2
        steps = [line for line in lines_of(name) if line.side == side + 1]
        lowest = [min(b.box[1] for b in steps if (b.box[0] > middle) == right) for right in (False, True)]
        assert abs(lowest[0] - lowest[1]) < 0.2 * (page.size[1] - 2 * MARGIN_MM), (side, lowest)


@pytest.mark.parametrize("name", NAMES)
def test_no_line_lies_close_under_the_head(name: str) -> None:
    content = sheet_of(name)
    for side in range(1, read(content).pages):
        page = read(content, side)
        wide = [line for line in page.lines if line[2] - line[0] > 80.0 and line[3] - line[1] < 0.1]
        head = max(line[1] for line in wide)
        assert not [line for line in wide if 0.1 < head - line[1] < 4.0 and not framed(page.lines, line)]


def framed(lines: tuple[tuple[float, float, float, float], ...], line: tuple[float, float, float, float]) -> bool:
    """Tell whether an upright line begins at its left end: it is the edge of a caution's frame."""
    return any(abs(u[0] - line[0]) < 0.3 and abs(u[3] - line[1]) < 0.3 and u[3] - u[1] > 3.0 for u in lines)


@pytest.mark.parametrize("name", NAMES)
def test_every_further_side_has_its_running_head(name: str) -> None:
    content, holding = sheet_of(name), holding_of(name)
    count = read(content).pages
    for side in range(2, count + 1):
        top = sorted((line for line in lines_of(name) if line.side == side), key=lambda line: -line.box[1])[:2]
        said = " ".join(line.text for line in top)
        assert holding.recipe.name in said
        assert code_text(holding) in said
        assert f"{side} of {count}" in said


@pytest.mark.parametrize("name", NAMES)
def test_no_name_is_broken_at_its_hyphen(name: str) -> None:
    assert not [line for line in lines_of(name) if line.text.endswith("-")]


@pytest.mark.parametrize("width", [20.0, 24.0, 28.0, 32.0, 40.0])
def test_a_mark_with_a_hyphen_stays_whole(width: float) -> None:
    laid = Care(text="Find W-102 and W-104, then S-801 and D-205 in the list", source="").laid(width, 2.5)
    assert not [word for word in laid.words if re.search(r"-$|^\d{3}", word.text)]
