"""The sheet of the shop drawing: its grid, lettering, title strip and bar, read back by PDFium and ezdxf."""

from __future__ import annotations

import io
import itertools
import math
import re
from typing import Any

import ezdxf
import ezdxf.bbox
import pytest

from formgen.drafting.ink import Words
from formgen.drafting.layout import column_inks, columns
from formgen.drafting.table import WIDE_MM, Table, drawn, height_mm, parted
from formgen.drafting.text import wide
from formgen.outputs.record.job import job_record
from formgen.reports.drawing.lists import turns_rad
from formgen.reports.drawing.part import drawn_part
from formgen.reports.drawing.subject import Subject
from tests.reports.drawn import SHARED, drawing_of
from tests.reports.paper_paths import Page
from tests.reports.test_drawing import in_mm
from tests.reports.trials import SPANS

#: Small, large and crowded forms, a ring, S-curves, halves, a form of several openings; inches and mm.
SHOWN = (
    "porch-door-jamb", "reading-room-head", "clock-surround", "bandstand-ogee", "lending-desk-panel",
    "chapel-window-half", *SPANS, "crowded-mm", SHARED,
)  # fmt: skip
ORDER = (
    "Parts off this form", "Trims", "Plies of each part", "Part", "Plies", "Form", "Face", "Reliefs and dowels",
    "Dowels", "Joints", "Ports", "Lay-up",
)  # fmt: skip
#: The grid, in mm: the right column, white to its left, the frame with its white, the top of the strip.
COLUMN, BETWEEN, INSET, LEFT, STRIP = 112.0, 8.0, 12.0, 19.0, 29.0
SCALES = {"in": (1, 2, 4, 8, 12, 16, 24, 32, 48, 64, 96), "mm": (1, 2, 5, 10, 20, 50, 100)}


def titles(page: Page) -> list[tuple[str, float, float]]:
    """The title of each list with its place, in the order of reading: column by column, each from the top."""
    found = []
    for (text, _), (capital, (x, y)) in zip(page.texts, page.lettering, strict=True):
        name = text.strip().removesuffix(", on")
        known = next((t for t in ORDER if name == t or (t in ("Part", "Plies") and name.startswith(f"{t} "))), None)
        if known and capital == pytest.approx(3.5, abs=0.01) and ", finished" not in text:
            found.append((known, x, y))
    return sorted(found, key=lambda item: (item[1], -item[2]))


def has_views(page: Page) -> bool:
    return " : " in page.text


@pytest.mark.parametrize("name", SHOWN)
def test_capitals_can_be_read_at_the_bench(name: str) -> None:
    """2.2 mm is the least at 650 mm; lists, strip and captions are lettered in 2.5, titles in 3.5."""
    for page in drawing_of(name).printed:
        assert page.lettering
        assert [
            text for (text, _), (capital, _) in zip(page.texts, page.lettering, strict=True) if capital < 2.49
        ] == []


@pytest.mark.parametrize("name", SHOWN)
def test_lists_stand_in_one_column_in_a_fixed_order(name: str) -> None:
    seen = []
    for page in drawing_of(name).printed:
        found = titles(page)
        lefts = sorted({round(x, 2) for _, x, _ in found})
        column = page.size[0] - INSET - COLUMN
        if has_views(page):
            assert lefts in ([], [pytest.approx(column, abs=0.01)])
        assert all(
            (column - x) / (COLUMN + BETWEEN) == pytest.approx(round((column - x) / 120.0), abs=1e-3) for x in lefts
        )
        order = [ORDER.index(title) for title, _, _ in found]
        assert order == sorted(order)
        seen += order
        if lefts and has_views(page):  # nothing of the views reaches into the column, nothing of the lists out of it
            for text, letters in page.texts:
                x0, y0, x1, _ = letters.bounds
                assert y0 < STRIP or x0 > column - 0.01 or x1 < column - BETWEEN + 0.5, text
    wanted = {"Part", "Plies", "Form", "Face", "Lay-up"} | (
        {"Parts off this form", "Trims"} if name == SHARED else set()
    )
    assert wanted <= {ORDER[i] for i in seen}


@pytest.mark.parametrize("name", SHOWN)
def test_the_bar_that_checks_the_print_is_as_long_as_it_says(name: str) -> None:
    form, _, printed = drawing_of(name)
    long, called = (101.6, "4 in") if form.recipe.units == "in" else (100.0, "100 mm")
    for page in printed:
        assert f"If this bar is not {called}, do not measure." in page.text
        level = [
            run
            for path in page.paths
            for run in path.runs
            if path.width_mm == pytest.approx(0.5, abs=0.01) and len(run) == 2 and run[0][1] == run[1][1] < STRIP
        ]
        assert [abs(a[0] - b[0]) for a, b in level if abs(a[0] - b[0]) > 50.0] == [pytest.approx(long, abs=0.02)]


