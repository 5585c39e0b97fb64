"""Fonts that are shipped: the screen's is what its script makes; no changed one has the name that is reserved.

Read by fontTools; fractions set by HarfBuzz in a browser, measured by the widths of its own table.
"""

from __future__ import annotations

import base64
import io
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from tests.reports.browser import chromium
from tests.supply.screen_font import FONTS, PAPER, SCREEN, screen_font

RESERVED = "Routed Gothic"


def tables(content: bytes) -> dict[str, bytes]:
    """The tables of a font by name, unpacked: how tightly they are packed is the business of zlib."""
    font = TTFont(io.BytesIO(content))
    return {tag: font.reader[tag] for tag in font.reader.keys()}  # noqa: SIM118  # no mapping


def test_the_file_is_what_the_script_makes() -> None:
    made, held = tables(screen_font()), tables(SCREEN.read_bytes())
    assert [tag for tag in made if made[tag] != held.get(tag)] == []
    assert made.keys() == held.keys()


def test_the_script_makes_the_same_twice_and_a_small_file() -> None:
    made = screen_font()
    assert made == screen_font()
    assert len(base64.b64encode(made)) < 20_000


def test_letters_are_as_wide_on_the_screen_as_on_paper() -> None:
    screen, paper = TTFont(SCREEN), TTFont(PAPER)
    on_screen, on_paper = screen.getBestCmap(), paper.getBestCmap()
    assert len(on_screen) > 180
    for code, name in on_screen.items():
        assert screen["hmtx"][name] == paper["hmtx"][on_paper[code]], chr(code)


@pytest.mark.parametrize("path", sorted(FONTS.glob("*.[tw]*f")), ids=lambda path: path.name)
def test_a_changed_font_has_a_name_of_its_own_and_keeps_the_notice(path: Path) -> None:
    names = {record.nameID: str(record) for record in TTFont(path)["name"].names}
    assert names[0].startswith("Copyright (c) 2017")
    assert [i for i, text in names.items() if RESERVED in text and i != 0] == []
    assert names[1].startswith("Bench Gothic")
    log = (FONTS / "FONTLOG.txt").read_text(encoding="utf-8")
    assert path.name in log
    assert RESERVED in (FONTS / "OFL.txt").read_text(encoding="utf-8")


#: Text of a page, and the signs that the font is to show for it.
SHOWN = {
    "11 1/2 in": "11\u2009¹⁄₂ in",
    "11\u00a01/2 in": "11\u2009¹⁄₂ in",
    "45/64 and 3/8": "⁴⁵⁄₆₄ and ³⁄₈",
    "R1 13 3/64, 36": "R1 13\u2009³⁄₆₄, 36",
    "12/5/2026": "12/5/2026",
    "A3/4 and/or g/m²": "A3/4 and/or g/m²",
    "layers/1/2.dxf": "layers/1/2.dxf",
    "1/1000 2000/3": "1/1000 2000/3",
}
_PAGE = """<!DOCTYPE html><style>@font-face {{ font-family: "B"; src: url(data:font/woff;base64,{font}); }}
span {{ font: 1024px B; font-kerning: none; white-space: pre; position: absolute; }}
.set {{ font-variant-numeric: diagonal-fractions; }} .columns {{ font-variant-numeric: tabular-nums; }}
</style>{spans}"""


def test_a_browser_sets_fractions_and_figures_of_one_width() -> None:
    spans = [f'<span class="set">{text}</span><span>{shown}</span>' for text, shown in SHOWN.items()]
    spans += [f'<span class="columns">{figure}</span>' for figure in "0123456789"]
    with chromium() as start:
        page = start().new_page()
        page.set_content(_PAGE.format(font=base64.b64encode(SCREEN.read_bytes()).decode(), spans="".join(spans)))
        page.evaluate("document.fonts.load('16px B')")
        widths = page.evaluate("[...document.querySelectorAll('span')].map(e => e.getBoundingClientRect().width)")
    pairs = {text: widths[2 * i : 2 * i + 2] for i, text in enumerate(SHOWN)}
    assert {text: pair for text, pair in pairs.items() if pair[0] != pytest.approx(pair[1], abs=0.5)} == {}
    assert widths[-10:] == [672.0] * 10
