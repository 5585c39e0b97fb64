"""Pages of a form that several openings share, read back by another library: a row for each, lines where it says."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from shapely import LineString, Point

from formgen.building.model import SharedForm
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.lengths import write_length
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.reports.drawing.sheets import shop_drawing
from formgen.reports.gauge.page import gauge_page
from formgen.reports.press_sheet.page import press_sheet
from formgen.reports.rows.makes import within_text
from formgen.reports.template.pdf import template
from formgen.reports.web.report import report_page
from tests.building.conftest import scheduled
from tests.makes.conftest import library, shared
from tests.reports.paper_paths import Page, pages
from tests.reports.test_press_sheet import sides_in_order

__all__ = ["library", "scheduled", "shared"]


@pytest.fixture(scope="module")
def forms(shared: list[SharedForm]) -> list[Holding]:
    """Plain arcs, jambs, niches past half a turn, casings, halves."""
    return [run(form.recipe) for form in shared]


def rows_of(form: Form) -> list[list[str]]:
    """The cells that each opening's row must have, from the record, in their order."""
    record = job_record(form)  # type: ignore[arg-type]
    units = record["asked"]["recipe"]["units"]

    def bare(mm: float) -> str:
        return write_length(mm, units).removesuffix(f" {units}")

    return [
        [
            part["mark"], part["code"], str(part["quantity"]), part["measured_on"], bare(part["span_mm"]),
            bare(part["rise_mm"]), bare(part["trim"]["along_form_face"]["right_mm"]),
            bare(part["trim"]["along_form_face"]["left_mm"]),
        ]
        for part in record["found"]["makes"]
    ]  # fmt: skip


def test_every_page_has_a_row_for_each_opening(forms: list[Holding]) -> None:
    for form in forms:
        gauge = list(pages(gauge_page(form)))
        shown = {
            "press day": " ".join(side.text for side in sides_in_order(form, most=3, least_mm=1.2)),
            "gauge": gauge[0].text,
            "template": next(pages(template(form)[0])).text,
            "drawing": " ".join(page.text for page in pages(shop_drawing(form)[1])),
        }
        assert not re.search(r"[{}?]|None|_", " ".join(shown.values()))  # nothing of the program's own shows
        for name, text in shown.items():
            assert job_record(form)["found"]["code"] in text, name
            for row, part in zip(rows_of(form), form.makes, strict=True):
                assert " ".join(row) in text, (name, row)
                lengths = [part.ply_lengths_mm[0], part.ply_lengths_mm[-1], part.ply_step_mm]
                plies = [write_length(mm, "in").removesuffix(" in") for mm in lengths]
                assert " ".join(plies) in text, (name, plies)
        assert len(gauge) == 1 + len(form.makes)
        for page in gauge:
            assert page.clashes() == []


def test_each_opening_has_its_own_gauge_page_in_the_order_of_the_list(forms: list[Holding]) -> None:
    for form in forms:
        for page, part in zip(list(pages(gauge_page(form)))[1:], form.makes, strict=True):
            assert page.text.startswith(f"{part.mark} {part.code}")
            at = -1
            for reading in part.readings:
                wanted = write_length(reading.wanted_mm, "in")
                name = f"{reading.name} at " if reading.name != "ordinate" else f" {reading.number} "
                if reading.face == "inside" or reading.name == "rise":
                    at = page.text.index(name, max(at, 0))
                assert wanted in page.text[at:]


def test_what_is_measured_at_release_stands_with_tolerance_and_blank(forms: list[Holding]) -> None:
    """What sharing leaves of the tolerance, rounded down; the reading on the face that the opening was measured on."""
    for form in forms:
        text = " ".join(side.text for side in sides_in_order(form, most=3, least_mm=1.2))
        for part in form.makes:
            left = part.recipe.part.tolerance_mm - part.gives_up_mm
            marks = math.floor(left / 25.4 * 64 + 1e-6)
            assert within_text(left, "in") == (
                write_length(marks * 25.4 / 64, "in") if marks else f"{left / 25.4:.3f} in"
            )
            assert f"{part.mark}, within {within_text(left, 'in')} wanted at release next day" in text
            face = "outside" if part.measured_on == "outside" else "inside"
            first = next(r for r in part.readings if r.face == face and r.name == "span")
            assert f"span at the {first.place}, {face} {write_length(first.wanted_mm, 'in')}" in text