@pytest.mark.parametrize("name", SHOWN)
def test_the_form_is_drawn_as_large_as_the_sheet_allows(name: str) -> None:
    """It fills half of the views' width, or the next standard scale would not leave 75 mm for all that is round it."""
    form, drawing, printed = drawing_of(name)
    units, subject, page = form.recipe.units, Subject(form), printed[0]
    header = ezdxf.read(io.StringIO(drawing.decode())).header
    ratio = round(header["$DIMSCALE"] * (25.4 if units == "in" else 1.0), 6)
    assert ratio in SCALES[units]
    column = COLUMN + BETWEEN if titles(page) else 0.0
    room = page.size[0] - INSET - LEFT - column, page.size[1] - 31.0 - INSET
    x0, y0, x1, y1 = subject.reach
    part = drawn_part(form).gauge
    if (x1 - x0) / ratio < 0.5 * room[0] and ratio > SCALES[units][0]:
        larger = SCALES[units][SCALES[units].index(ratio) - 1]
        wide_mm = (x1 - x0 + form.depth_mm) / larger + 75.0
        high_mm = (y1 - y0) / larger + 45.0
        if "Part" in page.text and "finished" in page.text:
            smaller = SCALES[units][min(SCALES[units].index(larger) + 2, len(SCALES[units]) - 1)]
            high_mm += (max(p.height_mm for p in _heights(part)) if _heights(part) else 0.0) / smaller + 45.0
        names = 3.0 * (len(subject.reliefs) + len(subject.dowels))
        assert wide_mm > room[0] or high_mm > room[1] or names > form.face.length_mm / larger or name == "crowded-mm"


def _heights(part: Any) -> list[Any]:
    return [h for row in part.rows for h in (row.inside, row.outside) if h is not None]


@pytest.mark.parametrize("name", SHOWN)
def test_the_strip_says_what_the_record_says(name: str) -> None:
    form, _, printed = drawing_of(name)
    record: dict[str, Any] = job_record(form)
    unit, makes = form.recipe.units, record["found"]["makes"]
    part = record["asked"]["recipe"]["part"]
    for number, page in enumerate(printed, 1):
        strip = " ".join(text.strip() for text, letters in page.texts if letters.bounds[3] < STRIP)
        said = re.search(
            r"(\d+) off,( the second turned over,| every second one turned over,)? (.+), ([\d/. ]+) × ([\d/. ]+)"
            r" (in|mm), ± ([\d/. ]+) (?:in|mm)", strip,
        )  # fmt: skip
        assert said, strip
        assert int(said[1]) == sum(made["quantity"] for made in makes)
        assert bool(said[2]) == (form.arch.copies > 1)
        assert {*said[3].split(", ")} == {cut["wood"] for cut in record["found"]["laminate"]["materials"]["cuts"]}
        step = 25.4 / 64 if unit == "in" else 0.1
        assert said[6] == unit
        assert in_mm(said[4], unit) == pytest.approx(record["found"]["laminate"]["thickness_mm"], abs=step / 2)
        assert in_mm(said[5], unit) == pytest.approx(part["depth_mm"], abs=step / 2)
        assert part["tolerance_mm"] - step < in_mm(said[7], unit) <= part["tolerance_mm"] + 1e-6
        assert f"code {record['found']['code']}" in strip
        assert f"sheet {number} of {len(printed)}, " in strip
        for blank in ("drawn, date", "checked, date", "revision, date"):
            assert blank in strip
        scales = {
            text for found in page.texts for text in re.findall(r"\d+ : \d+", found[0]) if found[1].bounds[1] > STRIP
        }
        shown = {0: "none", 1: next(iter(scales), "")}.get(len(scales), "as shown")
        assert f"scale {shown}" in strip


def test_the_sign_of_the_projection_is_clear_of_its_words() -> None:
    for name in ("porch-door-jamb", "clock-surround"):
        page = drawing_of(name).printed[0]
        words = next(letters for text, letters in page.texts if "angle" in text)
        signs = [line for line, _ in page.strokes() if line.bounds[3] < STRIP and 0 < line.length < 18.0]
        assert min(line.distance(words) for line in signs) > 1.5


@pytest.mark.parametrize("name", ["crowded-mm", SHARED])
def test_nothing_touches_on_a_crowded_and_a_shared_form(name: str) -> None:
    for page in drawing_of(name).printed:
        assert page.clashes() == []
        for _, letters in page.texts:
            x0, y0, x1, y1 = letters.bounds
            assert x0 > 16.0
            assert y0 > 9.0
            assert x1 < page.size[0] - 9.0
            assert y1 < page.size[1] - 9.0


