"""Every printed page at arm's length: heights of letters, one system of units, nothing on anything, one hand.

Read back by another library (PDFium). A capital of 2.2 mm is the least that is read at 650 mm, which is common
practice without a source; ISO 3098-1's series has 2.5 mm next, so that nothing for the bench is lettered smaller.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from shapely import box
from shapely.strtree import STRtree

from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.reports.drawing.sheets import shop_drawing
from formgen.reports.gauge.page import gauge_page
from formgen.reports.press_sheet.page import press_sheet
from formgen.reports.template.pdf import template
from tests.reports.page_read import UNUSUAL, UNUSUAL_NAMES, large_or_small, read
from tests.reports.paper_paths import Page, pages

PACKAGE = Path(__file__).parents[2] / "formgen"
LEAST_MM = 2.5
#: An amount in a unit of each system. Goods keep the name that they are sold by (a 10 mm dowel, a 3/4 in sheet), and a
#: limit in the air the unit of its law.
AMOUNTS = {
    "in": re.compile(r"(?<![\w.])\d[\d.,]* ?(mm|cm|m|kg|g|kPa|kN|N|MPa|GPa|°C|m²|m³)(?![\w/²³])"),
    "mm": re.compile(r"(?<![\w.])\d[\d.,/]* ?(in|ft|lb|lbf|psi|inHg|°F|ft²|in²|oz)(?!\w)"),
}
GOODS = re.compile(r"⌀ ?[\d./ ]+(mm|in)|dowels?[^.;]{0,16}?[\d./]+ (mm|in)|(MDF|plywood) [\d/ ]+(mm|in)|mg/m³")


def documents(form: Holding) -> dict[str, bytes]:
    """Every printed document of a form."""
    tiles, roll = template(form)
    return {
        "drawing": shop_drawing(form)[1],
        "press day": press_sheet(form),
        "gauge": gauge_page(form),
        "template": tiles,
        "roll": roll,
    }


def in_good_order(form: Holding) -> None:
    for name, content in documents(form).items():
        for number, page in enumerate(pages(content)):
            here = f"{form.recipe.name}, {name}, side {number + 1}"
            assert min(read(content, number).capitals) >= LEAST_MM - 0.01, here
            assert on_one_another(page) == [], here
            assert not re.search(r"[≈?]|\bNone\b", page.text), here
            mixed = AMOUNTS[form.recipe.units].search(text := GOODS.sub("", page.text))
            assert mixed is None, f"{here}: {text[max(0, mixed.start() - 60) : mixed.end() + 20]}"


def on_one_another(page: Page) -> list[str]:
    """Texts whose boxes share ground with another's or leave the paper."""
    boxes = [shape for _, shape in page.texts]
    tree, paper = STRtree(boxes), box(0.0, 0.0, *page.size).buffer(-5.0)
    return [
        text
        for i, (text, shape) in enumerate(page.texts)
        if not paper.contains(shape)
        or any(j != i and shape.intersection(boxes[j]).area > 0.01 for j in tree.query(shape))
    ]


def test_every_page_of_every_shipped_form(shipped: Form) -> None:
    in_good_order(shipped)


@pytest.mark.parametrize(("arch", "more", "plies", "form"), UNUSUAL, ids=UNUSUAL_NAMES)
def test_every_page_of_small_large_and_crowded_forms(
    tmp_path: Path, arch: str, more: str, plies: str, form: str
) -> None:
    in_good_order(large_or_small(tmp_path, arch, more, plies, form))


def test_colours_stand_in_one_place() -> None:
    """No page and no picture has a colour of its own: all are variables of the one look."""
    own = re.compile(r"#[0-9a-fA-F]{3,8}\b(?![^<]*</a>)")
    found = {
        path.relative_to(PACKAGE).as_posix(): own.findall(text)
        for path in (*PACKAGE.rglob("*.py"), *PACKAGE.rglob("*.css"), *PACKAGE.rglob("*.html"), *PACKAGE.rglob("*.js"))
        if own.search(text := path.read_text(encoding="utf-8"))
    }
    assert set(found) <= {"outputs/html/look.css"}, found
