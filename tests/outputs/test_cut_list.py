"""The cut list: a card for each sheet with all that is cut from it, one unit, two cards on a printed page."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pytest

from formgen.outputs.sheets.cut_list import cut_list
from formgen.outputs.sheets.handoff import CUT_LIST_FILE, router_name, send
from formgen.sheets.model import Sheets
from formgen.verdict import MARK
from tests.outputs.crowds import strips, wide_bands
from tests.outputs.laid import Laid
from tests.reports.browser import chromium, grave, opened

WHY = ("Plies of 3 mm break on this face: strain 0.009 (limit 0.008).",)
#: A capital is so much of a common face's size (from memory).
CAPITAL = 0.72


def page_of(sheets: Sheets) -> str:
    files = {router_name(sheets, sheet): str(sheet.number).encode() for sheet in sheets.sheets}
    return cut_list(sheets, files).decode()


class _Cards(HTMLParser):
    """What is said before the cards, and what each says, its picture and the names of its pictures left out."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.before, self.cards, self._hidden = "", [], 0
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002
        if tag == "article":
            self.cards.append("")
        self._hidden += tag in ("style", "svg")

    def handle_endtag(self, tag: str) -> None:
        self._hidden -= tag in ("style", "svg")

    def handle_data(self, data: str) -> None:
        if self._hidden:
            return
        said = data.replace("\u00a0", " ")
        if self.cards:
            self.cards[-1] += said
        else:
            self.before += said


def pieces_on(card: str) -> Counter[str]:
    """Form and piece of each that a card lists."""
    found: Counter[str] = Counter()
    for line in card.splitlines():
        form, _, rest = line.partition(": ")
        found.update(f"{form} {name}" for name in re.findall(r"\d+ (L[\w-]+)", rest))
    return found


def test_each_sheet_has_a_card_and_each_piece_stands_once_on_it(laid: Laid, tmp_path: Path) -> None:
    out, form, sheets = laid
    send(out, tmp_path / "stick", [form])
    cards = _Cards((tmp_path / "stick" / CUT_LIST_FILE).read_text(encoding="utf-8")).cards
    for card, sheet in zip(cards, sheets.sheets, strict=True):
        assert f"{sheet.number} of {len(sheets.sheets)}" in card
        assert pieces_on(card) == Counter(p.part.name for p in sheet.placements)
        name = router_name(sheets, sheet)
        assert name in card.replace("\n", "")
        assert hashlib.sha256((tmp_path / "stick" / name).read_bytes()).hexdigest()[:12] in card


def test_pieces_of_many_forms_stand_by_form() -> None:
    sheets = wide_bands(24, 7)
    for card, sheet in zip(_Cards(page_of(sheets)).cards, sheets.sheets, strict=True):
        assert pieces_on(card) == Counter(p.part.name for p in sheet.placements)
        heads = re.findall(r"^(A-\d+): ", card, re.MULTILINE)
        assert heads == list(dict.fromkeys(p.part.form for p in sheet.placements))


@pytest.mark.parametrize(("units", "other"), [("in", "mm"), ("mm", "in")])
def test_it_says_all_in_the_unit_of_the_files(units: Any, other: str) -> None:
    sheets = wide_bands(24, 7, units)
    page = page_of(sheets)
    shown = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    words = re.sub(r"<[^>]*>", " ", shown)
    assert re.search(rf"\d[ \u00a0]?{units}\b", words)
    assert not re.search(rf"\d[ \u00a0]?{other}\b", words)
    assert all(router_name(sheets, sheet).endswith(f"{units}.dxf") for sheet in sheets.sheets)


def test_what_must_not_be_pressed_is_said_first_and_on_each_card_that_has_a_piece_of_it() -> None:
    sheets = wide_bands(24, 7, "mm", WHY)
    page = _Cards(page_of(sheets))
    assert page.before.split("Cut list")[-2].strip().endswith(f"{MARK}: A-400\n{WHY[0]}")
    for card, sheet in zip(page.cards, sheets.sheets, strict=True):
        has = any(p.part.form == "A-400" for p in sheet.placements)
        assert (MARK in card) is has
    assert MARK not in page_of(wide_bands(24, 7))


