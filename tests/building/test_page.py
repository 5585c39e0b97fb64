"""The building report: forms, who shares them, sheets, press days and totals, as the batch's other files say them."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from formgen.answers import recorded_rows
from formgen.building.model import Building
from formgen.building.press_days.files import press_days_of
from formgen.building.press_days.model import PressDays
from formgen.building.schedule.opening import Schedule
from formgen.building.sharing.forms import plan_building
from formgen.building.summary.page import building_page
from formgen.building.summary.remarks import remarks_on
from formgen.building.summary.table import summary_rows
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.sheets.layout import sheet_forms
from formgen.sheets.model import Sheets
from tests.reports.browser import PHONE, chromium, grave, opened

#: A and B ask for radii a tenth of a millimetre apart, C for another curve.
CSV = "opening,span,rise,quantity\nA,900,180,2\nB,900.1,180,1\nC,700,200,1\n"
LOST = 'openings.csv: row 5, opening <script>alert(1)</script>: part.rise = "0", expected above 0; correct it'


def made_of(schedule: Schedule) -> tuple[Building, dict[str, Any], Sheets, PressDays | None]:
    """A small building by the real stages."""
    building = plan_building(schedule.openings, 1.0, apart=False)
    forms = [run(form.recipe) for form in building.forms]
    jobs = {form.name: json.loads(json.dumps(job_record(f))) for form, f in zip(building.forms, forms, strict=True)}
    openings = {form.name: tuple(m.opening.mark for m in form.members) for form in building.forms}
    sheets = sheet_forms(forms, building.forms[0].recipe.shop, "preview", engine="quick", openings=openings)
    return building, jobs, sheets, press_days_of(building, jobs, remarks_on(building.forms, jobs))


def page_of(schedule: Schedule, lost: tuple[str, ...] = ()) -> str:
    building, jobs, sheets, plan = made_of(schedule)
    found = remarks_on(building.forms, jobs)
    rows = summary_rows(building, jobs, found=found)
    return building_page(
        building, building.forms, rows, jobs, lost=lost, found=found, sheets=sheets, plan=plan, schedule=schedule.file
    ).decode()


@pytest.fixture
def small(scheduled: Callable[..., Schedule]) -> Schedule:
    return scheduled(CSV)


def test_it_shows_what_the_batch_found(small: Schedule) -> None:
    building, jobs, sheets, plan = made_of(small)
    page = page_of(small)
    assert [len(form.members) for form in building.forms] == [2, 1]  # A and B share a form
    for form in building.forms:
        article = page.split(f"<h3>{form.name}</h3>")[1].split("</article>")[0]
        assert re.findall(r'<th scope="row">([ABC])</th>', article) == [m.opening.mark for m in form.members]
        assert f'href="{form.name}/report.html"' in article
        words = html.unescape(article).replace("\u00a0", " ")  # the record's eight answers, in their order
        places = [words.index(f"<dd>{text}</dd>") for _, text in recorded_rows(jobs[form.name])]
        assert len(places) == 8
        assert places == sorted(places)
    for sheet in sheets.sheets:
        assert f"sheets/sheet-{sheet.number:02d}.dxf" in page
    maps = page.split('<figure class="paper">')[1:]
    for sheet, drawn in zip(sheets.sheets, maps, strict=True):
        caption = drawn.split("<figcaption>")[1].split("</figcaption>")[0]
        listed = [name.partition(": ")[2] for name in caption.partition(". ")[2].split(", ")]
        assert listed == [placed.part.name for placed in sheet.placements]
        assert all(f">{number}</text>" in drawn for number in range(1, len(listed) + 1))
    assert plan is not None
    assert len(plan.glue_ups) == 4  # two of A, one of B and C each
    table = page.split("Glue-ups in the order in which they begin</caption>")[1].split("</table>")[0]
    assert table.count("<tr>") == 1 + 4
    total = next(row for row in summary_rows(building, jobs, found=()) if row[0] == "total")
    assert all(f">{cell}<" in page for cell in total if isinstance(cell, int))


def test_the_same_schedule_gives_the_same_bytes(small: Schedule) -> None:
    assert page_of(small) == page_of(small)


def test_what_cannot_be_made_is_said_first_and_escaped(small: Schedule) -> None:
    assert "All of it can be made. Read" in page_of(small)
    page = page_of(small, (LOST,))
    assert "All of it" not in page
    assert "2 forms can be made. 1 row or form is refused." in page.split('id="forms"')[0]
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert "script-src 'none'" in page


def test_a_building_without_sheets_and_press_days_has_no_such_sections(small: Schedule) -> None:
    building, jobs, _, _ = made_of(small)
    page = building_page(building, building.forms, summary_rows(building, jobs, found=()), jobs, found=()).decode()
    assert 'id="sheets"' not in page
    assert 'id="press-days"' not in page
    assert 'id="totals"' in page


def test_it_opens_clean_and_fits_a_phone(small: Schedule, tmp_path: Path) -> None:
    path = tmp_path / "building.html"
    path.write_text(page_of(small, (LOST,)), encoding="utf-8")
    with chromium() as start:
        browser = start()
        with opened(browser, path, color_scheme="dark") as held:
            assert held.complaints == []
            assert held.asked_for == [path.as_uri()]
            assert grave(held.page) == []
        with opened(browser, path, viewport=PHONE, is_mobile=True) as held:
            assert held.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
            assert grave(held.page) == []


def test_many_warnings_are_told_by_kind_first(small: Schedule) -> None:
    """What is to be read begins with a row for each kind; the whole list opens below it."""
    building, jobs, _, _ = made_of(small)
    found = [remark for remark in remarks_on(building.forms, jobs) for _ in range(11)]
    assert found
    page = building_page(building, building.forms, summary_rows(building, jobs, found=()), jobs, found=found).decode()
    answers = page.split('id="answers"')[1].split("</section>")[0]
    first, folded = answers.split("<details>")
    titles = {remark.finding.title for remark in found}
    assert first.count('<th scope="row">warning</th>') == len(titles)
    for title in titles:
        assert html.escape(title, quote=False) in first
    assert f"All {len(found)}, with what to do" in folded
    assert folded.count("<tr>") == len(found) + 1
