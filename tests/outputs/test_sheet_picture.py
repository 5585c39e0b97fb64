"""Pictures of sheets: numbers that can be read and lie on their pieces, hatches that differ, the origin, pages."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pypdfium2 as pdfium
import pytest
import shapely

from formgen.drafting import paper
from formgen.outputs import svg
from formgen.outputs.html.look import look
from formgen.outputs.html.paint import by_day
from formgen.outputs.sheets import wall
from formgen.outputs.sheets.hatches import COUNT, forms_on, hatches_of
from formgen.outputs.sheets.picture import ASIDE, RIM, sheet_picture
from formgen.outputs.sheets.wall import sheets_svg
from formgen.sheets.model import Sheets
from tests.outputs.crowds import strips, wide_bands
from tests.outputs.laid import Laid
from tests.outputs.svg_paths import moved, polygons
from tests.reports.browser import chromium

#: Of common faces: a figure's width over its height (from memory).
FIGURE = 0.56 / 0.73
CARD_MM = 126.0


def local(element: ET.Element) -> str:
    return element.tag.rpartition("}")[2]


def pieces_of(picture: ET.Element) -> list[list[shapely.Polygon]]:
    """The rings of each piece, in the order of the numbers."""
    return [polygons(e.get("d") or "") for e in picture.iter() if e.get("fill-rule") == "evenodd"]


def numbers_of(picture: ET.Element) -> list[tuple[str, float, shapely.Geometry]]:
    """Each number in a picture with its height and the ground that its figures take."""
    found = []
    for e in picture.iter():
        if local(e) == "text" and (e.text or "").isdigit():
            high = float(e.get("font-size", "0")) * svg.CAPITAL
            x, y, wide = float(e.get("x", "0")), float(e.get("y", "0")), FIGURE * high * len(e.text or "")
            found.append((e.text or "", high, shapely.box(x - wide / 2, y - high, x + wide / 2, y)))
    return found


def cards(sheets: Sheets) -> list[ET.Element]:
    return [ET.fromstring(sheet_picture(sheet, sheets, CARD_MM)) for sheet in sheets.sheets]  # noqa: S314 -- our own


def test_every_number_lies_on_its_piece_clear_of_every_line_and_can_be_read(laid: Laid) -> None:
    for sheets in (laid[2], wide_bands(24, 7)):
        for sheet, picture in zip(sheets.sheets, cards(sheets), strict=True):
            rings, numbers = pieces_of(picture), numbers_of(picture)
            assert [said for said, _, _ in numbers] == [str(i) for i in range(1, len(sheet.placements) + 1)]
            assert len({round(high, 3) for _, high, _ in numbers}) == 1
            for (outer, *holes), (_, high, ground) in zip(rings, numbers, strict=True):
                assert high >= paper.TEXT_MM - 0.01
                assert outer.contains(ground)
                assert not any(hole.intersects(ground) for hole in holes)


def test_the_number_of_a_narrow_piece_stands_beside_it_with_a_line_to_it() -> None:
    sheets = strips(24, 3)
    for picture in cards(sheets):
        rings, numbers = pieces_of(picture), numbers_of(picture)
        leaders = [e for e in picture.iter() if re.fullmatch(r"M\S+ \S+L\S+ \S+", e.get("d") or "")]
        assert len(leaders) == len(numbers) == len(rings)
        for (outer, *_), (_, high, ground), leader in zip(rings, numbers, leaders, strict=True):
            assert high >= paper.TEXT_MM - 0.01
            assert not any(other[0].intersects(ground) for other in rings)
            x, y = map(float, (leader.get("d") or "").rpartition("L")[2].split())
            assert outer.contains(shapely.Point(x, y))
        grounds = [ground for _, _, ground in numbers]
        assert not any(a.intersects(b) for i, a in enumerate(grounds) for b in grounds[:i])


def test_pieces_in_the_picture_are_those_of_the_layout(laid: Laid) -> None:
    sheets = laid[2]
    for sheet, picture in zip(sheets.sheets, cards(sheets), strict=True):
        scale = (CARD_MM - ASIDE - RIM) / sheet.stock.length_mm
        for (outer, *_), placement in zip(pieces_of(picture), sheet.placements, strict=True):
            assert outer.area == pytest.approx(placement.outline.area_mm2 * scale**2, rel=2e-3)
            x0, y0, x1, y1 = (c * scale for c in placement.outline.bounds)
            high = sheet.stock.width_mm * scale
            assert outer.bounds == pytest.approx((x0, high - y1, x1, high - y0), abs=0.03)


def test_the_origin_stands_at_the_lower_left_corner_of_the_sheet(laid: Laid) -> None:
    sheets = laid[2]
    for picture in cards(sheets):
        board, origin = (e for e in picture if local(e) == "g")
        edge = next(e for e in board if local(e) == "rect")
        corner = shapely.Point(0.0, float(edge.get("height", "0")))
        mark = next(e for e in origin if local(e) == "circle")
        at = shapely.Point(float(mark.get("cx", "0")), float(mark.get("cy", "0")))
        apart = moved(corner, board.get("transform", "")).distance(moved(at, origin.get("transform", "")))
        assert apart < 0.011
        said = [e.text for e in origin if local(e) == "text"]
        assert said == ["x", "y", "1200 mm", "600 mm"]


@pytest.mark.parametrize("forms", [1, COUNT, 30])
def test_forms_on_a_sheet_differ_without_colour_and_look_alike_on_every_sheet(forms: int) -> None:
    sheets = wide_bands(36, forms)
    hatches = hatches_of(sheets)
    assert len(hatches) == forms
    for sheet, picture in zip(sheets.sheets, cards(sheets), strict=True):
        on = forms_on(sheet)
        assert len({hatches[form] for form in on}) == min(len(on), COUNT)
        cut = [e.get("id") for e in picture.iter() if local(e) == "clipPath"]
        over = [e.get("clip-path") for e in picture.iter() if e.get("clip-path")]
        assert over == [f"url(#{name})" for name in cut]
        assert len(set(cut)) == len(cut) == sum(hatches[form] > 0 for form in on)


def test_each_hatch_is_drawn_otherwise() -> None:
    from formgen.outputs.sheets.hatches import sample

    assert len({str(sample(kind, 6.0, 3.0)) for kind in (None, *range(COUNT))}) == COUNT + 1


# --- the file for the wall


def wall_of(sheets: Sheets) -> ET.Element:
    return ET.fromstring(sheets_svg(sheets))  # noqa: S314 -- our own file


def listed(root: ET.Element) -> Counter[str]:
    """Each piece in the lists, `form piece`, as often as it stands there."""
    found: Counter[str] = Counter()
    form = ""
    for e in root.iter():
        if local(e) == "text" and re.search(r"(^|\s)\d+\sL\d", e.text or ""):
            head, _, rest = (e.text or "").rpartition(": ")
            form = head or form
            found.update(f"{form} {name}" for name in re.findall(r"\d+\s(L[\w-]+)", rest))
    return found


def test_the_wall_lists_every_piece_once_and_shows_it_once(laid: Laid) -> None:
    for sheets in (laid[2], wide_bands(24, 7)):
        root = wall_of(sheets)
        assert listed(root) == Counter(p.part.name for sheet in sheets.sheets for p in sheet.placements)
        assert len(pieces_of(root)) == len(sheets.parts)


def test_its_pages_fit_both_papers_and_nothing_leaves_a_page() -> None:
    for sheets in (wide_bands(24, 7), strips(24, 3)):
        root = wall_of(sheets)
        wide, high = (float(root.get(side, "").removesuffix("mm")) for side in ("width", "height"))
        assert wide <= min(size[0] for size in (paper.SIZES_MM["A4"], paper.SIZES_MM["letter"]))
        pages = next(e for e in root if local(e) == "g")
        assert high == pytest.approx(len(pages) * wall.PAGE[1])
        assert wall.PAGE[1] <= min(paper.SIZES_MM["A4"][1], paper.SIZES_MM["letter"][1])
        assert len(pages) == -(-len(sheets.sheets) // 2)
        for page in pages:
            blocks = [e for e in page if local(e) == "g"]
            downs = [float((e.get("transform") or "").split()[1].rstrip(")")) for e in blocks]
            lows = [
                max(float(e.get("y", "0")) for e in block if local(e) == "text") + down
                for block, down in zip(blocks, downs, strict=True)
            ]
            assert all(low < down for low, down in pairwise([*lows[:-1], *downs[1:]])) or len(downs) == 1
            assert lows[-1] < wall.HIGH + wall.TOP


def test_it_holds_its_colours_dark_and_by_day_in_itself() -> None:
    said = str(sheets_svg(wide_bands(24, 7)))
    assert look() in said
    assert "http" not in said.replace("http://www.w3.org/2000/svg", "").replace("<style>", "").split("</style>")[1]
    for name in ("wood", "ink", "paper"):
        assert f'class="fill-{name}" fill="{by_day(name)}"' in said
    used = set(re.findall(r"(?:fill|stroke)-[a-z-]+(?=[\" ])", " ".join(re.findall(r'class="([^"]*)"', said))))
    assert used
    assert all(f".{name} {{" in look() for name in used)


def test_a_browser_prints_it_page_by_page(tmp_path: Path) -> None:
    sheets = wide_bands(24, 7)
    (tmp_path / "map.svg").write_text(sheets_svg(sheets), encoding="utf-8")
    with chromium() as start:
        page: Any = start().new_page()
        page.goto((tmp_path / "map.svg").as_uri())
        page.pdf(path=tmp_path / "map.pdf", prefer_css_page_size=True, print_background=True)
    document = pdfium.PdfDocument(tmp_path / "map.pdf")
    assert len(document) == -(-len(sheets.sheets) // 2)
    heads = [re.findall(r"^(\d+) of \d+: ", page.get_textpage().get_text_bounded(), re.MULTILINE) for page in document]
    assert [int(n) for head in heads for n in head] == [sheet.number for sheet in sheets.sheets]