def test_what_the_gauge_has_does_not_stand_here_again() -> None:
    for name in SHOWN:
        text = " ".join(page.text for page in drawing_of(name).printed)
        assert "Check" not in text
        assert "over A–B" not in text


@pytest.mark.parametrize("name", ["bandstand-ogee", "porch-door-jamb", "lending-desk-panel"])
def test_turns_are_those_of_each_half(name: str) -> None:
    """Against the headings at two thousand places: what is said, added up, is all that the curve turns."""
    form, _, printed = drawing_of(name)
    curve = drawn_part(form).pressing.arch.target
    headings = [curve.pose(curve.length_mm * i / 2000).heading_rad for i in range(2001)]
    turned = sum(abs(math.remainder(b - a, 2 * math.pi)) for a, b in itertools.pairwise(headings))
    said = re.findall(r"([\d.]+)°", re.search(r"turns ([\d.]+°(?:, then back [\d.]+°)*)", printed[0].text)[1])  # type: ignore[index]
    assert sum(map(float, said)) == pytest.approx(math.degrees(turned), abs=0.1)  # a place is 0.08° from the next
    assert "0.00" not in said
    assert len(turns_rad(curve)) == len(said) == (2 if name == "bandstand-ogee" else 1)


@pytest.mark.parametrize("name", ["porch-door-jamb", "bandstand-ogee", SHARED])
def test_words_of_the_file_keep_their_width_in_any_face(name: str) -> None:
    """Each reaches from one point to another (DXF group 72 = 5), as far as on the page, whatever face stands in."""
    _, drawing, printed = drawing_of(name)
    document = ezdxf.read(io.StringIO(drawing.decode()))
    per_mm = document.header["$DIMSCALE"]
    edges = sorted(e.get_points("xy")[0] for e in document.modelspace().query("LWPOLYLINE[layer=='PAPER EDGE']"))
    assert len(edges) == len(printed)
    shown = [
        (text.strip(), x, y, letters.bounds, capital)
        for page in printed
        for (text, letters), (capital, (x, y)) in zip(page.texts, page.lettering, strict=True)
    ]
    words = list(document.modelspace().query("TEXT"))
    assert len(words) > 60
    for entity in words:
        assert entity.dxf.halign == 5
        (ax, ay, _), (bx, by, _) = entity.dxf.insert, entity.dxf.align_point
        corner = max(edge for edge in edges if edge[0] <= min(ax, bx))
        x, y, long = (ax - corner[0]) / per_mm, (ay - corner[1]) / per_mm, math.dist((ax, ay), (bx, by)) / per_mm
        same = [s for s in shown if s[0] == entity.dxf.text.strip() and math.dist(s[1:3], (x, y)) < 0.02]
        assert same, entity.dxf.text
        (x0, _, x1, _), capital = same[0][3:]
        if abs(by - ay) < 1e-6:
            assert -0.1 < long - (x1 - x0) < 0.4 * capital, entity.dxf.text
            box = ezdxf.bbox.extents([entity])
            assert box.size.x / per_mm == pytest.approx(long, rel=0.02)


def test_a_list_keeps_to_the_column_whatever_its_cells_say() -> None:
    """Words are broken, numbers are not; a list higher than a column goes on in the next with its heads."""
    long = "a wood with a name that fills a line and more, cut from the board nearest to the door"
    tables = (
        Table(title="Words", rows=(("key", long), ("another", long * 3))),
        Table(title="Mixed", heads=("no.", "x", "y", "wood"), numbers=(1, 2), remark=long,
              rows=tuple((str(i), f"{i} 13/64", f"−{i} 13/64", long) for i in range(40))),
        Table(title="Numbers", heads=("no.", "x", "y"), numbers=(1, 2),
              rows=tuple((str(i), f"{i} 13/64", f"−{i} 13/64") for i in range(200))),
    )  # fmt: skip
    for table in tables:
        said = []
        for part in parted(table, 150.0):
            assert height_mm(part) <= 150.0
            inks = drawn(part)
            for ink in inks:
                if isinstance(ink, Words):
                    length = wide(ink.text, ink.height_mm)
                    left = ink.at[0] - (length if ink.anchor == "right" else 0.0)
                    assert left >= -1e-6
                    assert left + length <= WIDE_MM + 1e-6, ink.text
                    assert -height_mm(part) - 0.1 <= ink.at[1] < 0.0
                    said.append(ink.text)
        for row in table.rows:
            assert all(cell in said for i, cell in enumerate(row) if i in table.numbers or len(cell) < 8)
    held = columns([part for table in tables for part in parted(table, 150.0)], 150.0)
    for lists in held:
        assert (
            min(ink.at[1] for ink in column_inks(lists, 0.0, (0.0, 0.0, 300.0, 150.0)) if isinstance(ink, Words)) > 0.0
        )