def test_trim_lines_on_the_template_lie_where_the_rows_say(forms: list[Holding]) -> None:
    """Measured on the roll: along the form's edge from its centre line to each line that crosses it, with shapely."""
    for form in forms:
        if form.makes[0].trim.measured_from != "centre line":
            continue
        (page,) = pages(template(form)[1])
        for mark in (part.mark for part in form.makes):
            assert re.search(rf"trim [^.]*{mark}", page.text), mark
        crossings = _crossings(page, form)
        for part in form.makes:
            for length in part.trim.form_face_mm:
                assert min(abs(at - length) for at in crossings) <= 0.25 + 0.1  # lines within half a mm are one
    (half,) = [form for form in forms if form.makes[0].mark == "P-601"]
    assert half.makes[0].trim.measured_from == "form's left trim line"
    assert half.makes[0].trim.left_mm == pytest.approx(0.0, abs=1e-9)


def _crossings(page: Page, form: Form) -> list[float]:
    """How far along the face from its middle, in mm, each line of two points crosses it."""
    largest = max((layer.outline for layer in form.layers), key=lambda outline: outline.area_mm2)
    x0, y0, x1, y1 = largest.bounds
    drawn = page.outline(x1 - x0, y1 - y0, 0.1)
    shift = np.array([drawn.bounds[0] - x0, drawn.bounds[1] - y0])
    face = LineString(form.face.sampled(1e-4) + shift)
    axis = LineString([(shift[0], shift[1] - 5000.0), (shift[0], shift[1] + 5000.0)])
    points = list(getattr(axis.intersection(face), "geoms", [axis.intersection(face)]))
    middle = face.project(max(points, key=lambda p: p.y))
    found = []
    for path in page.paths:
        for run_ in path.runs:
            if len(run_) == 2:
                line = LineString(run_)
                if line.intersects(face) and 60.0 < line.length < 90.0:
                    at = line.intersection(face)
                    if isinstance(at, Point):
                        found.append(abs(face.project(at) - middle))
    return found


def test_trim_lines_are_cut_into_the_pieces_with_their_marks(forms: list[Holding]) -> None:
    for form in forms:
        lettered = {label.text for _, piece in form.pieces for label in piece.labels}
        for _, piece in form.pieces:
            for mark in piece.marks:
                if mark.openings:
                    assert f"TRIM {' '.join(mark.openings)}" in lettered
        named = {m for _, piece in form.pieces for mark in piece.marks for m in mark.openings}
        everybody = [mark for _, piece in form.pieces for mark in piece.marks if mark.kind == "trim line"]
        assert named or everybody


def test_the_report_lists_them(forms: list[Holding]) -> None:
    page = report_page(forms[0], {})[0].decode()
    rows = [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in re.findall(r"<tr>(.*?)</tr>", page)]
    for row in rows_of(forms[0]):
        wanted = [cell.replace(" ", chr(160)) for cell in row[1:]]
        assert any(cells[: len(wanted)] == wanted for cells in rows)
    assert job_record(forms[0])["found"]["code"] in page


def test_pages_of_one_opening_show_its_code(made: Callable[[str], Holding]) -> None:
    form = made("porch-door-jamb")
    code = job_record(form)["found"]["code"]
    assert code == form.makes[0].code
    shown = (press_sheet(form), gauge_page(form), *template(form), shop_drawing(form)[1], report_page(form, {})[0])
    for content in shown[:-1]:
        assert code in next(pages(content)).text
    assert code in shown[-1].decode()


@pytest.mark.parametrize("count", [7, 45])
def test_many_openings_are_listed_on_pages_of_their_own(scheduled: Callable[..., Schedule], count: int) -> None:
    rows = "\n".join(f"W-{i},{900 + i / 100},180" for i in range(count))
    (shared_form,) = plan_building(scheduled(f"opening,span,rise\n{rows}\n").openings, 1.0).forms
    form = run(shared_form.recipe)
    day, gauge = list(pages(press_sheet(form))), list(pages(gauge_page(form)))
    for page in (*day, *gauge[: len(gauge) - count]):
        assert page.clashes() == []
    for text in (" ".join(page.text for page in day), " ".join(page.text for page in gauge)):
        for row in rows_of(form):
            assert " ".join(row) in text
    assert len(day) > 1
