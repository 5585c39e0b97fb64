"""The building report: forms, who shares them, sheets, press days and totals, as the batch's other files say them."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pypdfium2 as pdfium
import pytest

from formgen.answers import recorded_rows
from formgen.building.model import Building
from formgen.building.press_days.files import press_days_of
from formgen.building.press_days.model import PressDays
from formgen.building.press_days.rows import clock, day_lines
from formgen.building.schedule.opening import Schedule
from formgen.building.schedule.read import read_schedule
from formgen.building.sharing.forms import plan_building
from formgen.building.summary.page import building_page, title_of
from formgen.building.summary.remarks import remarks_on
from formgen.building.summary.table import summary_rows
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.sheets.layout import sheet_forms
from formgen.sheets.model import Sheets
from tests.building.conftest import BASE, SHOP
from tests.building.test_chart import in_turn, planned
from tests.building.test_press_days import means
from tests.reports.browser import PHONE, chromium, grave, opened

#: A and B ask for radii a tenth of a millimetre apart, C for another curve; a hyphen in each name.
CSV = "opening,span,rise,quantity\nA-1,900,180,2\nB-1,900.1,180,1\nC-1,700,200,1\n"
INCHES = BASE.replace("units: mm", "units: in")
INCH_CSV = "opening,span,rise,quantity\nW-101,36,7,2\nW-102,36 1/64,7,1\nD-203,28,8,1\n"
for mm, inches in (("span: 900, rise: 180", "span: 36, rise: 7"), ("depth: 60", "depth: 2 1/2"),
                   ("tolerance: 0.8", "tolerance: 1/32"), ("thickness: 18", "thickness: 3/4"),
                   ("backing: 90", "backing: 3 1/2")):  # fmt: skip
    INCHES = INCHES.replace(mm, inches)
LOST = 'openings.csv: row 5, opening <script>alert(1)</script>: part.rise = "0", expected above 0; correct it'
#: What the page of the shipped library took before: so many px at 1300 px, so many printed pages; 23 forms, 25 sheets.
LONG_PX, LONG_PAGES = 25_610, 28
WIDTHS = (360, 768, 1300, 1920)
Made = tuple[Building, dict[str, Any], Sheets, PressDays | None]


@cache
def made_of(text: str = CSV, base: str = BASE) -> tuple[Schedule, Made]:
    """A small building by the real stages."""
    with TemporaryDirectory() as folder:
        for name, content in (("base.yaml", base), ("shop.yaml", SHOP), ("openings.csv", text)):
            (Path(folder) / name).write_text(content, encoding="utf-8")
        schedule = read_schedule(Path(folder) / "openings.csv", Path(folder) / "base.yaml")
    building = plan_building(schedule.openings, 1.0, apart=False)
    forms = [run(form.recipe) for form in building.forms]
    jobs = {form.name: json.loads(json.dumps(job_record(f))) for form, f in zip(building.forms, forms, strict=True)}
    openings = {form.name: tuple(m.opening.mark for m in form.members) for form in building.forms}
    sheets = sheet_forms(forms, building.forms[0].recipe.shop, "preview", engine="quick", openings=openings)
    return schedule, (building, jobs, sheets, press_days_of(building, jobs, remarks_on(building.forms, jobs)))


def page_of(text: str = CSV, base: str = BASE, lost: tuple[str, ...] = ()) -> str:
    schedule, (building, jobs, sheets, plan) = made_of(text, base)
    found = remarks_on(building.forms, jobs)
    rows = summary_rows(building, jobs, found=found)
    return building_page(
        building, building.forms, rows, jobs, lost=lost, found=found, sheets=sheets, plan=plan, schedule=schedule.file
    ).decode()


def large_page() -> str:
    """As many forms, sheets and press days as the shipped library has, the small building's again and again."""
    _, (building, jobs, sheets, _) = made_of(INCH_CSV, INCHES)
    forms = tuple(replace(building.forms[i % len(building.forms)], name=f"W-{100 + i}-shared") for i in range(23))
    every = {form.name: jobs[building.forms[i % len(building.forms)].name] for i, form in enumerate(forms)}
    held = means(bags=3, opens_min=450, day_min=510)
    turns = [in_turn(held, bag, [f"W-{bag}{i:02d}" for i in range(19)], (45, 1440, 20), None) for bag in (1, 2, 3)]
    plan = planned(held, [one for turn in turns for one in turn])
    many = replace(sheets, sheets=tuple(replace(sheets.sheets[0], number=i + 1) for i in range(25)))
    whole = replace(building, forms=forms)
    found = remarks_on(forms, every)
    return building_page(
        whole, forms, summary_rows(whole, every, found=found), every, found=found, sheets=many, plan=plan,
        schedule="library.csv",
    ).decode()  # fmt: skip


def plain(markup: str) -> str:
    """What is read of markup: no tags, no spaces that hold."""
    return html.unescape(re.sub(r"<[^>]*>", "", markup)).replace("\u00a0", " ")