# --- in a browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as start:
        yield start()


def written(folder: Path, sheets: Sheets) -> Path:
    path = folder / CUT_LIST_FILE
    path.write_text(page_of(sheets), encoding="utf-8")
    return path


def test_nothing_is_broader_than_the_window(browser: Any, tmp_path: Path) -> None:
    over = """[...document.querySelectorAll("body *:not(.skip):not(svg *)")].filter(e => {
        const box = e.getBoundingClientRect(); return box.width && (box.right > innerWidth + 1 || box.left < -1);
    }).map(e => e.outerHTML.slice(0, 80))"""
    with opened(browser, written(tmp_path, wide_bands(24, 7, "in"))) as held:
        for wide in (360, 768, 1300, 1920):
            held.page.set_viewport_size({"width": wide, "height": 900})
            assert held.page.evaluate("document.documentElement.scrollWidth") == wide
            assert held.page.evaluate(over) == []
            cards = held.page.locator(".card").evaluate_all("cards => cards.map(c => c.getBoundingClientRect().width)")
            assert min(cards) == max(cards) <= wide
        assert held.complaints == []
        assert len(held.asked_for) == 1


def test_it_can_be_read_by_day_and_in_the_dark_and_is_ticked(browser: Any, tmp_path: Path) -> None:
    with opened(browser, written(tmp_path, wide_bands(24, 7, "mm", WHY))) as held:
        for scheme in ("light", "dark"):
            held.page.emulate_media(color_scheme=scheme)
            assert grave(held.page) == []
            ground, ink = (
                held.page.locator(f".sheet {which}").first.evaluate("e => getComputedStyle(e).fill")
                for which in ("rect", "text")
            )
            dark = [int(re.findall(r"\d+", colour)[0]) < 128 for colour in (ground, ink)]
            assert dark == ([True, False] if scheme == "dark" else [False, True])
        before = held.pixels(".card input >> nth=0")
        held.page.locator(".card input").first.check()
        assert abs(held.pixels(".card input >> nth=0") - before).max() > 60


def printed(browser: Any, path: Path) -> Path:
    to = path.with_suffix(".pdf")
    with opened(browser, path) as held:
        held.page.pdf(path=to, prefer_css_page_size=True)
    return to


def test_two_sheets_stand_on_a_printed_page_under_a_running_head(browser: Any, tmp_path: Path) -> None:
    sheets = wide_bands(25, 7, "in")
    document = pdfium.PdfDocument(printed(browser, written(tmp_path, sheets)))
    texts = [page.get_textpage().get_text_bounded() for page in document]
    count = len(sheets.sheets)
    assert count > 3
    assert len(texts) == -(-count // 2)
    for i, text in enumerate(texts):
        first = 2 * i + 1
        assert re.findall(rf"^(\d+) of {count}\b", text, re.MULTILINE) == [
            str(n) for n in (first, first + 1) if n <= count
        ]
        assert "Cut list. mdf" in text
        assert f"{i + 1} of {len(texts)}" in text


def test_on_paper_what_is_read_at_the_bench_is_high_enough(browser: Any, tmp_path: Path) -> None:
    path = written(tmp_path, strips(24, 3))
    with opened(browser, path, viewport={"width": 703, "height": 1000}) as held:
        held.page.emulate_media(media="print")
        sizes = """[...document.querySelectorAll(".card *:not(svg *)")].filter(e => [...e.childNodes].some(
            n => n.nodeType === 3 && n.data.trim())).map(e => [e.closest(".sum") ? "sum" : e.tagName,
            parseFloat(getComputedStyle(e).fontSize) * 25.4 / 96])"""
        for what, size_mm in held.page.evaluate(sizes):
            assert size_mm * CAPITAL >= (1.8 if what == "sum" else 2.5), what
        scale = held.page.locator(".sheet").first.evaluate(
            "e => e.getBoundingClientRect().width / e.viewBox.baseVal.width"
        )
        assert scale * 25.4 / 96 == pytest.approx(1.0, abs=0.01)