def section(page: str, name: str) -> str:
    return page.split(f'<section id="{name}"')[1].split("</section>", maxsplit=1)[0]


def test_it_shows_what_the_batch_found() -> None:
    _, (building, jobs, _, plan) = made_of()
    page = page_of()
    assert [len(form.members) for form in building.forms] == [2, 1]  # A and B share a form
    for form in building.forms:
        line, told = section(page, "forms").split(f"<h3>{form.name}</h3>")[1].split("</details>")[0].split("</summary>")
        assert all(m.opening.mark in plain(line) for m in form.members)
        shared = [m.opening.mark for m in form.members] if len(form.members) > 1 else []
        assert re.findall(r'<th scope="row"[^>]*>([ABC]-1)</th>', told) == shared
        assert f'href="{form.name}/report.html"' in told
        words = html.unescape(told).replace("\u00a0", " ")  # the record's eight answers, in their order
        places = [words.index(f"<dd>{text}</dd>") for _, text in recorded_rows(jobs[form.name])]
        assert len(places) == 8
        assert places == sorted(places)
    assert plan is not None
    assert len(plan.glue_ups) == 4  # two of A, one of B and C each
    table = page.split("Glue-ups in the order in which they begin</caption>")[1].split("</table>")[0]
    assert table.count("<tr") == 1 + 4
    days = plain(section(page, "press-days").split('class="calendar"')[1])
    for _, outs, ups in day_lines(plan):
        assert all(line in days for line in (*outs.split("\n"), *ups.split("\n")))


def test_a_sheet_is_drawn_once_and_its_pieces_are_listed_once() -> None:
    _, (_, _, sheets, _) = made_of()
    cards = section(page_of(), "sheets").split("<figure>")[1:]
    for sheet, card in zip(sheets.sheets, cards, strict=True):
        said = plain(card.replace(card[card.index("<svg") : card.index("</svg>")], ""))
        assert f"Sheet {sheet.number} " in said
        assert f"sheet-{sheet.number:02d}.dxf" in said
        listed = dict(re.findall(r"(\d+) (L\S*[^\s,;])", said.split(".dxf")[1]))
        assert listed == {
            str(number): placed.part.name.removeprefix(placed.part.form).strip()
            for number, placed in enumerate(sheet.placements, 1)
        }


def test_a_row_of_the_glue_ups_says_when_and_where_in_seven_columns() -> None:
    _, (_, _, _, plan) = made_of()
    assert plan is not None
    table = page_of().split("Glue-ups in the order in which they begin</caption>")[1].split("</table>")[0]
    header, *rows = (
        [plain(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)] for row in table.split("<tr")[1:]
    )
    assert len(header) <= 7
    for held, row in zip(plan.glue_ups, rows, strict=True):
        cells = dict(zip(header, row, strict=True))
        assert cells["opening and form"].startswith(held.mark)
        assert cells["lay up"] == clock(held.begins_min, plan.means)
        assert cells["take out"].endswith(clock(held.opens_min, plan.means))
        assert cells["bag"] == f"{held.bag or ''}"


def test_the_same_schedule_gives_the_same_bytes() -> None:
    assert page_of() == page_of()


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("library.csv", "Library, opening schedule"),
        ("west_wing.xlsx", "West wing, opening schedule"),
        ("", "Opening schedule"),
    ],
)
def test_its_title_is_no_file_name(name: str, title: str) -> None:
    assert title_of(name) == title


def test_what_cannot_be_made_is_said_first_and_escaped() -> None:
    assert "All of it can be made. Read" in plain(page_of())
    page = page_of(lost=(LOST,))
    assert "All of it" not in page
    first = page.split('id="forms"')[0]
    assert "2 forms can be made. 1 row or form is refused." in plain(first)
    assert first.index("can be made") < first.index("<h1>")  # the verdict, then the name
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert "script-src 'none'" in page


def test_a_building_without_sheets_and_press_days_has_no_such_sections() -> None:
    _, (building, jobs, _, _) = made_of()
    page = building_page(building, building.forms, summary_rows(building, jobs, found=()), jobs, found=()).decode()
    assert 'id="sheets"' not in page
    assert 'id="press-days"' not in page
    assert 'id="totals"' in page


#: Units of the other system after a number or in a column's head, and the schedule that must not show them.
METRIC = re.compile(r"(?:\d |, )(mm|cm|m|m²|m2|kg|g|kPa|N|kN|°C|l)\b")
IMPERIAL = re.compile(r"(?:\d |, )(in|ft|ft²|lb|lbf|psi|inHg|°F|board feet)\b")


@pytest.mark.parametrize(("text", "base", "other"), [(CSV, BASE, IMPERIAL), (INCH_CSV, INCHES, METRIC)])
def test_it_speaks_in_one_system_of_units(text: str, base: str, other: re.Pattern[str]) -> None:
    page = page_of(text, base)
    own = METRIC if other is IMPERIAL else IMPERIAL
    said = [
        plain(part)
        for part in re.split(r"</(?:t[hd]|dd|dt|p|li|figcaption|caption|text|summary)>", page.split("<main")[1])
    ]
    assert sum(bool(own.search(line)) for line in said) > 20
    assert [line for line in said if other.search(line)] == []


def test_inches_are_fractions_and_only_what_is_thin_is_in_thousandths() -> None:
    main = page_of(INCH_CSV, INCHES).split("<main")[1]
    decimals = [
        float(number)
        for number in re.findall(
            r"(\d+\.\d+)(?: in\b| of )", plain(re.sub(r"<svg.*?</svg>", "", main, flags=re.DOTALL))
        )
    ]
    assert decimals
    assert max(decimals) < 1.0


def test_many_warnings_are_told_by_kind_first() -> None:
    """What is to be read begins with a row for each kind; the whole list opens below it."""
    _, (building, jobs, _, _) = made_of()
    found = [remark for remark in remarks_on(building.forms, jobs) for _ in range(11)]
    assert found
    page = building_page(building, building.forms, summary_rows(building, jobs, found=()), jobs, found=found).decode()
    first, folded = section(page, "answers").split("<details")
    titles = {remark.finding.title for remark in found}
    assert len(re.findall(r'<th scope="row"[^>]*>(?:<span>)?warning<', first)) == len(titles)
    for title in titles:
        assert title in plain(first)
    assert f"All {len(found)}, with what to do" in folded
    assert folded.count("<tr") == len(found) + 1


def test_it_opens_clean_and_fits_every_screen(tmp_path: Path) -> None:
    with chromium() as start:
        browser = start()
        path = tmp_path / "building.html"
        path.write_text(page_of(lost=(LOST,)), encoding="utf-8")
        with opened(browser, path, color_scheme="dark") as held:
            assert held.complaints == []
            assert held.asked_for == [path.as_uri()]
            assert grave(held.page) == []
        with opened(browser, path, viewport=PHONE, is_mobile=True) as held:
            assert grave(held.page) == []
        path.write_text(page_of(INCH_CSV, INCHES), encoding="utf-8")
        with opened(browser, path) as held:
            held.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
            for width in WIDTHS:
                held.page.set_viewport_size({"width": width, "height": 900})
                assert held.page.evaluate("document.documentElement.scrollWidth") <= width
                assert held.page.evaluate(CUT) == []
                assert held.page.evaluate(SMALL) == []
                assert held.page.evaluate(BROKEN) == []
                assert held.page.locator(".weeks").is_visible() == (width > 600)


def test_it_is_a_third_as_long_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "building.html"
    path.write_text(large_page(), encoding="utf-8")
    with chromium() as start, opened(start(), path, viewport={"width": 1300, "height": 900}) as held:
        assert held.page.evaluate("document.documentElement.scrollHeight") <= LONG_PX / 3
        document = pdfium.PdfDocument(held.page.pdf(prefer_css_page_size=True))
        assert len(document) <= LONG_PAGES / 3
        assert any(page.get_width() > page.get_height() for page in document)  # the weeks, on A4 on its side
        held.page.emulate_media(media="print")
        assert held.page.evaluate(NARROW) == []


#: Weeks that paper does not show over its whole width, and rows of forms that are not one line each.
NARROW = """[...document.querySelectorAll(".weeks figure, .shared summary")].filter(one => one.checkVisibility() &&
  one.getBoundingClientRect().width < 0.95 * innerWidth).map(one => one.textContent.slice(0, 40))"""
#: Tables and what else is cut off by its own frame, but the weeks, which move sideways with their names kept.
CUT = """[...document.querySelectorAll("main *")].filter(one => !one.closest("svg, .weeks") && one.clientWidth &&
  getComputedStyle(one).display !== "inline" && one.scrollWidth > one.clientWidth + 1
).map(one => `${one.tagName} ${one.className} ${one.scrollWidth} in ${one.clientWidth}`)"""
#: Text of less than 12 px, pictures too.
SMALL = """[...document.querySelectorAll("main *")].filter(one => [...one.childNodes].some(
  node => node.nodeType === 3 && node.data.trim()) && one.checkVisibility() && !one.closest(".boards svg")).map(one => {
  const box = one.closest("svg"), size = parseFloat(getComputedStyle(one).fontSize);
  const scale = box && one.closest(".weeks") ? box.getBoundingClientRect().width / box.viewBox.baseVal.width : 1;
  return [one.textContent, size * scale];
}).filter(([said, size]) => size < 12 && !/^\\\\d+$/.test(said))"""

#: Names that stand on two lines.
BROKEN = """[...document.querySelectorAll(".name")].filter(
  one => one.getClientRects().length > 1).map(one => one.textContent)"""
